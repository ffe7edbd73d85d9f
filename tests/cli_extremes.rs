//! Every number a reed file takes at both ends of its range: an answer or a refusal with its reason, in reasonable time.

#![cfg(feature = "cli")]

mod cli_support;

use std::time::Duration;

use cli_support::{Bench, REED, freereed, nulls};
use freereed::sheet::keys::Kind;
use freereed::sheet::{KEYS, Key, ReedSpec, Table};
use serde_json::Value;

/// What a reed may lack without an answer being missing.
const MAY_BE_NULL: [&str; 13] = [
    ".choke_",
    ".fastest_growth",
    ".fold_pressure_pa",
    ".growth[]",
    ".growth_per_s",
    ".measured",
    ".metal",
    ".onset_",
    ".t50_s",
    ".t90_s",
    ".temperature_c",
    ".thickness",
    ".windows_pa[][]",
];

/// What is null for a reed that does not speak.
const NULL_IF_SILENT: [&str; 8] = [
    ".frequency_hz",
    ".level_db_at_1m",
    ".level_dba_at_1m",
    ".mean_flow_m3_s",
    ".mean_tip_m",
    ".stress_at_m",
    ".stress_pa",
    ".tip_amplitude_m",
];

fn numbers() -> impl Iterator<Item = &'static Key> {
    KEYS.iter().filter(|key| key.kind == Kind::Number)
}

/// The reed with one key at an end of its range. Keys that only come together get companions.
fn with(spec: &ReedSpec, key: &Key, value: f64) -> ReedSpec {
    let companions: &[(&str, f64)] = match key.name {
        "lung_resistance_pa_s_m3" => &[("mouth_volume_cm3", 80.0)],
        "mouth_volume_cm3" => &[("lung_resistance_pa_s_m3", 2e6)],
        "measured_sounding_hz" => &[("measured_at_pa", 500.0)],
        "measured_swing_mm" => &[("measured_at_pa", 500.0)],
        "measured_at_pa" => &[("measured_sounding_hz", 640.0)],
        "left_clearance_mm" => &[("right_clearance_mm", 0.03)],
        "right_clearance_mm" => &[("left_clearance_mm", 0.03)],
        "sound_speed_m_s" => &[("air.density_kg_m3", 1.13), ("viscosity_pa_s", 1.9e-5)],
        "viscosity_pa_s" => &[("air.density_kg_m3", 1.13), ("sound_speed_m_s", 353.0)],
        "density_kg_m3" if key.table == Table::Air => &[("sound_speed_m_s", 353.0), ("viscosity_pa_s", 1.9e-5)],
        _ => &[],
    };
    let name = format!("{}.{}", key.table.name(), key.name);
    companions.iter().fold(spec.with(&name, value), |spec, &(key, value)| spec.with(key, value))
}

/// Runs both commands on a reed; whether it was answered.
fn answered(what: &str, reed: &str) -> bool {
    let bench = Bench::with(&[("reed.toml", reed)]);
    let calls = [
        &["predict", "reed.toml", "--at-pa", "1,300,100000", "--json"][..],
        &["attack", "reed.toml", "--pressure-pa", "300", "--duration-s", "0.005", "--json"],
        &["attack", "reed.toml", "--pressure-pa", "100000", "--duration-s", "0.005", "--json"],
    ];
    let mut all = true;
    for call in calls {
        let limit = Duration::from_secs(20);
        let output = freereed().current_dir(bench.path("")).args(call).timeout(limit).output().expect(what);
        let err = String::from_utf8(output.stderr).unwrap();
        assert!(!err.contains("panicked"), "{what}: {err}");
        let json: Value = serde_json::from_slice(&output.stdout).unwrap_or_else(|_| panic!("{what}: {call:?} {err}"));
        match output.status.code() {
            Some(0) => complete(what, &json),
            Some(2) => {
                let problems = json["problems"].as_array().unwrap();
                assert!(!problems.is_empty() && problems.iter().all(|p| p["message"].is_string()), "{what}: {json}");
                all = false;
            }
            code => panic!("{what}: exit code {code:?}, {err}"),
        }
    }
    all
}

/// No number is missing where one is promised: JSON has no other way to show one that is not finite.
fn complete(what: &str, json: &Value) {
    let silent = json["speaks"] == false;
    let known =
        |null: &str| MAY_BE_NULL.iter().any(|may| null.starts_with(may)) || silent && NULL_IF_SILENT.contains(&null);
    let odd: Vec<_> = nulls(json).into_iter().filter(|null| !known(null)).collect();
    assert!(odd.is_empty(), "{what}: {odd:?} in {json}");
}

#[test]
fn one_number_at_an_end_of_its_range() {
    let spec = ReedSpec::parse("reed.toml", REED).unwrap();
    let mut refused = Vec::new();
    for key in numbers() {
        for end in [key.least, key.most] {
            let what = format!("{} = {end}", key.name);
            if !answered(&what, &with(&spec, key, end).to_toml()) {
                refused.push(what);
            }
        }
    }
    // A hinge; a loss below the metal's own; ring-downs and pitches that this tongue cannot have; a wall shorter than a circle.
    let wild = [
        "root_spring_n_m_per_rad = 0.0001",
        "quality_factor = 2000",
        "ring_down_s = 0.0001",
        "ring_down_s = 50",
        "measured_pluck_hz = 5",
        "measured_pluck_hz = 20000",
        "channel_perimeter_mm = 1.6",
    ];
    assert_eq!(refused, wild);
}

#[test]
fn all_sizes_at_an_end_of_their_range() {
    let spec = ReedSpec::parse("reed.toml", REED).unwrap();
    let sizes = || numbers().filter(|key| key.unit.starts_with("mm"));
    for end in [|key: &Key| key.least, |key: &Key| key.most] {
        let reed = sizes().fold(spec.clone(), |spec, key| spec.with(key.name, end(key)));
        assert!(answered("all sizes", &reed.to_toml()));
    }
}
