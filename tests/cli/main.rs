//! Tests of the program as it is called.

#![cfg(feature = "cli")]

#[path = "../support/mod.rs"]
mod support;
/// Sounds whose answers are known.
#[allow(dead_code)]
#[path = "../listen/tone.rs"]
mod tone;

mod align;
mod assess;
mod attack;
mod balance;
mod calls;
mod care;
mod charts;
#[cfg(feature = "page")]
mod ear;
mod errors;
mod extremes;
mod fasten;
mod handout;
mod in_short;
#[cfg(unix)]
mod job_folder;
mod life;
mod listen;
#[cfg(feature = "page")]
mod music;
mod new;
mod of_job;
#[cfg(feature = "page")]
mod page;
mod predict;
mod protocol;
mod regap;
mod rehearse;
mod replace;
mod report;
mod retune;
mod rounds;
mod schema;
mod seal;
mod sweep;
mod whatif;
mod worklist;
