//! Tests of the work on one reed.

#[path = "../support/mod.rs"]
mod support;

mod align;
mod bend;
mod care;
mod fasten;
mod life;
mod regap;
mod replace;
mod retune;
mod seal;
