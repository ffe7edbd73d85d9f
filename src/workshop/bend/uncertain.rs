//! What is not known of the metal: the same push on a softer and a harder tongue.

use super::bending::Bending;
use super::known::{KneeEnd, Known};
use super::limit::KinkLimit;
use super::plan::Largest;
use super::push::{Direction, Push};
use super::refusal::BendRefusal;
use super::search::Ramp;
use super::steps::Spread;
use super::tongue::Tongue;

/// The tongue as soft, as expected, and as hard as may be, its thickness taken to add to that. A round knee keeps more of a
/// small push and less of a large one, so soft and hard each have both ends of that doubt.
pub(super) struct Uncertain {
    soft: [Bending; 2],
    pub expected: Bending,
    hard: [Bending; 2],
    known: Known,
}

/// The same, each pushed to its limit.
pub(super) struct Trio<'a> {
    pub soft: [Ramp<'a>; 2],
    pub expected: Ramp<'a>,
    pub hard: [Ramp<'a>; 2],
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
        let soft = |end: KneeEnd| bending(&tongue.varied(end.knee, end.softest(), thickness(-1.0)));
        let hard = |end: KneeEnd| bending(&tongue.varied(end.knee, end.hardest(), thickness(1.0)));
        let [round, sharp] = known.knees;
        Ok(Self { soft: [soft(round)?, soft(sharp)?], expected, hard: [hard(round)?, hard(sharp)?], known })
    }

    pub fn pushed(&self, limit: &KinkLimit) -> Result<Trio<'_>, BendRefusal> {
        let ([soft_a, soft_b], [hard_a, hard_b]) = (&self.soft, &self.hard);
        Ok(Trio {
            soft: [soft_a.ramp(limit)?, soft_b.ramp(limit)?],
            expected: self.expected.ramp(limit)?,
            hard: [hard_a.ramp(limit)?, hard_b.ramp(limit)?],
        })
    }

    /// What one push to a travel leaves of a gap.
    pub fn spread(&self, trio: &Trio, gap_m: f64, place_travel_m: f64) -> Result<Spread, BendRefusal> {
        let set_after = |ramp: &Ramp| {
            let bent = ramp.place_travel(place_travel_m)?;
            // A tongue that is turned to its limit sooner keeps no more than there.
            Ok(bent.map_or(ramp.last().tip_set_m, |bent| bent.tip_set_m))
        };
        let both = |[a, b]: &[Ramp; 2], pick: fn(f64, f64) -> f64| Ok(pick(set_after(a)?, set_after(b)?));
        let gap_after = |set_m: f64| gap_m + self.expected.direction.sign() * set_m;
        Ok(Spread {
            yield_share: self.known.yield_share(),
            thickness_share: self.known.thickness_share,
            knees: self.known.knees.map(|end| end.knee),
            softest_gap_m: gap_after(both(&trio.soft, f64::max)?),
            hardest_gap_m: gap_after(both(&trio.hard, f64::min)?),
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
        let bending = bending(&tongue.varied(tongue.knee, 1.0, factor))?;
        let ramp = bending.ramp(limit)?;
        Ok(ramp.yields()?.map_or(ramp.last().place_travel_m, |bent| bent.place_travel_m))
    };
    Ok(travel_m(1.0 + thickness_share)? < travel_m(1.0 / (1.0 + thickness_share))?)
}

impl Trio<'_> {
    /// # Errors
    /// A support that by itself may leave more than a set: with a round knee the metal keeps a little of any bend.
    pub fn check_support(&self, set_m: f64) -> Result<(), BendRefusal> {
        let mut ramps = self.soft.iter().chain([&self.expected]).chain(&self.hard);
        ramps.try_for_each(|ramp| ramp.check_support(set_m))
    }

    /// As far as the softest tongue may go, and what that leaves at the tip (m) if all is as expected.
    pub fn largest(&self, tongue: &Tongue, direction: Direction) -> Result<(Largest, f64), BendRefusal> {
        let ends = |ramp: &Ramp| ramp.last().place_travel_m;
        let nearest =
            self.soft.iter().fold(&self.expected, |near, ramp| if ends(ramp) < ends(near) { ramp } else { near });
        let place_travel_m = nearest.last().place_travel_m;
        let bent = self.expected.place_travel(place_travel_m)?;
        let set_m = bent.map_or(self.expected.last().tip_set_m, |bent| bent.tip_set_m);
        let gap_m = tongue.tip_gap_m() + direction.sign() * set_m;
        Ok((Largest { gap_m, place_travel_m, limit: nearest.limit }, set_m))
    }
}
