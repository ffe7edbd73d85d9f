//! What the hands do to a reed: each operation as a plan with amounts, what else it changes, and where it becomes
//! dangerous.
//!
//! Every plan is computed on the reed model and applied to it: the changed reed is part of the plan, so that what is
//! promised can be predicted again. Nothing here reads or prints.

pub mod align;
pub mod bend;
mod bounds;
pub mod care;
mod caution;
mod effect;
pub mod fasten;
pub mod life;
mod passes;
pub mod regap;
pub mod replace;
pub mod retune;
pub mod seal;
pub mod sides;
mod steps;

pub use bounds::Bounds;
pub use caution::{Caution, DEFERS};
pub use effect::{EFFECTS, Effect};
pub(crate) use passes::passes;
pub use steps::Steps;
