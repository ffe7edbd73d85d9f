//! `freereed seal`: what is promised is saved, what cannot be is refused.

use crate::support::cli::{Bench, MUTE, REED, number};
use serde_json::Value;

/// The saved reed predicts what the plan promised.
fn keeps_promise(bench: &Bench, saved: &str, plan: &Value) {
    let predicted = bench.run(&["predict", saved, "--json"]).code(0).json();
    for key in ["onset_pressure_pa", "choke_pressure_pa", "natural_frequency_hz"] {
        let ratio = number(&predicted, key) / number(&plan["effect"][key], "after");
        assert!((ratio - 1.0).abs() < 1e-5, "{key} of {saved}: {ratio}");
    }
}

#[test]
fn the_saved_reed_keeps_the_promise() {
    let bench = Bench::with(&[("reed.toml", REED), ("wide.toml", &REED.replace("0.03\n", "0.09\n"))]);
    let calls: [&[&str]; 5] = [
        &["leak", "reed.toml", "--flow-cm3-s", "20", "--at-pa", "600"],
        &["leak", "reed.toml", "--volume-cm3", "60", "--from-pa", "1000", "--to-pa", "300", "--seconds", "0.05"],
        &["leak", "reed.toml", "--height-mm", "0.1", "--length-mm", "40", "--depth-mm", "1"],
        &["edges", "wide.toml"],
        &["flatness", "reed.toml", "--seam-mm", "40", "--land-mm", "1.5", "--feeler-mm", "0.08"],
    ];
    for (k, call) in calls.into_iter().enumerate() {
        let saved = format!("saved{k}.toml");
        let json = bench.run(&[&["seal"], call, &["--json", "--save", &saved]].concat()).code(0).json();
        assert_eq!(json["plan"]["needed"], true, "{call:?}");
        assert!(!json["steps"].as_array().unwrap().is_empty() && !json["stop"].as_str().unwrap().is_empty());
        let onset = &json["effect"]["onset_pressure_pa"];
        assert!(number(onset, "after") < number(onset, "before"), "{call:?}");
        keeps_promise(&bench, &saved, &json);
    }
    assert_eq!(bench.read("reed.toml"), REED);
    // Sealed once, there is nothing left to do.
    for call in [&["leak", "saved0.toml"][..], &["edges", "saved3.toml"]] {
        let json = bench.run(&[&["seal"], call, &["--json"]].concat()).code(0).json();
        assert_eq!(json["plan"]["needed"], false, "{call:?}");
    }
}

/// The reed of the demo with a leaking valve speaks in time once it is sealed.
#[test]
fn the_demo_reed_is_cured() {
    let job = concat!(env!("CARGO_MANIFEST_DIR"), "/data/demo/job.toml");
    let bench = Bench::new();
    let call = ["seal", "leak", "--job", job, "--reed", "6-draw-in"];
    let json = bench.run(&[&call[..], &["--json", "--save", "cured.toml"]].concat()).code(0).json();
    let (onset, low) = (&json["effect"]["onset_pressure_pa"], &json["effect"]["playable_low_pa"]);
    assert!(number(onset, "before") > 2.5 * number(onset, "after"), "{onset}");
    assert!(number(low, "before") > 2.0 * number(low, "after"), "{low}");
    assert!((number(onset, "after") / number(&json["plan"], "tight_onset_pa") - 1.02).abs() < 0.002);
    let text = bench.run(&call).code(0).out;
    for part in ["seal the leak of 3.0 mm2", "air lost", "Valve first", "Stop: below"] {
        assert!(text.contains(part), "{part:?} in\n{text}");
    }
}

/// The reed of the demo that lies off the middle is aligned before an edge is closed.
#[test]
fn the_demo_reed_is_aligned_first() {
    let job = concat!(env!("CARGO_MANIFEST_DIR"), "/data/demo/job.toml");
    let bench = Bench::new();
    let call = ["seal", "edges", "--job", job, "--reed", "4-blow-in", "--json"];
    let json = bench.run(&call).code(0).json();
    assert_eq!((&json["plan"]["align_first"], &json["plan"]["needed"]), (&true.into(), &false.into()));
    bench.run(&[&call[..6], &["--save", "new.toml"]].concat()).refused(&["nothing to save"]);
}

#[test]
fn what_cannot_be_is_refused() {
    let bench = Bench::with(&[("reed.toml", REED), ("mute.toml", MUTE)]);
    let refused = |call: &[&str], parts: &[&str]| {
        bench.run(&[&["seal"], call].concat()).refused(parts);
    };
    let down = ["leak", "reed.toml", "--volume-cm3", "60", "--from-pa", "300", "--to-pa"];
    refused(&[&down[..], &["900", "--seconds", "2"]].concat(), &["did not fall", "higher pressure first"]);
    refused(&[&down[..], &["100"]].concat(), &["--seconds"]);
    refused(&["leak", "reed.toml", "--flow-cm3-s", "20"], &["--at-pa"]);
    refused(&["leak", "reed.toml", "--height-mm", "9", "--length-mm", "1", "--depth-mm", "1"], &["0.0005 to 2 mm"]);
    refused(&["leak", "mute.toml"], &["even without any leak"]);
    refused(&["edges", "mute.toml"], &["starts at no clearance"]);
    refused(&["flatness", "reed.toml", "--seam-mm", "40"], &["--land-mm"]);
    refused(&["leak", "reed.toml", "--save", "new.toml"], &["nothing to save"]);
}
