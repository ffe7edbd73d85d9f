//! Every reed of a job judged for less: what work is planned on.

use rayon::prelude::*;

use super::alike;
use super::assess::{Assessment, ReedAssessment, as_a_set, of_reeds};
use super::judged::one_reed;
use super::neighbours::Neighbours;
use crate::sheet::{Job, JobReed, RowError};

/// As [`assess`](super::assess()) for less work, by telling how sure it is only of reeds with which something is wrong, or of all where the set
/// fails its player alike: what work is planned on. Every other reed is judged as if it were known exactly, but for what is
/// read off it, pitch and clearance.
pub fn assess_for_work(job: &Job, done: impl Fn() + Sync) -> Assessment {
    let neighbours = Neighbours::of(job);
    let reeds = for_work(job, &neighbours, |_| None, |reeds| alike::failing(reeds).is_some(), done);
    as_a_set(job, &neighbours, reeds)
}

/// As [`assess_for_work`], where other is asked of reeds that were assessed so before: those of which still the `same` is asked are
/// taken over. What is asked stands, however many reeds fail it: each is judged by that, none by the run of the set.
pub fn assess_again(
    job: &Job,
    before: &Assessment,
    same: impl Fn(&ReedAssessment) -> bool + Sync,
    done: impl Fn() + Sync,
) -> Assessment {
    // What was judged by the run of its set is judged anew.
    let known = |line: usize| {
        let reeds = Some(before).filter(|before| before.fail_alike.is_none()).into_iter();
        reeds.flat_map(Assessment::good_rows).find(|reed| reed.reed.line == line && same(reed))
    };
    let reeds = for_work(job, &Neighbours::of(job), known, |_| false, done);
    of_reeds(job, reeds, None)
}

/// Reeds by their lines known or else judged, and how sure that is where something is wrong or `all` of them are looked at.
fn for_work<'a>(
    job: &Job,
    neighbours: &Neighbours,
    known: impl Fn(usize) -> Option<&'a ReedAssessment> + Sync,
    all: impl Fn(&[Result<ReedAssessment, RowError>]) -> bool,
    done: impl Fn() + Sync,
) -> Vec<Result<ReedAssessment, RowError>> {
    let one = |entry: &Result<JobReed, RowError>| {
        let assessed = entry.as_ref().map_err(Clone::clone).map(|reed| match known(reed.line) {
            Some(known) => known.clone(),
            None => one_reed(job, reed, neighbours, None),
        });
        done();
        assessed
    };
    let mut reeds: Vec<_> = job.reeds.par_iter().map(one).collect();
    let all = all(&reeds);
    let new = |reed: &&mut ReedAssessment| all || !reed.findings.is_empty() && known(reed.reed.line).is_none();
    reeds.par_iter_mut().flatten().filter(new).for_each(|assessed| {
        *assessed = one_reed(job, &assessed.reed, neighbours, Some(0));
    });
    reeds
}
