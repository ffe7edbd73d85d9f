//! Results as charts: from what was computed to the plain values each picture shows.

mod attack;
mod bench;
mod set;
mod spectrum;
mod swing;
mod words;

pub use attack::attack_chart;
pub use bench::bench_view;
pub use set::{CHART_FILES, charts};
pub use spectrum::spectrum_chart;
pub use swing::{filing_chart, mode_chart};
