//! `freereed align`: what is promised is saved, what cannot be is refused.

use crate::support::cli::{Bench, REED, number};
use serde_json::Value;

fn promised(plan: &Value, key: &str) -> f64 {
    number(&plan["effect"][key], "after")
}

#[test]
fn the_saved_reed_keeps_the_promise() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    let calls: [&[&str]; 4] = [
        &["--offset-mm", "0.02"],
        &["--offset-mm", "-0.01", "--yaw-deg", "0.12"],
        &["--left-mm", "0.03,0.028,0.01", "--right-mm", "0.03,0.036,0.05"],
        &["--slot-width-mm", "2.15", "--yaw-deg", "-0.2"],
    ];
    for (k, call) in calls.into_iter().enumerate() {
        let saved = format!("saved{k}.toml");
        let all = [&["align", "reed.toml", "--tolerance-mm", "0.005", "--json", "--save", &saved], call].concat();
        let json = bench.run(&all).code(0).json();
        let predicted = bench.run(&["predict", &saved, "--json"]).code(0).json();
        for key in ["onset_pressure_pa", "choke_pressure_pa", "natural_frequency_hz"] {
            let ratio = number(&predicted, key) / promised(&json, key);
            assert!((ratio - 1.0).abs() < 1e-5, "{key} after {call:?}: {ratio}");
        }
        // Once aligned, there is nothing left to do.
        let again = bench.run(&["align", &saved, "--tolerance-mm", "0.005", "--json"]).code(0).json();
        assert_eq!(again["plan"]["needed"], false, "{call:?}");
        assert!(
            number(&again["plan"]["now"], "least_clearance_m")
                >= number(&json["plan"]["then"], "least_clearance_m") - 1e-9
        );
    }
    assert_eq!(bench.read("reed.toml"), REED);
}

/// The reed of the demo that lies off the middle is named with its side, amount and way back.
#[test]
fn the_demo_reed_is_cured() {
    let job = concat!(env!("CARGO_MANIFEST_DIR"), "/data/demo/job.toml");
    let bench = Bench::new();
    let call = ["align", "--job", job, "--reed", "4-blow-in"];
    let json = bench.run(&[&call[..], &["--json", "--save", "cured.toml"]].concat()).code(0).json();
    let plan = &json["plan"];
    assert!((number(plan, "shift_m") - 20.5e-6).abs() < 1e-9 && number(plan, "turn_rad").abs() < 1e-9, "{plan}");
    assert!((number(&plan["then"], "least_clearance_m") - 26.5e-6).abs() < 1e-9);
    let onset = &json["effect"]["onset_pressure_pa"];
    assert!(number(onset, "after") < number(onset, "before"));
    assert!(bench.read("cured.toml").contains("side_clearance_mm = 0.0265"), "{}", bench.read("cured.toml"));
    let text = bench.run(&call).code(0).out;
    for part in ["shift the pad 0.021 mm to the right", "all along the left side", "Stop: when left and right agree"] {
        assert!(text.contains(part), "{part:?} in\n{text}");
    }
}

#[test]
fn a_tongue_that_touches_has_no_now() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    let call = ["align", "reed.toml", "--offset-mm", "0.05", "--json"];
    let json = bench.run(&call).code(0).json();
    assert_eq!(json["plan"]["now"]["touching"], "sure");
    assert!(json["effect"]["onset_pressure_pa"]["before"].is_null());
    assert!(promised(&json, "onset_pressure_pa") > 0.0);
    assert!(bench.run(&["align", "reed.toml", "--offset-mm", "0.05"]).code(0).out.contains("yes, surely"));
}

#[test]
fn what_cannot_be_is_refused() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    let refused = |call: &[&str], parts: &[&str]| {
        bench.run(&[&["align", "reed.toml"], call].concat()).refused(parts);
    };
    refused(&["--left-mm", "0.03,0.03,0.03"], &["--right-mm"]);
    refused(&["--left-mm", "0.03,0.03", "--right-mm", "0.03,0.03,0.03"], &["root, half-way and tip"]);
    refused(&["--yaw-deg", "9"], &["-5 to 5 degrees"]);
    refused(&["--slot-width-mm", "2.102"], &["too narrow", "has 0.001 mm", "widen the slot"]);
    refused(&["--plate-alloy", "cheese"], &["cheese", "C26000"]);
    refused(&["--save", "new.toml"], &["nothing to save"]);
    bench.run(&["align"]).refused(&["FILE"]);
}
