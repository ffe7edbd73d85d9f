//! What is heard in recordings, against sounds whose answers are known.

mod attack;
#[cfg(feature = "cli")]
#[path = "../cli_support/mod.rs"]
mod cli_support;
#[cfg(feature = "cli")]
mod command;
mod decay;
mod files;
mod pitch;
mod session;
mod together;
mod tone;
