//! `freereed whatif`: before, after, the difference, and the words for it.

use crate::support::cli::{Bench, REED, number};
use serde_json::Value;

/// As [`REED`], with everything that a changed file must take care of.
const MEASURED: &str = "# A reed of the test.
[reed]
length_mm = 12.5 # by calliper
width_mm = 2.1
thickness_mm = 0.14
alloy = \"own\"
measured_pluck_hz = 560
ring_down_s = 0.04
tip_gap_mm = 0.25
softest_blow_pa = 60
[slot]
side_clearance_mm = 0.03
[chamber]
volume_mm3 = 500.0
channel_length_mm = 20.0
channel_area_mm2 = 20.0
[alloys.own]
density_kg_m3 = 8600
youngs_modulus_gpa = 108
";

fn result<'a>(json: &'a Value, key: &str) -> &'a Value {
    &json["results"][key]
}

/// The changed reed, saved and changed back: every difference and every word is turned round.
#[test]
fn the_way_back_reverses_differences_and_words() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    const OF: [&str; 3] = ["--of", "onset,choke,t50,playable,level,stress,air", "--json"];
    let there = ["whatif", "reed.toml", "--set", "tip_gap_mm=0.32", "--save", "wider.toml"];
    let there = bench.run(&[&there[..], &OF].concat()).code(0).json();
    let back = ["whatif", "wider.toml", "--set", "tip_gap_mm=0.25"];
    let back = bench.run(&[&back[..], &OF].concat()).code(0).json();
    let opposites = [
        ("softer", "harder"),
        ("sooner", "later"),
        ("lower", "higher"),
        ("less", "more"),
        ("loses", "gains"),
        ("quieter", "louder"),
    ];
    let mut reversed = 0;
    for (key, one) in there["results"].as_object().unwrap() {
        let other = result(&back, key);
        let (Some(a), Some(b)) = (one["difference"].as_f64(), other["difference"].as_f64()) else { continue };
        // Ends of a window are found to 3 %, times to 1 %; the rest repeats.
        let size = one["before"]["value"].as_f64().unwrap().abs();
        let repeats = if key.starts_with("playable") || key.starts_with("sounds") { 0.03 } else { 0.01 };
        assert!((a + b).abs() <= repeats * size, "{key}: {a} there, {b} back");
        let (Some(words), Some(back)) = (one["words"].as_str(), other["words"].as_str()) else { continue };
        let Some((less, more)) = opposites.iter().find(|(less, more)| words.contains(less) || words.contains(more))
        else {
            panic!("{words} has no direction")
        };
        if one["direction_sure"] == true {
            assert_eq!(words.contains(less), back.contains(more), "{words} / {back}");
            assert_eq!(words.contains(more), back.contains(less), "{words} / {back}");
            assert_eq!(a < 0.0, words.contains(less), "{key}: {words}");
            reversed += 1;
        }
    }
    assert!(reversed >= 3, "only {reversed} words were sure");
    let words = result(&there, "onset_pressure_pa")["words"].as_str().unwrap();
    assert!(words.starts_with("starts ") && words.contains(" harder (at "), "{words}");
}

#[test]
fn the_saved_reed_keeps_the_promise() {
    let bench = Bench::with(&[("reed.toml", MEASURED)]);
    for (k, change) in ["tip_gap_mm=0.3", "length_mm=12.2", "tip_mass_mg=2", "alloy=C51000"].into_iter().enumerate() {
        let saved = format!("changed{k}.toml");
        let json = bench
            .run(&["whatif", "reed.toml", "--set", change, "--of", "plucked,onset,choke", "--save", &saved, "--json"])
            .code(0)
            .json();
        let predicted = bench.run(&["predict", &saved, "--json"]).code(0).json();
        for key in ["onset_pressure_pa", "choke_pressure_pa", "natural_frequency_hz"] {
            let promised = number(&result(&json, key)["after"], "value");
            // The thickness and the loss are written to six digits.
            assert!((number(&predicted, key) / promised - 1.0).abs() < 1e-4, "{key} after {change}");
        }
        let text = bench.read(&saved);
        assert!(text.contains("# A reed of the test.") && text.contains("[alloys.own]"), "{text}");
        assert!(!text.contains("\nsoftest_blow_pa"), "measured before the change: {text}");
        let pluck_kept = change.starts_with("tip_gap");
        assert_eq!(text.contains("\nmeasured_pluck_hz = 560"), pluck_kept, "{text}");
        assert_eq!(text.contains("# by calliper"), change != "length_mm=12.2");
    }
    bench
        .run(&["whatif", "reed.toml", "--set", "tip_gap_mm=0.3", "--save", "changed0.toml"])
        .refused(&["is there already"]);
    assert_eq!(bench.read("reed.toml"), MEASURED);
}

/// Both ends of one tolerance cancel where they are common; what is changed is off twice.
#[test]
fn uncertainty_follows_what_is_known() {
    let bench = Bench::with(&[("reed.toml", REED), ("guess.toml", &REED.replace("quality_factor = 60.0\n", ""))]);
    let onset = |file: &str, change: &str| {
        let json = bench.run(&["whatif", file, "--set", change, "--of", "onset", "--json"]).code(0).json();
        let found = result(&json, "onset_pressure_pa").clone();
        (number(&found, "difference"), number(&found, "uncertainty"))
    };
    let (known, known_off) = onset("reed.toml", "quality_factor=60.0");
    assert_eq!(known, 0.0);
    assert!(known_off > 0.0, "the loss may be off before and after");
    let (_, measured) = onset("reed.toml", "tip_gap_mm=0.4");
    let (_, assumed) = onset("guess.toml", "tip_gap_mm=0.4");
    assert!(assumed > measured, "{assumed} with the loss assumed, {measured} with it measured");
}

#[test]
fn both_sounds_can_be_heard() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    let call = ["whatif", "reed.toml", "--set", "tip_gap_mm=0.45", "--of", "onset", "--hear"];
    bench.run(&[&call[..], &["plain"]].concat()).code(0);
    bench.run(&[&call[..], &["even", "--match-level"]].concat()).code(0);
    // Loudness of the last third, where both are steady.
    let loud = |file: &str| {
        let mut wav = hound::WavReader::open(bench.path(file)).unwrap();
        assert_eq!((wav.spec().sample_rate, wav.spec().channels), (48_000, 1));
        let samples: Vec<f64> = wav.samples::<i16>().map(|sample| f64::from(sample.unwrap())).collect();
        assert!((71_900..=72_000).contains(&samples.len()), "{} samples", samples.len());
        let last = &samples[48_000..];
        (last.iter().map(|x| x * x).sum::<f64>() / last.len() as f64).sqrt()
    };
    for folder in ["plain", "even"] {
        assert_eq!(bench.names(folder), ["about.txt", "model-after.wav", "model-before.wav"]);
        assert!(bench.read(&format!("{folder}/about.txt")).contains("The sound of a model, not of a reed"));
    }
    let ratio = |folder: &str| loud(&format!("{folder}/model-after.wav")) / loud(&format!("{folder}/model-before.wav"));
    assert!((ratio("plain") - 1.0).abs() > (ratio("even") - 1.0).abs(), "{} {}", ratio("plain"), ratio("even"));
}

#[test]
fn a_change_that_makes_no_reed_is_refused() {
    let bench = Bench::with(&[
        ("reed.toml", REED),
        ("stations.toml", &REED.replace("tip_gap_mm = 0.25", "rest_stations_mm = [[0, 0], [6, 0.05], [12.5, 0.25]]")),
    ]);
    let refused = |file: &str, change: &str, parts: &[&str]| {
        bench.run(&["whatif", file, "--set", change]).refused(parts);
    };
    refused("reed.toml", "tip_gap_mm", &["KEY=VALUE"]);
    refused("reed.toml", "tip_gap=0.3", &["tip_gap", "tip_gap_mm"]);
    refused("reed.toml", "tip_gap_mm=9", &["tip_gap_mm", "too large", "-0.5 to 3 mm"]);
    refused("stations.toml", "tip_gap_mm=0.3", &["rest_stations_mm"]);
}
