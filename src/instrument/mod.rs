//! A whole set for one player: every reed assessed, how even the set is, and which tip gap each reed should have.

mod assess;
pub mod balance;
mod cause;
mod evenness;
mod finding;
pub mod rounds;
pub mod work;

pub use assess::{Assessment, Pitch, PitchFrom, Pressures, ReedAssessment, assess};
pub use cause::{Cause, Neighbours};
pub use evenness::{OctaveEvenness, Spread, evenness};
pub use finding::{Finding, IN_TUNE_CENTS};
