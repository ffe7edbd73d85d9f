//! Tests of the charts.

#![cfg(feature = "chart")]

mod curves;
mod layout;
mod meaning;
#[cfg(feature = "png")]
mod on_plotters;
mod one_reed;
mod pictures;
#[cfg(feature = "png")]
mod png;
mod support;
mod windows;
