//! `freereed attack`: a run and its files.

use crate::support::cli::{Bench, MUTE, REED, number};

#[test]
fn every_promised_key_is_there() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    let json = bench.run(&["attack", "reed.toml", "--pressure-pa", "500", "--json"]).code(0).json();
    assert!(json["speaks"] == true && json["settled"] == true, "{json}");
    let (half, most) = (number(&json, "t50_s"), number(&json, "t90_s"));
    assert!(0.0 < half && half < most && most < number(&json, "duration_s"));
    assert!(number(&json, "tip_amplitude_m") > 1e-5 && number(&json, "mean_tip_m").abs() < 1e-3);
    assert!(number(&json, "frequency_hz") > 400.0 && number(&json, "mean_flow_m3_s") > 0.0);
    assert!((30.0..110.0).contains(&number(&json, "level_db_at_1m")));
    assert!(json["evaluations"].as_u64().unwrap() > 1000);
    assert_eq!((number(&json, "pressure_pa"), number(&json, "rise_s")), (500.0, 0.01));
    assert!(!json["assumed"].as_array().unwrap().is_empty());
}

#[test]
fn a_reed_that_does_not_speak_has_no_times_and_no_level() {
    let bench = Bench::with(&[("mute.toml", MUTE)]);
    let json = bench.run(&["attack", "mute.toml", "--pressure-pa", "300", "--json"]).code(0).json();
    assert_eq!((&json["speaks"], &json["ending"]), (&false.into(), &"silent".into()));
    let open = ["t50_s", "t90_s", "tip_amplitude_m", "mean_tip_m", "frequency_hz", "mean_flow_m3_s", "level_db_at_1m"];
    for key in open {
        assert!(json.as_object().unwrap().contains_key(key) && json[key].is_null(), "{key} = {}", json[key]);
    }
    assert!(bench.run(&["attack", "mute.toml", "--pressure-pa", "300"]).code(0).out.contains("Does not speak"));
}

#[test]
fn a_given_duration_is_run_exactly() {
    let bench = Bench::with(&[("reed.toml", REED), ("mute.toml", MUTE)]);
    // Shorter than the rise, in the middle of the growth, long after the reed has settled or died.
    for (reed, duration) in [("reed.toml", 0.004), ("reed.toml", 0.0437), ("reed.toml", 0.8), ("mute.toml", 0.25)] {
        let typed = duration.to_string();
        let call = ["attack", reed, "--pressure-pa", "400", "--duration-s", &typed];
        let json = bench.run(&[&call[..], &["--json", "--csv", "run.csv", "--overwrite"]].concat()).code(0).json();
        assert_eq!(number(&json, "duration_s"), duration);
        let rows = rows(&bench, "run.csv");
        assert_eq!((rows[0][0], rows.last().unwrap()[0]), (0.0, duration));
    }
}

#[test]
fn a_longer_rise_speaks_later() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    let half = |rise: &str| {
        let call = ["attack", "reed.toml", "--pressure-pa", "500", "--rise-ms", rise, "--json"];
        number(&bench.run(&call).code(0).json(), "t50_s")
    };
    assert!(half("60") > half("5") + 0.01);
}

fn rows(bench: &Bench, name: &str) -> Vec<Vec<f64>> {
    let text = bench.read(name);
    let lines = text.lines().skip(1);
    lines.map(|line| line.split(',').map(|cell| cell.parse().expect("a number")).collect()).collect()
}

#[test]
fn the_table_holds_the_run() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    let call = ["attack", "reed.toml", "--pressure-pa", "500", "--json", "--csv", "run.csv"];
    let json = bench.run(&call).code(0).json();
    let head = "time_s,mouth_pressure_pa,chamber_pressure_pa,tip_height_m,tip_speed_m_s,channel_flow_m3_s";
    assert_eq!(bench.read("run.csv").lines().next(), Some(head));
    let rows = rows(&bench, "run.csv");
    assert!(rows.len() > 1000 && rows.iter().all(|row| row.len() == 6 && row.iter().all(|cell| cell.is_finite())));
    assert!(rows.windows(2).all(|pair| pair[0][0] < pair[1][0]));
    // Starts at rest with the gap of the file, ends in the swing that is told.
    assert_eq!(rows[0][1..], [0.0, 0.0, 0.00025, 0.0, 0.0]);
    let end = rows.last().unwrap()[0];
    let last: Vec<f64> =
        rows.iter().filter(|row| row[0] > end - 1.0 / number(&json, "frequency_hz")).map(|row| row[3]).collect();
    let (low, high) = (last.iter().copied().fold(f64::MAX, f64::min), last.iter().copied().fold(f64::MIN, f64::max));
    // The table has steps, the answer a curve through them.
    assert!((0.5 * (high - low) / number(&json, "tip_amplitude_m") - 1.0).abs() < 1e-2);
    assert!(rows.last().unwrap()[1] == 500.0);
}

#[test]
fn the_recording_can_be_heard() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    bench.run(&["attack", "reed.toml", "--pressure-pa", "500", "--duration-s", "0.4", "--wav", "run.wav"]).code(0);
    let mut reader = hound::WavReader::open(bench.path("run.wav")).unwrap();
    let spec = reader.spec();
    assert_eq!((spec.channels, spec.sample_rate, spec.bits_per_sample), (1, 48_000, 16));
    let samples: Vec<f64> = reader.samples::<i16>().map(|sample| f64::from(sample.unwrap())).collect();
    assert!(samples.len().abs_diff(19_200) <= 1, "{} samples", samples.len());
    let peak = samples.iter().fold(0.0_f64, |peak, sample| peak.max(sample.abs()));
    assert!((peak / 32767.0 - 0.7).abs() < 0.001, "peak {peak}");
    let loudness = |part: &[f64]| (part.iter().map(|sample| sample * sample).sum::<f64>() / part.len() as f64).sqrt();
    let (first, last) = (loudness(&samples[..480]), loudness(&samples[14_400..]));
    assert!(last > 0.1 * peak && first < 0.5 * last, "{first} {last}");
}

#[test]
fn files_are_not_written_over_unless_asked() {
    let bench = Bench::with(&[("reed.toml", REED), ("kept.csv", "mine\n"), ("kept.wav", "mine\n")]);
    let run = |more: &[&str]| {
        bench.run(&[&["attack", "reed.toml", "--pressure-pa", "9", "--duration-s", "0.01"], more].concat())
    };
    for file in ["--csv=kept.csv", "--wav=kept.wav"] {
        run(&[file]).refused(&["is there already", "--overwrite"]);
    }
    // The one that is refused keeps the other from being written.
    run(&["--csv", "new.csv", "--wav", "kept.wav"]).refused(&["kept.wav is there already"]);
    assert_eq!((bench.read("kept.csv"), bench.read("kept.wav")), ("mine\n".to_owned(), "mine\n".to_owned()));
    assert_eq!(bench.names("."), ["kept.csv", "kept.wav", "reed.toml"]);
    run(&["--csv", "kept.csv", "--wav", "kept.wav", "--overwrite"]).code(0);
    assert!(bench.read("kept.csv").starts_with("time_s,"));
    assert!(hound::WavReader::open(bench.path("kept.wav")).is_ok());
    assert_eq!(bench.names("."), ["kept.csv", "kept.wav", "reed.toml"]);
}

#[test]
fn only_ordinary_files_are_written_over() {
    let bench = Bench::with(&[("reed.toml", REED), ("target.csv", "old\n")]);
    let run = |more: &[&str]| {
        bench.run(&[&["attack", "reed.toml", "--pressure-pa", "9", "--duration-s", "0.01"], more].concat())
    };
    std::fs::create_dir(bench.path("folder")).unwrap();
    run(&["--csv", "folder", "--overwrite"]).refused(&["folder is a folder; name a file in it"]);
    let nowhere = run(&["--csv", "nowhere/run.csv"]).refused(&["cannot write nowhere/run.csv"]);
    assert!(!nowhere.err.contains("tmp"), "{}", nowhere.err);
    run(&["--csv", "one", "--wav", "./one"]).refused(&["one is named for two outputs"]);
    #[cfg(unix)]
    {
        let socket = std::os::unix::net::UnixListener::bind(bench.path("socket")).unwrap();
        run(&["--csv", "socket", "--overwrite"]).refused(&["socket is no ordinary file"]);
        drop(socket);
        // A link stays a link; what it leads to is written.
        std::os::unix::fs::symlink("target.csv", bench.path("link.csv")).unwrap();
        run(&["--csv", "link.csv", "--overwrite"]).code(0);
        assert!(bench.path("link.csv").is_symlink() && bench.read("target.csv").starts_with("time_s,"));
    }
}

#[test]
fn a_run_without_end_is_refused() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    let longest = "--duration-s is more than 10000 swings of this reed; ";
    bench.run(&["attack", "reed.toml", "--pressure-pa", "500", "--duration-s", "60"]).refused(&[longest]);
    for (flag, value) in [("--duration-s", "0"), ("--duration-s", "61"), ("--duration-s", "nan"), ("--rise-ms", "-1")] {
        bench.run(&["attack", "reed.toml", "--pressure-pa", "500", flag, value]).refused(&[flag]);
    }
}
