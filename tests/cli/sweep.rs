//! `freereed sweep`: exact grids, the same answers as the other commands, nothing lost.

use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use crate::support::cli::{Bench, MUTE, REED, number};

fn rows(csv: &str) -> Vec<Vec<String>> {
    let mut table = csv::ReaderBuilder::new().has_headers(false).from_reader(csv.as_bytes());
    table.records().map(|record| record.unwrap().iter().map(str::to_owned).collect()).collect()
}

#[test]
fn a_grid_is_exact_in_decimals() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    let call = ["sweep", "reed.toml", "--vary", "tip_gap_mm=0.10:0.50:0.01", "--of", "plucked"];
    let table = rows(&bench.run(&call).code(0).out);
    let gaps: Vec<&str> = table[1..].iter().map(|row| row[0].as_str()).collect();
    let wanted: Vec<String> = (10..=50).map(|hundredth| format!("0.{hundredth}")).collect();
    assert_eq!(gaps, wanted);
    let json = bench.run(&[&call[..], &["--json"]].concat()).code(0).json();
    let values: Vec<f64> = json["points"].as_array().unwrap().iter().map(|point| number(point, "tip_gap_mm")).collect();
    let wanted: Vec<f64> = wanted.iter().map(|text| text.parse().unwrap()).collect();
    assert_eq!(values, wanted, "not the nearest floating-point numbers");
}

#[test]
fn two_inputs_make_a_table_with_the_second_fastest() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    let call = ["sweep", "reed.toml", "--vary", "tip_gap_mm=0.2:0.3:0.1", "--vary", "quality_factor=50:70:10"];
    let table = rows(&bench.run(&call).code(0).out);
    assert_eq!(table[0], ["tip_gap_mm", "quality_factor", "onset_pa", "choke_pa", "notes"]);
    let places: Vec<_> = table[1..].iter().map(|row| (row[0].as_str(), row[1].as_str())).collect();
    assert_eq!(places, [("0.2", "50"), ("0.2", "60"), ("0.2", "70"), ("0.3", "50"), ("0.3", "60"), ("0.3", "70")]);
    // Less loss, earlier start.
    let onset = |k: usize| table[k][2].parse::<f64>().unwrap();
    assert!(onset(1) > onset(2) && onset(2) > onset(3) && onset(4) > onset(1));
}

/// Every point is what `predict` and `attack` say of a reed file with that value in it. Times may differ by the 0.1 % from
/// steady at which `attack` ends its run: 1 % of them.
#[test]
fn a_point_is_what_the_other_commands_say() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    let of = "onset,choke,growth,t50,t90,level,pitch,swing,stress,air";
    let call =
        ["sweep", "reed.toml", "--vary", "tip_gap_mm=0.15:0.35:0.1", "--of", of, "--pressure-pa", "700", "--json"];
    let json = bench.run(&call).code(0).json();
    for (point, gap) in json["points"].as_array().unwrap().iter().zip(["0.15", "0.25", "0.35"]) {
        bench.write("one.toml", REED.replace("tip_gap_mm = 0.25", &format!("tip_gap_mm = {gap}")));
        let predicted = bench.run(&["predict", "one.toml", "--at-pa", "700", "--json"]).code(0).json();
        for key in ["onset_pressure_pa", "choke_pressure_pa"] {
            assert_eq!(number(point, key), number(&predicted, key), "{key} at {gap}");
        }
        assert_eq!(number(point, "growth_per_s"), number(&predicted["growth"][0], "growth_per_s"));
        let attack = bench.run(&["attack", "one.toml", "--pressure-pa", "700", "--json"]).code(0).json();
        let steady = ["level_db_at_1m", "frequency_hz", "tip_amplitude_m", "stress_pa", "mean_flow_m3_s"];
        for key in ["t50_s", "t90_s"].into_iter().chain(steady) {
            let ratio = number(point, key) / number(&attack, key);
            assert!((ratio - 1.0).abs() < 0.01, "{key} at {gap}: {ratio}");
        }
    }
}

#[test]
fn points_that_are_no_reed_are_left_empty_and_told() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    let call = ["sweep", "reed.toml", "--vary", "measured_pluck_hz=500:19500:9500", "--of", "onset"];
    let run = bench.run(&call).code(1);
    let table = rows(&run.out);
    assert!(!table[1][1].is_empty() && table[1][2].is_empty(), "{:?}", table[1]);
    assert_eq!(table[3][1], "");
    assert!(table[3][2].starts_with("failed: measured_pluck_hz:"), "{:?}", table[3]);
    assert!(run.err.contains("of 3 points are no reed"), "{}", run.err);
}

#[test]
fn an_answer_that_does_not_exist_says_why() {
    let bench = Bench::with(&[("mute.toml", MUTE)]);
    let call = ["sweep", "mute.toml", "--vary", "tip_gap_mm=1.5:1.6:0.1", "--of", "onset,t50,playable"];
    let table = rows(&bench.run(&call).code(0).out);
    assert_eq!(table[1][1..5], ["", "", "", ""]);
    for why in ["onset: never speaks", "t50: does not speak", "playable_low: speaks in time at no pressure"] {
        assert!(table[1][5].contains(why), "{}", table[1][5]);
    }
}

#[test]
fn a_wrong_call_is_told_what_to_try() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    let refused = |extra: &[&str], parts: &[&str]| {
        bench.run(&[&["sweep", "reed.toml"], extra].concat()).refused(parts);
    };
    refused(&["--vary", "tip_gap_mm=0.1:0.5:0.03"], &["miss 0.5", "0.49 or 0.52"]);
    refused(&["--vary", "tip_gap=0.1:0.5:0.1"], &["did you mean tip_gap_mm?"]);
    refused(&["--vary", "tip_gap_mm=0.1:5:0.1"], &["3.1 is out of range", "-0.5 to 3 mm"]);
    refused(&["--vary", "tip_gap_mm=0.1-0.5"], &["KEY=from:to:step"]);
    refused(&["--vary", "tip_gap_mm=0.5:0.1:0.1"], &["lower to a higher"]);
    refused(&["--vary", "tip_gap_mm=0.1:0.5:0"], &["steps above zero"]);
    refused(&["--vary", "tip_gap_mm=0.1:0.5:1e-9"], &["no decimal number"]);
    refused(&["--vary", "tip_gap_mm=0.1:0.5:0.000001"], &["too many"]);
    refused(&["--vary", "alloy=1:2:1"], &["takes text"]);
    refused(&["--vary", "tip_gap_mm=0.1:0.5:0.1", "--of", "tone"], &["\"tone\" is no result", "t50"]);
    let twice = ["--vary", "tip_gap_mm=0.1:0.5:0.1", "--vary", "tip_gap_mm=0.1:0.5:0.1"];
    refused(&twice, &["same input twice"]);
}

const LONG: [&str; 8] = [
    "sweep",
    "reed.toml",
    "--vary",
    "tip_gap_mm=0.10:0.30:0.01",
    "--vary",
    "side_clearance_mm=0.020:0.040:0.005",
    "--of",
    "onset,t50",
];

/// Interrupted by Ctrl-C, killed outright, its last line cut short: the same command goes on and comes to the same bytes.
#[cfg(unix)]
#[test]
fn an_interrupted_sweep_goes_on_where_it_was() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    bench.run(&[&LONG[..], &["--out", "whole"]].concat()).code(0);
    assert_eq!(bench.names("whole"), ["sweep.csv", "sweep.json"]);
    let unfinished = bench.path("parts/unfinished.jsonl");
    let mut kept = Vec::new();
    for signal in ["-INT", "-KILL"] {
        let mut running = Command::new(env!("CARGO_BIN_EXE_freereed"))
            .current_dir(bench.path("."))
            .args(LONG)
            .args(["--out", "parts"])
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let lines = || std::fs::read_to_string(&unfinished).map_or(0, |text| text.lines().count());
        let (before, began) = (lines(), Instant::now());
        while lines() < before.max(1) + 3 && began.elapsed() < Duration::from_secs(60) {
            std::thread::sleep(Duration::from_millis(5));
        }
        Command::new("kill").args([signal, &running.id().to_string()]).status().unwrap();
        let status = running.wait().unwrap();
        if signal == "-INT" {
            assert_eq!(status.code(), Some(1), "interrupted is not done");
        }
        kept.push(lines());
    }
    assert!(kept[0] >= 4 && kept[1] > kept[0], "{kept:?}");
    let text = std::fs::read_to_string(&unfinished).unwrap();
    std::fs::write(&unfinished, &text[..text.len() - 20]).unwrap();
    bench.run(&["sweep", "reed.toml", "--vary", "tip_gap_mm=0.1:0.2:0.1", "--out", "parts"]).refused(&["other work"]);
    bench.run(&[&LONG[..], &["--out", "parts"]].concat()).code(0);
    assert_eq!(bench.names("parts"), ["sweep.csv", "sweep.json"]);
    for file in ["sweep.csv", "sweep.json"] {
        assert_eq!(bench.read(&format!("parts/{file}")), bench.read(&format!("whole/{file}")), "{file}");
    }
}

#[test]
fn a_folder_with_anything_else_in_it_is_left_alone() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    let call = ["sweep", "reed.toml", "--vary", "tip_gap_mm=0.1:0.2:0.1", "--out", "."];
    bench.run(&call).refused(&["reed.toml", "name a new folder"]);
    assert_eq!(bench.names("."), ["reed.toml"]);
}

#[test]
fn a_chart_shows_what_the_table_holds() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    let gaps = ["sweep", "reed.toml", "--vary", "tip_gap_mm=0.20:0.40:0.10"];
    let one = [&gaps[..], &["--of", "onset,plucked", "--chart", "one.svg"]].concat();
    let table = rows(&bench.run(&one).code(0).out);
    let svg = bench.read("one.svg");
    let onset = |k: usize| format!("{:.3}", table[k][1].parse::<f64>().unwrap());
    let digits = |text: String| text.chars().filter(char::is_ascii_digit).take(2).collect::<String>();
    let (first, last) = (digits(onset(1)), digits(onset(3)));
    let title = svg.lines().find(|line| line.starts_with("<title>")).unwrap();
    assert!(title.starts_with(&format!("<title>Onset rises with the tip gap, from {first}")), "{title}");
    assert!(title.contains(&format!(" to {last}")) && title.ends_with(" Pa</title>"), "{title}");
    assert!(svg.contains("plucked hardly changes with the tip gap"), "the second curve tells its own run");
    assert!(bench.run(&one).code(2).err.contains("one.svg"), "it is not written over unasked");
    let two =
        [&gaps[..], &["--vary", "side_clearance_mm=0.02:0.04:0.01", "--of", "onset", "--chart", "two.svg"]].concat();
    bench.run(&two).code(0);
    assert!(bench.read("two.svg").contains("<title>Onset over tip gap and side clearance</title>"));
}
