//! Sustained oscillations against long runs of an independent program: `reference/orbits.py`, which takes no derivative and
//! closes no period, only waits. `python3 reference/orbits.py` makes `reference/orbits.json` anew; the versions it was made
//! with stand in that file.
//!
//! Tolerances: orbits that last to the error of 256 steps a period (some 1e-4; the level, of whose harmonics the highest are
//! coarsest, to 0.05 dB; the stress, whose peak with the second mode on it falls between steps, to 1e-3); orbits that do not
//! last to twice that, for there a little loss more or less moves the swing most; ends to the 5e-4 to which they were
//! sought, twice over.

use rayon::prelude::*;
use serde::Deserialize;

use super::{Check, Group, Published};
use crate::physics::ReedModel;
use crate::physics::attack::Steady;
use crate::physics::onset::{Search, Speaking};
use crate::physics::steady::Branch;
use crate::sheet::ReedFile;

const SOURCE: &str = "independent runs in time with scipy 1.17.1, src/cases/reference/orbits.py";

/// Results for one reed.
#[derive(Debug, Deserialize)]
struct Reference {
    name: String,
    toml: String,
    lasting: Vec<Lasting>,
    fleeting: Vec<Fleeting>,
    lowest: Option<End>,
    highest: Option<End>,
}

#[derive(Debug, Deserialize)]
struct Lasting {
    pressure_pa: f64,
    tip_amplitude_m: f64,
    mean_tip_m: f64,
    frequency_hz: f64,
    mean_flow_m3_s: f64,
    level_db_at_1m: f64,
    stress_pa: f64,
}

#[derive(Debug, Deserialize)]
struct Fleeting {
    pressure_pa: f64,
    tip_amplitude_m: f64,
    frequency_hz: f64,
}

/// Between these two pressures sounding breaks off.
#[derive(Debug, Deserialize)]
struct End {
    sounds_pa: f64,
    silent_pa: f64,
}

#[derive(Debug, Deserialize)]
struct File {
    cases: Vec<Reference>,
}

pub(super) fn checks() -> Vec<Check> {
    let file: File = serde_json::from_str(include_str!("reference/orbits.json")).expect("a file of this crate");
    file.cases.par_iter().flat_map_iter(one_reed).collect()
}

/// A reed with its orbits found.
struct Found {
    name: String,
    model: ReedModel,
    speaking: Speaking,
    branch: Branch,
}

fn one_reed(case: &Reference) -> Vec<Check> {
    const LIMIT_PA: f64 = 20e3;
    let checked = ReedFile::parse("reference", &case.toml).expect("a reed of this crate");
    let model = ReedModel::new(checked.reed).expect("a reed of this crate");
    let speaking = model.speaking(&Search::default());
    let mut group = Group::new("sustained oscillation");
    let Some(branch) = model.branch(&speaking, LIMIT_PA) else {
        group.add(format!("{}, has a branch", case.name), 0.0, Published::within(1.0, 0.0, "1", SOURCE));
        return group.checks;
    };
    let found = Found { name: case.name.clone(), model, speaking, branch };
    case.lasting.iter().for_each(|expected| lasting(&found, expected, &mut group));
    case.fleeting.iter().for_each(|expected| fleeting(&found, expected, &mut group));
    let near = |end: &End| Published::relative(0.5 * (end.sounds_pa + end.silent_pa), 1e-3, "Pa", SOURCE);
    let name = |which: &str| format!("{}, {which} pressure that keeps it sounding", found.name);
    if let Some(lowest) = &case.lowest {
        group.add(name("lowest"), found.branch.lowest_pa, near(lowest));
    }
    if let Some(highest) = &case.highest {
        group.add(name("highest"), found.branch.highest_pa.unwrap_or(f64::NAN), near(highest));
    }
    group.checks
}

fn lasting(found: &Found, expected: &Lasting, group: &mut Group) {
    let orbit = found.model.orbit_at(&found.speaking, &found.branch, expected.pressure_pa);
    let steady = orbit.filter(|orbit| orbit.stable).map(|orbit| orbit.steady);
    let read = |what: fn(&Steady) -> f64| steady.as_ref().map_or(f64::NAN, what);
    let name = |what: &str| format!("{}, {what} at {} Pa", found.name, expected.pressure_pa);
    let near = |value: f64, share: f64, unit| Published::relative(value, share, unit, SOURCE);
    group.add(name("tip amplitude"), read(|s| s.tip_amplitude_m), near(expected.tip_amplitude_m, 5e-4, "m"));
    let mean = Published::within(expected.mean_tip_m, 5e-4 * expected.tip_amplitude_m, "m", SOURCE);
    group.add(name("mean tip height"), read(|s| s.mean_tip_m), mean);
    group.add(name("sounding frequency"), read(|s| s.frequency_hz), near(expected.frequency_hz, 1e-5, "Hz"));
    group.add(name("mean flow"), read(|s| s.mean_flow_m3_s), near(expected.mean_flow_m3_s, 5e-4, "m3/s"));
    let level = Published::within(expected.level_db_at_1m, 0.05, "dB", SOURCE);
    group.add(name("level"), read(|s| s.level.db), level);
    group.add(name("largest stress"), read(|s| s.stress_pa), near(expected.stress_pa, 1e-3, "Pa"));
}

fn fleeting(found: &Found, expected: &Fleeting, group: &mut Group) {
    let orbits = found.model.orbits_at(&found.speaking, &found.branch, expected.pressure_pa);
    let steady = orbits.iter().find(|orbit| !orbit.stable).map(|orbit| &orbit.steady);
    let name = |what: &str| format!("{}, {what} that does not last at {} Pa", found.name, expected.pressure_pa);
    let swing = Published::relative(expected.tip_amplitude_m, 1e-3, "m", SOURCE);
    group.add(name("swing"), steady.map_or(f64::NAN, |steady| steady.tip_amplitude_m), swing);
    let frequency = Published::relative(expected.frequency_hz, 1e-5, "Hz", SOURCE);
    group.add(name("frequency"), steady.map_or(f64::NAN, |steady| steady.frequency_hz), frequency);
}
