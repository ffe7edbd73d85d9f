//! Which of the operations that could be next is next.

use super::super::balance::LEAST_GAIN;
use super::candidate::{Candidate, Outcome};
use crate::sheet::Operation;

/// Of some candidates, the gain for each minute falling, the one to do next.
///
/// Of those that mend something and spoil nothing, one is out when another mends all that it mends and gains more for each
/// minute; but a bend, which could make up for a leak or a loose tongue, puts out only a new tongue. Of those left, the
/// earliest stage is next, and within a stage the most gain for each minute. Where nothing mends anything alone, the earliest
/// stage of those that bring the reed nearer is next; a new tongue is not fitted for that.
pub(super) fn next(ranked: &[Candidate]) -> Option<usize> {
    let outcome = |index: usize| ranked[index].outcome.as_ref();
    let worth = |index: &usize| outcome(*index).is_some_and(|it| it.gain > LEAST_GAIN && it.spoils.is_empty());
    let mending: Vec<usize> = (0..ranked.len())
        .filter(worth)
        .filter(|&index| outcome(index).is_some_and(|it| !it.mends.is_empty()))
        .collect();
    let covers = |a: &Outcome, b: &Outcome| b.mends.iter().all(|kind| a.mends.contains(kind));
    // Ranked: whatever gains more for each minute stands before.
    let beaten = |index: usize| {
        let before = mending.iter().take_while(|&&other| other < index);
        let puts_out = |other: &&usize| {
            ranked[**other].operation() != Operation::Regap || ranked[index].operation() == Operation::Replace
        };
        let before = before.filter(puts_out);
        before.filter_map(|&other| outcome(other)).any(|other| outcome(index).is_some_and(|it| covers(other, it)))
    };
    let left = mending.iter().copied().filter(|&index| !beaten(index));
    // The first of equal stages: the one that gains most for each minute.
    left.min_by_key(|&index| ranked[index].stage()).or_else(|| {
        let nearer = (0..ranked.len()).filter(worth);
        nearer.filter(|&index| ranked[index].operation() != Operation::Replace).min_by_key(|&i| ranked[i].stage())
    })
}
