//! The run of the set: what a reed's neighbours in pitch would have in its place.

use super::assess::ReedAssessment;
use super::figure::Figure;
use super::known::Uncertainty;
use crate::trend::{Trend, median};

/// So many reeds nearest in pitch make the run.
pub(super) const NEIGHBOURS: usize = 8;

/// How far a figure of a reed is from the run of its neighbours.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OffRun {
    /// Off the run, in the measure of the figure.
    pub off: f64,
    /// How far that may be off: what all have in common cancels.
    pub uncertainty: Uncertainty,
}

/// How far each of `reeds` is from the run of its neighbours: a robust straight line over pitch through the eight nearest
/// others. Nothing where the reed has no such figure or too few neighbours have it.
pub(super) fn off_runs(figure: Figure, reeds: &[&ReedAssessment]) -> Vec<Option<OffRun>> {
    (0..reeds.len()).map(|place| off_run(figure, place, reeds)).collect()
}

fn off_run(figure: Figure, place: usize, reeds: &[&ReedAssessment]) -> Option<OffRun> {
    let point = |reed: &&ReedAssessment| (f64::from(reed.reed.note.midi()), reed.figures.get(figure));
    let points: Vec<_> = reeds.iter().map(point).collect();
    let off = points[place].1? - run_of_neighbours(place, &points)?;
    let known: Vec<&Uncertainty> =
        nearest(place, &points).into_iter().map(|other| reeds[other].uncertainties.get(figure)).collect();
    let uncertainty = reeds[place].uncertainties.get(figure).of_difference(&of_middle(&known));
    Some(OffRun { off, uncertainty })
}

/// What the run has in the place of one of several values, each with the MIDI number of its reed: a robust straight line over
/// pitch through the eight nearest others. Nothing where too few are known.
pub fn run_of_neighbours(place: usize, points: &[(f64, Option<f64>)]) -> Option<f64> {
    let others: Vec<_> = nearest(place, points).into_iter().filter_map(|k| Some((points[k].0, points[k].1?))).collect();
    Some(Trend::through(&others)?.at(points[place].0))
}

/// The places of those whose values are known nearest in pitch to one of them.
fn nearest(place: usize, points: &[(f64, Option<f64>)]) -> Vec<usize> {
    let mut others: Vec<usize> = (0..points.len()).filter(|&k| k != place && points[k].1.is_some()).collect();
    let apart = |k: &usize| (points[*k].0 - points[place].0).abs();
    others.sort_by(|a, b| apart(a).total_cmp(&apart(b)));
    others.truncate(NEIGHBOURS);
    others
}

/// Of the middle of several values: the middle of what each tool adds, and for the rest the variance of a median of as many
/// alike, `pi/2` of that of their mean.
fn of_middle(known: &[&Uncertainty]) -> Uncertainty {
    let middle =
        |value: &dyn Fn(&Uncertainty) -> f64| median(known.iter().map(|one| value(one)).collect()).unwrap_or(0.0);
    Uncertainty {
        by_tool: std::array::from_fn(|k| middle(&|one| one.by_tool[k])),
        own: std::f64::consts::FRAC_PI_2 * middle(&|one| one.own) / known.len().max(1) as f64,
        // Of many together: near a normal distribution.
        own_fourth: 0.0,
        off: middle(&|one| one.off),
        or_more: false,
    }
}
