//! Results as JSON and CSV for a program, and as charts for a person.

pub mod assess;
#[cfg(feature = "chart")]
pub mod charts;
pub mod fasten;
pub mod json;
pub mod life;
pub mod operation;
pub mod sweep;
pub mod wav;
pub mod whatif;
