//! Results as charts: from what was computed to the plain values each picture shows.

mod attack;
mod balance;
mod bench;
mod levels;
mod pictures;
mod rehearsal;
mod rounds;
mod set;
mod softest;
mod spectrum;
mod sustained;
mod sweep;
mod swing;
mod windows;
mod words;

pub use attack::attack_chart;
pub use balance::gaps_chart;
pub use bench::bench_view;
pub use levels::levels_chart;
pub use pictures::{PICTURES, Pictures};
pub use rehearsal::rehearsal_chart;
pub use rounds::rounds_chart;
pub use set::{CHART_FILES, charts};
pub use softest::softest_chart;
pub use spectrum::spectrum_chart;
pub use sustained::{level_chart, pitch_curve_chart};
pub use sweep::sweep_chart;
pub use swing::{filing_chart, mode_chart};
pub use windows::{change_chart, gap_chart, map_chart, response_chart};
