//! `freereed fasten` as it is called.

use crate::support::cli::{Bench, JOB, REED, ROWS, number, sheet};
use serde_json::Value;

/// As [`REED`], plucked forty cents below what its sizes give: more than its tolerances hide.
fn flat() -> String {
    let bench = Bench::with(&[("reed.toml", REED)]);
    let by_sizes = number(&bench.run(&["predict", "reed.toml", "--json"]).code(0).json(), "natural_frequency_hz");
    let pluck = by_sizes * (-90.0_f64 / 1200.0).exp2();
    REED.replace("alloy =", &format!("measured_pluck_hz = {pluck}\nalloy ="))
}

fn root(json: &Value) -> &Value {
    &json["plan"]["root"]
}

#[test]
fn the_saved_reed_keeps_the_promise() {
    let bench = Bench::with(&[("flat.toml", &flat())]);
    let json = bench.run(&["fasten", "flat.toml", "--save", "held.toml", "--json"]).code(0).json();
    assert!((number(root(&json), "lost_cents") - 90.0).abs() < 1e-3);
    let promised = &json["effect"]["natural_frequency_hz"];
    assert!((number(promised, "before") - number(root(&json), "pitch_hz")).abs() < 1e-4);
    let predicted = bench.run(&["predict", "held.toml", "--json"]).code(0).json();
    let found = number(&predicted, "natural_frequency_hz");
    assert!((found / number(promised, "after") - 1.0).abs() < 1e-5, "{found}");
    // The same again as a stated spring: nothing else has changed.
    let spring = number(root(&json), "spring_n_m_per_rad");
    let with_spring = REED.replace("alloy =", &format!("root_spring_n_m_per_rad = {spring}\nalloy ="));
    bench.write("stated.toml", with_spring);
    let stated = bench.run(&["fasten", "stated.toml", "--json"]).code(0).json();
    assert!((number(root(&stated), "lost_cents") - 90.0).abs() < 1e-3);
    assert_eq!(root(&stated)["built_in_from"], "root spring stated");
}

#[test]
fn a_reed_of_a_job_before_and_after() {
    let bench = Bench::with(&[("job.toml", JOB), ("sheet.csv", &sheet(&ROWS))]);
    let call =
        ["fasten", "--job", "job.toml", "--reed", "5-blow-out", "--pitch-before-hz", "520", "--pitch-after-hz", "525"];
    let run = bench.run(&[&call[..], &["--save", "held.toml"]].concat()).code(0);
    for part in ["tightening won 17 cents back", "root spring", "Stop:", "What it does", "Care:", "Estimate:"] {
        assert!(run.out.contains(part), "wants {part} in\n{}", run.out);
    }
    let predicted = bench.run(&["predict", "held.toml", "--json"]).code(0).json();
    assert!((number(&predicted, "natural_frequency_hz") - 525.0).abs() < 1e-3);
}

#[test]
fn a_screw_and_its_head() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    let call = ["fasten", "reed.toml", "--head-mm", "2.2", "--hole-mm", "1.4", "--pad-mm", "3.0x2.5"];
    let screw = ["--screw", "M1.4", "--torque-n-m", "0.02", "--new-head-mm", "2.8", "--json"];
    let json = bench.run(&[&call[..], &screw[..]].concat()).code(0).json();
    let plan = &json["plan"];
    // Circles by hand: pi 1.1^2/7.5, and pi (1.1^2 - 0.7^2)/(7.5 - pi 0.7^2).
    assert!((number(&plan["head"], "covered_share") - 0.506_84).abs() < 1e-5);
    assert!((number(&plan["head"], "bearing_share") - 0.379_48).abs() < 1e-5);
    assert!(number(&plan["new_head"], "covered_share") > number(&plan["head"], "covered_share"));
    assert!((number(&plan["grip"], "clamp_n") - 71.4286).abs() < 1e-3);
    let rivet = bench.run(&call).code(0);
    assert!(rivet.out.contains("A rivet has no torque"), "{}", rivet.out);
    let high = bench.run(&[&call[..], &["--screw", "M1.4", "--torque-n-m", "0.5"]].concat()).code(0);
    assert!(high.out.contains("CHECK: 0.50 N m is above"), "{}", high.out);
}

#[test]
fn bad_input_is_refused_with_its_cure() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    let refused = |more: &[&str], parts: &[&str]| {
        bench.run(&[&["fasten", "reed.toml"], more].concat()).refused(parts);
    };
    refused(&[], &["nothing to go by", "--head-mm"]);
    refused(&["--head-mm", "2"], &["--pad-mm"]);
    refused(&["--head-mm", "2", "--pad-mm", "3"], &["3.0x2.5"]);
    refused(&["--head-mm", "1", "--hole-mm", "1.4", "--pad-mm", "3x2.5"], &["falls through", "measure both again"]);
    refused(&["--torque-n-m", "0.1"], &["--screw"]);
    refused(&["--screw", "M7"], &["M1.4x0.2", "M1.6"]);
    refused(&["--pitch-before-hz", "500"], &["--pitch-after-hz"]);
    refused(&["--pitch-before-hz", "500", "--pitch-after-hz", "490"], &["fell by 35.0 cents", "swapped"]);
    let saved = ["--head-mm", "2", "--pad-mm", "3x2.5", "--save", "x.toml"];
    refused(&saved, &["nothing to save"]);
}
