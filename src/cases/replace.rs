//! New tongues: the length of a uniform strip for a pitch, and the weight where the length is given.
//!
//! The search halves the length to round-off and the elements leave 1e-8: a part in a million is allowed.

use std::f64::consts::TAU;

use super::{Check, Group, Published};
use crate::answer::Conditions;
use crate::sheet::ReedFile;
use crate::workshop::replace::{Profiled, ReplaceOptions, replace};
use crate::workshop::retune::Work;

const UNIFORM: &str = "L^2 = 3.5160152685/(2 pi f) h sqrt(E/(12 rho)), the first root of 1 + cos b cosh b = 0 (any textbook of vibration; Blevins, from memory)";
const TIP_MASS: &str = "1 + cos b cosh b + m b(cos b sinh b - sin b cosh b) = 0 at m = 0.1: f/f_0 = 0.8440914274 (Karnovsky & Lebed, Formulas for Structural Dynamics, section 7.5.3, solved at 12 digits)";

/// A slot that takes 16 mm; brass of 110 GPa and 8530 kg/m3.
const OLD: &str = "[reed]\nlength_mm = 16\nwidth_mm = 2\nthickness_mm = 0.2\nalloy = \"C26000\"\ntip_gap_mm = 0.25\n\
                   [chamber]\nvolume_mm3 = 500\nchannel_length_mm = 20\nchannel_area_mm2 = 20\n";

fn pitch_hz(thickness_m: f64, length_m: f64) -> f64 {
    3.5160152685 / TAU * thickness_m * (110e9 / (12.0 * 8530.0_f64)).sqrt() / length_m.powi(2)
}

pub(super) fn checks() -> Vec<Check> {
    let mut group = Group::new("replace");
    let old = ReedFile::parse("old", OLD).expect("a reed");
    for (strip_m, length_m) in [(0.15e-3, 13e-3), (0.2e-3, 15e-3)] {
        let options = ReplaceOptions {
            lengths_m: Some((12e-3, 16e-3)),
            ..ReplaceOptions::of(pitch_hz(strip_m, length_m), vec![strip_m], Conditions::default())
        };
        let found = replace(&old, &options).expect("strips that make reeds");
        let uniform = found.best.iter().find(|one| one.tongue.profile == Profiled::Uniform);
        let computed = uniform.map_or(f64::NAN, |one| 1e3 * one.tongue.length_m);
        let published = Published::relative(1e3 * length_m, 1e-6, "mm", UNIFORM);
        group.add(format!("length of a uniform strip of {} mm", 1e3 * strip_m), computed, published);
    }
    let pluck_hz = 0.8440914274 * pitch_hz(0.2e-3, 16e-3);
    let options =
        ReplaceOptions { most_weight: 0.2, ..ReplaceOptions::of(pluck_hz, vec![0.2e-3], Conditions::default()) };
    let found = replace(&old, &options).expect("strips that make reeds");
    let weighted = found.best.iter().find_map(|one| match one.tongue.profile {
        Profiled::Weighted(Work::Weigh { mass_kg }) => Some(mass_kg),
        _ => None,
    });
    let tongue_kg = 8530.0 * 16e-3 * 2e-3 * 0.2e-3;
    let published = Published::relative(0.1, 1e-6, "tongue masses", TIP_MASS);
    group.add("weight on a tip", weighted.unwrap_or(f64::NAN) / tongue_kg, published);
    group.checks
}
