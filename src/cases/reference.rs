//! Full reeds solved by an independent program on a general-purpose library: `reference/model.py` and the files beside it,
//! written from the equations alone with numpy, scipy and numba, sharing no code with this crate. `python3 reference/cases.py`
//! makes `reference/reference.json` anew; the versions it was made with, and how well each value is known, stand in that file.
//!
//! Tolerances are what two solutions of the same equations may differ by: plucked and sounding frequencies 2e-5; onset
//! 0.2 %; growth 1 %; choke 2 %, for it moves with the points of quadrature where the overlap has corners; settled swings and
//! flows 1 %; speaking times 3 % or half a period, which is how far apart the points of the envelope are.

use serde::Deserialize;

use super::{Check, Group, Published};
use crate::physics::attack::{Blow, Stop};
use crate::physics::onset::Search;
use crate::physics::{Coefficients, Reed, ReedModel};
use crate::sheet::ReedFile;

const SOURCE: &str = "independent solution with scipy 1.17.1, src/cases/reference/model.py";

/// Results for one reed.
#[derive(Debug, Deserialize)]
struct Reference {
    name: String,
    toml: String,
    modes_hz: [f64; 2],
    mass_kg: f64,
    modal_mass_kg: [f64; 2],
    swept_area_m2: [f64; 2],
    lateral_hz: f64,
    quality_factor: f64,
    coefficients: Doubtful,
    onset_pressure_pa: Option<f64>,
    onset_frequency_hz: Option<f64>,
    choke_pressure_pa: Option<f64>,
    largest_growth_per_s: Option<f64>,
    growth: Vec<GrowthAt>,
    attacks: Vec<Settled>,
    flow: Vec<FlowAt>,
}

/// The model's own coefficients, and the channel's perimeter, set beside the file so that no default is leaned on.
#[derive(Debug, Deserialize)]
struct Doubtful {
    inertance_factor: f64,
    contraction: f64,
    drag: f64,
    channel_perimeter_mm: Option<f64>,
}

#[derive(Debug, Deserialize)]
struct GrowthAt {
    pressure_pa: f64,
    growth_per_s: f64,
    frequency_hz: f64,
}

#[derive(Debug, Deserialize)]
struct Settled {
    pressure_pa: f64,
    tip_amplitude_m: f64,
    mean_tip_m: f64,
    frequency_hz: f64,
    mean_flow_m3_s: f64,
    level_db_at_1m: f64,
    t50_s: f64,
    t90_s: f64,
}

#[derive(Debug, Deserialize)]
struct FlowAt {
    q1_m: f64,
    q2_m: f64,
    dp_pa: f64,
    u_m3_s: f64,
    beta: f64,
}

#[derive(Debug, Deserialize)]
struct File {
    cases: Vec<Reference>,
}

pub(super) fn checks() -> Vec<Check> {
    let file: File = serde_json::from_str(include_str!("reference/reference.json")).expect("a file of this crate");
    file.cases.iter().flat_map(one_reed).collect()
}

fn reed(case: &Reference) -> Reed {
    let mut reed = ReedFile::parse("reference", &case.toml).expect("a reed of this crate").reed;
    let Doubtful { inertance_factor, contraction, drag, channel_perimeter_mm } = case.coefficients;
    reed.coefficients = Coefficients { inertance_factor, contraction, drag };
    if let Some(chamber) = &mut reed.chamber {
        chamber.channel_perimeter_m = channel_perimeter_mm.map(|perimeter| 1e-3 * perimeter);
    }
    reed
}

fn one_reed(case: &Reference) -> Vec<Check> {
    let model = ReedModel::new(reed(case)).expect("a reed of this crate");
    let mut group = Group::new("reference reed");
    body(case, &model, &mut group);
    thresholds(case, &model, &mut group);
    growth(case, &model, &mut group);
    case.attacks.iter().for_each(|expected| settled(&case.name, expected, &model, &mut group));
    group.checks
}

fn thresholds(case: &Reference, model: &ReedModel, group: &mut Group) {
    let speaking = model.speaking(&Search::default());
    let name = |what: &str| format!("{}, {what}", case.name);
    let near = |value: f64, share: f64, unit| Published::relative(value, share, unit, SOURCE);
    match (case.onset_pressure_pa.zip(case.onset_frequency_hz), speaking.onset) {
        (Some((pressure, frequency)), Some(onset)) => {
            group.add(name("onset"), onset.pressure_pa, near(pressure, 2e-3, "Pa"));
            group.add(name("onset frequency"), onset.frequency_hz, near(frequency, 2e-5, "Hz"));
        }
        (None, found) => {
            let found = found.map_or(0.0, |onset| onset.pressure_pa);
            group.add(name("never speaks"), found, Published::within(0.0, 0.0, "Pa", SOURCE));
        }
        (Some((pressure, _)), None) => group.add(name("onset"), f64::NAN, near(pressure, 2e-3, "Pa")),
    }
    if let Some(largest) = case.largest_growth_per_s {
        let found = speaking.fastest.map_or(f64::NAN, |fastest| fastest.growth_per_s);
        group.add(name("largest growth"), found, near(largest, 1e-2, "1/s"));
    }
    if let Some(choke) = case.choke_pressure_pa {
        let found = speaking.choke.pressure_pa().unwrap_or(f64::NAN);
        group.add(name("choke"), found, near(choke, 2e-2, "Pa"));
    }
}

fn body(case: &Reference, model: &ReedModel, group: &mut Group) {
    let name = |what: &str| format!("{}, {what}", case.name);
    let near = |value: f64, unit| Published::relative(value, 2e-5, unit, SOURCE);
    let beam = &model.reed().beam;
    group.add(name("mass"), beam.mass_kg(), near(case.mass_kg, "kg"));
    group.add(name("lateral mode"), beam.lateral_frequency_hz(), near(case.lateral_hz, "Hz"));
    group.add(name("quality factor"), model.reed().quality_factor, near(case.quality_factor, "1"));
    for (i, mode) in model.modes().iter().enumerate() {
        let nth = |what: &str| name(&format!("{what} of mode {}", i + 1));
        group.add(nth("frequency"), mode.frequency_hz, near(case.modes_hz[i], "Hz"));
        group.add(nth("modal mass"), mode.modal_mass_kg, near(case.modal_mass_kg[i], "kg"));
        group.add(nth("swept area"), mode.swept_area_m2, near(case.swept_area_m2[i], "m2"));
    }
    for at in &case.flow {
        let flow = model.aperture().flow([at.q1_m, at.q2_m], [0.0; 2], at.dp_pa);
        let place = format!("tip {:.3} mm, {} Pa", 1e3 * (at.q1_m + at.q2_m), at.dp_pa);
        group.add(name(&format!("flow, {place}")), flow.through_m3_s, near(at.u_m3_s, "m3/s"));
        group.add(name(&format!("share, {place}")), flow.share, near(at.beta, "1"));
    }
}

fn growth(case: &Reference, model: &ReedModel, group: &mut Group) {
    let floor = 1e-3 * case.largest_growth_per_s.unwrap_or(0.0);
    for at in &case.growth {
        let found = model.growth(&[at.pressure_pa])[0];
        let name = |what: &str| format!("{}, {what} at {} Pa", case.name, at.pressure_pa);
        // A share of a rate that passes zero allows nothing: beside it, a thousandth of the largest.
        let allowed = (1e-2 * at.growth_per_s.abs()).max(floor);
        let rate = Published::within(at.growth_per_s, allowed, "1/s", SOURCE);
        group.add(name("growth"), found.map_or(f64::NAN, |growth| growth.growth_per_s), rate);
        let frequency = Published::relative(at.frequency_hz, 2e-5, "Hz", SOURCE);
        group.add(name("frequency"), found.map_or(f64::NAN, |growth| growth.frequency_hz), frequency);
    }
}

fn settled(reed: &str, expected: &Settled, model: &ReedModel, group: &mut Group) {
    let attack = model.attack(&Blow::to(expected.pressure_pa), Stop::WhenSteady);
    let name = |what: &str| format!("{reed}, {what} at {} Pa", expected.pressure_pa);
    let Some(steady) = &attack.steady else {
        return group.add(name("speaks"), 0.0, Published::within(1.0, 0.0, "1", SOURCE));
    };
    let near = |value: f64, unit| Published::relative(value, 1e-2, unit, SOURCE);
    group.add(name("tip amplitude"), steady.tip_amplitude_m, near(expected.tip_amplitude_m, "m"));
    // The mean can lie near zero: the share is of the swing.
    let mean = Published::within(expected.mean_tip_m, 1e-2 * expected.tip_amplitude_m, "m", SOURCE);
    group.add(name("mean tip height"), steady.mean_tip_m, mean);
    group.add(name("mean flow"), steady.mean_flow_m3_s, near(expected.mean_flow_m3_s, "m3/s"));
    let sounding = Published::relative(expected.frequency_hz, 2e-5, "Hz", SOURCE);
    group.add(name("sounding frequency"), steady.frequency_hz, sounding);
    let level = Published::within(expected.level_db_at_1m, 0.1, "dB", SOURCE);
    group.add(name("level"), steady.level.db, level);
    let period = 1.0 / expected.frequency_hz;
    for (what, found, time) in [("t50", attack.t50_s, expected.t50_s), ("t90", attack.t90_s, expected.t90_s)] {
        let allowed = Published::within(time, (3e-2 * time).max(0.5 * period), "s", SOURCE);
        group.add(name(what), found.unwrap_or(f64::NAN), allowed);
    }
}
