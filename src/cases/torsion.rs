//! Twisting of a strip.

use super::reeds::strip;
use super::{Check, Group, Published};
use crate::physics::beam::{Beam, torsion_constant_m4};

const SERIES: &str =
    "computed from the exact Saint-Venant series (Timoshenko & Goodier, Theory of Elasticity, section 109)";
const ROARK: &str = "Roark's Formulas for Stress and Strain, 1/3 - 0.21 (h/w)(1 - (h/w)^4/12) (from memory)";
const STRIP: &str = "computed from f = sqrt(G J/rho I_p)/(4 L) with the exact J, G = E/2.66";

pub(super) fn checks() -> Vec<Check> {
    let mut group = Group::new("torsion");
    for (ratio, constant) in [
        (1.0, 0.140577015),
        (2.0, 0.228681677),
        (4.0, 0.280812958),
        (5.0, 0.291316754),
        (10.0, 0.312325037),
        (20.0, 0.322829185),
        (100.0, 0.331232504),
    ] {
        let computed = torsion_constant_m4(ratio * 1e-4, 1e-4) / (ratio * 1e-16);
        // Nine decimals are printed.
        let published = Published::within(constant, 6e-10, "w h^3", SERIES);
        group.add(format!("torsion constant, w/h = {ratio}"), computed, published);
    }
    // The handbook's formula is itself good to 4e-5 from w/h = 4 on.
    let published = Published::within(0.333333 - 0.21 * 0.2 * (1.0 - 0.2_f64.powi(4) / 12.0), 5e-5, "w h^3", ROARK);
    group.add("torsion constant, w/h = 5, handbook", torsion_constant_m4(5e-4, 1e-4) / 5e-16, published);
    let beam = strip();
    let published = Published::within(7069.083, 6e-4, "Hz", STRIP);
    group.add("worked strip: twisting frequency", beam.torsional_frequency_hz(), published);
    let long = Beam { length_m: 2.0 * beam.length_m, ..strip() };
    let published = Published::relative(0.5 * 7069.083, 1e-7, "Hz", STRIP);
    group.add("worked strip, twice as long: twisting frequency", long.torsional_frequency_hz(), published);
    group.checks
}
