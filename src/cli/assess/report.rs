//! `--report`: what else the report needs, computed from the assessment.

use std::path::Path;

use freereed::instrument::Assessment;
use freereed::instrument::balance::BalanceOptions;
use freereed::instrument::rounds::{Fit, Rounds};
use freereed::print::report::Report;
use freereed::sheet::Job;

use crate::cli::balance::{balanced, planned};
use crate::cli::failure::Failure;
use crate::cli::today::today;

/// The report on a job that was assessed.
pub fn html(file: &Path, job: &Job, assessment: &Assessment, fit: Option<&Fit>) -> Result<String, Failure> {
    let rounds = Rounds::of(&Job::load_stages(file)?);
    let balance = balanced(job, assessment, &BalanceOptions::default());
    let work = planned(job, assessment, &balance, &[]);
    let report = Report { job, assessment, balance: &balance, work: &work, rounds: &rounds, fit, date: today() };
    Ok(report.to_html())
}
