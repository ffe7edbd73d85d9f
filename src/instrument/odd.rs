//! A reed out of the run of its neighbours in what was measured of it, whatever its player asks.
//!
//! Gap, clearance, loss, channel and leak are each given the value that the neighbours have in its place. What departs by
//! more than a tenth and by more than three times the scatter of the set, and costs the reed at the softest or the hardest
//! end what a player notices, is told: first what costs most. What stands off its neighbours and is the better for it, at
//! both ends or at the tighter one of what is asked, is no fault; but a tongue that rings short is told wherever it does not
//! serve, as that is a sign of dirt, a loose fastening or a crack.

use super::assess::ReedAssessment;
use super::cause::{Cause, Failing};
use super::finding::Finding;
use super::known::Uncertainty;
use super::margin::MarginOf;
use super::nearby::limits;
use super::neighbours::{LEAK_READ_TO, Neighbours, ODD};
use super::run::NEIGHBOURS;
use super::surety::{Surety, above_zero};
use super::word::NOTICED;
use crate::physics::onset::Search;
use crate::physics::{Reed, ReedModel};
use crate::sheet::keys::find;
use crate::sheet::{CheckedReed, Feel};
use crate::study::changed::tip_gap_m;

/// What is out of the run; nothing of a reed that is to be as its counterpart, or that its player calls good.
pub(super) fn out_of_run(assessed: &ReedAssessment, failing: &Failing<'_>, neighbours: &Neighbours) -> Option<Finding> {
    if assessed.counterpart.is_some() || assessed.says == Some(Feel::Good) {
        return None;
    }
    let odd = failing.odd_one_by_one(neighbours).into_iter().filter(|(cause, _)| neighbours.is_out(cause));
    let odd: Vec<(Cause, Reed)> = odd.collect();
    if odd.is_empty() {
        return None;
    }
    let own = ends(&failing.reed.checked.reed);
    let room = |of: MarginOf| assessed.margin(of).and_then(|margin| margin.value);
    let rooms = room(MarginOf::Soft).zip(room(MarginOf::Hard));
    let told = odd.into_iter().filter_map(|(cause, reed)| {
        let [softer, harder] = gains(own, ends(&reed));
        // What its player asks goes before its neighbours, whose value may leave less room at the tighter end: so much less
        // that it is noticed, or that the reed fails.
        let better_so = rooms.is_some_and(|(soft, hard)| {
            let (now, then) = (soft.min(hard), (soft + softer).min(hard + harder));
            then < now - NOTICED || then < now.min(0.0)
        });
        let gain = softer.max(harder);
        let counts = !better_so && (gain > NOTICED || matches!(cause, Cause::Loss { .. }));
        counts.then_some((gain, cause))
    });
    let (_, cause) = told.max_by(|a, b| a.0.total_cmp(&b.0))?;
    Some(Finding::OutOfRun { cause, surety: surety(&cause, &failing.reed.checked) })
}

/// How sure it is that a cause sets a reed apart; nothing where it is off by no more than the set scatters.
pub(super) fn apart(cause: &Cause, checked: &CheckedReed, neighbours: &Neighbours) -> Option<Surety> {
    neighbours.is_out(cause).then(|| surety(cause, checked))
}

/// How sure it is that a gap is another than one of the same run (m), where it is off by more than a tenth.
pub(super) fn other_gap(checked: &CheckedReed, theirs_m: f64) -> Option<Surety> {
    let gap_m = tip_gap_m(&checked.reed);
    let is_other = gap_m > 0.0 && theirs_m > 0.0 && (gap_m / theirs_m).ln().abs() > ODD;
    is_other.then(|| surety(&Cause::GapTooWide { gap_m, usual_m: theirs_m }, checked))
}

/// How sure it is that it is off by more than a tenth: what the tools have in common cancels, the neighbours' own errors
/// add little.
fn surety(cause: &Cause, checked: &CheckedReed) -> Surety {
    let relative = |name: &str, value: f64| {
        let key = find(name).expect("a key of the table");
        checked.spec.tolerance(key).or(key.tolerance).map_or(0.0, |tolerance| key.si(tolerance) / value)
    };
    let tolerance = match *cause {
        Cause::GapTooWide { gap_m, .. } | Cause::GapTooClose { gap_m, .. } => relative("tip_gap_mm", gap_m),
        Cause::Clearance { clearance_m, .. } => relative("side_clearance_mm", clearance_m),
        Cause::Channel { area_m2, .. } => relative("channel_area_mm2", area_m2),
        _ => LEAK_READ_TO,
    };
    let own = Uncertainty::own_of(tolerance) * (1.0 + std::f64::consts::FRAC_PI_2 / NEIGHBOURS as f64).sqrt();
    let off = |(own, usual): (f64, f64)| (own / usual).ln().abs();
    Surety::of(cause.own_and_usual().map_or(Surety::LIKELY, |both| above_zero(off(both) - ODD, own)))
}

/// Onset and choke (Pa), which the ends of a window go with; nothing for a reed that never speaks.
type Ends = Option<[Option<f64>; 2]>;

fn ends(reed: &Reed) -> Ends {
    limits(&ReedModel::new(reed.clone()).ok()?.speaking(&Search::COARSE))
}

/// By how much another starts softer than a reed, and goes on harder (logarithms). Without limit where the reed never speaks.
fn gains(own: Ends, other: Ends) -> [f64; 2] {
    let Some([onset, choke]) = other else { return [0.0; 2] };
    let Some([own_onset, own_choke]) = own else { return [f64::INFINITY; 2] };
    let softer = own_onset.zip(onset).map_or(0.0, |(own, other)| (own / other).ln());
    let harder = match (own_choke, choke) {
        (Some(own), Some(other)) => (other / own).ln(),
        (Some(_), None) => f64::INFINITY,
        (None, _) => 0.0,
    };
    [softer, harder]
}
