//! What a push that was made says about the metal.

use super::bending::Bending;
use super::knee::Knee;
use super::known::Known;
use super::limit::KinkLimit;
use super::push::{Direction, Push};
use super::refusal::BendRefusal;
use super::tongue::Tongue;
use crate::sheet::CheckedReed;

/// Strains of the surface between which metals yield: from annealed to the hardest spring strip.
const ELASTIC_STRAINS: (f64, f64) = (2e-4, 2e-2);
/// How well a travel is measured with a stop or a dial gauge at the bench (m; assumed).
const TRAVEL_OFF_M: f64 = 0.02e-3;
/// Share by which the yield strength may be off where the end of a tolerance has no explanation (assumed).
const UNEXPLAINED_SHARE: f64 = 0.10;
/// Least share of a change of gap that is taken to be true.
const LEAST_TRUE: f64 = 0.05;

/// What a push taught about a tongue.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Learned {
    /// The yield strength that explains what the push left, with the usual knee (Pa).
    pub yield_strength_pa: f64,
    /// Share by which it may be off: by the gaps and the travel that were measured, and by how round the knee may be.
    pub yield_share: f64,
    /// How well the tongue is known now: the yield strength as well as the gaps before and after and the travel (to 0.02 mm,
    /// assumed) were measured, each end of the doubt of the knee with the yield strength that explains the push. The thickness
    /// is taken up in it.
    pub known: Known,
}

impl Learned {
    /// From a push: the pushed place travelled `place_travel_m` from where the tongue lay (`checked`), and the tip gap is now
    /// `gap_m`. The yield strength need not be known before; `known` says how well gaps are measured. Given as `yield_mpa`,
    /// it makes the next plan much surer: what it cannot tell, as a thickness that is a little off, is taken up in it.
    ///
    /// # Errors
    /// A change of gap too small to be measured, or against the push; a place or support that makes no sense.
    pub fn from_push(
        checked: &CheckedReed,
        push: Push,
        place_travel_m: f64,
        gap_m: f64,
        known: Known,
    ) -> Result<Self, BendRefusal> {
        if !(place_travel_m.is_finite() && place_travel_m > 0.0) {
            let (what, allowed) = ("travel of the pushed place (m)", "above zero, the way the gap changed");
            return Err(BendRefusal::NotSensible { what, value: place_travel_m, allowed });
        }
        let length_m = checked.reed.beam.length_m;
        let gap_before_m = checked.reed.rest.height_m(length_m, length_m);
        let (set_m, least_m) = ((gap_m - gap_before_m).abs(), known.gap_m);
        if set_m.is_nan() || set_m <= least_m {
            return Err(BendRefusal::NothingLearned { change_m: set_m, least_m });
        }
        let direction = Direction::from_to(gap_before_m, gap_m);
        let explaining = |knee, travel_m, set_m| explaining(checked, push, direction, knee, travel_m, set_m);
        let yield_strength_pa = explaining(Knee::usual(), place_travel_m, set_m)?;
        let off = |travel_m: f64, set_m: f64| {
            explaining(Knee::usual(), travel_m, set_m)
                .map_or(UNEXPLAINED_SHARE, |other| (other / yield_strength_pa - 1.0).abs())
        };
        // Both gaps were measured.
        let set_off_m = std::f64::consts::SQRT_2 * known.gap_m;
        let less_m = (set_m - set_off_m).max(LEAST_TRUE * set_m);
        let by_gaps = off(place_travel_m, less_m).max(off(place_travel_m, set_m + set_off_m));
        let by_measuring = by_gaps.hypot(off(place_travel_m + TRAVEL_OFF_M, set_m));
        let mut knees = known.knees;
        for end in &mut knees {
            end.yield_factor = explaining(end.knee, place_travel_m, set_m)? / yield_strength_pa;
        }
        let by_knee = knees.iter().map(|end| (end.yield_factor - 1.0).abs()).fold(0.0, f64::max);
        Ok(Self {
            yield_strength_pa,
            yield_share: by_measuring + by_knee,
            known: Known { yield_share: by_measuring, thickness_share: 0.0, knees, ..known },
        })
    }
}

/// The yield strength (Pa) that explains what a push left, as [`Learned::from_push`] with gaps measured as the reed states.
///
/// # Errors
/// As [`Learned::from_push`].
pub fn learned_yield_pa(
    checked: &CheckedReed,
    push: Push,
    place_travel_m: f64,
    gap_m: f64,
) -> Result<f64, BendRefusal> {
    Learned::from_push(checked, push, place_travel_m, gap_m, Known::of(checked))
        .map(|learned| learned.yield_strength_pa)
}

/// The yield strength (Pa) with which a travel leaves a set.
fn explaining(
    checked: &CheckedReed,
    push: Push,
    direction: Direction,
    knee: Knee,
    place_travel_m: f64,
    set_m: f64,
) -> Result<f64, BendRefusal> {
    let (beam, rest) = (checked.reed.beam.clone(), checked.reed.rest.clone());
    let mut tongue = Tongue { yield_strength_pa: beam.youngs_modulus_pa, beam, rest, knee };
    let mut keeps_more = |elastic_strain: f64| {
        tongue.yield_strength_pa = elastic_strain * tongue.beam.youngs_modulus_pa;
        let no_limit = KinkLimit { plastic_strain: 1.0, source: String::new() };
        let bending = Bending::new(&tongue, push, direction)?;
        let ramp = match bending.ramp(&no_limit) {
            // So soft that it yields before it is bent over the support: it would keep more.
            Err(BendRefusal::SupportYields { .. } | BendRefusal::YieldsBeforeSupport) => return Ok(true),
            ramp => ramp?,
        };
        Ok(ramp.place_travel(place_travel_m)?.is_none_or(|bent| bent.tip_set_m > set_m))
    };
    let (mut low, mut high) = ELASTIC_STRAINS;
    if !keeps_more(low)? || keeps_more(high)? {
        return Err(BendRefusal::NotSolved { what: "a yield strength that explains the gap" });
    }
    // 40 halvings of a factor of a hundred leave 4e-12.
    for _ in 0..40 {
        let middle = (low * high).sqrt();
        if keeps_more(middle)? { low = middle } else { high = middle }
    }
    Ok(high * checked.reed.beam.youngs_modulus_pa)
}
