//! A-weighting and the monopole.

use super::{Check, Group, Published};
use crate::physics::sound::{a_weighting_db, decibel, monopole_pa};

const IEC: &str = "IEC 61672-1, weighting A, evaluated at the exact frequencies 10^(n/10) Hz";
const MONOPOLE: &str = "computed from p = rho Q'/(4 pi r): 1e-4 m3/s at 440 Hz, 1 m, 1.2 kg/m3";

/// The weighting (dB) at `10^(n/10)` Hz from 10 Hz (n = 10) to 20 kHz (n = 43).
const WEIGHTING: [f64; 34] = [
    -70.43, -63.37, -56.69, -50.45, -44.70, -39.44, -34.63, -30.23, -26.19, -22.50, -19.14, -16.10, -13.35, -10.87,
    -8.63, -6.61, -4.81, -3.23, -1.90, -0.82, 0.00, 0.59, 0.98, 1.20, 1.27, 1.20, 0.97, 0.55, -0.12, -1.11, -2.49,
    -4.32, -6.60, -9.32,
];

pub(super) fn checks() -> Vec<Check> {
    let mut group = Group::new("sound");
    for (k, decibel) in WEIGHTING.into_iter().enumerate() {
        let frequency = 10.0_f64.powf(0.1 * (k as f64 + 10.0));
        // Two decimals are printed.
        let published = Published::within(decibel, 0.0051, "dB", IEC);
        group.add(format!("A-weighting at {frequency:.1} Hz"), a_weighting_db(frequency), published);
    }
    let amplitude = monopole_pa(1.2, 440.0, 1e-4, 1.0);
    group.add("monopole: amplitude", amplitude, Published::within(0.0264, 5e-5, "Pa", MONOPOLE));
    let level = decibel(amplitude / 2.0_f64.sqrt());
    group.add("monopole: level", level, Published::within(59.401, 6e-4, "dB", MONOPOLE));
    // On a baffle the same flow has half the space: twice the pressure.
    let baffled = decibel(monopole_pa(1.2, 440.0, 2e-4, 1.0) / 2.0_f64.sqrt());
    group.add("monopole on a baffle: level", baffled, Published::within(65.422, 6e-4, "dB", MONOPOLE));
    let far = decibel(monopole_pa(1.2, 440.0, 1e-4, 10.0) / 2.0_f64.sqrt());
    group.add("monopole: level at 10 m", far, Published::within(39.401, 6e-4, "dB", MONOPOLE));
    group.checks
}
