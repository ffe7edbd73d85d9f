//! The microphone of the page: who may send sound, what of it is refused, what is heard.

use std::f64::consts::TAU;

use serde_json::json;

use crate::support::cli::{Bench, JOB, ROWS, sheet};
use crate::support::page::{Answer, Served};

const RATE_HZ: u32 = 48_000;
/// Samples in a piece, 40 ms.
const PIECE: usize = 1920;

fn bench() -> Bench {
    Bench::with(&[("job.toml", JOB), ("sheet.csv", &sheet(&ROWS))])
}

fn open(bench: &Bench) -> Served {
    Served::open(&bench.path("."), &["job.toml", "--no-browser"])
}

fn bytes(samples: impl IntoIterator<Item = f32>) -> Vec<u8> {
    samples.into_iter().flat_map(f32::to_le_bytes).collect()
}

/// A piece of a tone of `hz` at a tenth of full scale.
fn tone(hz: f64, number: usize) -> Vec<u8> {
    let at = |k: usize| (0.1 * (TAU * hz * (number * PIECE + k) as f64 / f64::from(RATE_HZ)).sin()) as f32;
    bytes((0..PIECE).map(at))
}

fn address(listener: u64, number: usize, rate_hz: &str) -> String {
    format!("ear?listener={listener}&number={number}&rate_hz={rate_hz}&id=5-blow-out")
}

fn send(page: &Served, number: usize, hz: f64) -> Answer {
    page.post_bytes(&address(7, number, "48000"), &tone(hz, number))
}

/// A tone ten cents above what the reed should sound, in closed form: heard, steady, taken for the chosen reed, and not saved.
#[test]
fn a_tone_is_heard_and_nothing_is_written() {
    let bench = bench();
    let page = open(&bench);
    let reed = page.get("state").json()["reeds"]
        .as_array()
        .unwrap()
        .iter()
        .find(|reed| reed["id"] == "5-blow-out")
        .unwrap()
        .clone();
    assert_eq!(reed["note"], "C5");
    let concert_hz = 442.0;
    let hz = concert_hz * (3.1_f64 / 12.0).exp2();
    let told: Vec<_> = (0..40).map(|number| send(&page, number, hz).json()).collect();
    let last = told.last().unwrap();
    assert_eq!(last["sounding"]["shown"], "C5 +10.0", "{last}");
    assert_eq!(last["sounding"]["is_steady"], true, "{last}");
    let heard = &last["heard"];
    assert_eq!((&heard["kind"], &heard["is_chosen"]), (&json!("blow"), &json!(true)), "{last}");
    assert_eq!(heard["cells"], json!([["measured_sounding_hz", "C5 +10.0"]]));
    // The mean square of a sine of amplitude 0.1 is 0.005.
    assert!((last["level_db"].as_f64().unwrap() + 23.01).abs() < 0.1, "{last}");
    assert!(!bench.path("rounds").exists(), "nothing was written");
    // The same sound while another reed is chosen is told to be this one's.
    let other = address(7, 40, "48000").replace("5-blow-out", "6-blow-out");
    let heard = page.post_bytes(&other, &tone(hz, 40)).json()["heard"].clone();
    assert_eq!((&heard["is_chosen"], &heard["other"]), (&json!(false), &json!("5-blow-out")), "{heard}");
}

#[test]
fn sound_that_is_none_is_refused() {
    let bench = bench();
    let page = open(&bench);
    let refused = |path: &str, body: &[u8], status: u16, part: &str| {
        let answer = page.post_bytes(path, body);
        assert!(answer.status == status && answer.body.contains(part), "{path}: {} {}", answer.status, answer.body);
    };
    let good = address(7, 0, "48000");
    for rate in ["0", "7999", "1e9", "-48000", "NaN", "inf"] {
        refused(&address(7, 0, rate), &tone(440.0, 0), 400, "allowed: 8000 to 192000");
    }
    refused(&address(7, 0, "fast"), &tone(440.0, 0), 400, "");
    refused(&good, &bytes([0.0, f32::NAN, f32::INFINITY]), 400, "2 samples that are no finite numbers");
    refused(&good, &[0, 0, 0], 400, "ends within a sample");
    refused(&good, &vec![0; 200_000], 413, "");
    refused(&good.replace("5-blow-out", "..%2F..%2Fetc"), &tone(440.0, 0), 404, "no such reed");
    refused(&format!("{good}&more=1"), &tone(440.0, 0), 400, "");
    refused(&address(7, 3, "48000"), &tone(440.0, 0), 409, "another window listens");
    assert_eq!(page.post_bytes(&good, &tone(440.0, 0)).status, 200);
    refused(&address(8, 1, "48000"), &tone(440.0, 1), 409, "another window listens");
    refused(&address(7, 1, "44100"), &tone(440.0, 1), 400, "the rate changes");
    assert_eq!(page.post_bytes(&address(8, 0, "44100"), &tone(440.0, 0)).status, 200, "who begins anew listens");
    refused(&address(7, 1, "48000"), &tone(440.0, 1), 409, "another window listens");
    assert_eq!(page.post("ear/stop", &json!({ "listener": 8 })).status, 200);
    refused(&address(8, 1, "44100"), &tone(440.0, 1), 409, "another window listens");
    // Only the page itself, under its secret.
    let (host, root) = (page.host(), format!("/{}/", page.secret));
    let own = format!("http://{host}");
    let post = |path: &str, headers: &[(&str, &str)]| page.request("POST", path, headers, "1234").status;
    assert_eq!(post(&format!("{root}{good}"), &[("host", &host)]), 403, "without an origin");
    assert_eq!(post(&format!("{root}{good}"), &[("host", &host), ("origin", "http://evil.example")]), 403);
    assert_eq!(post(&format!("{root}{good}"), &[("host", "evil.example"), ("origin", &own)]), 421);
    let wrong = format!("/{}/{good}", "0".repeat(32));
    assert_eq!(post(&wrong, &[("host", &host), ("origin", &own)]), 404, "under another secret");
    assert!(page.is_up());
}

/// Pieces out of order do not belong together: none is measured with what is not its neighbour. Silence and a note beside it
/// are told as they are afterwards.
#[test]
fn a_thousand_pieces_at_once_are_heard_or_refused() {
    const THREADS: usize = 40;
    const PIECES: usize = 25;
    let bench = bench();
    let page = open(&bench);
    assert_eq!(send(&page, 0, 440.0).status, 200);
    let before = page.memory_kb();
    let one = |k: usize| -> Vec<u16> { (0..PIECES).map(|m| send(&page, 1 + k * PIECES + m, 440.0).status).collect() };
    let statuses: Vec<u16> = std::thread::scope(|scope| {
        let one = &one;
        let threads: Vec<_> = (0..THREADS).map(|k| scope.spawn(move || one(k))).collect();
        threads.into_iter().flat_map(|thread| thread.join().unwrap()).collect()
    });
    assert_eq!(statuses.len(), THREADS * PIECES);
    assert!(statuses.iter().all(|status| [200, 503].contains(status)), "{statuses:?}");
    assert!(statuses.contains(&200));
    let told = page.post_bytes(&address(7, 5000, "48000"), &bytes([0.0; PIECE])).json();
    assert!(told["sounding"].is_null() && told["advice"].as_str().unwrap().contains("no sound at all"), "{told}");
    if let Some((before, after)) = before.zip(page.memory_kb()) {
        assert!(after < before + 100_000, "{before} kB before, {after} kB after");
    }
}
