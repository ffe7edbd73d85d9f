//! `freereed open`: who may ask, what is refused, what is written.

use std::time::Instant;

use serde_json::{Value, json};

use crate::support::cli::{Bench, JOB, ROWS, sheet};
use crate::support::page::Served;

fn bench() -> Bench {
    Bench::with(&[("job.toml", JOB), ("sheet.csv", &sheet(&ROWS))])
}

fn open(bench: &Bench) -> Served {
    Served::open(&bench.path("."), &["job.toml", "--no-browser"])
}

fn entry(id: &str, column: &str, text: &str, was: &str) -> Value {
    json!({ "id": id, "column": column, "text": text, "was": was })
}

fn attempt(number: u64, gap: &str, stage: &str) -> Value {
    json!({ "turn": { "window": 7, "number": number }, "id": "5-blow-out", "set": [["reed.tip_gap_mm", gap]], "stage": stage })
}

/// The rounds of a bench that are files a user sees.
fn rounds(bench: &Bench) -> Vec<String> {
    bench.names("rounds").into_iter().filter(|name| !name.starts_with('.')).collect()
}

#[test]
fn only_the_page_itself_may_ask() {
    let bench = bench();
    let page = open(&bench);
    let host = page.host();
    let (own, root) = (format!("http://{host}"), format!("/{}/", page.secret));
    let state = format!("{root}state");
    let enter = format!("{root}enter");
    let get = |path: &str, headers: &[(&str, &str)]| page.request("GET", path, headers, "").status;
    assert_eq!(get(&root, &[("host", &host)]), 200);
    assert_eq!(get(&root, &[("host", &format!("localhost:{}", page.port))]), 200);
    for wrong in ["evil.example", "127.0.0.1", "127.0.0.1:1", "evil.example@127.0.0.1"] {
        assert_eq!(get(&state, &[("host", wrong)]), 421, "{wrong}");
    }
    assert!([400, 421].contains(&get(&state, &[])), "without a host");
    assert_eq!(get(&state, &[("host", &host), ("origin", "http://evil.example")]), 403);
    assert_eq!(get(&state, &[("host", &host), ("origin", "null")]), 403);
    assert_eq!(get("/", &[("host", &host)]), 404);
    assert_eq!(get("/state", &[("host", &host)]), 404);
    assert_eq!(get(&state.replace(&page.secret, &"0".repeat(32)), &[("host", &host)]), 404);
    let kind = ("content-type", "application/json");
    let body = entry("5-blow-out", "tip_gap_mm", "0.3", "0.27").to_string();
    let post = |headers: &[(&str, &str)]| page.request("POST", &enter, headers, &body).status;
    assert_eq!(post(&[("host", &host), kind]), 403, "without an origin");
    assert_eq!(post(&[("host", &host), ("origin", "http://evil.example"), kind]), 403);
    assert_eq!(post(&[("host", &host), ("origin", &own.replace("http", "https")), kind]), 403);
    assert_eq!(post(&[("host", &host), ("origin", &own), ("content-type", "text/plain")]), 415);
    assert!(!bench.path("rounds").exists(), "nothing was written");
    let answer = page.get("");
    for part in [
        "content-security-policy: default-src 'none'; script-src 'self'",
        "x-content-type-options: nosniff",
        "referrer-policy: no-referrer",
    ] {
        assert!(answer.head.contains(part), "{}", answer.head);
    }
    assert!(!answer.body.contains("<style") && !answer.body.contains("onclick"), "{}", answer.body);
}

#[test]
fn what_is_wrong_is_refused_with_its_reason() {
    let bench = bench();
    let page = open(&bench);
    let refused = |path: &str, body: &str, status: u16, part: &str| {
        let answer = page.post_text(path, body);
        assert!(answer.status == status && answer.body.contains(part), "{body}: {} {}", answer.status, answer.body);
    };
    let gap = |text: &str| entry("5-blow-out", "tip_gap_mm", text, "0.27").to_string();
    refused("enter", &gap("NaN"), 400, "is not a finite number");
    refused("enter", &gap("9"), 400, "-0.5 to 3 mm");
    refused("enter", &gap("wide"), 400, "is text; a number in mm is needed");
    refused("enter", &gap("0.3\n6,blow,out"), 400, "is no text for a cell");
    refused("enter", &entry("5-blow-out", "remark", "x", "").to_string(), 400, "is no column of the page");
    refused("enter", &entry("../../etc/passwd", "tip_gap_mm", "0.3", "").to_string(), 400, "is no reed of the set");
    refused("enter", &entry("5-blow-out", "measured_pluck_hz", "C5 -300", "525").to_string(), 400, "-100 to 100 cents");
    refused("enter", "{\"id\":", 400, "JSON");
    refused("enter", "{}", 422, "missing field");
    refused("try", &attempt(1, "NaN", "quick").to_string(), 400, "is not a finite number");
    refused("try", &attempt(2, "-7", "window").to_string(), 400, "-0.5 to 3 mm");
    refused(
        "try",
        &attempt(3, "0.3", "quick").to_string().replace("reed.tip_gap_mm", "reed.alloy"),
        400,
        "nothing that the page turns",
    );
    let plan = |key: &str, text: &str| json!({ "id": "5-blow-out", "set": [[key, text]] }).to_string();
    refused("plan", &plan("reed.tip_gap_mm", "NaN"), 400, "is not a finite number");
    refused("plan", &plan("reed.alloy", "brass"), 400, "nothing that the page turns");
    refused("begin", "{\"layout\":\"12\",\"key\":\"C\",\"player\":\"even\"}", 400, "a job is open already");
    refused("enter", &format!("\"{}\"", "x".repeat(20_000)), 413, "");
    for path in [
        "../state",
        "chart/../../job.toml",
        "chart/%2e%2e%2fjob.toml",
        "paper/..%2f..%2fjob.toml",
        "job.toml",
        "chart/x.svg",
        "%00",
    ] {
        let answer = page.get(path);
        assert!(answer.status == 404 && !answer.body.contains("[player]"), "{path}: {}", answer.status);
    }
    assert!(page.is_up());
}

#[test]
fn a_reading_is_in_the_round_of_the_day_and_can_be_undone() {
    let bench = bench();
    let page = open(&bench);
    let enter = |column: &str, text: &str, was: &str| page.post("enter", &entry("5-blow-out", column, text, was));
    assert_eq!(enter("tip_gap_mm", "0,31", "0.27").status, 200);
    assert_eq!(enter("measured_pluck_hz", "C5 +4", "525").status, 200);
    let names = rounds(&bench);
    let [name] = names.as_slice() else { panic!("{names:?}") };
    let text = "hole,breath,slide,tip_gap_mm,measured_pluck_hz\n5,blow,out,\"0,31\",C5 +4\n";
    assert_eq!(bench.read(&format!("rounds/{name}")), text);
    // The command line reads what the page wrote.
    let json = bench.run(&["assess", "job.toml", "--json"]).code(0).json();
    assert_eq!(json["reeds"].as_array().map(Vec::len), Some(ROWS.len()));
    let state = page.get("state").json();
    let reed = state["reeds"].as_array().unwrap().iter().find(|reed| reed["id"] == "5-blow-out").unwrap();
    assert_eq!(reed["cells"]["tip_gap_mm"]["text"], "0,31");
    let undo = |number: &Value| page.post("undo", &json!({ "number": number }));
    let number = &state["undo"]["number"];
    assert_eq!(undo(&json!(number.as_u64().unwrap() + 1)).status, 409, "another entry than was seen");
    assert_eq!(undo(number).status, 200);
    assert_eq!(bench.read(&format!("rounds/{name}")), "hole,breath,slide,tip_gap_mm\n5,blow,out,\"0,31\"\n");
    assert_eq!(undo(&page.get("state").json()["undo"]["number"]).status, 200);
    assert!(rounds(&bench).is_empty(), "a round that says nothing is no file");
}

#[test]
fn what_a_user_wrote_is_never_changed() {
    let bench = bench();
    let page = open(&bench);
    let enter = |column: &str, text: &str, was: &str| page.post("enter", &entry("5-blow-out", column, text, was));
    assert_eq!(enter("tip_gap_mm", "0.31", "0.27").status, 200);
    let own = rounds(&bench)[0].clone();
    // The user opens the round of the page and adds a reed: from now on it is the user's.
    let users = "hole,breath,slide,tip_gap_mm\n5,blow,out,0.33\n6,blow,out,0.25\n";
    bench.write(&format!("rounds/{own}"), users);
    let changed = enter("tip_gap_mm", "0.29", "0.31");
    assert_eq!(
        (changed.status, &changed.json()["refusal"]["changed"]),
        (409, &json!({ "now": "0.33", "typed": "0.29" }))
    );
    assert_eq!(enter("tip_gap_mm", "0.29", "0.33").status, 200, "with both values seen");
    assert_eq!(enter("tip_gap_mm", "", "0.29").status, 200);
    assert_eq!(enter("tip_gap_mm", "", "0.33").status, 409, "it stands in a file of the user's");
    assert_eq!(enter("feel", "late", "").status, 200);
    let names = rounds(&bench);
    assert_eq!((names.len(), bench.read(&format!("rounds/{own}"))), (2, users.to_owned()));
    assert!(names[1].ends_with("b.csv"), "{names:?}");
}

#[test]
fn work_done_begins_a_round_of_its_own_where_the_reed_was_measured() {
    let bench = bench();
    let page = open(&bench);
    let work = json!({ "id": "5-blow-out", "operation": "regap", "minutes": "3.5", "aimed_gap_mm": "0.3", "aimed_pluck_hz": "" });
    assert_eq!(page.post("enter", &entry("5-blow-out", "tip_gap_mm", "0.26", "0.27")).status, 200);
    assert_eq!(page.post("done", &work).status, 200);
    assert_eq!(page.post("enter", &entry("5-blow-out", "tip_gap_mm", "0.305", "0.26")).status, 200);
    let names = rounds(&bench);
    assert_eq!(names.len(), 2, "{names:?}");
    let second = bench.read(&format!("rounds/{}", names[1]));
    assert_eq!(second, "hole,breath,slide,operation,minutes,aimed_gap_mm,tip_gap_mm\n5,blow,out,regap,3.5,0.3,0.305\n");
    let told = bench.run(&["rounds", "job.toml"]).code(0).out;
    assert!(
        told.split_whitespace()
            .collect::<Vec<_>>()
            .join(" ")
            .contains("5-blow-out regap tip gap 0.260 mm 0.305 mm 0.300 mm"),
        "{told}"
    );
    let bad =
        json!({ "id": "5-blow-out", "operation": "hammer", "minutes": "-1", "aimed_gap_mm": "", "aimed_pluck_hz": "" });
    assert_eq!(page.post("done", &bad).status, 400);
}

#[test]
fn a_slider_says_what_predict_says() {
    let bench = bench();
    let page = open(&bench);
    let answer = page.post("try", &attempt(1, "0.31", "quick")).json();
    let of = ["--job", "job.toml", "--reed", "5-blow-out"];
    let own = bench.run(&[&["predict"], &of[..], &["--json"]].concat()).code(0).json();
    let change = ["--set", "tip_gap_mm=0.31", "--of", "onset,plucked", "--json"];
    let said = bench.run(&[&["whatif"], &of[..], &change[..]].concat()).code(0).json();
    for key in ["onset_pressure_pa", "natural_frequency_hz"] {
        let result = &answer["results"][key];
        assert_eq!(result["before"]["value"], own[key], "{key}");
        assert_eq!(result["after"]["value"], said["results"][key]["after"]["value"], "{key}");
    }
}

#[test]
fn a_thousand_moves_at_once_are_answered_or_refused() {
    const THREADS: u64 = 40;
    const MOVES: u64 = 25;
    let bench = bench();
    let page = open(&bench);
    assert_eq!(page.post("try", &attempt(1, "0.25", "quick")).status, 200);
    let before = page.memory_kb();
    let began = Instant::now();
    let one = |k: u64| -> Vec<u16> {
        let moved = |m: u64| {
            let number = 2 + k * MOVES + m;
            let stage = if number.is_multiple_of(2) { "quick" } else { "window" };
            page.post("try", &attempt(number, &format!("0.{:03}", 200 + number % 200), stage)).status
        };
        (0..MOVES).map(moved).collect()
    };
    let statuses: Vec<u16> = std::thread::scope(|scope| {
        let one = &one;
        let threads: Vec<_> = (0..THREADS).map(|k| scope.spawn(move || one(k))).collect();
        threads.into_iter().flat_map(|thread| thread.join().unwrap()).collect()
    });
    assert_eq!(statuses.len() as u64, THREADS * MOVES);
    assert!(statuses.iter().all(|status| [200, 409, 503].contains(status)), "{statuses:?}");
    assert!(statuses.contains(&409), "none was overtaken");
    assert_eq!(page.post("try", &attempt(100_000, "0.25", "quick")).status, 200, "after {:?}", began.elapsed());
    if let Some((before, after)) = before.zip(page.memory_kb()) {
        assert!(after < before + 200_000, "{before} kB before, {after} kB after");
    }
}

#[test]
#[cfg(unix)]
fn it_ends_when_it_is_told_to_and_is_found_again() {
    let bench = bench();
    let page = open(&bench);
    let (port, secret) = (page.port, page.secret.clone());
    assert_eq!(page.post("enter", &entry("5-blow-out", "tip_gap_mm", "0.31", "0.27")).status, 200);
    assert_eq!(page.interrupt(), Some(0));
    let again = open(&bench);
    assert_eq!((again.port, &again.secret), (port, &secret), "a page left open finds it again");
    let undo = again.get("state").json()["undo"]["number"].clone();
    assert_eq!(again.post("undo", &json!({ "number": undo })).status, 200, "undo outlives the program");
    // A busy port is no error.
    let other = open(&bench);
    assert!(other.port != port && other.is_up());
}

#[test]
fn a_new_job_is_three_answers() {
    let bench = Bench::new();
    let page = Served::open(&bench.path("."), &["--no-browser"]);
    assert_eq!(page.get("state").json()["kind"], "nothing");
    let begin = |key: &str| page.post("begin", &json!({ "layout": "diatonic", "key": key, "player": "gentle" }));
    assert_eq!(begin("../x").status, 400);
    let folder = begin("G").json()["folder"].as_str().unwrap().trim_start_matches("./").to_owned();
    assert!(bench.path(&folder).join("sheet.csv").is_file(), "{folder}");
    let state = page.get("state").json();
    let reeds = state["reeds"].as_array().unwrap();
    assert_eq!((reeds.len(), &reeds[0]["note"], &reeds[0]["class"]), (20, &json!("G3"), &json!("open")));
    // A reed is measured from nothing, cell by cell.
    for (column, text) in
        [("length_mm", "16.8"), ("width_mm", "2.3"), ("tip_gap_mm", "0.4"), ("measured_pluck_hz", "G3 -2")]
    {
        let answer = page.post("enter", &entry("1-blow-out", column, text, ""));
        assert_eq!(answer.status, 200, "{column}: {}", answer.body);
    }
    assert_ne!(page.get("state").json()["reeds"][0]["class"], "open");
}
