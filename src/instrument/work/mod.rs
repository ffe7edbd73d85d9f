//! The work that a set needs: for every reed that has something wrong, or that [`balance`](super::balance) bends, the one
//! operation that is next, all of them in the order in which to do them.
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
//! whose [`Stage`] is earliest: first what costs little and tells much, then what disturbs other work: tongue and fastening,
//! slot and leaks, pitch, the final gap. The reed as it is then is looked at again, until nothing is wrong or nothing
//! helps: the later operations are planned on it, and counted. A new tongue is fitted only where no such route without one
//! makes the reed speak as it should. What is less than likely, of any but a silent reed, is no work.

mod candidate;
mod candidates;
mod choice;
mod list;
mod one;
mod words;
mod worth;

pub use candidate::{Candidate, Outcome, Plan, Refused, Remeasure, Stage, Suspicion};
pub use candidates::to_its_note;
pub use list::WorkList;
pub use one::{ReedWork, Round};
pub use worth::Demands;

use rayon::prelude::*;

use super::assess::{Assessment, ReedAssessment};
use super::balance::{Balance, ReedBalance};
use super::neighbours::Neighbours;
use crate::sheet::Job;

/// What the work on one reed is judged by.
pub(super) struct Bench<'a> {
    job: &'a Job,
    neighbours: Neighbours,
    balance: &'a Balance,
    tongues: Tongues<'a>,
}

impl Bench<'_> {
    /// The gap that the set gives a reed.
    fn given(&self, reed: &ReedAssessment) -> Option<&ReedBalance> {
        self.balance.reed(&reed.reed.id)
    }

    /// That gap (m).
    fn wanted_m(&self, reed: &ReedAssessment) -> Option<f64> {
        self.given(reed).map(|given| given.wanted.gap_m)
    }

    /// Whether the set asks for another gap.
    fn is_to_be_bent(&self, reed: &ReedAssessment) -> bool {
        self.given(reed).is_some_and(ReedBalance::is_to_be_bent)
    }
}

/// Plans the work of a job that was assessed and balanced, on all cores; `done` is called after each reed. A reed is bent to
/// the gap that the set gives it, and only where that is to be done. `strips_m` are the thicknesses of strip in stock for new
/// tongues (m); without any, a new one is as the old.
pub fn work_list(
    job: &Job,
    assessment: &Assessment,
    balance: &Balance,
    strips_m: &[f64],
    done: impl Fn() + Sync,
) -> WorkList {
    let tongues = Tongues::NewAtLast { strips_m };
    let reeds = work_on(job, assessment, balance, tongues, |_| true, done);
    WorkList::of(reeds, assessment.bad_rows().count(), assessment.not_measured().count())
}

/// Whether new tongues are fitted.
#[derive(Debug, Clone, Copy)]
pub enum Tongues<'a> {
    /// None is.
    Kept,
    /// Where no other work does, of strip in stock of these thicknesses (m); without any, a new one is as the old.
    NewAtLast {
        /// Thicknesses (m).
        strips_m: &'a [f64],
    },
}

/// As [`work_list`], of some reeds alone, in the order of the sheet.
pub fn work_on(
    job: &Job,
    assessment: &Assessment,
    balance: &Balance,
    tongues: Tongues<'_>,
    these: impl Fn(&ReedAssessment) -> bool,
    done: impl Fn() + Sync,
) -> Vec<ReedWork> {
    let bench = Bench { job, neighbours: Neighbours::of(job), balance, tongues };
    let one = |reed: &ReedAssessment| {
        let work = ReedWork::plan(&bench, reed);
        done();
        work
    };
    // Each reed is costly or nothing at all: shared out one by one.
    let rows: Vec<&ReedAssessment> = assessment.good_rows().filter(|reed| these(reed)).collect();
    rows.par_iter().with_max_len(1).map(|reed| one(reed)).collect()
}
