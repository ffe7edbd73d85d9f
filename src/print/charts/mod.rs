//! Results as charts: from what was computed to the plain values each picture shows.

mod set;

pub use set::{CHART_FILES, charts};
