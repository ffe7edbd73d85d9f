//! `freereed protocol` on a small set, before and after what was measured.

use std::time::Duration;

use serde_json::{Value, json};

use crate::support::cli::{Bench, JOB, ROWS, number, sheet};
use crate::support::page::{Answer, Served};

const CLOSE: &str = "4,blow,out,D5,13.6,2.1,590,0.052,0.08,0.027,,";

fn bench() -> Bench {
    let rows: Vec<&str> = ROWS.into_iter().chain([CLOSE]).collect();
    Bench::with(&[("job.toml", JOB), ("sheet.csv", &sheet(&rows))])
}

/// A form filled in for 4 blow and kept as a round.
fn keep_filled(bench: &Bench, form: &str) {
    let head = form.lines().next().unwrap();
    let filled = head.split(',').map(|column| match column {
        "hole" => "4",
        "breath" => "blow",
        "slide" => "out",
        "note" => "D5",
        "operation" => "measure",
        "measured_pluck_hz" => "590.1",
        "softest_blow_pa" => "420",
        "feel" => "good",
        _ => "",
    });
    std::fs::create_dir_all(bench.path("rounds")).unwrap();
    bench.write("rounds/2026-03-01.csv", format!("{head}\n{}\n", filled.collect::<Vec<_>>().join(",")));
}

#[test]
fn doubtful_reeds_come_first_and_the_form_is_a_round() {
    let bench = bench();
    let run = bench.run(&["protocol", "job.toml", "--csv", "form.csv"]).code(0);
    assert!(run.err.is_empty(), "{}", run.err);
    for part in
        ["A small set: test protocol", "  1  4-blow-out D5: wrong", "attack it hard", "Pluck all 6 reeds", "hearing"]
    {
        assert!(run.out.contains(part), "{part} is not in\n{}", run.out);
    }
    let form = bench.read("form.csv");
    assert!(
        form.starts_with("hole,breath,slide,note,operation,") && form.contains("\n4,blow,out,D5,measure,"),
        "{form}"
    );
    bench.run(&["protocol", "job.toml", "--csv", "form.csv"]).refused(&["form.csv", "--overwrite"]);
    // Filled in and kept as a round it is read, and what it says stands in the protocol.
    keep_filled(&bench, &form);
    let json = bench.run(&["protocol", "job.toml", "--json"]).code(0).json();
    let reed =
        json["reeds"].as_array().unwrap().iter().find(|reed| reed["reed"] == "4-blow-out").expect("tested since");
    let steps = reed["steps"].as_array().unwrap();
    let found: Vec<_> = steps.iter().filter(|step| !step["found"].is_null()).collect();
    assert!(!found.is_empty() && found.iter().all(|step| step["found"]["round"] == "2026-03-01"), "{steps:#?}");
    assert_eq!(number(&json["done"], "passed") + number(&json["done"], "failed"), found.len() as f64);
    assert!(number(&json, "minutes") > 0.0);
}

/// Work after a reading makes it say nothing of the reed as it is.
#[test]
fn what_was_found_before_work_does_not_count() {
    let bench = bench();
    std::fs::create_dir_all(bench.path("rounds")).unwrap();
    let head = "hole,breath,slide,operation,tip_gap_mm,softest_blow_pa";
    bench.write("rounds/2026-03-01.csv", format!("{head}\n6,blow,out,measure,,95\n"));
    bench.write("rounds/2026-03-02.csv", format!("{head}\n6,blow,out,regap,0.25,\n"));
    let tests = || {
        let json = bench.run(&["protocol", "job.toml", "--json"]).code(0).json();
        json["reeds"].as_array().unwrap().iter().find(|reed| reed["reed"] == "6-blow-out").expect("worked on").clone()
    };
    let softest = |reed: &serde_json::Value| {
        reed["steps"].as_array().unwrap().iter().find(|step| step["test"] == "softest_blow").unwrap()["found"].clone()
    };
    assert!(softest(&tests()).is_null());
    assert_eq!(tests()["steps"].as_array().unwrap().len(), 7, "all of a reed that was worked on");
    bench.write("rounds/2026-03-03.csv", format!("{head}\n6,blow,out,measure,,97\n"));
    let json = bench.run(&["protocol", "job.toml", "--json"]).code(0).json();
    let reed = json["reeds"].as_array().unwrap().iter().find(|reed| reed["reed"] == "6-blow-out").cloned();
    let found = softest(&reed.unwrap());
    assert_eq!((number(&found, "value"), &found["result"]), (97.0, &"passed".into()));
}

/// Asked again until every reed is solved, and it is as wanted.
fn until(ask: impl Fn() -> Answer, wanted: impl Fn(&Answer) -> bool) -> Answer {
    for _ in 0..600 {
        let answer = ask();
        if answer.status != 202 && wanted(&answer) {
            return answer;
        }
        std::thread::sleep(Duration::from_millis(200));
    }
    panic!("not within two minutes")
}

/// What was found of 4 blow, as the page tells it: test and outcome.
fn found(answer: &Answer) -> Vec<(String, String)> {
    let json = answer.json();
    let cell = |row: &Value, k: usize| row[k].as_str().unwrap().to_owned();
    let rows = json["rows"].as_array().unwrap().iter();
    let of_reed = rows.skip_while(|row| row[0] != "4-blow-out D5").enumerate();
    let of_reed = of_reed.take_while(|(k, row)| *k == 0 || row[0] == "").map(|(_, row)| (cell(row, 1), cell(row, 2)));
    of_reed.filter(|(_, found)| !found.is_empty()).collect()
}

/// The page saves the same sheet, and what is measured there or filled in and kept beside the job is done in it.
#[test]
fn the_page_has_the_same_protocol() {
    let bench = bench();
    let page = Served::open(&bench.path("."), &["job.toml", "--no-browser"]);
    let said = |form: &str| {
        let json = bench.run(&["protocol", "job.toml", "--json", "--csv", form]).code(0).json();
        (bench.read(form), json["done"].clone())
    };
    let saved = || until(|| page.get("paper/protocol.csv"), |_| true);
    let told = |wanted: &dyn Fn(&Answer) -> bool| until(|| page.get("protocol"), wanted);
    let answer = saved();
    assert!(answer.head.contains("content-disposition: attachment; filename=\"protocol.csv\""), "{}", answer.head);
    assert!(answer.head.contains("content-type: text/csv") && answer.head.contains("nosniff"), "{}", answer.head);
    let (form, none) = said("first.csv");
    assert_eq!((answer.status, answer.body.as_str(), none["passed"].as_u64()), (200, form.as_str(), Some(0)));
    assert!(found(&told(&|_| true)).is_empty());
    // Behind the secret and the name of the page, as all else.
    let foreign = |path: &str, host: &str| page.request("GET", path, &[("host", host)], "").status;
    assert_eq!(foreign("/0123456789/paper/protocol.csv", &page.host()), 404);
    assert_eq!(foreign(&format!("/{}/paper/protocol.csv", page.secret), "elsewhere.example"), 421);
    // Measured on the page.
    let pluck = json!({ "id": "4-blow-out", "column": "measured_pluck_hz", "text": "590.1", "was": "590" });
    assert_eq!(page.post("enter", &pluck).status, 200);
    let entered = told(&|answer| !found(answer).is_empty());
    assert!(
        found(&entered).iter().any(|(test, found)| test.contains("luck") && found.contains("590.1 Hz")),
        "{entered:?}"
    );
    let (form, done) = said("second.csv");
    let counts = format!("{} passed, {} failed", done["passed"], done["failed"]);
    assert!(entered.json()["words"].as_str().unwrap().contains(&counts), "{counts}: {}", entered.body);
    assert_eq!(saved().body, form);
    // Filled in and kept beside the job.
    keep_filled(&bench, &form);
    let filled = told(&|answer| found(answer).iter().any(|(_, found)| found.contains("good")));
    assert!(found(&filled).len() > found(&entered).len(), "{filled:?}");
    let (form, done) = said("third.csv");
    let counts = format!("{} passed, {} failed", done["passed"], done["failed"]);
    assert!(filled.json()["words"].as_str().unwrap().contains(&counts), "{counts}: {}", filled.body);
    assert_eq!(saved().body, form);
}
