//! `--report`: what else the report needs, computed from the assessment.

use std::path::Path;

use freereed::instrument::Assessment;
use freereed::instrument::balance::{BalanceOptions, balance};
use freereed::instrument::rounds::{Fit, Rounds};
use freereed::instrument::work::{WorkOptions, work_list};
use freereed::print::report::Report;
use freereed::sheet::Job;

use super::progress;
use crate::cli::failure::Failure;
use crate::cli::today::today;

/// The report on a job that was assessed.
pub fn html(file: &Path, job: &Job, assessment: &Assessment, fit: Option<&Fit>) -> Result<String, Failure> {
    let rounds = Rounds::of(&Job::load_stages(file)?);
    let count = assessment.good_rows().count() as u64;
    let bar = progress(count, "gaps balanced");
    let balance = balance(job, &BalanceOptions::default(), || bar.inc(1));
    bar.finish_and_clear();
    let bar = progress(count, "reeds planned");
    let options = WorkOptions { balance: Some(&balance), ..WorkOptions::default() };
    let work = work_list(job, assessment, &options, || bar.inc(1));
    bar.finish_and_clear();
    let report = Report { job, assessment, balance: &balance, work: &work, rounds: &rounds, fit, date: today() };
    Ok(report.to_html())
}
