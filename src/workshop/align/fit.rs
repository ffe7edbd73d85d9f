//! How near a tongue comes to the walls of its slot: as it lies, and when it swings, warm.

use super::Warmth;
use crate::physics::{Beam, Reed};
use crate::workshop::sides::{Side, Sides};

/// Where the tongue is nearest to a wall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Spot {
    /// Along a side, so far from the clamp (m).
    Along(Side, f64),
    /// All along a side.
    AllAlong(Side),
    /// All along both sides alike.
    BothSides,
    /// At the end of the slot, with the corner of the tip on this side.
    TipCorner(Side),
    /// At the end of the slot, over the whole tip.
    Tip,
}

/// Whether the tongue touches, as far as the measurement can tell.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Touching {
    /// It does, whatever the measurement may be off by.
    Sure,
    /// It may.
    Possible,
    /// It does not.
    No,
}

impl Touching {
    /// `clearance_m` known to `tolerance_m` either way.
    pub fn at(clearance_m: f64, tolerance_m: f64) -> Self {
        if clearance_m + tolerance_m <= 0.0 {
            Self::Sure
        } else if clearance_m - tolerance_m <= 0.0 {
            Self::Possible
        } else {
            Self::No
        }
    }
}

/// How a tongue fits its slot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fit {
    /// Least clearance as it lies (m); below zero it would be inside the wall.
    pub least_m: f64,
    /// Where that is.
    pub least_at: Spot,
    /// Least clearance when it is played (m): swinging through the slot, tongue and plate at their temperatures.
    pub played_m: f64,
    /// Where that is.
    pub played_at: Spot,
    /// Whether it touches when played.
    pub touching: Touching,
    /// Least clearance between a corner of the tip and the end of the slot, as it lies (m).
    pub tip_corner_m: f64,
    /// Furthest off the middle of the slot anywhere (m).
    pub off_centre_m: f64,
}

impl Fit {
    /// Of a tongue with these `sides`, turned to the right by `yaw_rad`, measured to `tolerance_m`. The slot's walls are
    /// taken as upright, the tip clearance of `reed` as measured in the middle of the tip.
    pub fn of(reed: &Reed, sides: &Sides, yaw_rad: f64, warmth: &Warmth, tolerance_m: f64) -> Self {
        let tip_corner_m = reed.slot.tip_clearance_m - corner_lead_m(reed.beam.width_m.at(reed.beam.length_m), yaw_rad);
        // Turned to the right, the left corner of the tip lies further out.
        let tip = if yaw_rad == 0.0 { Spot::Tip } else { Spot::TipCorner(Side::towards(yaw_rad).other()) };
        let along = [Side::Left, Side::Right].map(|side| {
            let (clearance, s) = sides.least(side);
            let even = sides.is_even(side);
            let alike = even && sides.is_even(side.other()) && sides.off_centre_m(0.0).abs() < 1e-7;
            (
                clearance,
                if alike {
                    Spot::BothSides
                } else if even {
                    Spot::AllAlong(side)
                } else {
                    Spot::Along(side, s)
                },
            )
        });
        let lying = [along[0], along[1], (tip_corner_m, tip)];
        let at_sides = warmth.side_change_m(sides, reed);
        let at_tip = warmth.tip_change_m(reed) - swing_reach_m(reed);
        let played = lying.map(|(clearance, spot)| match spot {
            Spot::Along(..) | Spot::AllAlong(_) | Spot::BothSides => (clearance + at_sides, spot),
            Spot::TipCorner(_) | Spot::Tip => (clearance + at_tip, spot),
        });
        let least = |all: [(f64, Spot); 3]| all.into_iter().min_by(|a, b| a.0.total_cmp(&b.0)).expect("three");
        let ((least_m, least_at), (played_m, played_at)) = (least(lying), least(played));
        Self {
            least_m,
            least_at,
            played_m,
            played_at,
            touching: Touching::at(played_m, tolerance_m),
            tip_corner_m,
            off_centre_m: sides.worst_off_centre_m(),
        }
    }
}

/// How much nearer to the end of the slot the leading corner of a square tip lies than its middle, on a tongue turned by
/// `yaw_rad` (m): `w/2 |sin yaw|`.
pub fn corner_lead_m(width_m: f64, yaw_rad: f64) -> f64 {
    0.5 * width_m * yaw_rad.sin().abs()
}

/// How much further out the tip reaches while it swings through the slot than at rest (m).
///
/// The middle line keeps its length, so a bent tongue reaches less far by the integral of `y'^2/2`; the face of the tip
/// leans, which sets one of its edges forward by `h/2 |y'|`.
pub fn swing_reach_m(reed: &Reed) -> f64 {
    let (beam, plate) = (&reed.beam, reed.slot.plate_thickness_m);
    let (length, thickness) = (beam.length_m, beam.thickness_m.at(beam.length_m));
    let mode = &beam.modes(1)[0];
    let rest = |s: f64| reed.rest.height_m(s, length);
    let at_rest = reach_m(beam, rest);
    let through = (0..=20).map(|k| -(plate + thickness) * f64::from(k) / 20.0);
    let reach = |tip: f64| reach_m(beam, |s| rest(s) + (tip - rest(length)) * mode.shape.at(s));
    through.map(reach).fold(f64::NEG_INFINITY, f64::max) - at_rest
}

/// How far beyond its straight length the tip of a bent tongue reaches (m).
fn reach_m(beam: &Beam, height: impl Fn(f64) -> f64) -> f64 {
    const SPANS: u32 = 64;
    let ds = beam.length_m / f64::from(SPANS);
    let rises = (1..=SPANS).map(|k| height(f64::from(k) * ds) - height(f64::from(k - 1) * ds));
    let (shorter, last) = rises.fold((0.0, 0.0), |(sum, _), rise| (sum + 0.5 * rise * rise / ds, rise));
    0.5 * beam.thickness_m.at(beam.length_m) * (last / ds).abs() - shorter
}
