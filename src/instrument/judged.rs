//! From a reed of a job to its judgement: solved, how well that is known, what is asked of it, what is wrong.

use super::asked::{Asked, Pressures, demand};
use super::assess::{Counterpart, ReedAssessment};
use super::figure::{Figure, Figures};
use super::findings::findings;
use super::known::Uncertainties;
use super::margin::{Against, MarginOf};
use super::margins;
use super::nearby::Nearby;
use super::neighbours::{Neighbours, ODD};
use super::sampled::changes;
use super::solution::Asking;
use crate::sheet::{Feel, Job, JobReed};
use crate::study::changed::tip_gap_m;

/// A reed judged by what is asked of it.
pub(super) fn one_reed(job: &Job, reed: &JobReed, neighbours: &Neighbours, samples: Option<usize>) -> ReedAssessment {
    let mut assessed = known(job, reed, samples);
    assessed.counterpart = counterpart(job, reed).map(|there| {
        let tip_gap_m = tip_gap_m(&there.checked.reed);
        let there = known(job, &there, samples.map(|_| 0));
        Counterpart { figures: there.figures, uncertainties: there.uncertainties, tip_gap_m }
    });
    let there = assessed.counterpart.as_ref().map(|there| &there.figures);
    assessed.asked = asks(job, reed, there, || assessed.figures);
    assessed.says = reed.feel.filter(|_| reed.said_of.is_none());
    assessed.judge(neighbours);
    assessed
}

/// What is asked of a reed beside the figures of its counterpart, its own being what `own` gives.
fn asks(job: &Job, reed: &JobReed, there: Option<&Figures>, own: impl FnOnce() -> Figures) -> Asked {
    let asked = Asked::of(Pressures::of(&job.player, reed.note), demand(&job.player, reed.note), there);
    let Some(feel) = reed.feel else { return asked };
    let said_of = reed.said_of.as_ref().map(|said_of| JobReed { checked: (**said_of).clone(), ..reed.clone() });
    asked.moved(feel, &said_of.map_or_else(own, |said_of| solve(job, &said_of).figures))
}

/// The reed in the target set that is to be as this one, at the note of this one.
fn counterpart(job: &Job, reed: &JobReed) -> Option<JobReed> {
    let there = job.target.as_ref()?.reed(&reed.id)?;
    Some(JobReed { note: reed.note, ..there.clone() })
}

/// The reed of an assessment as work would leave it, judged by what was asked of it before, or by the run that it was judged
/// by; known as well as before.
pub(super) fn changed_reed(
    job: &Job,
    before: &ReedAssessment,
    reed: &JobReed,
    neighbours: &Neighbours,
) -> ReedAssessment {
    let mut assessed = solve(job, reed);
    let leak_m2 = |reed: &JobReed| reed.checked.reed.slot.leak_area_m2;
    let sealed = leak_m2(reed) < leak_m2(&before.reed);
    // A tip that stands wide lets air by as a leak does.
    let closed = tip_gap_m(&reed.checked.reed) < (1.0 - ODD) * tip_gap_m(&before.reed.checked.reed);
    assessed.says = before.says.filter(|feel| *feel == Feel::Airy && !sealed && !closed);
    assessed.leak_cost = before.leak_cost.filter(|_| !sealed);
    (assessed.uncertainties, assessed.counterpart, assessed.asked) =
        (before.uncertainties, before.counterpart, before.asked);
    assessed.judge(neighbours);
    if before.is_judged_by_run() {
        by_run_as_before(before, &mut assessed);
        assessed.findings = findings(&assessed, neighbours);
    }
    assessed
}

/// Margins beside the run of the set, which stays where it is: each moves as its figure does.
fn by_run_as_before(before: &ReedAssessment, after: &mut ReedAssessment) {
    let moved = |figure: Figure| Some(after.figures.get(figure)? - before.figures.get(figure)?);
    for old in before.margins.iter().filter(|margin| margin.against == Against::Run) {
        // A higher end is better, a later start is worse.
        let own = match old.of {
            MarginOf::Hard => moved(Figure::High),
            MarginOf::Time => moved(Figure::Time).map(|later| -later),
            _ => None,
        };
        let by = own.or_else(|| moved(Figure::Onset).map(|later| -later));
        if let Some((by, place)) = by.zip(after.margins.iter().position(|margin| margin.of == old.of)) {
            after.margins[place] = old.moved(by);
        }
    }
}

/// A reed solved, and how well that is known where that is asked; not judged yet.
fn known(job: &Job, reed: &JobReed, samples: Option<usize>) -> ReedAssessment {
    let asked = Asking::of(job, reed);
    let solution = asked.solved();
    let Some(samples) = samples else {
        let mut assessed = asked.assessed(reed, solution);
        margins::add_read_off(&mut assessed);
        return assessed;
    };
    // Without a measured swing nobody asks how well the stress is known.
    let nearby = Nearby::of(&asked, &solution, reed.checked.measured.swing_m.is_some());
    let mut assessed = asked.assessed(reed, solution);
    assessed.leak_cost = margins::leak_cost(&reed.checked, &nearby);
    assessed.uncertainties = Uncertainties::of(&reed.checked, &nearby);
    assessed.samples = changes(&reed.checked, &nearby, reed.line as u64, samples);
    margins::add_read_off(&mut assessed);
    assessed
}

/// A reed solved at the player's pressures; not judged yet.
fn solve(job: &Job, reed: &JobReed) -> ReedAssessment {
    let asked = Asking::of(job, reed);
    asked.assessed(reed, asked.solved())
}
