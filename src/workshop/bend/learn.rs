//! What a push that was made says about the metal.

use super::bending::Bending;
use super::knee::Knee;
use super::known::{KneeEnd, Known};
use super::limit::KinkLimit;
use super::push::{Direction, Push};
use super::refusal::BendRefusal;
use super::tongue::Tongue;
use crate::physics::crossing;
use crate::sheet::CheckedReed;

/// Strains of the surface between which metals yield: from annealed to the hardest spring strip.
const ELASTIC_STRAINS: (f64, f64) = (2e-4, 2e-2);
/// How well a travel is measured with a stop or a dial gauge at the bench (m; assumed).
const TRAVEL_OFF_M: f64 = 0.02e-3;
/// Logarithm of the share by which the yield strength may be off where the end of a tolerance has no explanation (assumed).
const UNEXPLAINED: f64 = 0.10;
/// Share of what a push left to which it is explained.
const NEAR_ENOUGH: f64 = 1e-9;
/// Least share of a change of gap, or of a travel, that is taken to be true.
const LEAST_TRUE: f64 = 0.05;

/// What a push taught about a tongue.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Learned {
    /// The yield strength that explains what the push left, with the usual knee (Pa).
    pub yield_strength_pa: f64,
    /// Share by which it may be off: by the gaps and the travel that were measured, and by how round the knee may be.
    pub yield_share: f64,
    /// How well the tongue is known now: each end of the doubt of the knee with the yield strength that explains the push, and
    /// with the least and the largest that do, the gaps before and after and the travel (to 0.02 mm, assumed) off as far as
    /// they may be. A round knee tells its strength worse by a small change than a sharp one. The thickness is taken up in it.
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
        check_travel(place_travel_m)?;
        let length_m = checked.reed.beam.length_m;
        let gap_before_m = checked.reed.rest.height_m(length_m, length_m);
        let (set_m, least_m) = ((gap_m - gap_before_m).abs(), known.gap_m);
        if set_m.is_nan() || set_m <= least_m {
            return Err(BendRefusal::NothingLearned { change_m: set_m, least_m });
        }
        let direction = Direction::from_to(gap_before_m, gap_m);
        let explaining = |knee, travel_m, set_m| explaining(checked, push, direction, knee, travel_m, set_m);
        let yield_strength_pa = explaining(Knee::usual(), place_travel_m, set_m)?;
        // Both gaps were measured.
        let set_off_m = std::f64::consts::SQRT_2 * known.gap_m;
        let less_m = (set_m - set_off_m).max(LEAST_TRUE * set_m);
        let mut knees = known.knees;
        for end in &mut knees {
            let explains_pa = explaining(end.knee, place_travel_m, set_m)?;
            let off = |travel_m: f64, set_m: f64| {
                explaining(end.knee, travel_m, set_m)
                    .map_or(UNEXPLAINED, |other_pa| (other_pa / explains_pa).ln().abs())
            };
            // Softer where less travel has left more, harder where more has left less; each off by itself.
            let softer = off(place_travel_m, set_m + set_off_m).hypot(off(less_travel_m(place_travel_m), set_m));
            let harder = off(place_travel_m, less_m).hypot(off(place_travel_m + TRAVEL_OFF_M, set_m));
            *end = KneeEnd {
                knee: end.knee,
                yield_factor: explains_pa / yield_strength_pa,
                softer_share: 1.0 - (-softer).exp(),
                harder_share: harder.exp() - 1.0,
            };
        }
        let off = |end: &KneeEnd| (1.0 - end.softest()).max(end.hardest() - 1.0);
        Ok(Self {
            yield_strength_pa,
            yield_share: knees.iter().map(off).fold(0.0, f64::max),
            known: Known { thickness_share: 0.0, knees, ..known },
        })
    }
}

impl Known {
    /// After a push that changed the gap by less than can be measured: the metal is at least as hard as one that would have
    /// changed it by what might be overlooked.
    ///
    /// # Errors
    /// A yield strength that is not known; a travel, place or support that makes no sense.
    pub fn after_nothing(
        self,
        checked: &CheckedReed,
        push: Push,
        direction: Direction,
        place_travel_m: f64,
    ) -> Result<Self, BendRefusal> {
        check_travel(place_travel_m)?;
        let given_pa = Tongue::of(checked)?.yield_strength_pa;
        let overlooked_m = (1.0 + std::f64::consts::SQRT_2) * self.gap_m;
        let travel_m = less_travel_m(place_travel_m);
        let mut knees = self.knees;
        for end in &mut knees {
            let least_pa = match explaining(checked, push, direction, end.knee, travel_m, overlooked_m) {
                Ok(least_pa) => least_pa,
                // Even the softest metal keeps less of so small a push: it tells nothing.
                Err(BendRefusal::NotSolved { .. }) => continue,
                Err(refusal) => return Err(refusal),
            };
            *end = end.at_least(least_pa / given_pa);
        }
        Ok(Self { knees, ..self })
    }
}

/// # Errors
/// No travel.
fn check_travel(place_travel_m: f64) -> Result<(), BendRefusal> {
    if place_travel_m.is_finite() && place_travel_m > 0.0 {
        return Ok(());
    }
    let (what, allowed) = ("travel of the pushed place (m)", "above zero, the way the gap changed");
    Err(BendRefusal::NotSensible { what, value: place_travel_m, allowed })
}

/// The travel, off to the less as far as it may be.
fn less_travel_m(place_travel_m: f64) -> f64 {
    (place_travel_m - TRAVEL_OFF_M).max(LEAST_TRUE * place_travel_m)
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
    // By how much it keeps more than the set, over the set; without end where it is too soft to travel so far.
    let mut more = |elastic_strain: f64| {
        tongue.yield_strength_pa = elastic_strain * tongue.beam.youngs_modulus_pa;
        let no_limit = KinkLimit { plastic_strain: 1.0, source: String::new() };
        let bending = Bending::new(&tongue, push, direction)?;
        let ramp = match bending.ramp(&no_limit) {
            // So soft that it yields before it is bent over the support.
            Err(BendRefusal::SupportYields { .. } | BendRefusal::YieldsBeforeSupport) => return Ok(f64::INFINITY),
            ramp => ramp?,
        };
        Ok(ramp.place_travel(place_travel_m)?.map_or(f64::INFINITY, |bent| bent.tip_set_m / set_m - 1.0))
    };
    let strain = fall(ELASTIC_STRAINS, &mut more)?;
    let strain = strain.ok_or(BendRefusal::NotSolved { what: "a yield strength that explains the gap" })?;
    Ok(strain * checked.reed.beam.youngs_modulus_pa)
}

/// Where something that falls, at first perhaps from without end, passes through zero, if it does so between two bounds above
/// zero: by halving the logarithm until it has an end, then as [`crossing`] does.
fn fall(
    (low, high): (f64, f64),
    value: &mut impl FnMut(f64) -> Result<f64, BendRefusal>,
) -> Result<Option<f64>, BendRefusal> {
    let (mut above, mut below) = ((low.ln(), value(low)?), (high.ln(), value(high)?));
    if above.1 < 0.0 || below.1 > 0.0 {
        return Ok(None);
    }
    while above.1.is_infinite() && below.0 - above.0 > 1e-3 * NEAR_ENOUGH {
        let middle = 0.5 * (above.0 + below.0);
        let found = (middle, value(middle.exp())?);
        if found.1 > 0.0 { above = found } else { below = found }
    }
    if above.1.is_infinite() {
        return Ok(Some(below.0.exp()));
    }
    let mut refusal = None;
    let of_ln = |ln: f64| {
        value(ln.exp()).unwrap_or_else(|why| {
            refusal = Some(why);
            f64::NAN
        })
    };
    let zero = crossing([above, below], NEAR_ENOUGH, of_ln);
    refusal.map_or(Ok(Some(zero.exp())), Err)
}
