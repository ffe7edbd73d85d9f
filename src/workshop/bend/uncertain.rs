//! What is not known of the metal: the same push on a softer and a harder tongue.

use super::bending::Bending;
use super::known::Known;
use super::limit::KinkLimit;
use super::plan::Largest;
use super::push::{Direction, Push};
use super::refusal::BendRefusal;
use super::search::Ramp;
use super::steps::Spread;
use super::tongue::Tongue;

/// The tongue as soft, as expected, and as hard as may be, its thickness taken to add to that.
pub(super) struct Uncertain {
    soft: Bending,
    pub expected: Bending,
    hard: Bending,
    known: Known,
}

/// The same, each pushed to its limit.
pub(super) struct Trio<'a> {
    pub soft: Ramp<'a>,
    pub expected: Ramp<'a>,
    pub hard: Ramp<'a>,
}

impl Uncertain {
    pub fn new(
        tongue: &Tongue,
        push: Push,
        direction: Direction,
        known: Known,
        limit: &KinkLimit,
    ) -> Result<Self, BendRefusal> {
        let bending = |tongue: &Tongue| Bending::new(tongue, push, direction);
        let expected = bending(tongue)?;
        let thick = if thick_yields_sooner(tongue, known.thickness_share, bending, limit)? { 1.0 } else { -1.0 };
        let thickness = |by: f64| (1.0 + known.thickness_share).powf(-thick * by);
        let varied = |by: f64| bending(&tongue.varied(1.0 + by * known.yield_share, thickness(by)));
        Ok(Self { soft: varied(-1.0)?, expected, hard: varied(1.0)?, known })
    }

    pub fn pushed(&self, limit: &KinkLimit) -> Result<Trio<'_>, BendRefusal> {
        let (soft, expected, hard) = (self.soft.ramp(limit)?, self.expected.ramp(limit)?, self.hard.ramp(limit)?);
        Ok(Trio { soft, expected, hard })
    }

    /// What one push to a travel leaves of a gap.
    pub fn spread(&self, trio: &Trio, gap_m: f64, place_travel_m: f64) -> Result<Spread, BendRefusal> {
        let gap_after = |ramp: &Ramp| {
            let bent = ramp.place_travel(place_travel_m)?;
            // A tongue that is turned to its limit sooner keeps no more than there.
            let set_m = bent.map_or(ramp.last().tip_set_m, |bent| bent.tip_set_m);
            Ok(gap_m + self.expected.direction.sign() * set_m)
        };
        Ok(Spread {
            yield_share: self.known.yield_share,
            thickness_share: self.known.thickness_share,
            softest_gap_m: gap_after(&trio.soft)?,
            hardest_gap_m: gap_after(&trio.hard)?,
        })
    }
}

/// Whether a thick tongue yields at less travel than a thin one. It does, `kappa_y` going as `1/h`; but on a clamp that
/// gives, a thick one turns the clamp more.
fn thick_yields_sooner(
    tongue: &Tongue,
    thickness_share: f64,
    bending: impl Fn(&Tongue) -> Result<Bending, BendRefusal>,
    limit: &KinkLimit,
) -> Result<bool, BendRefusal> {
    if tongue.beam.root_spring_n_m_per_rad.is_none() {
        return Ok(true);
    }
    let travel_m = |factor: f64| {
        let bending = bending(&tongue.varied(1.0, factor))?;
        let ramp = bending.ramp(limit)?;
        Ok(ramp.yields()?.map_or(ramp.last().place_travel_m, |bent| bent.place_travel_m))
    };
    Ok(travel_m(1.0 + thickness_share)? < travel_m(1.0 / (1.0 + thickness_share))?)
}

impl Trio<'_> {
    /// As far as the softest tongue may go, and what that leaves at the tip (m) if all is as expected.
    pub fn largest(&self, tongue: &Tongue, direction: Direction) -> Result<(Largest, f64), BendRefusal> {
        let nearest = if self.soft.last().place_travel_m < self.expected.last().place_travel_m {
            &self.soft
        } else {
            &self.expected
        };
        let place_travel_m = nearest.last().place_travel_m;
        let bent = self.expected.place_travel(place_travel_m)?;
        let set_m = bent.map_or(self.expected.last().tip_set_m, |bent| bent.tip_set_m);
        let gap_m = tongue.tip_gap_m() + direction.sign() * set_m;
        Ok((Largest { gap_m, place_travel_m, limit: nearest.limit }, set_m))
    }
}
