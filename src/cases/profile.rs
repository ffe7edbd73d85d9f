//! Tongues whose thickness and weight or taper were solved from pitch and stiffness by an independent program:
//! `reference/tongue.py`, a Ritz basis of polynomials over the whole tongue (good to 1e-9), which `python3 reference/cases.py`
//! writes into `reference/reference.json`. Their beams must have the pitch and the stiffness that were asked for.
//!
//! Tolerance: the 2e-5 of plucked frequencies; a stiffness goes with the cube of what a frequency goes with, and is held to
//! the same.

use serde::Deserialize;

use super::{Check, Group, Published};
use crate::physics::{Beam, Profile};

const SOURCE: &str = "independent solution with scipy 1.17.1, src/cases/reference/tongue.py";

#[derive(Debug, Deserialize)]
struct Solved {
    name: String,
    length_m: f64,
    root_width_m: f64,
    tip_width_m: f64,
    youngs_modulus_pa: f64,
    density_kg_m3: f64,
    pitch_hz: f64,
    stiffness_n_m: f64,
    /// "phi", a weight at the tip, or "tau", a taper.
    profile: String,
    /// None where no weight and no taper give both.
    value: Option<f64>,
    root_thickness_m: Option<f64>,
    tip_mass_kg: Option<f64>,
}

#[derive(Debug, Deserialize)]
struct File {
    profile: Vec<Solved>,
}

pub(super) fn checks() -> Vec<Check> {
    let file: File = serde_json::from_str(include_str!("reference/reference.json")).expect("a file of this crate");
    let mut group = Group::new("pitch and stiffness");
    for case in &file.profile {
        let Some(beam) = beam(case) else { continue };
        let near = |value: f64, unit| Published::relative(value, 2e-5, unit, SOURCE);
        let name = |what: &str| format!("{}, {what}", case.name);
        group.add(name("pitch"), beam.modes(1)[0].frequency_hz, near(case.pitch_hz, "Hz"));
        group.add(name("stiffness"), beam.tip_stiffness_n_m(), near(case.stiffness_n_m, "N/m"));
    }
    group.checks
}

fn beam(case: &Solved) -> Option<Beam> {
    let (root, value) = case.root_thickness_m.zip(case.value)?;
    let tip = if case.profile == "tau" { (1.0 - value) * root } else { root };
    let between = |root: f64, tip: f64| Profile::linear(vec![(0.0, root), (case.length_m, tip)]);
    let mut beam = super::reeds::brass(case.length_m, case.root_width_m, root);
    beam.width_m = between(case.root_width_m, case.tip_width_m).expect("a file of this crate");
    beam.thickness_m = between(root, tip).expect("a file of this crate");
    beam.youngs_modulus_pa = case.youngs_modulus_pa;
    beam.density_kg_m3 = case.density_kg_m3;
    beam.tip_mass_kg = case.tip_mass_kg?;
    Some(beam)
}
