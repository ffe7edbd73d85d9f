//! A whole set for one player: every reed assessed, and how even the set is.

mod assess;
mod cause;
mod evenness;
mod finding;
pub mod rounds;

pub use assess::{Assessment, Pitch, PitchFrom, Pressures, ReedAssessment, assess};
pub use cause::{Cause, Neighbours};
pub use evenness::{OctaveEvenness, Spread, evenness};
pub use finding::{Finding, IN_TUNE_CENTS};
