//! `freereed protocol` on a small set, before and after what was measured.

use crate::support::cli::{Bench, JOB, ROWS, number, sheet};

const CLOSE: &str = "4,blow,out,D5,13.6,2.1,590,0.052,0.08,0.027,,";

fn bench() -> Bench {
    let rows: Vec<&str> = ROWS.into_iter().chain([CLOSE]).collect();
    Bench::with(&[("job.toml", JOB), ("sheet.csv", &sheet(&rows))])
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
