//! What leaks beside the tongue and past its edges, what that costs, and how far sealing is worth while.
//!
//! - [`leak`]: stray leaks of plate, valve and comb, from a slit or from a measurement
//! - [`edges`]: how close the slot's edges should be
//! - [`flatness`]: how flat a plate must lie on its comb
//!
//! The model knows a stray leak as a sharp hole of effective area `A`, `U = A sqrt(2 dp/rho)`. A fine slit lets through
//! in proportion to the pressure instead. Two holes stand for it: one that loses as much air, and one that damps small
//! changes of pressure as much (`dU/dp`), which is what a starting reed feels and is up to twice as large.

pub mod edges;
pub mod flatness;
mod kind;
pub mod leak;
mod onset;
mod steps;

pub use kind::{Law, Reading, felt_over_read};
pub use steps::area;

use crate::physics::InputError;
use crate::sheet::SheetError;
use crate::units::{flow, pascal};

/// A rise of the onset that is not worth mending: 2 %, less than a player can blow twice alike (an assumption).
pub const SMALL_RISE: f64 = 0.02;
/// A rise of the onset that should be mended: 5 % (an assumption).
pub const LARGE_RISE: f64 = 0.05;

/// Why there is no plan.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum SealRefusal {
    /// The leak is not what keeps the reed silent.
    #[error("by the model the reed starts at no pressure up to {:.1} kPa even without any leak: look at gap, clearance and the tongue first (predict, align, seal edges)", 1e-3 * .limit_pa)]
    SilentWithoutLeak {
        /// Highest pressure searched (Pa).
        limit_pa: f64,
    },
    /// A leak-down in which the pressure did not fall.
    #[error("the pressure did not fall: from {from_pa} Pa to {to_pa} Pa; give the higher pressure first")]
    DidNotFall {
        /// Pressure at the start (Pa).
        from_pa: f64,
        /// Pressure at the end (Pa).
        to_pa: f64,
    },
    /// Two readings that do not tell a law.
    #[error(
        "{} at {} and {} at {}: the flow must rise with the pressure, the first reading at the higher; best is a quarter of the \
         pressure for the second",
        flow(.flows_m3_s.0), pascal(.pressures_pa.0), flow(.flows_m3_s.1), pascal(.pressures_pa.1)
    )]
    NoLaw {
        /// Flows (m3/s).
        flows_m3_s: (f64, f64),
        /// Pressures (Pa).
        pressures_pa: (f64, f64),
    },
    /// No clearance tried lets the reed start.
    #[error("by the model the reed starts at no clearance between {:.3} and {:.3} mm: look at its gap and leaks first (predict, seal leak)", 1e3 * .closest_m, 1e3 * .widest_m)]
    SilentAtAnyClearance {
        /// Closest clearance tried (m).
        closest_m: f64,
        /// Widest tried (m).
        widest_m: f64,
    },
    /// A value that the reed's keys do not admit.
    #[error(transparent)]
    Sheet(#[from] SheetError),
    /// A value for which the equations have no meaning.
    #[error(transparent)]
    Input(#[from] InputError),
}
