//! Writes the curves the charts are tested on, computed by the model for three invented reeds:
//! `cargo test --test chart curves -- --ignored`. They are shapes to draw, not values to trust.

use std::fs;

use freereed::physics::ReedModel;
use freereed::physics::attack::{Blow, Stop};
use freereed::physics::onset::{Search, Speaking};
use freereed::physics::playable::{Demand, Edge};
use freereed::sheet::{CheckedReed, ReedFile};
use rayon::prelude::*;
use serde_json::{Value, json};

const FILE: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/chart/support/curves.json");

struct Case {
    name: &'static str,
    reed: CheckedReed,
    gaps_mm: Vec<f64>,
    clearances_mm: Vec<f64>,
    allowed_s: f64,
    usual_pa: f64,
}

fn reed(text: &str) -> CheckedReed {
    ReedFile::parse("reed.toml", text).unwrap()
}

fn steps(low: f64, high: f64, count: usize) -> Vec<f64> {
    (0..count).map(|k| low + (high - low) * k as f64 / (count - 1) as f64).collect()
}

fn cases() -> Vec<Case> {
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/data/demo/reed.toml");
    let harmonium = "[reed]\nlength_mm = 40\nwidth_mm = 4\nthickness_mm = 0.35\nalloy = \"C26000\"\nquality_factor = 100\n\
                     tip_gap_mm = 1.2\n[slot]\nside_clearance_mm = 0.05\ntip_clearance_mm = 0.05\nplate_thickness_mm = 2.5\n";
    let high = "[reed]\nlength_mm = 9.6\nwidth_mm = 1.8\nthickness_mm = 0.3\nalloy = \"C51000\"\nquality_factor = 60\n\
                tip_gap_mm = 0.1\n[slot]\nside_clearance_mm = 0.025\ntip_clearance_mm = 0.025\nplate_thickness_mm = 0.9\n\
                [chamber]\nvolume_mm3 = 300\nchannel_length_mm = 10\nchannel_area_mm2 = 20\n";
    vec![
        Case {
            name: "demo",
            reed: ReedFile::load(demo).unwrap(),
            gaps_mm: steps(0.05, 0.6, 12),
            clearances_mm: vec![0.015, 0.027, 0.05],
            allowed_s: 0.1,
            usual_pa: 800.0,
        },
        Case {
            name: "harmonium",
            reed: reed(harmonium),
            gaps_mm: steps(0.3, 2.5, 12),
            clearances_mm: vec![0.03, 0.05, 0.1, 0.2],
            allowed_s: 1.0,
            usual_pa: 500.0,
        },
        Case {
            name: "high",
            reed: reed(high),
            gaps_mm: steps(0.02, 0.3, 12),
            clearances_mm: vec![0.025, 0.05],
            allowed_s: 0.3,
            usual_pa: 6000.0,
        },
    ]
}

fn edge(edge: Edge) -> &'static str {
    match edge {
        Edge::TooSlow => "too slow",
        Edge::DoesNotStart => "does not start",
        Edge::OverStressed => "over-stressed",
        Edge::LimitOfSearch => "limit",
    }
}

fn window(model: &ReedModel, speaking: &Speaking, allowed_s: f64) -> Value {
    let Some(onset) = speaking.onset else { return Value::Null };
    let playable = model.playable(speaking, Demand { rise_s: 10e-3, allowed_s, stress_limit_pa: None });
    json!({
        "onset_pa": onset.pressure_pa,
        "choke_pa": speaking.choke.pressure_pa(),
        "lowest_pa": playable.map(|window| window.low.pressure_pa),
        "lowest_edge": playable.map(|window| edge(window.low.edge)),
        "highest_pa": playable.map(|window| window.high.pressure_pa),
        "highest_edge": playable.map(|window| edge(window.high.edge)),
    })
}

fn with(reed: &CheckedReed, gap_mm: f64, clearance_mm: f64) -> ReedModel {
    let reed = reed.with("tip_gap_mm", gap_mm).unwrap().with("side_clearance_mm", clearance_mm).unwrap();
    ReedModel::new(reed.with("tip_clearance_mm", clearance_mm).unwrap().reed).unwrap()
}

fn gaps(case: &Case) -> Value {
    let of = |clearance_mm: &f64| {
        let points: Vec<Value> = case
            .gaps_mm
            .par_iter()
            .map(|gap_mm| {
                let model = with(&case.reed, *gap_mm, *clearance_mm);
                let window = window(&model, &model.speaking(&Search::default()), case.allowed_s);
                let t50_s = model.attack(&Blow::to(case.usual_pa), Stop::WhenSteady).t50_s;
                json!({ "gap_m": gap_mm * 1e-3, "window": window, "t50_s": t50_s })
            })
            .collect();
        json!({ "clearance_m": clearance_mm * 1e-3, "points": points })
    };
    case.clearances_mm.iter().map(of).collect()
}

fn speaking(case: &Case) -> Value {
    let pressures = (0..16).map(|k| case.usual_pa * 10f64.powf((f64::from(k) - 7.0) / 7.0)).collect::<Vec<_>>();
    let of = |gap_mm: &f64| {
        let model = with(&case.reed, *gap_mm, case.clearances_mm[0]);
        let points: Vec<Value> = pressures
            .par_iter()
            .map(|pressure_pa| {
                let attack = model.attack(&Blow::to(*pressure_pa), Stop::WhenSteady);
                json!({ "pressure_pa": pressure_pa, "speaks": attack.speaks, "t50_s": attack.t50_s })
            })
            .collect();
        json!({ "gap_m": gap_mm * 1e-3, "points": points })
    };
    case.gaps_mm.iter().skip(1).step_by(3).map(of).collect()
}

fn branch(case: &Case) -> Value {
    let model = ReedModel::new(case.reed.reed.clone()).unwrap();
    let speaking = model.speaking(&Search::default());
    let Some(branch) = model.branch(&speaking, 20e3) else { return Value::Null };
    let swings: Vec<_> = branch.swings().collect();
    let points: Vec<Value> = swings
        .par_iter()
        .step_by((swings.len() / 60).max(1))
        .map(|&(pressure_pa, swing_m, stable)| {
            let orbit = model.orbit_at(&speaking, &branch, pressure_pa).filter(|_| stable);
            json!({
                "pressure_pa": pressure_pa, "swing_m": swing_m, "is_stable": stable,
                "frequency_hz": orbit.as_ref().map(|orbit| orbit.steady.frequency_hz),
                "level_db": orbit.as_ref().map(|orbit| orbit.steady.level.db),
            })
        })
        .collect();
    json!({
        "own": window(&model, &speaking, case.allowed_s), "points": points,
        "onset_hz": speaking.onset.map(|onset| onset.frequency_hz),
        "plucked_hz": case.reed.reed.beam.modes(1)[0].frequency_hz,
        "lowest_pa": branch.lowest_pa, "highest_pa": branch.highest_pa,
    })
}

#[test]
#[ignore = "writes the curves anew, in some minutes"]
fn write_curves() {
    let all: serde_json::Map<String, Value> = cases()
        .iter()
        .map(|case| {
            let of_case = json!({
                "allowed_s": case.allowed_s, "usual_pa": case.usual_pa,
                "gaps": gaps(case), "speaking": speaking(case), "branch": branch(case),
            });
            (case.name.to_owned(), of_case)
        })
        .collect();
    fs::write(FILE, serde_json::to_string(&all).unwrap() + "\n").unwrap();
}
