//! `freereed predict`: the answers a program may count on.

use crate::support::cli::{Bench, MUTE, REED, nulls, number};

/// Foil with a gap wider than its slot: pressed down, it meets more pressure than it can hold and snaps shut.
const LIMP: &str = "[reed]
length_mm = 10
width_mm = 1
thickness_mm = 0.03
tip_gap_mm = 3
rest_exponent = 1
[chamber]
volume_mm3 = 500
channel_length_mm = 20
channel_area_mm2 = 20
";

#[test]
fn every_promised_key_is_there() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    let json = bench.run(&["predict", "reed.toml", "--at-pa", "100,500", "--json"]).code(0).json();
    let natural = number(&json, "natural_frequency_hz");
    let modes: Vec<f64> = json["modes_hz"].as_array().unwrap().iter().map(|mode| mode.as_f64().unwrap()).collect();
    assert_eq!(modes[0], natural);
    assert!(modes.len() >= 2 && modes[1] > 5.0 * modes[0], "{modes:?}");
    let (onset, choke) = (number(&json, "onset_pressure_pa"), number(&json, "choke_pressure_pa"));
    assert!(onset < choke && choke < number(&json, "pressure_limit_pa"));
    assert!((number(&json, "onset_frequency_hz") / natural - 1.0).abs() < 0.1);
    let window = json["windows_pa"][0].as_array().unwrap();
    assert_eq!((window.len(), window[0].as_f64()), (2, Some(onset)));
    assert!(window[1].as_f64().unwrap() >= choke);
    let (mass, stiffness) = (number(&json, "mass_kg"), number(&json, "tip_stiffness_n_m"));
    assert!(mass > 0.0 && stiffness > 0.0 && number(&json, "compliance_m_pa") > 0.0);
    for growth in json["growth"].as_array().unwrap() {
        assert!(number(growth, "growth_per_s") > 0.0 && number(growth, "frequency_hz") > 0.0);
    }
    for assumed in json["assumed"].as_array().unwrap() {
        assert!(["key", "value", "why"].iter().all(|part| !assumed[part].as_str().unwrap().is_empty()));
    }
}

#[test]
fn a_healthy_reed_leaves_no_answer_open() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    let json = bench.run(&["predict", "reed.toml", "--json"]).code(0).json();
    // What was not stated, and what has no fold; every number that is promised is there.
    let may_be_open = [".fold_pressure_pa", ".measured", ".metal", ".onset_range_pa", ".temperature_c", ".thickness"];
    let open = nulls(&json);
    assert!(open.iter().all(|null| may_be_open.iter().any(|known| null.starts_with(known))), "{open:?}");
}

#[test]
fn a_reed_that_never_speaks_is_an_answer() {
    let bench = Bench::with(&[("mute.toml", MUTE)]);
    let json = bench.run(&["predict", "mute.toml", "--at-pa", "1000", "--json"]).code(0).json();
    for key in ["onset_pressure_pa", "onset_frequency_hz", "choke_pressure_pa", "choke_reason"] {
        assert!(json.as_object().unwrap().contains_key(key) && json[key].is_null(), "{key} = {}", json[key]);
    }
    assert_eq!(json["windows_pa"].as_array().unwrap().len(), 0);
    assert!(number(&json["growth"][0], "growth_per_s") < 0.0);
    assert_eq!(number(&json, "pressure_limit_pa"), 20e3);
    let text = bench.run(&["predict", "mute.toml"]).code(0).out;
    assert!(text.contains("never, up to 20.0 kPa") && text.contains("no window to end"), "{text}");
}

#[test]
fn no_choke_below_the_limit_is_null() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    let json = bench.run(&["predict", "reed.toml", "--limit-pa", "500", "--json"]).code(0).json();
    assert!(json["choke_pressure_pa"].is_null() && json["windows_pa"][0][1].is_null());
    assert_eq!(number(&json, "pressure_limit_pa"), 500.0);
    let text = bench.run(&["predict", "reed.toml", "--limit-pa", "500"]).code(0).out;
    assert!(text.contains("not below 500 Pa"), "{text}");
}

#[test]
fn pressures_come_back_in_the_order_asked() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    let asked = [2000.0, 100.0, 700.5, 100.0, 1.0, 100_000.0];
    let typed = asked.map(|pressure| pressure.to_string()).join(",");
    let json = bench.run(&["predict", "reed.toml", "--at-pa", &typed, "--json"]).code(0).json();
    let growth = json["growth"].as_array().unwrap();
    assert_eq!(growth.iter().map(|entry| number(entry, "pressure_pa")).collect::<Vec<_>>(), asked);
    assert_eq!(growth[1], growth[3]);
    let alone = bench.run(&["predict", "reed.toml", "--at-pa", "100", "--json"]).code(0).json();
    assert!((number(&growth[1], "growth_per_s") / number(&alone["growth"][0], "growth_per_s") - 1.0).abs() < 1e-9);
    assert!(bench.run(&["predict", "reed.toml", "--json"]).json()["growth"].as_array().unwrap().is_empty());
}

#[test]
fn whole_numbers_stand_for_decimals() {
    let decimals = REED.replace("12.5", "12.0").replace("2.1", "2.0");
    let whole = decimals.replace(".0\n", "\n");
    assert!(whole.contains("volume_mm3 = 500\n") && whole.contains("length_mm = 12\n"));
    let bench = Bench::with(&[("decimals.toml", &decimals), ("whole.toml", &whole)]);
    let answer = |name: &str| {
        let mut json = bench.run(&["predict", name, "--at-pa", "300", "--json"]).code(0).json();
        assert_eq!(json.as_object_mut().unwrap().remove("reed").unwrap(), name);
        json
    };
    assert_eq!(answer("whole.toml"), answer("decimals.toml"));
}

#[test]
fn what_is_left_out_is_listed() {
    let few = "[reed]\nlength_mm = 12.5\nwidth_mm = 2.1\nthickness_mm = 0.14\ntip_gap_mm = 0.25\n";
    let bench = Bench::with(&[("few.toml", few), ("reed.toml", REED)]);
    let assumed = |name: &str| {
        let json = bench.run(&["predict", name, "--json"]).code(0).json();
        let keys = json["assumed"].as_array().unwrap().iter().map(|a| a["key"].as_str().unwrap().to_owned());
        keys.collect::<Vec<_>>()
    };
    let few_assumed = assumed("few.toml");
    for key in ["alloy", "quality_factor", "rest_exponent", "side_clearance_mm", "plate_thickness_mm", "leak_mm2"] {
        assert!(few_assumed.iter().any(|known| known.ends_with(key)), "{key} is not among {few_assumed:?}");
    }
    let stated = assumed("reed.toml");
    assert!(!stated.is_empty() && !stated.iter().any(|key| key.contains("quality") || key.contains("alloy")));
    let text = bench.run(&["predict", "few.toml"]).code(0).out;
    assert!(text.contains("Assumed: ") && text.contains("quality_factor 108.687"), "{text}");
}

#[test]
fn beyond_a_fold_there_is_no_growth() {
    let bench = Bench::with(&[("limp.toml", LIMP)]);
    let json = bench.run(&["predict", "limp.toml", "--at-pa", "100,5000", "--json"]).code(0).json();
    let fold = number(&json, "fold_pressure_pa");
    assert!((100.0..5000.0).contains(&fold) && json["growth"][0]["growth_per_s"].is_number(), "fold at {fold}");
    assert_eq!((number(&json, "choke_pressure_pa"), json["choke_reason"].as_str()), (fold, Some("snaps")));
    assert!(json["growth"][1]["growth_per_s"].is_null() && json["growth"][1]["frequency_hz"].is_null());
    assert_eq!(json["growth"][1]["pressure_pa"], 5e3);
    let text = bench.run(&["predict", "limp.toml", "--at-pa", "5000"]).code(0).out;
    assert!(text.contains("snaps into the slot") && text.contains("snapped to another rest"), "{text}");
    let text = bench.run(&["attack", "limp.toml", "--pressure-pa", "5000", "--duration-s", "0.05"]).code(0).out;
    assert!(text.contains("(under this pressure it snaps to another rest)"), "{text}");
}

#[test]
fn the_text_says_what_a_reed_worker_asks() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    let text = bench.run(&["predict", "reed.toml", "--at-pa", "500"]).code(0).out;
    for part in ["plucked ", "speaks from ", "chokes above ", "growth, 500 Pa ", " mmH2O", "Assumed: ", "Sure: "] {
        assert!(text.contains(part), "{part} is not in\n{text}");
    }
    assert!(text.lines().all(|line| line.chars().count() <= 100), "{text}");
}
