//! What the hands do to a reed: each operation as a plan with amounts, what else it changes, and where it becomes
//! dangerous.
//!
//! Every plan is computed on the reed model and applied to it: the changed reed is part of the plan, so that what is
//! promised can be predicted again. Nothing here reads or prints.

pub mod align;
mod caution;
mod effect;
mod passes;
pub mod seal;
pub mod sides;
mod steps;

pub use caution::{Caution, DEFERS};
pub use effect::{EFFECTS, Effect};
pub(crate) use passes::passes;
pub use steps::Steps;
