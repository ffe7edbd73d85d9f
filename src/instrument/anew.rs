//! A set assessed reed by reed: what has changed is solved anew, all else is only judged beside its new neighbours.
//!
//! What comes out is what [`assess`](super::assess()) gives; only the order of the work is another, and a reed that did not
//! change is not solved again.

use super::assess::{Assessment, ReedAssessment, as_a_set};
use super::judged::one_reed;
use super::neighbours::Neighbours;
use crate::sheet::{Job, JobReed, RowError};

/// How far a reed is solved.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Depth {
    /// As if it were known exactly: a tenth of the work.
    Quick,
    /// With how sure it is, as [`assess`](super::assess()) does.
    Sure,
}

/// One reed of a job, judged by itself: not yet as one of a set that may fail its player alike.
pub fn assess_reed(job: &Job, reed: &JobReed, depth: Depth) -> ReedAssessment {
    one_reed(job, reed, &Neighbours::of(job), (depth == Depth::Sure).then_some(0))
}

/// The set of what [`assess_reed`] gave for each row, those too that were solved under other neighbours: they are judged
/// beside the present ones.
pub fn assess_solved(job: &Job, solved: Vec<Result<ReedAssessment, RowError>>) -> Assessment {
    let neighbours = Neighbours::of(job);
    let judged = |mut row: Result<ReedAssessment, RowError>| {
        row.iter_mut().for_each(|reed| reed.judge(&neighbours));
        row
    };
    let reeds = solved.into_iter().map(judged).collect();
    as_a_set(job, &neighbours, reeds)
}
