//! A tongue that does not lie in the middle of its slot: does it touch, what does that cost, how far to move it.
//!
//! With `c_l`, `c_r` the clearances left and right, the tongue lies `d = (c_l - c_r)/2` to the right of the middle. A
//! straight line `d = a + b s` through that, by least squares along the tongue, is what moving the tongue can undo: `b` by
//! turning it about its rivet, the rest by shifting its pad. Where tongue or slot are bent, the move goes as near to that line
//! as leaves the most room at the closest place, to half of what can be read.

mod fit;
mod moving;
mod steps;
mod warmth;

use std::f64::consts::PI;

pub use fit::{Fit, Spot, Touching, corner_lead_m, swing_reach_m};
pub use moving::Move;
pub use warmth::{USUAL_EXPANSION_PER_K, Warmth};

use super::sides::{Side, Sides};
use super::{EFFECTS, Effect};
use crate::answer::{Answer, Conditions, Solved};
use crate::physics::aperture::Slit;
use crate::physics::{InputError, Profile, Reed};
use crate::sheet::keys::{Key, find};
use crate::sheet::{CheckedReed, SheetError};
use moving::straight_line;

/// From the middle of the rivet to the edge of the clamp (m), where it was not measured.
pub const USUAL_RIVET_M: f64 = 1.5e-3;

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
    /// The move that is planned; its shift is zero where turning alone does it.
    pub way: Move,
    /// The tongue is to be turned about the rivet so far, to the right (rad).
    pub turn_rad: f64,
    /// Whether the move is larger than the measurement can tell, or gains room for a tongue that may touch.
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
        let (offset_m, slope) = straight_line(&sides);
        let way = Move::best(&sides, options.rivet_m, tolerance_m);
        let (yaw_rad, yaw_then_rad) = (angle_rad(slope), angle_rad(slope + way.slope));
        let sides_then = way.applied(&sides);
        refuse_narrow(&sides_then)?;
        let (after, changed_keys) = sides_then.applied(checked)?;
        let before = match options.placement {
            Placement::AsInFile => Some(checked.clone()),
            _ => sides.applied(checked).ok().map(|found| found.0),
        };
        let fit = |sides: &Sides, yaw| Fit::of(reed, sides, yaw, &options.warmth, tolerance_m);
        let (now, then) = (fit(&sides, yaw_rad), fit(&sides_then, yaw_then_rad));
        let needed = way.shows(sides.length_m, tolerance_m)
            || now.touching != Touching::No && then.played_m > now.played_m + 0.1 * tolerance_m;
        Ok(Self {
            sides,
            sides_then,
            now,
            then,
            tolerance_m,
            offset_m,
            yaw_rad,
            way,
            turn_rad: yaw_then_rad - yaw_rad,
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
        let after = Solved::of(&self.after.reed, &EFFECTS, conditions, 1.0)?;
        let before = |quantity| Answer { quantity, value: None, note: Some("touches") };
        Ok(Effect::between(before, &after, conditions, None))
    }

    /// How far the turn moves the tip, to the right (m).
    pub fn tip_move_m(&self) -> f64 {
        self.way.at_m(self.sides.length_m) - self.way.shift_m
    }

    /// The turn in degrees.
    pub fn turn_deg(&self) -> f64 {
        self.turn_rad * 180.0 / PI
    }

    /// How many times as much leaks past the sides in slow viscous flow as would with the tongue in the middle everywhere: two
    /// slits of a fixed sum let through as the sum of their cubes, `1 + 3 e^2` with `e` the share off the middle.
    pub fn creeping_flow_ratio(&self) -> f64 {
        let cubes = |sides: &Sides| sides.integral(|_, left, right| left.max(0.0).powi(3) + right.max(0.0).powi(3));
        cubes(&self.sides) / cubes(&self.sides.moved(|s| -self.sides.off_centre_m(s)))
    }

    /// Leak past both sides while the tongue stands in its slot (m3/s), at a pressure: as it lies, and as it will.
    pub fn side_leaks_m3_s(&self, pressure_pa: f64) -> (f64, f64) {
        let leak = |sides: &Sides| side_leak_m3_s(&self.after.reed, sides, pressure_pa);
        (leak(&self.sides), leak(&self.sides_then))
    }
}

/// Leak past both sides, each place a slit as deep as the tongue is thick (m3/s).
fn side_leak_m3_s(reed: &Reed, sides: &Sides, pressure_pa: f64) -> f64 {
    const PARTS: u32 = 64;
    let part_m = sides.length_m / f64::from(PARTS);
    let at = |k: u32| {
        let s = (f64::from(k) + 0.5) * part_m;
        let slit = |height_m: f64| Slit::sharp(height_m.max(0.0), reed.beam.thickness_m.at(s));
        let flow = |height_m: f64| slit(height_m).flow_m3_s(&reed.air, part_m, pressure_pa);
        flow(sides.left_m.at(s)) + flow(sides.right_m.at(s))
    };
    (0..PARTS).map(at).sum()
}

/// The angle of a slope along the tongue (rad).
fn angle_rad(slope: f64) -> f64 {
    slope.clamp(-1.0, 1.0).asin()
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
