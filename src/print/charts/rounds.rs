//! What was expected and what was measured over the rounds of a job, as a chart.

use super::set::set_name;
use crate::chart::RoundsChart;
use crate::instrument::rounds::{Rounds, legend};
use crate::physics::coefficients::MODEL_VERSION;
use crate::sheet::Job;

/// Every measurement of every round beside what was expected of it.
pub fn rounds_chart<'a>(job: &Job, rounds: &'a Rounds) -> RoundsChart<'a> {
    let words = legend(&rounds.rows).unwrap_or_default();
    RoundsChart {
        set_name: set_name(job),
        rounds: &rounds.rows,
        small_print: format!("{words} Model {MODEL_VERSION}.").trim_start().to_owned(),
    }
}
