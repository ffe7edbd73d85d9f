//! How close the edges of the slot should be to the tongue.
//!
//! A closer edge leaks less and starts softer; the air sheared between edge and wall damps more, `mu l V/c`. Both are in
//! the model, so the onset and the time to speak are computed over the clearance. A tongue that rests above the plate has
//! no overlap `l` until it swings: the drag then shows in the time to speak and hardly in the onset, and most with small
//! gaps. How close is safe follows from how well a clearance can be measured.

use rayon::prelude::*;

use super::{LARGE_RISE, SMALL_RISE, SealRefusal};
use crate::answer::{Conditions, Quantity, Solved};
use crate::physics::{InputError, Reed};
use crate::sheet::CheckedReed;
use crate::workshop::align::{Move, USUAL_RIVET_M, Warmth};
use crate::workshop::sides::{Side, Sides};

/// Room left for dust and the burr that closing an edge raises (m): an assumption, and the least a reed file admits.
pub const SPARE_M: f64 = 0.003e-3;
/// The closest clearance looked at (m), much closer than can be made.
const CLOSEST_M: f64 = 0.5e-6;
/// Speaking times nearer to each other than this count as the same: a swing more or less.
const SAME_TIME: f64 = 0.05;
/// Clearances tried below and above the least that is safe.
const BELOW: u32 = 8;
const ABOVE: u32 = 12;

/// The reed with no clearance wider than one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EdgePoint {
    /// Widest clearance at the sides (m).
    pub clearance_m: f64,
    /// Onset (Pa); nothing where it never starts.
    pub onset_pa: Option<f64>,
    /// Time to half the final swing (s); nothing where it does not speak.
    pub t50_s: Option<f64>,
}

/// The plan.
#[derive(Debug, Clone)]
pub struct EdgePlan {
    /// Clearances as they are.
    pub sides: Sides,
    /// Clearances as they will be.
    pub sides_then: Sides,
    /// Onset and time to speak over the clearance, closest first; the last is the reed as it is.
    pub points: Vec<EdgePoint>,
    /// The clearance with the lowest onset of all those tried (m), safe or not.
    pub softest_m: f64,
    /// The clearance at which it speaks soonest (m), safe or not; nothing where it speaks in time at none.
    pub soonest_m: Option<f64>,
    /// The least that is safe (m): tolerance, warmth, dust and burr.
    pub safe_m: f64,
    /// The clearance to close to (m): the widest that has nearly all of what the safe ones can gain.
    pub target_m: f64,
    /// How far a clearance may be off (m).
    pub tolerance_m: f64,
    /// The side to begin with: the wider one.
    pub first: Side,
    /// Furthest off the middle (m).
    pub off_centre_m: f64,
    /// Whether a move brings the tongue nearer to the middle: then it is aligned first and no edge is closed yet.
    pub align_first: bool,
    /// By how much less pressure it starts closed to `target_m`, of the onset then; infinite where only then it starts.
    pub gain: f64,
    /// Whether the edges are to be closed: the tongue lies as it should and the gain is more than [`LARGE_RISE`]. An edge
    /// that is closed is hardly opened again.
    pub needed: bool,
    /// The reed as it will be.
    pub after: CheckedReed,
    /// Keys of `after` that differ.
    pub changed_keys: Vec<&'static str>,
}

impl EdgePlan {
    /// Finds how far closing the edges is worth while and safe. `tolerance_m`: how far a measured clearance may be off.
    ///
    /// # Errors
    /// A reed that starts at no clearance.
    pub fn of(
        checked: &CheckedReed,
        tolerance_m: f64,
        warmth: &Warmth,
        conditions: &Conditions,
    ) -> Result<Self, SealRefusal> {
        let sides = Sides::of(&checked.reed);
        let safe_m = tolerance_m + SPARE_M + (-warmth.side_change_m(&sides, &checked.reed)).max(0.0);
        let widest_m = sides.left_m.range().1.max(sides.right_m.range().1);
        let points = points(&checked.reed, &sides, &grid(safe_m, widest_m), conditions)?;
        let softest = lowest(points.iter(), |point| point.onset_pa)
            .ok_or(SealRefusal::SilentAtAnyClearance { closest_m: CLOSEST_M, widest_m })?;
        let target_m = target(&points, safe_m).unwrap_or(widest_m);
        let sides_then = sides.no_wider_than(target_m);
        let now = points.last().and_then(|point| point.onset_pa);
        let then = points.iter().find(|point| point.clearance_m == target_m).and_then(|point| point.onset_pa);
        let gain = match (now, then) {
            (Some(now), Some(then)) => now / then - 1.0,
            (None, Some(_)) => f64::INFINITY,
            (_, None) => 0.0,
        };
        let align_first = Move::best(&sides, USUAL_RIVET_M, tolerance_m).shows(sides.length_m, tolerance_m);
        let needed = !align_first && gain > LARGE_RISE && target_m < widest_m;
        let (after, changed_keys) = if needed { sides_then.applied(checked)? } else { (checked.clone(), Vec::new()) };
        Ok(Self {
            softest_m: softest.clearance_m,
            soonest_m: lowest(points.iter(), |point| point.t50_s).map(|point| point.clearance_m),
            first: if sides.mean_of_m(Side::Left) > sides.mean_of_m(Side::Right) { Side::Left } else { Side::Right },
            off_centre_m: sides.worst_off_centre_m(),
            align_first,
            gain,
            sides,
            sides_then,
            points,
            safe_m,
            target_m,
            tolerance_m,
            needed,
            after,
            changed_keys,
        })
    }

    /// Widest clearance there is (m).
    pub fn widest_m(&self) -> f64 {
        self.sides.left_m.range().1.max(self.sides.right_m.range().1)
    }

    /// Whether a clearance is the closest one tried: then the drag of the air outweighs the leak nowhere.
    pub fn is_closest(&self, clearance_m: f64) -> bool {
        clearance_m == self.points[0].clearance_m
    }

    /// The reed with the clearance of `target_m`.
    pub fn point_then(&self) -> Option<&EdgePoint> {
        self.points.iter().find(|point| point.clearance_m == self.target_m)
    }
}

/// Clearances to try, closest first, evenly in the logarithm; the last is the widest there is.
fn grid(safe_m: f64, widest_m: f64) -> Vec<f64> {
    let steps = |from: f64, to: f64, count: u32| {
        (0..count).map(move |k| from * (to / from).powf(f64::from(k) / f64::from(count)))
    };
    let safe_m = safe_m.min(widest_m);
    let mut all: Vec<f64> = steps(CLOSEST_M.min(safe_m), safe_m, BELOW).collect();
    if safe_m < widest_m {
        all.extend(steps(safe_m, widest_m, ABOVE));
    }
    all.push(widest_m);
    all.dedup();
    all
}

fn points(reed: &Reed, sides: &Sides, grid: &[f64], conditions: &Conditions) -> Result<Vec<EdgePoint>, InputError> {
    let point = |&clearance_m: &f64| {
        let closed = sides.no_wider_than(clearance_m);
        let mut reed = reed.clone();
        reed.slot.left_clearance_m = closed.left_m;
        reed.slot.right_clearance_m = closed.right_m;
        let wanted = [Quantity::Onset, Quantity::HalfTime];
        let solved = Solved::of(&reed, &wanted, conditions, 1.0)?;
        let value = |quantity| solved.answer(quantity).value;
        Ok(EdgePoint { clearance_m, onset_pa: value(Quantity::Onset), t50_s: value(Quantity::HalfTime) })
    };
    grid.par_iter().map(point).collect()
}

/// The point with the lowest value of one result.
fn lowest<'a>(
    points: impl Iterator<Item = &'a EdgePoint>,
    value: impl Fn(&EdgePoint) -> Option<f64>,
) -> Option<&'a EdgePoint> {
    points.filter_map(|point| Some((point, value(point)?))).min_by(|a, b| a.1.total_cmp(&b.1)).map(|found| found.0)
}

/// The widest clearance whose onset and time to speak are nearly the best of the safe ones.
fn target(points: &[EdgePoint], safe_m: f64) -> Option<f64> {
    let safe = || points.iter().filter(|point| point.clearance_m >= safe_m);
    let onset = lowest(safe(), |point| point.onset_pa)?.onset_pa?;
    let time = lowest(safe(), |point| point.t50_s).and_then(|point| point.t50_s);
    let good = |point: &&EdgePoint| {
        let soft = point.onset_pa.is_some_and(|found| found <= (1.0 + SMALL_RISE) * onset);
        let soon = time.is_none_or(|best| point.t50_s.is_some_and(|found| found <= (1.0 + SAME_TIME) * best));
        soft && soon
    };
    safe()
        .filter(good)
        .map(|point| point.clearance_m)
        .fold(None, |widest: Option<f64>, clearance| Some(widest.map_or(clearance, |widest| widest.max(clearance))))
}
