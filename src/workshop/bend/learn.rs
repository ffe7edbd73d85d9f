//! What a push that was made says about the metal.

use super::bending::Bending;
use super::limit::KinkLimit;
use super::push::{Direction, Push};
use super::refusal::BendRefusal;
use super::steps::gap_tolerance_m;
use super::tongue::Tongue;
use crate::sheet::CheckedReed;

/// Strains of the surface between which metals yield: from annealed to the hardest spring strip.
const ELASTIC_STRAINS: (f64, f64) = (2e-4, 2e-2);

/// The yield strength (Pa) that explains what a push left: the pushed place travelled `place_travel_m` from where the tongue
/// lay (`checked`), and the tip gap is now `gap_m`. It need not be known before. Given as `yield_mpa`, it makes the next
/// plan much surer: what it cannot tell, as a thickness that is a little off, is taken up in it.
///
/// # Errors
/// A change of gap too small to be measured, or against the push; a place or support that makes no sense.
pub fn learned_yield_pa(
    checked: &CheckedReed,
    push: Push,
    place_travel_m: f64,
    gap_m: f64,
) -> Result<f64, BendRefusal> {
    let (beam, rest) = (checked.reed.beam.clone(), checked.reed.rest.clone());
    let mut tongue = Tongue { yield_strength_pa: beam.youngs_modulus_pa, beam, rest };
    let direction = Direction::from_to(tongue.tip_gap_m(), gap_m);
    if !(place_travel_m.is_finite() && place_travel_m > 0.0) {
        let (what, allowed) = ("travel of the pushed place (m)", "above zero, the way the gap changed");
        return Err(BendRefusal::NotSensible { what, value: place_travel_m, allowed });
    }
    let set_m = (gap_m - tongue.tip_gap_m()).abs();
    if set_m.is_nan() || set_m <= gap_tolerance_m() {
        return Err(BendRefusal::NothingLearned { change_m: set_m, least_m: gap_tolerance_m() });
    }
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
