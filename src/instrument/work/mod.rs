//! The work that a set needs: for every reed that has something wrong the one operation that is next, all of them in the
//! order in which to do them.
//!
//! Every operation that could help is planned by the [`workshop`](crate::workshop) and tried on the model: the reed as it
//! would be is assessed as the reed is. What an operation is worth is how much less is missing then,
//!
//! ```text
//! gain = L_before - L_after,   L = sum over soft, hard, time, pitch, centred, run of x^2/(1 + x^2)
//! ```
//!
//! with `x` each demand over its limit ([`Demands`]): a demand that was not met at all and is then met with ample room is a
//! gain of about 1. The operations are ranked by gain for each minute, at the job's own [`Rates`](crate::sheet::Rates).
//!
//! Of one reed the next is taken among those that mend something and that nothing else does faster; of several such the one
//! whose [`Stage`] is earliest, as what disturbs other work comes first: numbers, then tongue and fastening, then slot and
//! leaks, then pitch, then the final gap. The reed as it is then is looked at again, until nothing is wrong or nothing
//! helps: the later operations are planned on it, and counted.

mod candidate;
mod candidates;
mod choice;
mod list;
mod one;
mod words;
mod worth;

pub use candidate::{Candidate, Outcome, Plan, Refused, Remeasure, Stage};
pub use list::WorkList;
pub use one::{ReedWork, Round};
pub use worth::Demands;

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::assess::{Assessment, ReedAssessment};
use super::balance::{Balance, BalanceOptions, Verdict};
use super::cause::Neighbours;
use crate::sheet::Job;

/// What the work is to reach, and what there is to do it with.
#[derive(Debug, Clone, Default)]
pub struct WorkOptions<'a> {
    /// The gaps of the set: where a reed is bent, it is bent to the gap it is given. Without them to the run of its
    /// neighbours, or to what suits best.
    pub balance: Option<&'a Balance>,
    /// Whether every reed is to be bent to the gap it is given, also where nothing is wrong.
    pub even: bool,
    /// Thicknesses of strip in stock for new tongues (m); without any, as the old tongue is.
    pub strips_m: Vec<f64>,
}

/// What the work on one reed is judged by.
pub(super) struct Bench<'a> {
    job: &'a Job,
    neighbours: Neighbours,
    /// Gap (m) that each reed is given, and whether it is to be bent there.
    given: BTreeMap<&'a str, (f64, bool)>,
    strips_m: &'a [f64],
    /// Step of the feelers, to which a gap is rounded (m).
    feeler_m: f64,
}

impl Bench<'_> {
    /// The gap that the run of the set has for a reed (m).
    fn run_gap_m(&self, reed: &ReedAssessment) -> Option<f64> {
        let given = self.given.get(reed.reed.id.as_str()).map(|given| given.0);
        given.or_else(|| self.neighbours.gap_m(reed.reed.note))
    }

    /// Whether the set asks for another gap whatever else is wrong.
    fn is_to_be_bent(&self, reed: &ReedAssessment) -> bool {
        self.given.get(reed.reed.id.as_str()).is_some_and(|given| given.1)
    }
}

/// Plans the work of a job that was assessed, on all cores; `done` is called after each reed.
pub fn work_list(job: &Job, assessment: &Assessment, options: &WorkOptions<'_>, done: impl Fn() + Sync) -> WorkList {
    let balanced = options.balance.into_iter().flat_map(Balance::good_rows);
    let given =
        balanced.map(|reed| (reed.id.as_str(), (reed.wanted.gap_m, options.even && reed.verdict == Verdict::Regap)));
    let feeler_m = options.balance.map_or_else(|| BalanceOptions::default().step_m(job), |balance| balance.step_m);
    let (neighbours, strips_m) = (Neighbours::of(job), &options.strips_m[..]);
    let bench = Bench { job, neighbours, given: given.collect(), strips_m, feeler_m };
    let one = |reed: &ReedAssessment| {
        let work = ReedWork::plan(&bench, reed);
        done();
        work
    };
    // Each reed is costly or nothing at all: shared out one by one.
    let rows: Vec<&ReedAssessment> = assessment.good_rows().collect();
    let reeds: Vec<ReedWork> = rows.par_iter().with_max_len(1).map(|reed| one(reed)).collect();
    WorkList::of(reeds, assessment.bad_rows().count(), assessment.not_measured().count())
}
