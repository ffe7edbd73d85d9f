//! A whole set for one player: every reed assessed, how even the set is, which tip gap each reed should have, and the work.
//!
//! Each reed has margins ([`MarginOf`]), above zero where it is good, each with an uncertainty from how well the reed was
//! measured and a verdict that is sure, likely, or cannot be told ([`Surety`]).

mod alike;
mod anew;
mod asked;
mod assess;
pub mod balance;
mod blown;
mod cause;
mod clearance;
mod evenness;
mod figure;
mod finding;
mod findings;
mod for_work;
mod group;
mod interval;
mod judged;
mod jump;
mod known;
mod margin;
mod margins;
mod nearby;
mod neighbours;
mod odd;
mod pairs;
pub mod rounds;
mod run;
mod sampled;
mod solution;
mod surety;
mod tool;
mod word;
pub mod work;

pub use anew::{Depth, assess_reed, assess_solved};
pub use asked::{Asked, AskedBy, Limit, Pressures};
pub use assess::{Assessment, Counterpart, Pitch, PitchFrom, ReedAssessment, assess, assess_sampled};
pub use cause::{Cause, Why};
pub use evenness::{OctaveEvenness, Spread, evenness};
pub use figure::{Figure, Figures};
pub use finding::{Finding, IN_TUNE_CENTS};
pub use for_work::{assess_again, assess_for_work};
pub use group::GroupEvenness;
pub use interval::Interval;
pub use jump::{HEARD_DB, Jump, beyond_scatter};
pub use known::{Uncertainties, Uncertainty};
pub use margin::{Against, Margin, MarginOf, Verdict};
pub use margins::LeakCost;
pub use neighbours::Neighbours;
pub use pairs::{Beats, LEVEL_PASSES_DB, PairAssessment, REACH, beats};
pub use run::run_of_neighbours;
pub use surety::{Surety, normal_below};
pub use tool::Tool;
