//! Results as JSON and CSV for a program, as charts, a report and a booklet for a person.

pub mod assess;
pub mod assumed;
pub mod balance;
#[cfg(feature = "report")]
pub mod card;
#[cfg(feature = "chart")]
pub mod charts;
pub mod fasten;
#[cfg(feature = "report")]
pub mod handout;
pub mod in_short;
pub mod in_words;
pub mod json;
pub mod judged_by_run;
pub mod life;
pub mod listen;
pub mod operation;
#[cfg(feature = "report")]
pub(crate) mod page;
pub mod protocol;
pub mod regap;
pub mod rehearse;
pub mod replace;
#[cfg(feature = "report")]
pub mod report;
pub mod retune;
pub mod rounds;
pub mod schema;
mod serve;
pub mod still_to_measure;
pub mod sweep;
pub mod to_measure;
pub mod wav;
pub mod whatif;
pub mod work;
