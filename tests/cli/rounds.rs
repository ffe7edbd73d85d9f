//! `freereed rounds`, and `assess --fit`.

use crate::support::cli::{Bench, HEAD, JOB, ROWS, number};

/// An invented round: one reed bent, one filed, one only measured, one begun.
const ROUND: &str = "hole,breath,slide,operation,minutes,tip_gap_mm,aimed_gap_mm,measured_pluck_hz,aimed_pluck_hz,softest_blow_pa,ring_down_s
5,blow,out,regap,5,0.30,0.29,,,72,
6,blow,out,retune,7,,,664.1,664.0,,0.05
7,blow,out,measure,,,,,,110,
7,draw,out,,,,,,,,
";

fn bench() -> Bench {
    let bench = Bench::with(&[("job.toml", JOB), ("sheet.csv", &format!("{HEAD}\n{}\n", ROWS.join("\n")))]);
    std::fs::create_dir(bench.path("rounds")).unwrap();
    bench.write("rounds/2026-03-01.csv", ROUND);
    bench
}

#[test]
fn a_round_is_shown_reed_by_reed() {
    let bench = bench();
    let run = bench.run(&["rounds", "job.toml"]).code(0);
    let flat = run.out.split_whitespace().collect::<Vec<_>>().join(" ");
    for part in [
        "Round 2026-03-01",
        "5-blow-out regap tip gap 0.270 mm 0.300 mm 0.290 mm +- 0.020 mm +0.010 mm as aimed",
        "6-blow-out retune plucked 662.6 Hz 664.1 Hz 664.0 Hz +- 1.0 cents +0.3 cents as aimed",
        "7-draw-out - nothing",
        "Fitted to 6 ring-downs, 0 leak tests and 2 softest blows (fitted, not measured",
        "5-blow-out: the leak is known no better than was assumed",
        "retune 1 7.00 6.00 -",
        "measure 0 0 0 1",
        "rates.retune_minutes 6 minutes",
        "what was known before stands",
    ] {
        assert!(flat.contains(part), "{part:?} in\n{}", run.out);
    }
    assert!(run.out.lines().all(|line| line.chars().count() <= 100), "{}", run.out);
    // Nothing that was written is changed.
    assert_eq!((bench.read("rounds/2026-03-01.csv").as_str(), bench.names("rounds").len()), (ROUND, 1));
}

#[test]
fn json_has_units_and_the_fit() {
    let bench = bench();
    let json = bench.run(&["rounds", "job.toml", "--json"]).code(0).json();
    let first = &json["rounds"][0];
    assert_eq!((first["id"].as_str(), first["operation"].as_str()), (Some("5-blow-out"), Some("regap")));
    let gap = &first["measured"][0];
    assert_eq!(
        (gap["basis"].as_str(), number(gap, "expected_m"), number(gap, "measured_m")),
        (Some("aim"), 0.29e-3, 0.3e-3)
    );
    assert!(number(&json["fit"]["quality_factor"], "low") < number(&json["fit"]["quality_factor"], "high"));
    assert!(number(&json["fit"]["work"], "onsets") > 0.0);
}

#[test]
fn the_next_assessment_uses_the_fit_when_asked_to() {
    let bench = bench();
    let plain = bench.run(&["assess", "job.toml", "--json"]).code(0).json();
    let text = bench.run(&["assess", "job.toml", "--fit", "--out", "out"]).code(0).out;
    let fitted: serde_json::Value = serde_json::from_str(&bench.read("out/assess.json")).unwrap();
    assert!(plain.get("fit").is_none());
    let of = |json: &serde_json::Value, k: usize| number(&json["reeds"][k], "onset_pressure_pa");
    // The reed whose softest blow was measured last comes nearer to it.
    let off = |json: &serde_json::Value| (of(json, 4) / 72.0).ln().abs();
    assert!(off(&fitted) < off(&plain), "{} {}", of(&fitted, 4), of(&plain, 4));
    assert_eq!(fitted["fit"]["reeds"].as_array().unwrap().len(), 5);
    assert!(text.contains("fitted, not measured"), "{text}");
}

#[test]
fn without_rounds_it_says_how_to_begin() {
    let bench = Bench::with(&[
        ("job.toml", JOB),
        (
            "sheet.csv",
            "hole,breath,slide,note,length_mm,width_mm,measured_pluck_hz,tip_gap_mm\n5,blow,out,C5,14.3,2.11,525,0.27\n",
        ),
    ]);
    let run = bench.run(&["rounds", "job.toml"]).code(0);
    assert!(run.out.contains("No round of measuring yet") && run.out.contains("Nothing to fit yet"), "{}", run.out);
    bench.run(&["assess", "job.toml", "--fit"]).refused(&["nothing to fit", "leave --fit out"]);
}

#[test]
fn a_wrong_row_is_told_and_the_rest_is_done() {
    let bench = bench();
    bench.write("rounds/2026-03-02.csv", "hole,breath,slide,tip_gap_mm,minutes\n5,blow,out,9,1\n6,blow,out,0.25,2\n");
    let run = bench.run(&["rounds", "job.toml"]).code(1);
    assert!(run.err.contains("tip_gap_mm") && run.out.contains("Round 2026-03-02"), "{}{}", run.out, run.err);
}

#[test]
fn a_chart_names_what_came_out_otherwise() {
    let bench = bench();
    let call = ["rounds", "job.toml", "--chart", "rounds.svg"];
    bench.run(&call).code(0);
    let svg = bench.read("rounds.svg");
    // Two aims reached; of what was expected by the model, the table says how it came out.
    assert!(svg.contains("2 of 2 aims of the work"), "{svg}");
    assert!(
        svg.contains("data-reed=\"7-blow-out\"") && svg.contains("2026-03-01: 5-blow-out, tip gap 0.300 mm"),
        "{svg}"
    );
    let json = bench.run(&["rounds", "job.toml", "--json"]).code(0).json();
    let all: Vec<&serde_json::Value> =
        json["rounds"].as_array().unwrap().iter().flat_map(|row| row["measured"].as_array().unwrap()).collect();
    let compared = all.iter().filter(|outcome| outcome["off_doubts"].is_number()).count();
    assert_eq!(svg.matches("data-reed").count(), compared, "a mark for each that can be compared");
    // It is not written over unasked.
    assert!(bench.run(&call).code(2).err.contains("rounds.svg"));
    bench.run(&[&call[..], &["--overwrite"]].concat()).code(0);
}
