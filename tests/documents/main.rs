//! Tests of what is read by people: the booklet, the README, the examples.

#[path = "../support/mod.rs"]
mod support;

#[cfg(feature = "chart")]
mod examples;
#[cfg(feature = "report")]
mod handout;
#[cfg(feature = "cli")]
mod readme;
