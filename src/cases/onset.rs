//! Small motion and sounding: ring-down in thin air, and what has been seen on blown free reeds.
//!
//! The observations are given in words or to one digit, so they are compared in decades or with generous bands, stated at
//! each. They cannot prove the model; a model that misses them would be wrong.

use rayon::prelude::*;

use super::reeds::{harmonica, harmonium, strip};
use super::{Check, Group, Published};
use crate::physics::attack::{Blow, Steady, Stop};
use crate::physics::onset::Search;
use crate::physics::{Air, Reed, ReedModel};

const DECAY: &str = "computed from tau = Q/(pi f), Q = 100, 440 Hz";
const PULL: &str = "computed from f_d = f sqrt(1 - 1/(4 Q^2)), Q = 100";
const COTTINGHAM: &str = "Cottingham, Lilly & Reed, The motion of air-driven free reeds (1999), harmonium reeds about 4 cm long, 100-200 Hz, reporting Koopman & Cottingham (1996)";
const FALLS: &str =
    "Koopman, Hanzelka & Cottingham, 131st Meeting of the ASA (1996) 3aED2: falls about linearly with pressure";
const CONSTANT: &str = "Cottingham et al., 129th Meeting of the ASA (1995) 5aMU10: essentially constant over a wide range; contradicts 3aED2 unless the fall is small";

pub(super) fn checks() -> Vec<Check> {
    let mut group = Group::new("onset");
    ring_down(&mut group);
    harmonium_reed(&mut group);
    group.checks
}

/// With next to no air a plucked reed dies by its own loss alone.
fn ring_down(group: &mut Group) {
    let beam = strip().with_thickness_scaled(440.0 / 515.643521);
    let air = Air { density_kg_m3: 1e-9, sound_speed_m_s: 343.0, viscosity_pa_s: 1e-14 };
    let model = ReedModel::new(Reed { beam, quality_factor: 100.0, air, ..harmonica(5) }).expect("a valid reed");
    let found = model.growth(&[1e-6])[0];
    let (growth, frequency) = found.map_or((f64::NAN, f64::NAN), |g| (g.growth_per_s, g.frequency_hz));
    // Four digits are printed.
    group.add("ring-down of Q = 100 at 440 Hz", -1e3 / growth, Published::within(72.34, 6e-3, "ms", DECAY));
    let cents = 1200.0 * (frequency / model.modes()[0].frequency_hz).log2();
    group.add("pull of the loss at Q = 100", cents, Published::within(-0.0216, 6e-5, "cent", PULL));
}

fn harmonium_reed(group: &mut Group) {
    let model = ReedModel::new(harmonium()).expect("a valid reed");
    let onset = model.speaking(&Search::default()).onset.map_or(f64::NAN, |onset| onset.pressure_pa);
    let published = Published::within(200.0_f64.log10(), 3.0_f64.log10(), "decades of Pa", COTTINGHAM);
    group.add("harmonium reed: threshold about 0.2 kPa, within a factor of three", onset.log10(), published);

    let blown: Vec<Option<Steady>> = [600.0, 900.0, 1200.0]
        .into_par_iter()
        .map(|pressure| model.attack(&Blow::to(pressure), Stop::WhenSteady).steady)
        .collect();
    let read = |k: usize, what: fn(&Steady) -> f64| blown[k].as_ref().map_or(f64::NAN, what);
    let [soft, firm, hard] = [0, 1, 2].map(|k| read(k, |steady| steady.frequency_hz));
    let swing = |k| read(k, |steady| steady.tip_amplitude_m);

    let published = Published::within(4.0_f64.log10(), 2.0_f64.log10(), "decades of mm", COTTINGHAM);
    group.add("harmonium reed: several millimetres (read as 2 to 8) at 0.9 kPa", (swing(1) * 1e3).log10(), published);
    let published = Published::within(1.0, 0.25, "1", COTTINGHAM);
    group.add("harmonium reed: swing nearly constant, 1.2 over 0.9 kPa", swing(2) / swing(1), published);
    let shift = 1.2e-3 - read(1, |steady| steady.mean_tip_m);
    let published = Published::within(1.5_f64.log10(), 3.0_f64.log10(), "decades of mm", COTTINGHAM);
    group.add(
        "harmonium reed: mean position 1-2 mm along the flow, within a factor of three",
        (shift * 1e3).log10(),
        published,
    );

    let falls = [firm - soft, hard - firm].into_iter().filter(|&step| step < 0.0).count() as f64;
    let published = Published::within(2.0, 0.0, "steps of two", FALLS);
    group.add("harmonium reed: frequency falls from 0.6 to 0.9 to 1.2 kPa", falls, published);
    // A tenth of the whole fall off a straight line.
    let bend = (firm - 0.5 * (soft + hard)) / (soft - hard);
    group.add(
        "harmonium reed: the fall's departure from a straight line",
        bend,
        Published::within(0.0, 0.1, "1", FALLS),
    );
    let cents = 1200.0 * (hard / soft).log2();
    let published = Published::within(0.0, 50.0, "cent", CONSTANT);
    group.add("harmonium reed: less than a quarter tone from 0.6 to 1.2 kPa", cents, published);
}
