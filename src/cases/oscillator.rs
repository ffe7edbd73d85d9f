//! The solver of sustained oscillations on an oscillator whose orbits are published.

use super::{Check, Group, Published};
use crate::physics::steady::van_der_pol;

const PUBLISHED: &str = "van der Pol oscillator: Andersen & Geer, SIAM J. Appl. Math. 42 (1982) 678; Buonomo, SIAM J. Appl. Math. 59 (1998) 156; digits computed by src/cases/reference/van_der_pol.py (scipy 1.17.1, DOP853, rtol 1e-13), which meets the series of both at mu = 0.1 (from memory) to 1e-9";

pub(super) fn checks() -> Vec<Check> {
    let mut group = Group::new("oscillator");
    for (mu, amplitude, period) in ORBITS {
        let found = van_der_pol(mu, STEPS).unwrap_or((f64::NAN, f64::NAN));
        group.add(format!("amplitude at mu = {mu}"), found.0, Published::relative(amplitude, ERROR, "1", PUBLISHED));
        group.add(format!("period at mu = {mu}"), found.1, Published::relative(period, ERROR, "1", PUBLISHED));
    }
    group.checks
}

/// `mu`, amplitude, period.
const ORBITS: [(f64, f64, f64); 4] = [
    (0.1, 2.000_103_980, 6.287_111_272),
    (1.0, 2.008_619_861, 6.663_286_859),
    (5.0, 2.021_508_062, 11.612_230_668),
    (10.0, 2.014_285_361, 19.078_369_567),
];
/// Even steps of a period, and the relative error they leave where the motion is most sudden: order three, from 2e-4 at 1024.
const STEPS: usize = 8192;
const ERROR: f64 = 1e-6;
