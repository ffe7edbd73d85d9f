//! What nature does: the equations of a free reed, in SI units. Nothing here reads or prints.

pub mod air;
pub mod aperture;
pub mod attack;
pub mod beam;
pub mod bending;
pub mod coefficients;
mod condensed;
mod crossing;
pub mod dynamic_range;
pub mod equilibrium;
mod input;
pub mod ladder;
pub mod linear;
pub mod model;
pub mod onset;
pub mod playable;
mod profile;
mod quadrature;
mod reed;
mod rest;
pub mod sound;
pub mod steady;
pub mod trace;
mod widths;

pub use air::Air;
pub use beam::Beam;
pub(crate) use crossing::crossing;
pub use input::InputError;
pub use model::{ReedModel, State};
pub use profile::Profile;
pub use reed::{Chamber, Coefficients, Player, Reed, Slot};
pub use rest::RestShape;
pub(crate) use rest::monotone_cubic;
