//! What a hand would do to a reed, one thing at a time: the rest of the reed stays as it is.

use crate::physics::{Profile, Reed, RestShape};

/// Height of the tip above the plate (m).
pub fn tip_gap_m(reed: &Reed) -> f64 {
    reed.rest.height_m(reed.beam.length_m, reed.beam.length_m)
}

/// The tip bent to another height. A shape given by stations is bent as a whole, most at the tip.
pub fn with_tip_gap(reed: &Reed, gap_m: f64) -> Reed {
    let (length, change) = (reed.beam.length_m, gap_m - tip_gap_m(reed));
    let rest = match &reed.rest {
        RestShape::Power { root_gap_m, exponent, .. } => {
            RestShape::Power { root_gap_m: *root_gap_m, tip_gap_m: gap_m, exponent: *exponent }
        }
        RestShape::Stations(stations) => {
            RestShape::Stations(stations.iter().map(|&(s, y)| (s, y + change * (s / length).powi(2))).collect())
        }
    };
    Reed { rest, ..reed.clone() }
}

/// Clearance at the sides, its mean at the tip (m).
pub fn side_clearance_m(reed: &Reed) -> f64 {
    let at_tip = |profile: &Profile| profile.at(reed.beam.length_m);
    0.5 * (at_tip(&reed.slot.left_clearance_m) + at_tip(&reed.slot.right_clearance_m))
}

/// Both sides of the slot wider by a factor.
pub fn with_clearance_scaled(reed: &Reed, factor: f64) -> Reed {
    let mut reed = reed.clone();
    reed.slot.left_clearance_m = reed.slot.left_clearance_m.scaled(factor);
    reed.slot.right_clearance_m = reed.slot.right_clearance_m.scaled(factor);
    reed
}

/// The same reed at another length: everything along it, and its gap, shrinks in step; metal, thickness, width, slot edge
/// and chamber stay.
pub fn with_length_scaled(reed: &Reed, factor: f64) -> Reed {
    let mut reed = reed.clone();
    reed.beam.length_m *= factor;
    for profile in [
        &mut reed.beam.width_m,
        &mut reed.beam.thickness_m,
        &mut reed.slot.left_clearance_m,
        &mut reed.slot.right_clearance_m,
    ] {
        *profile = profile.stretched(factor);
    }
    reed.rest = match reed.rest {
        RestShape::Power { root_gap_m, tip_gap_m, exponent } => {
            RestShape::Power { root_gap_m: root_gap_m * factor, tip_gap_m: tip_gap_m * factor, exponent }
        }
        RestShape::Stations(stations) => {
            RestShape::Stations(stations.into_iter().map(|(s, y)| (s * factor, y * factor)).collect())
        }
    };
    reed
}
