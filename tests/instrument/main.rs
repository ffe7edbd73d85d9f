//! Tests of whole sets, the demo and its weeks among them.

#[path = "../support/mod.rs"]
mod support;

mod balance;
mod coverage;
mod demo;
mod findings;
mod first_sheets;
#[cfg(feature = "report")]
mod one_gap;
mod rounds;
mod set;
mod starter;
mod weeks;
mod work;
