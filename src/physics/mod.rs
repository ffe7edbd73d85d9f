//! What nature does: the equations of a free reed, in SI units. Nothing here reads or prints.

pub mod air;
pub mod aperture;
pub mod attack;
pub mod beam;
pub mod coefficients;
pub mod equilibrium;
pub mod linear;
pub mod model;
pub mod onset;
pub mod playable;
mod profile;
mod quadrature;
mod reed;
mod rest;
pub mod sound;
pub mod trace;

pub use air::Air;
pub use beam::Beam;
pub use model::{ReedModel, State};
pub use profile::Profile;
pub use reed::{Chamber, Player, Reed, Slot};
pub use rest::RestShape;

/// A value for which the equations have no meaning.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum InputError {
    /// A quantity that must be above zero is not.
    #[error("{what} is {value}; it must be a finite number above zero")]
    NotPositive {
        /// The quantity and its unit.
        what: &'static str,
        /// The value found.
        value: f64,
    },
    /// A quantity that must not be negative is.
    #[error("{what} is {value}; it must be a finite number, zero or more")]
    Negative {
        /// The quantity and its unit.
        what: &'static str,
        /// The value found.
        value: f64,
    },
    /// Stations along the reed that make no shape.
    #[error("{what}: {why}")]
    Stations {
        /// The quantity given by stations.
        what: &'static str,
        /// What is wrong.
        why: &'static str,
    },
}
