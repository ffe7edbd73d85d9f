//! `freereed rehearse` on small sets.

use crate::support::cli::{Bench, JOB, ROWS, number, sheet};

/// A file of format 0 at 120 quarters a minute, 96 ticks a quarter, one channel: notes of so many ticks one after another.
fn midi(notes: &[(u8, u8, u8)]) -> Vec<u8> {
    let mut track = Vec::new();
    for (key, velocity, ticks) in notes {
        track.extend([0, 0x90, *key, *velocity, *ticks, 0x80, *key, 0]);
    }
    track.extend([0, 0xFF, 0x2F, 0]);
    let mut bytes = b"MThd\0\0\0\x06\0\0\0\x01\0\x60MTrk".to_vec();
    bytes.extend(u32::try_from(track.len()).unwrap().to_be_bytes());
    bytes.extend(track);
    bytes
}

/// C5 E5 G5 A5 C6, and C4, which is not there; a quarter each, the A5 a sixty-fourth.
const TUNE: [(u8, u8, u8); 6] = [(72, 64, 96), (76, 64, 96), (79, 64, 96), (81, 64, 6), (84, 127, 96), (60, 64, 96)];

fn bench() -> Bench {
    let bench = Bench::with(&[("job.toml", JOB), ("sheet.csv", &sheet(&ROWS))]);
    bench.write("tune.mid", midi(&TUNE));
    bench
}

#[test]
fn a_tune_as_text_table_chart_and_sound() {
    let bench = bench();
    let run = bench.run(&["rehearse", "job.toml", "tune.mid", "--chart", "tune.svg", "--wav", "tune.wav"]).code(0);
    assert!(run.err.is_empty() && run.out.starts_with("tune on A small set: "), "{}{}", run.out, run.err);
    for part in ["1 late", "1 not on this instrument", "7-draw-out  A5", "To serve: ", "a model's sound", "hearing"] {
        assert!(run.out.contains(part), "{part} is not in\n{}", run.out);
    }
    assert!(run.out.lines().all(|line| line.chars().count() <= 80), "{}", run.out);
    let whole = bench.run(&["rehearse", "job.toml", "tune.mid", "--table"]).code(0);
    assert!(whole.out.contains("outcome") && whole.out.contains("Assumed: velocity 1"), "{}", whole.out);
    let svg = bench.read("tune.svg");
    roxmltree::Document::parse(&svg).unwrap();
    assert!(svg.contains("7-draw-out late") && svg.contains("not on this instrument"));
    let wav = std::fs::read(bench.path("tune.wav")).unwrap();
    let mut reader = hound::WavReader::new(std::io::Cursor::new(&wav)).unwrap();
    let peak = reader.samples::<i16>().map(|sample| i32::from(sample.unwrap()).abs()).max().unwrap();
    assert!((20_000..26_000).contains(&peak), "{peak}");
    assert!(wav.windows(14).any(|part| part == b"a model's soun"), "the file itself says what it is");
    assert_eq!(u32::from_le_bytes(wav[4..8].try_into().unwrap()) as usize, wav.len() - 8);
    // Never over a file that is there.
    bench.run(&["rehearse", "job.toml", "tune.mid", "--chart", "tune.svg"]).refused(&["tune.svg", "--overwrite"]);
    bench.run(&["rehearse", "job.toml", "tune.mid", "--wav", "x", "--chart", "x"]).refused(&["two outputs"]);
}

#[test]
fn json_counts_and_keys_with_units() {
    let json = bench().run(&["rehearse", "job.toml", "tune.mid", "--json"]).code(0).json();
    let notes = json["notes"].as_array().unwrap();
    let counted: u64 = json["counts"].as_object().unwrap().values().map(|count| count.as_u64().unwrap()).sum();
    assert_eq!((notes.len(), counted), (6, 6));
    assert_eq!((&notes[3]["outcome"], &notes[5]["outcome"]), (&"late".into(), &"not_on_instrument".into()));
    // A sixty-fourth and a bit: 6 of 96 ticks of half a second, of which half may pass.
    assert!((number(&notes[3], "length_s") - 0.03125).abs() < 1e-9);
    assert!((number(&notes[3]["on"], "allowed_s") - 0.015625).abs() < 1e-9);
    assert_eq!((number(&notes[0]["on"], "pressure_pa"), number(&notes[4]["on"], "pressure_pa")), (1000.0, 2000.0));
    let excess = &json["asked_too_much"][0];
    let late = number(&excess["worst"]["on"], "t50_s") - number(&excess["worst"]["on"], "allowed_s");
    assert!((number(excess, "late_s") - late).abs() < 1e-12);
    // What would serve: nobody's work makes a sound reed speak in 16 ms; a hundredth under the tempo that is told it is in time.
    let told = excess["to_serve"].as_str().unwrap();
    assert!(told.starts_with("no work on the reed; at ") && told.ends_with("all its notes speak as it is"), "{told}");
    assert_eq!((number(excess, "failing_then"), &excess["work"]), (1.0, &serde_json::Value::Null));
    let bpm = number(excess, "quarters_a_minute_would_do");
    assert!((120.0 / bpm / number(excess, "times_slower_would_do") - 1.0).abs() < 1e-9);
    let slower = format!("{:.3}", 0.99 * bpm);
    let json = bench().run(&["rehearse", "job.toml", "tune.mid", "--json", "--at-bpm", &slower]).code(0).json();
    assert!(json["asked_too_much"].as_array().unwrap().iter().all(|other| other["reed"] != excess["reed"]));
}

#[test]
fn tempo_and_pitch_can_be_changed() {
    let bench = bench();
    let with = |more: &[&str]| {
        let call: Vec<&str> = ["rehearse", "job.toml", "tune.mid", "--json"].iter().chain(more).copied().collect();
        bench.run(&call).code(0).json()
    };
    let slow = with(&["--at-bpm", "60"]);
    assert!((number(&slow["notes"][1], "start_s") - 1.0).abs() < 1e-9);
    let moved = with(&["--transpose", "-12"]);
    assert_eq!((number(&moved["notes"][0], "midi"), &moved["counts"]["not_on_instrument"]), (60.0, &5.into()));
    let both = bench.run(&["rehearse", "job.toml", "tune.mid", "--at-bpm", "92.5", "--transpose", "-1"]).code(0).out;
    let told = both.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("at 92.5 quarter notes a minute, written at 120, 1 semitone lower than written"), "{both}");
    bench.run(&["rehearse", "job.toml", "tune.mid", "--at-bpm", "0"]).refused(&["1 to 1000"]);
    bench.run(&["rehearse", "job.toml", "tune.mid", "--transpose", "61"]).refused(&["-60 to 60"]);
}

#[test]
fn what_cannot_be_rehearsed_is_told() {
    let bench = bench();
    bench.write("no.mid", "no music");
    bench.run(&["rehearse", "job.toml", "no.mid"]).refused(&["no.mid is no standard MIDI file", "format 0 or 1"]);
    bench.run(&["rehearse", "job.toml", "none.mid"]).refused(&["none.mid cannot be read"]);
    bench.run(&["rehearse", "none.toml", "tune.mid"]).refused(&["none.toml"]);
    bench.write("still.mid", midi(&[]));
    bench.run(&["rehearse", "job.toml", "still.mid"]).refused(&["has no note to play"]);
    let failure = bench.run(&["rehearse", "job.toml", "no.mid", "--json"]).code(2);
    assert!(failure.json()["problems"].is_array());
    bench.write("bellows.toml", JOB.replace("[instrument]", "[instrument]\nwind = \"bellows\""));
    bench.run(&["rehearse", "bellows.toml", "tune.mid"]).refused(&["bellows"]);
    bench.write("high.mid", midi(&TUNE[4..5]));
    bench.run(&["rehearse", "job.toml", "high.mid", "--transpose", "60"]).refused(&["no note left", "less far"]);
    // A file that breaks off is played as far as it goes, and that is said.
    let cut = midi(&TUNE);
    bench.write("cut.mid", &cut[..cut.len() - 6]);
    let run = bench.run(&["rehearse", "job.toml", "cut.mid"]).code(0);
    assert!(run.out.contains("breaks off"), "{}", run.out);
}
