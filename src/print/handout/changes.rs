//! What a hand would do to a reed, one thing at a time: the rest of the reed stays as it is.

use crate::physics::{Beam, Profile, Reed, RestShape};

/// Height of the tip above the plate (m).
pub(super) fn tip_gap_m(reed: &Reed) -> f64 {
    reed.rest.height_m(reed.beam.length_m, reed.beam.length_m)
}

/// The tip bent to another height. A shape given by stations is bent as a whole, most at the tip.
pub(super) fn with_tip_gap(reed: &Reed, gap_m: f64) -> Reed {
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
pub(super) fn side_clearance_m(reed: &Reed) -> f64 {
    let at_tip = |profile: &Profile| profile.at(reed.beam.length_m);
    0.5 * (at_tip(&reed.slot.left_clearance_m) + at_tip(&reed.slot.right_clearance_m))
}

/// Both sides of the slot wider by a factor.
pub(super) fn with_clearance_scaled(reed: &Reed, factor: f64) -> Reed {
    let mut reed = reed.clone();
    reed.slot.left_clearance_m = reed.slot.left_clearance_m.scaled(factor);
    reed.slot.right_clearance_m = reed.slot.right_clearance_m.scaled(factor);
    reed
}

/// The same reed at another length: everything along it, and its gap, shrinks in step; metal, thickness, width, slot edge
/// and chamber stay.
pub(super) fn with_length_scaled(reed: &Reed, factor: f64) -> Reed {
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

/// The tongue with `cut_m` taken off its thickness between two places.
pub(super) fn thinned(beam: &Beam, from_m: f64, to_m: f64, cut_m: f64) -> Beam {
    let old = &beam.thickness_m;
    let inside = 0.5 * (from_m + to_m);
    let between = |low: f64, high: f64| old.stations().iter().copied().filter(move |&(s, _)| s > low && s < high);
    let mut stations: Vec<(f64, f64)> = between(f64::NEG_INFINITY, from_m).collect();
    if from_m > 0.0 {
        let before = stations.last().map_or(0.0, |last| last.0);
        stations.push((from_m, old.at_within(from_m, 0.5 * (before + from_m))));
    }
    stations.push((from_m, old.at(from_m) - cut_m));
    stations.extend(between(from_m, to_m).map(|(s, h)| (s, h - cut_m)));
    let last = stations.last().map_or(inside, |last| 0.5 * (last.0 + to_m));
    stations.push((to_m, old.at_within(to_m, last) - cut_m));
    if to_m < beam.length_m {
        stations.push((to_m, old.at(to_m)));
        stations.extend(between(to_m, f64::INFINITY));
    }
    let thickness_m = Profile::linear(stations).unwrap_or_else(|_| old.clone());
    Beam { thickness_m, ..beam.clone() }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn beam(thickness_m: Profile) -> Beam {
        Beam {
            length_m: 15e-3,
            width_m: Profile::constant(2e-3),
            thickness_m,
            density_kg_m3: 8530.0,
            youngs_modulus_pa: 110e9,
            shear_modulus_pa: 41e9,
            tip_mass_kg: 0.0,
            root_spring_n_m_per_rad: None,
        }
    }

    #[test]
    fn a_cut_takes_its_own_mass_off_and_no_more() {
        let step = Profile::linear(vec![(0.0, 3e-4), (5e-3, 2e-4), (5e-3, 1e-4), (15e-3, 2e-4)]).unwrap();
        for profile in [Profile::constant(2e-4), step] {
            let beam = beam(profile);
            for (from, to) in
                [(0.0, 1.5e-3), (4e-3, 6e-3), (5e-3, 6.5e-3), (3.5e-3, 5e-3), (13.5e-3, 15e-3), (0.0, 15e-3)]
            {
                let lost = beam.mass_kg() - thinned(&beam, from, to, 1e-5).mass_kg();
                let expected = 8530.0 * 2e-3 * (to - from) * 1e-5;
                assert!((lost / expected - 1.0).abs() < 1e-9, "{from} to {to}: {lost} of {expected}");
            }
        }
    }
}
