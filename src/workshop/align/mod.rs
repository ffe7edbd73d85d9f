//! A tongue that does not lie in the middle of its slot: does it touch, what does that cost, how far to move it.
//!
//! With `c_l`, `c_r` the clearances left and right, the tongue lies `d = (c_l - c_r)/2` to the right of the middle. A
//! straight line `d = a + b s` through that, by least squares along the tongue, is what moving the tongue can undo: `b` by
//! turning it about its rivet, the rest by shifting its pad. Where tongue or slot are bent, only that part of the move is
//! made that leaves the most room at the closest place.

mod fit;
mod steps;
mod warmth;

use std::f64::consts::PI;

pub use fit::{Fit, Spot, Touching, corner_lead_m, swing_reach_m};
pub use warmth::Warmth;

use super::sides::{Side, Sides};
use super::{EFFECTS, Effect};
use crate::answer::{Answer, Conditions, Line, Neighbour, Solved};
use crate::physics::{InputError, Profile, Reed};
use crate::sheet::keys::{Key, find};
use crate::sheet::{CheckedReed, SheetError};

/// From the middle of the rivet to the edge of the clamp (m), where it was not measured.
pub const USUAL_RIVET_M: f64 = 1.5e-3;
/// Off the middle by less than this share of the tolerance cannot be told from centred: half the difference of two
/// readings, each off by the tolerance.
const TELLS: f64 = std::f64::consts::FRAC_1_SQRT_2;

/// How the tongue lies in its slot.
#[derive(Debug, Clone, PartialEq)]
pub enum Placement {
    /// As the reed's file says.
    AsInFile,
    /// By the place of the tongue in the slot.
    Placed {
        /// Width of the slot (m); nothing takes the tongue's width and the clearances of the file.
        slot_width_m: Option<f64>,
        /// Off the middle at the clamp, to the right (m).
        offset_m: f64,
        /// Turned to the right, seen from above with the clamp below (rad).
        yaw_rad: f64,
    },
    /// Clearances at the root, half-way and at the tip (m).
    Measured {
        /// Left of the tongue.
        left_m: [f64; 3],
        /// Right of it.
        right_m: [f64; 3],
    },
}

/// What aligning is asked with.
#[derive(Debug, Clone, PartialEq)]
pub struct Options {
    /// How the tongue lies.
    pub placement: Placement,
    /// How far a clearance may be off (m).
    pub tolerance_m: f64,
    /// From the middle of the rivet to the edge of the clamp (m).
    pub rivet_m: f64,
    /// Temperatures and expansions.
    pub warmth: Warmth,
}

/// Why there is no plan.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum AlignRefusal {
    /// The slot leaves no room, even in its middle.
    #[error(
        "the slot is too narrow: placed as well as can be the tongue has {:.3} mm where it is closest; measure both widths again, or widen the slot or narrow the tongue by {:.3} mm (see seal edges for how close is safe)",
        1e3 * .centred_m, 2e3 * (.least_m - .centred_m)
    )]
    SlotTooNarrow {
        /// Clearance at the closest place after the best move (m).
        centred_m: f64,
        /// The least a reed may have (m).
        least_m: f64,
    },
    /// A clearance that the reed's keys do not admit.
    #[error(transparent)]
    Sheet(#[from] SheetError),
}

/// The plan.
#[derive(Debug, Clone)]
pub struct Alignment {
    /// Clearances as they are.
    pub sides: Sides,
    /// Clearances as they will be.
    pub sides_then: Sides,
    /// How the tongue fits now.
    pub now: Fit,
    /// How it will fit.
    pub then: Fit,
    /// How far a clearance may be off (m).
    pub tolerance_m: f64,
    /// Off the middle at the edge of the clamp, to the right, by the straight line (m).
    pub offset_m: f64,
    /// Turned to the right, by the straight line (rad).
    pub yaw_rad: f64,
    /// The pad is to be shifted so far, to the right (m); zero where turning alone does it.
    pub shift_m: f64,
    /// The tongue is to be turned about the rivet so far, to the right (rad).
    pub turn_rad: f64,
    /// From the rivet to the tip (m).
    pub rivet_to_tip_m: f64,
    /// Whether the tongue is further off the middle than the measurement can tell, or may touch.
    pub needed: bool,
    /// The reed as it is; nothing where it is so close to a wall that it is no reed.
    pub before: Option<CheckedReed>,
    /// The reed as it will be.
    pub after: CheckedReed,
    /// Keys of `after` that differ from the file.
    pub changed_keys: Vec<&'static str>,
}

impl Alignment {
    /// Plans the move of `checked`.
    ///
    /// # Errors
    /// A slot that is too narrow, or clearances that make no reed.
    pub fn plan(checked: &CheckedReed, options: &Options) -> Result<Self, AlignRefusal> {
        let reed = &checked.reed;
        let sides = placed(reed, &options.placement);
        let tolerance_m = options.tolerance_m;
        let (offset_m, yaw_rad) = straight_line(&sides);
        let (shift_m, turn_rad) = best_move(&sides, options.rivet_m, tolerance_m);
        let sides_then = sides.moved(|s| shift_m + turn_rad * (s + options.rivet_m));
        refuse_narrow(&sides_then)?;
        let (after, changed_keys) = sides_then.applied(checked)?;
        let before = match options.placement {
            Placement::AsInFile => Some(checked.clone()),
            _ => sides.applied(checked).ok().map(|found| found.0),
        };
        let fit = |sides: &Sides, yaw| Fit::of(reed, sides, yaw, &options.warmth, tolerance_m);
        let (now, then) = (fit(&sides, yaw_rad), fit(&sides_then, yaw_rad + turn_rad));
        let needed = now.off_centre_m > TELLS * tolerance_m
            || now.touching != Touching::No && then.played_m > now.played_m + 0.1 * tolerance_m;
        Ok(Self {
            sides,
            sides_then,
            now,
            then,
            tolerance_m,
            offset_m,
            yaw_rad,
            shift_m,
            turn_rad,
            rivet_to_tip_m: options.rivet_m + reed.beam.length_m,
            needed,
            before,
            after,
            changed_keys,
        })
    }

    /// What the move does to everything else; without values before where the reed as it is touches.
    ///
    /// # Errors
    /// As [`Effect::of`].
    pub fn effect(&self, conditions: &Conditions) -> Result<Effect, InputError> {
        if let Some(before) = &self.before {
            return Effect::of(before, &self.after, conditions);
        }
        let after = Solved::of(&self.after.reed, &EFFECTS, conditions, 1.0, &mut Neighbour::default())?;
        let line = |quantity| Line {
            before: Answer { quantity, value: None, note: Some("touches") },
            after: after.answer(quantity),
            uncertainty: None,
            mostly: None,
            or_more: false,
        };
        Ok(Effect { lines: EFFECTS.into_iter().map(line).collect(), conditions: *conditions })
    }

    /// How far the turn moves the tip, to the right (m).
    pub fn tip_move_m(&self) -> f64 {
        self.turn_rad * self.rivet_to_tip_m
    }

    /// The turn in degrees.
    pub fn turn_deg(&self) -> f64 {
        self.turn_rad * 180.0 / PI
    }

    /// Leakage past the sides in slow viscous flow, as it is over as it would be with each place's clearances made equal:
    /// two slits of a fixed sum let through as the sum of their cubes, `1 + 3 e^2` with `e` the share off the middle.
    pub fn creeping_flow_ratio(&self) -> f64 {
        let cubes = |sides: &Sides| sides.integral(|_, left, right| left.max(0.0).powi(3) + right.max(0.0).powi(3));
        cubes(&self.sides) / cubes(&self.sides.moved(|s| -self.sides.off_centre_m(s)))
    }
}

/// The clearances of a placement.
fn placed(reed: &Reed, placement: &Placement) -> Sides {
    let file = Sides::of(reed);
    let length = reed.beam.length_m;
    match *placement {
        Placement::AsInFile => file,
        Placement::Measured { left_m, right_m } => Sides::measured(length, left_m, right_m),
        Placement::Placed { slot_width_m, offset_m, yaw_rad } => {
            // Half the room beside a straight tongue, less what a turned one is wider across: w (1/cos - 1)/2 at its edges.
            let width = &reed.beam.width_m;
            let widths = Sides { left_m: width.clone(), right_m: width.clone(), ..file.clone() };
            let room = match slot_width_m {
                Some(slot) => widths.changed(|_, w, _| 0.5 * (slot - w), |_, w, _| 0.5 * (slot - w)),
                None => file.changed(|_, left, right| 0.5 * (left + right), |_, left, right| 0.5 * (left + right)),
            };
            let narrower = |s: f64| 0.5 * width.at(s) * (1.0 - yaw_rad.cos());
            room.changed(
                |s, left, _| left + offset_m + s * yaw_rad.sin() + narrower(s),
                |s, _, right| right - offset_m - s * yaw_rad.sin() + narrower(s),
            )
        }
    }
}

/// The straight line `(a, b)` nearest to the off-centre `a + b s`, by least squares along the tongue.
fn straight_line(sides: &Sides) -> (f64, f64) {
    let length = sides.length_m;
    let mean = sides.integral(|_, left, right| 0.5 * (left - right)) / length;
    let moment = sides.integral(|s, left, right| 0.5 * (left - right) * (s - 0.5 * length));
    let slope = 12.0 * moment / length.powi(3);
    (mean - 0.5 * slope * length, slope)
}

/// Shift of the pad and turn about the rivet, both to the right: the turn alone where it brings the tongue as near to the
/// middle as can be measured.
fn best_move(sides: &Sides, rivet_m: f64, tolerance_m: f64) -> (f64, f64) {
    let (offset, yaw) = straight_line(sides);
    let tip = rivet_m + sides.length_m;
    let moment = sides.integral(|s, left, right| 0.5 * (left - right) * (s + rivet_m));
    let turn_only = -3.0 * moment / (tip.powi(3) - rivet_m.powi(3));
    let left_over = sides.moved(|s| turn_only * (s + rivet_m)).worst_off_centre_m();
    let both = (-(offset - yaw * rivet_m), -yaw);
    let left_by_both = sides.moved(|s| both.0 + both.1 * (s + rivet_m)).worst_off_centre_m();
    let (shift, turn) = if left_over <= left_by_both.max(0.5 * tolerance_m) { (0.0, turn_only) } else { both };
    let part = harmless_part(sides, |s| shift + turn * (s + rivet_m));
    (part * shift, part * turn)
}

/// The part of a move that leaves the most room at the closest place: all of it, unless the tongue or the slot is bent.
fn harmless_part(sides: &Sides, to_right_m: impl Fn(f64) -> f64) -> f64 {
    const PARTS: u32 = 100;
    let room = |part: f64| {
        let moved = sides.moved(|s| part * to_right_m(s));
        moved.least(Side::Left).0.min(moved.least(Side::Right).0)
    };
    let parts = (0..=PARTS).map(|k| f64::from(k) / f64::from(PARTS));
    // A tenth of a nanometre decides nothing: of equals the larger part is taken.
    parts
        .fold(
            (0.0, f64::NEG_INFINITY),
            |best, part| if room(part) >= best.1 - 1e-10 { (part, room(part)) } else { best },
        )
        .0
}

fn refuse_narrow(sides: &Sides) -> Result<(), AlignRefusal> {
    let key = clearance_key();
    let least_m = key.si(key.least);
    let least = |profile: &Profile| profile.range().0;
    let centred_m = least(&sides.left_m).min(least(&sides.right_m));
    if centred_m < least_m { Err(AlignRefusal::SlotTooNarrow { centred_m, least_m }) } else { Ok(()) }
}

/// "left" or "right", for a way to the right.
fn towards(way: f64) -> &'static str {
    Side::towards(way).name()
}

/// How far a measured side clearance may be off, as the file or the job of a reed says (m).
pub fn clearance_tolerance_m(checked: &CheckedReed) -> f64 {
    let key = clearance_key();
    checked.spec.tolerance(key).or(key.tolerance).map_or(0.0, |mm| key.si(mm))
}

fn clearance_key() -> &'static Key {
    find("side_clearance_mm").expect("a key of the table")
}
