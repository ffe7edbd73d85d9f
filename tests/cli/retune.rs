//! `freereed retune`: what is saved keeps the promise, what is printed can be worked from.

use crate::support::cli::{Bench, JOB, MUTE, REED, ROWS, number, sheet};

/// As [`REED`], plucked and blown.
const MEASURED: &str = "# A reed of the test.
[reed]
length_mm = 12.5 # by calliper
width_mm = 2.1
thickness_mm = 0.14
alloy = \"C51000\"
temper = \"H08\"
measured_pluck_hz = 520
measured_sounding_hz = 514
measured_at_pa = 400
ring_down_s = 0.04
tip_gap_mm = 0.25
[slot]
side_clearance_mm = 0.03
[chamber]
volume_mm3 = 500.0
channel_length_mm = 20.0
channel_area_mm2 = 20.0
";

#[test]
fn the_saved_reed_keeps_the_promise() {
    let bench = Bench::with(&[("reed.toml", MEASURED), ("plain.toml", REED)]);
    let calls: [&[&str]; 5] = [
        &["reed.toml", "--hz", "516.5"],
        &["reed.toml", "--cents", "-15"],
        &["plain.toml", "--cents", "+8", "--patch-mm", "9:12.5"],
        &["plain.toml", "--cents", "-20", "--method", "weight"],
        &["reed.toml", "--note", "C5", "--concert-hz", "442", "--allow-percent", "40", "--playing-c", "30"],
    ];
    for (k, call) in calls.into_iter().enumerate() {
        let saved = format!("saved{k}.toml");
        let json = bench.run(&[&["retune"], call, &["--save", &saved, "--json"]].concat()).code(0).json();
        let predicted = bench.run(&["predict", &saved, "--json"]).code(0).json();
        for key in ["natural_frequency_hz", "onset_pressure_pa", "choke_pressure_pa"] {
            let promised = number(&json["effect"][key], "after");
            // The thickness is written to six digits.
            assert!((number(&predicted, key) / promised - 1.0).abs() < 2e-5, "{key} after {call:?}");
        }
        let text = bench.read(&saved);
        assert_eq!(text.contains("thickness_stations_mm"), k != 3, "{text}");
        assert!(!text.contains("\nmeasured_sounding_hz"), "measured before the change: {text}");
        assert!(!json["steps"].as_array().unwrap().is_empty() && !json["stop"].as_str().unwrap().is_empty());
    }
    assert_eq!(bench.read("reed.toml"), MEASURED);
    bench.run(&["retune", "reed.toml", "--cents", "5", "--save", "saved0.toml"]).refused(&["is there already"]);
}

#[test]
fn a_reed_of_a_job_comes_to_its_note() {
    let bench = Bench::with(&[("job.toml", JOB), ("sheet.csv", &sheet(&ROWS))]);
    let call = |id: &'static str| ["retune", "--job", "job.toml", "--reed", id, "--to-note"];
    // A5 of 442 Hz is 884 Hz; the sheet has it at 884.4.
    let told = bench.run(&call("7-blow-out")).code(0);
    assert!(told.out.contains("less than a tuner can tell"), "{}", told.out);
    bench.write("sheet.csv", sheet(&ROWS).replace("884.4", "877"));
    let told = bench.run(&call("7-draw-out")).code(0).out;
    let parts = ["raise by 14 cents", "the tip (11.2 mm)", "Stop: within", "884.00 Hz plucked", "harmful", "mmH2O"];
    for part in &parts[..5] {
        assert!(told.contains(part), "{part:?} in\n{told}");
    }
    bench.run(&["retune", "--job", "job.toml", "--reed", "7-draw-in", "--to-note"]).refused(&["no such reed"]);
}

#[test]
fn wrong_calls_are_refused() {
    let bench = Bench::with(&[("reed.toml", REED), ("mute.toml", MUTE)]);
    let refused = |call: &[&str], parts: &[&str]| {
        bench.run(&[&["retune", "reed.toml"], call].concat()).refused(parts);
    };
    refused(&[], &["--cents"]);
    refused(&["--cents", "5", "--hz", "500"], &["cannot be used with"]);
    refused(&["--cents", "fast"], &["is not a number"]);
    refused(&["--cents", "2000"], &["another note is another reed"]);
    refused(&["--note", "H4"], &["is no note"]);
    refused(&["--hz", "560"], &["no pitch was measured", "--cents"]);
    refused(&["--to-note"], &["--job"]);
    refused(&["--cents", "5", "--patch-mm", "9"], &["FROM:TO"]);
    refused(&["--cents", "5", "--patch-mm", "1:3"], &["lowers this reed", "raise it between"]);
    refused(&["--cents", "150"], &["20 % of the thickness", "--allow-percent"]);
    refused(&["--cents", "5", "--save", "x.svg", "--chart", "x.svg"], &["named for two outputs"]);
    // A reed that does not speak can be tuned by plucking.
    bench.run(&["retune", "mute.toml", "--cents", "5"]).code(0);
}

#[test]
fn the_chart_shows_the_patch() {
    let bench = Bench::with(&[("reed.toml", MEASURED)]);
    bench.run(&["retune", "reed.toml", "--cents", "6", "--chart", "filing.svg"]).code(0);
    let svg = bench.read("filing.svg");
    assert!(svg.contains("bar: take 0.00") && svg.contains("+6"), "{svg}");
}
