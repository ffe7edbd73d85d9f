//! How long a tongue warmed by the file takes to cool: a lumped estimate with bounds.
//!
//! Heat leaves through both faces to the air and through the root to the plate:
//!
//! ```text
//! 1/tau = 2 U/(rho c h) + pi^2 a/(4 L^2)
//! ```
//!
//! (first mode of a bar held at one end; any textbook on heat transfer, from memory). The heat capacity of reed metals
//! per volume is within 3.2 to 4.0 MJ/(m3 K) (Dulong and Petit's law gives 3.5 for copper); still air takes 5 to 25
//! W/(m2 K) (the usual range of free convection, from memory). A perfect root of brass is the quickest (`a` 40 mm2/s), one
//! that lets no heat through the slowest.

use std::f64::consts::PI;

use super::standing::{STATED_AT_C, Standing};
use super::work::Work;
use crate::sheet::CheckedReed;
use crate::sheet::notes;

const HEAT_CAPACITY_J_M3_K: (f64, f64) = (3.2e6, 4.0e6);
const TO_AIR_W_M2_K: (f64, f64) = (5.0, 25.0);
const DIFFUSIVITY_M2_S: f64 = 4.0e-5;
/// How warm a few strokes and a finger make a tongue (K): assumed.
const FILED_K: f64 = 15.0;
/// And melting solder: 220 degC or so.
const SOLDERED_K: f64 = 200.0;
/// Over which the change with temperature is taken (K).
const OVER_K: f64 = 15.0;
/// Cents that may be left when measuring.
const LEFT_CENTS: f64 = 0.5;
/// Change of pitch of a metal of which nothing is known (cents/K): that of brass, the largest.
const USUAL_CENTS_PER_K: f64 = -0.37;

/// How a warmed tongue cools.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settling {
    /// Shortest and longest time in which the warmth falls to 37 % (s).
    pub time_constant_s: (f64, f64),
    /// Change of pitch with the temperature of the reed (cents/K).
    pub cents_per_k: f64,
    /// How warm the work is taken to make it (K).
    pub warmed_k: f64,
    /// How long to wait before measuring (s): until half a cent is left, cooling at the slowest.
    pub wait_s: f64,
}

impl Settling {
    pub(super) fn of(checked: &CheckedReed, standing: &Standing, work: &Work) -> Self {
        let beam = &checked.reed.beam;
        let thickness_m = beam.mass_kg() / (beam.density_kg_m3 * beam.length_m * beam.width_m.at(0.5 * beam.length_m));
        let by_air = |air: f64, capacity: f64| 2.0 * air / (capacity * thickness_m);
        let by_root = PI * PI * DIFFUSIVITY_M2_S / (4.0 * beam.length_m.powi(2));
        let fast_s = 1.0 / (by_air(TO_AIR_W_M2_K.1, HEAT_CAPACITY_J_M3_K.0) + by_root);
        let slow_s = 1.0 / by_air(TO_AIR_W_M2_K.0, HEAT_CAPACITY_J_M3_K.1);
        let cents_per_k = cents_per_k(&standing.playing).unwrap_or(USUAL_CENTS_PER_K);
        let warmed_k = match *work {
            Work::Weigh { mass_kg } if mass_kg > 0.0 => SOLDERED_K,
            _ => FILED_K,
        };
        let wait_s = slow_s * (warmed_k * cents_per_k.abs() / LEFT_CENTS).ln().max(0.0);
        Self { time_constant_s: (fast_s, slow_s), cents_per_k, warmed_k, wait_s }
    }
}

/// By the model; nothing where it is not known how the metal follows temperature.
fn cents_per_k(checked: &CheckedReed) -> Option<f64> {
    let celsius = checked.temperature_c.unwrap_or(STATED_AT_C);
    let warmer = checked.with("temperature_c", celsius + OVER_K).ok()?;
    let pluck = |reed: &CheckedReed| reed.reed.beam.modes(1)[0].frequency_hz;
    Some(notes::cents(pluck(&warmer), pluck(checked)) / OVER_K)
}
