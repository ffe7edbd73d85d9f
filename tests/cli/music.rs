//! A piece of music on the page: what the command says of it, and what is refused.

use std::path::Path;
use std::time::Duration;

use serde_json::{Value, json};

use crate::support::cli::{Bench, JOB, ROWS, sheet};
use crate::support::page::{Answer, Served};

fn bench() -> Bench {
    Bench::with(&[("job.toml", JOB), ("sheet.csv", &sheet(&ROWS))])
}

fn open(bench: &Bench) -> Served {
    Served::open(&bench.path("."), &["job.toml", "--no-browser"])
}

/// Asked again until every reed is solved.
fn patiently(ask: impl Fn() -> Answer) -> Answer {
    loop {
        match ask() {
            answer if answer.status == 202 => std::thread::sleep(Duration::from_millis(200)),
            answer => return answer,
        }
    }
}

fn piece(name: &str) -> String {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("data/pieces").join(name).display().to_string()
}

#[test]
fn the_page_rehearses_as_the_command_does() {
    let bench = bench();
    let page = open(&bench);
    let said = bench.run(&["rehearse", "job.toml", &piece("slow-air.mid"), "--json"]).code(0).json();
    let own = patiently(|| page.post_bytes("rehearse?piece=slow-air", &[])).json();
    let bytes = std::fs::read(piece("slow-air.mid")).unwrap();
    let file = patiently(|| page.post_bytes("rehearse?name=slow-air", &bytes)).json();
    assert_eq!(own["notes"], file["notes"], "the file is the piece");
    let notes = said["notes"].as_array().unwrap();
    assert_eq!(own["notes"].as_array().unwrap().len(), notes.len());
    for (here, there) in own["notes"].as_array().unwrap().iter().zip(notes) {
        assert_eq!(here["id"], there["on"]["reed"], "{here}");
    }
    let ids =
        |list: &Value, key: &str| -> Vec<Value> { list.as_array().unwrap().iter().map(|it| it[key].clone()).collect() };
    assert_eq!(ids(&own["too_much"], "id"), ids(&said["asked_too_much"], "reed"));
    assert_eq!(ids(&own["too_much"], "serve"), ids(&said["asked_too_much"], "to_serve"));
    assert!(own["chart"].as_str().unwrap().contains("data-note=\"0\""));
    let sound = |number: &Value, note: usize| {
        page.post("rehearse/sound", &json!({ "number": number, "note": note, "on": false })).status
    };
    assert_eq!(sound(&own["number"], 0), 200);
    assert_eq!(sound(&own["number"], 100_000), 404, "there is no such note");
    assert_eq!(sound(&json!(own["number"].as_u64().unwrap() + 7), 0), 404, "there is no such rehearsal");
}

/// The same piece faster and higher, as the command plays it, and again as it is written.
#[test]
fn tempo_and_pitch_are_changed_as_by_the_command() {
    let bench = bench();
    let page = open(&bench);
    let changed = ["--at-bpm", "200", "--transpose", "-2"];
    let call = |more: &[&str]| bench.run(&[&["rehearse", "job.toml", &piece("slow-air.mid")], more].concat()).code(0);
    let said = call(&[&changed[..], &["--json"]].concat()).json();
    let text = call(&changed).out;
    let own = patiently(|| page.post_bytes("rehearse?piece=slow-air&bpm=200&semitones=-2", &[])).json();
    let notes = said["notes"].as_array().unwrap();
    let here = own["notes"].as_array().unwrap();
    assert_eq!(here.len(), notes.len());
    for (here, there) in here.iter().zip(notes) {
        assert_eq!(here["id"], there["on"]["reed"], "{here}");
        assert_eq!(here["cells"][0], format!("{:.3} s", there["start_s"].as_f64().unwrap()), "{here}");
    }
    let told = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains(own["played"].as_str().unwrap()), "{} is not in\n{text}", own["played"]);
    assert_eq!(own["too_much"].as_array().unwrap().len(), said["asked_too_much"].as_array().unwrap().len());
    // Blank is as written: other notes, other times, and the piece's own tempo is told.
    let written = patiently(|| page.post_bytes("rehearse?piece=slow-air&bpm=&semitones=", &[])).json();
    assert_ne!(written["number"], own["number"]);
    assert_ne!(written["notes"], own["notes"]);
    let bpm = written["written_bpm"].as_str().unwrap();
    assert!(own["played"].as_str().unwrap().contains(&format!("written at {bpm}, 2 semitones lower")), "{own}");
}

#[test]
fn what_is_no_piece_is_refused() {
    let bench = bench();
    let page = open(&bench);
    let refused = |path: &str, body: &[u8], status: u16, part: &str| {
        let answer = patiently(|| page.post_bytes(path, body));
        assert!(answer.status == status && answer.body.contains(part), "{path}: {} {}", answer.status, answer.body);
    };
    refused("rehearse?piece=no-such", &[], 404, "no such piece");
    refused("rehearse?piece=..%2F..%2Fjob", &[], 404, "no such piece");
    refused("rehearse?name=x", b"no piece", 400, "no standard MIDI file");
    refused("rehearse?name=x", &[], 400, "no standard MIDI file");
    let mut broken = std::fs::read(piece("accents.mid")).unwrap();
    broken.truncate(10);
    refused("rehearse?name=x", &broken, 400, "no standard MIDI file");
    refused("rehearse?name=x", &vec![0; 1_100_000], 413, "");
    refused("rehearse?piece=accents&window=1&number=x", &[], 400, "");
    // Tempo and transposition in the ranges of the command, both told at once.
    refused("rehearse?piece=accents&bpm=0", &[], 400, "a tempo is 1 to 1000 quarter notes a minute");
    refused("rehearse?piece=accents&bpm=quick&semitones=1.5", &[], 400, "is not a number; a tempo is 1 to 1000");
    refused("rehearse?piece=accents&bpm=1e9&semitones=-61", &[], 400, "-60 to 60 semitones, a whole number");
    refused("rehearse?piece=slow-air&semitones=60", &[], 400, "has no note left; transpose it less far");
    // What a window does not wait for any more is not computed.
    assert_eq!(page.post("overtake", &json!({ "window": 5, "number": 9 })).status, 200);
    refused("rehearse?piece=accents&window=5&number=8", &[], 409, "overtaken");
    assert!(page.is_up());
}
