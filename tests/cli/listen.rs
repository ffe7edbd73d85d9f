//! `freereed listen`: what it prints, and the round it writes.

use std::path::Path;

use serde_json::Value;

use crate::support::cli::{Bench, HEAD, JOB, ROWS, number};
use crate::tone::{BRIGHT, Sound, cents};

/// The reeds of [`ROWS`] with what is played of each: pluck and sounding pitch.
const PLAYED: [(&str, f64, f64); 5] = [
    ("5-blow-out", 525.0, 526.1),
    ("6-blow-out", 662.6, 663.0),
    ("7-blow-out", 787.2, 788.9),
    ("7-draw-out", 884.4, 883.0),
    ("8-blow-out", 1051.8, 1053.0),
];

fn bench() -> Bench {
    let bench = Bench::with(&[("job.toml", JOB), ("sheet.csv", &format!("{HEAD}\n{}\n", ROWS.join("\n")))]);
    let mut plucks = Sound::silent(8.0);
    let mut blows = Sound::silent(6.0);
    for (k, (_, pluck_hz, sounding_hz)) in PLAYED.into_iter().enumerate() {
        for n in 0..3 {
            plucks = plucks.plucked(pluck_hz, 0.3 + 0.5 * (3 * k + n) as f64, 0.06, 0.4);
        }
        let from = 0.4 + 1.1 * k as f64;
        blows = blows.blown(sounding_hz, from, from + 0.7, &BRIGHT);
    }
    bench.write("plucks.wav", plucks.noisy(1e-3, 1).wav());
    bench.write("blows.wav", blows.noisy(1e-3, 2).wav());
    bench
}

#[test]
fn a_recording_without_a_job() {
    let run = bench().run(&["listen", "blows.wav"]).code(0);
    for part in ["blows.wav: 5 notes in 6.0 s", "C5", "526.10 Hz", "t50", "equal temperament at 440 Hz (assumed)"] {
        assert!(run.out.contains(part), "{part:?} in\n{}", run.out);
    }
    assert!(run.err.is_empty(), "{}", run.err);
}

#[test]
fn a_round_is_written_and_read_again() {
    let bench = bench();
    let call =
        ["listen", "plucks.wav", "blows.wav", "--job", "job.toml", "--at-pa", "700", "--save", "--date", "2026-03-01"];
    let run = bench.run(&call).code(0);
    let written = Path::new("rounds").join("2026-03-01.csv").display().to_string();
    assert!(run.out.contains(&format!("Written to {written}")), "{}", run.out);
    let round = bench.read("rounds/2026-03-01.csv");
    let lines: Vec<&str> = round.lines().collect();
    let head = "hole,breath,slide,operation,measured_pluck_hz,ring_down_s,measured_sounding_hz,measured_at_pa,remark";
    assert_eq!((lines[0], lines.len()), (head, 6), "{round}");
    for line in &lines[1..] {
        let cells: Vec<&str> = line.split(',').collect();
        let id = cells[..3].join("-");
        let (_, pluck_hz, sounding_hz) = PLAYED.into_iter().find(|played| played.0 == id).unwrap();
        let number = |k: usize| cells[k].parse::<f64>().unwrap();
        assert!(cents(number(4), pluck_hz).abs() < 0.5 && cents(number(6), sounding_hz).abs() < 0.1, "{line}");
        assert!((number(5) / 0.06 - 1.0).abs() < 0.03 && cells[7] == "700", "{line}");
        assert_eq!(cells[8], "heard in 3 plucks and 1 blow");
    }
    // The job reads it, and another of the same day goes beside it.
    let shown = bench.run(&["rounds", "job.toml"]).code(0);
    assert!(shown.out.contains("Round 2026-03-01") && shown.err.is_empty(), "{}{}", shown.out, shown.err);
    let again = bench.run(&call).code(0);
    assert!(again.out.contains("2026-03-01b.csv"), "{}", again.out);
    assert_eq!(bench.read("rounds/2026-03-01.csv"), round);
    assert_eq!(bench.names("rounds"), ["2026-03-01.csv", "2026-03-01b.csv"]);
}

#[test]
fn json_has_units_and_reeds() {
    let json = bench().run(&["listen", "plucks.wav", "--job", "job.toml", "--of", "plucks", "--json"]).code(0).json();
    let notes = json["files"][0]["notes"].as_array().unwrap();
    assert_eq!(notes.len(), 15);
    let first = &notes[0];
    assert_eq!((first["kind"].as_str(), first["reed"]["label"].as_str()), (Some("pluck"), Some("5-blow-out")));
    assert!(number(&first["pitch_hz"], "low") < number(&first["pitch_hz"], "high"));
    assert!(number(&first["ring_down"]["tau_s"], "value") > 0.0);
    assert_eq!(json["reeds"].as_array().map(Vec::len), Some(5));
    assert_eq!(json["round"], Value::Null);
}

#[test]
fn notes_that_may_be_several_reeds_are_named_by_the_call() {
    let bench = bench();
    // A second reed of the same note.
    bench.write("sheet.csv", format!("{HEAD}\n{}\n6,draw,out,E5,12.5,2.07,662.6,,0.24,,,\n", ROWS.join("\n")));
    let run = bench.run(&["listen", "blows.wav", "--job", "job.toml"]).code(0);
    assert!(run.out.contains("6-blow-out or 6-draw-out?") && run.out.contains("--reeds"), "{}", run.out);
    let named = ["5-blow-out", "6-draw-out", "7-blow-out", "7-draw-out", "8-blow-out"].join(",");
    let call = ["listen", "blows.wav", "--job", "job.toml", "--reeds", &named, "--save", "--date", "2026-03-02"];
    bench.run(&call).code(0);
    assert!(
        bench.read("rounds/2026-03-02.csv").contains("6,draw,out,measure,66"),
        "{}",
        bench.read("rounds/2026-03-02.csv")
    );
    let few = bench.run(&["listen", "blows.wav", "--job", "job.toml", "--reeds", "5-blow-out"]).code(2);
    assert!(few.err.contains("names 1 reeds, and 5 notes were heard"), "{}", few.err);
    let unknown = named.replace("8-blow-out", "8-blow-on");
    let run = bench.run(&["listen", "blows.wav", "--job", "job.toml", "--reeds", &unknown]).code(2);
    assert!(run.err.contains("8-blow-on is no reed of the job's sheet; is 8-blow-out meant?"), "{}", run.err);
}

#[test]
fn what_cannot_be_done_is_told() {
    let bench = bench();
    let run = bench.run(&["listen", "sheet.csv", "blows.wav"]).code(1);
    assert!(run.err.contains("sheet.csv: is no WAV file") && run.out.contains("5 notes"), "{}{}", run.err, run.out);
    assert!(bench.run(&["listen", "none.wav", "--json"]).code(2).json()["problems"].is_array());
    bench.run(&["listen", "blows.wav", "--save"]).code(2);
    bench.run(&["listen", "blows.wav", "--job", "job.toml", "--save", "--date", "2026-02-30"]).code(2);
    bench.write("low.wav", Sound::silent(1.0).blown(200.0, 0.2, 0.8, &BRIGHT).noisy(1e-3, 1).wav());
    let run = bench.run(&["listen", "low.wav", "--job", "job.toml", "--save"]).code(2);
    assert!(run.err.contains("nothing to save") && bench.names(".").iter().all(|name| name != "rounds"), "{}", run.err);
}

/// The model's own sound, which it gives its frequency with.
#[test]
fn the_sound_of_the_model_is_heard_as_the_model_has_it() {
    let bench = Bench::with(&[("reed.toml", crate::support::cli::REED)]);
    let blown =
        bench.run(&["attack", "reed.toml", "--pressure-pa", "500", "--wav", "run.wav", "--json"]).code(0).json();
    let heard = bench.run(&["listen", "run.wav", "--of", "blows", "--json"]).code(0).json();
    let note = &heard["files"][0]["notes"][0];
    assert!(cents(number(&note["pitch_hz"], "value"), number(&blown, "frequency_hz")).abs() < 3.0, "{note:#}");
}
