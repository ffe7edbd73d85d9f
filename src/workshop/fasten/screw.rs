//! What a screw's torque presses with, and how much torque it bears.
//!
//! `T = K F d`: torque, nut factor, clamp force, thread diameter (J. H. Bickford, *Introduction to the Design and Behavior of
//! Bolted Joints*, from memory). `K` is about 0.2 for dry, clean threads and scatters by some 30 % from screw to screw: with
//! a torque driver the clamp force is known no better than that.

use crate::workshop::Bounds;

/// Nut factor of dry threads; its scatter, either way, is 30 % (from memory).
pub const NUT_FACTOR: f64 = 0.2;
/// Bounds of the nut factor.
pub const NUT_FACTORS: Bounds = Bounds::new(0.7 * NUT_FACTOR, 1.3 * NUT_FACTOR);

/// Yield strength of the softest usual screw (Pa): stainless steel A2-50 of ISO 3506-1 (from memory).
pub const SOFT_SCREW_PA: f64 = 210e6;
/// Yield strength of a soft brass plate (Pa): CuZn37, temper R350, the softest of the alloy table.
pub const SOFT_PLATE_PA: f64 = 170e6;

/// Of the circumference times the length in the plate, what of the plate's thread must shear for it to strip. The upper
/// end is that of nominal sizes, `(p/2 + 0.57735 (d - d_2))/p` with `d_2 = d - 0.6495 p` (*Machinery's Handbook* after
/// FED-STD-H28, from memory); the lower a worn or widely drilled hole.
const THREAD_SHARES: Bounds = Bounds::new(0.5, 0.875);

/// Diameter and pitch of coarse metric threads, mm (ISO 261, from memory).
const COARSE: [(f64, f64); 13] = [
    (1.0, 0.25),
    (1.2, 0.25),
    (1.4, 0.3),
    (1.6, 0.35),
    (1.8, 0.35),
    (2.0, 0.4),
    (2.2, 0.45),
    (2.5, 0.45),
    (3.0, 0.5),
    (3.5, 0.6),
    (4.0, 0.7),
    (5.0, 0.8),
    (6.0, 1.0),
];

/// A metric thread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Screw {
    /// Outer diameter `d` of the thread (m).
    pub diameter_m: f64,
    /// Pitch `p` of the thread (m).
    pub pitch_m: f64,
}

/// A screw, what it sits in, and how hard it is turned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tightening {
    /// The thread.
    pub screw: Screw,
    /// Torque at the head (N m), where it is known.
    pub torque_n_m: Option<f64>,
    /// Yield strength of the screw (Pa); none: [`SOFT_SCREW_PA`] is assumed.
    pub screw_yield_pa: Option<f64>,
    /// Yield strength of what holds the thread (Pa); none: [`SOFT_PLATE_PA`] is assumed.
    pub plate_yield_pa: Option<f64>,
    /// Length of thread in engagement (m); none: the plate's thickness.
    pub thread_m: Option<f64>,
}

impl Screw {
    /// A thread by its name: `M1.4` with its coarse pitch, `M1.4x0.2` with any other. Nothing for anything else.
    ///
    /// ```
    /// use freereed::workshop::fasten::Screw;
    /// assert!((Screw::named("M1.6").unwrap().pitch_m - 0.35e-3).abs() < 1e-12);
    /// assert_eq!(Screw::named("M1.7"), None);
    /// ```
    pub fn named(name: &str) -> Option<Self> {
        let sizes = name.trim().strip_prefix(['M', 'm'])?;
        let number = |text: &str| text.parse::<f64>().ok().filter(|mm| (0.1..=12.0).contains(mm));
        let (diameter, pitch) = match sizes.split_once(['x', 'X']) {
            Some((diameter, pitch)) => (number(diameter)?, number(pitch)?),
            None => {
                let diameter = number(sizes)?;
                *COARSE.iter().find(|row| row.0 == diameter)?
            }
        };
        (pitch < 0.5 * diameter).then_some(Self { diameter_m: 1e-3 * diameter, pitch_m: 1e-3 * pitch })
    }

    /// Names of the coarse threads known.
    pub fn known() -> Vec<String> {
        COARSE.iter().map(|(diameter, _)| format!("M{diameter}")).collect()
    }

    /// Clamp force of a torque (N), `F = T/(K d)`, at the usual nut factor.
    pub fn usual_clamp_n(&self, torque_n_m: f64) -> f64 {
        torque_n_m / (NUT_FACTOR * self.diameter_m)
    }

    /// The same with the scatter of the nut factor.
    pub fn clamp_n(&self, torque_n_m: f64) -> Bounds {
        let clamp = |nut_factor: f64| torque_n_m / (nut_factor * self.diameter_m);
        Bounds::new(clamp(NUT_FACTORS.high), clamp(NUT_FACTORS.low))
    }

    /// Stress area of the thread (m2), `pi/4 (d - 0.9382 p)^2` (ISO 898-1).
    pub fn stress_area_m2(&self) -> f64 {
        std::f64::consts::FRAC_PI_4 * (self.diameter_m - 0.938_2 * self.pitch_m).powi(2)
    }

    /// Diameter of the core (m), `d - 1.2269 p` (ISO 68-1).
    pub fn core_m(&self) -> f64 {
        self.diameter_m - 1.226_9 * self.pitch_m
    }
}

/// The most torque that surely does no harm, and what it spares.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TorqueLimit {
    /// Torque (N m) at which the screw begins to yield: pulled with the lowest nut factor, or twisted by the whole torque
    /// where it binds in its thread, whichever comes first.
    pub screw_n_m: f64,
    /// The same for the thread of the plate, at its least area.
    pub thread_n_m: f64,
}

impl TorqueLimit {
    /// The smaller of the two (N m).
    pub fn least_n_m(&self) -> f64 {
        self.screw_n_m.min(self.thread_n_m)
    }
}

impl Tightening {
    /// The most torque that surely does no harm: a lower bound of what strips the thread, stretches the screw or twists its
    /// core, both metals taken as soft as is usual unless stated, the nut factor as low as it scatters. Shear strengths are
    /// yield strengths over `sqrt 3` (von Mises).
    pub fn limit(&self, plate_thickness_m: f64) -> TorqueLimit {
        let screw = &self.screw;
        let torque = |clamp_n: f64| NUT_FACTORS.low * clamp_n * screw.diameter_m;
        let thread_m = self.thread_m.unwrap_or(plate_thickness_m);
        let screw_pa = self.screw_yield_pa.unwrap_or(SOFT_SCREW_PA);
        let plate_pa = self.plate_yield_pa.unwrap_or(SOFT_PLATE_PA);
        let sheared_m2 = THREAD_SHARES.low * std::f64::consts::PI * screw.diameter_m * thread_m;
        let twisted_n_m = shear(screw_pa) * std::f64::consts::PI * screw.core_m().powi(3) / 16.0;
        TorqueLimit {
            screw_n_m: torque(screw_pa * screw.stress_area_m2()).min(twisted_n_m),
            thread_n_m: torque(shear(plate_pa) * sheared_m2),
        }
    }
}

/// Shear strength of a metal that yields at `yield_pa` in tension.
fn shear(yield_pa: f64) -> f64 {
    yield_pa / 3.0_f64.sqrt()
}
