//! The plan: travel, force, what remains, and how sure that is.

use super::bending::{Bent, BentPlace};
use super::knee::Knee;
use super::known::Known;
use super::limit::{KinkLimit, Limit};
use super::push::{Direction, Push};
use super::reach::Wanted;
use super::refusal::BendRefusal;
use super::stations::stations;
use super::steps::{Spread, Steps};
use super::tongue::Tongue;
use super::uncertain::Uncertain;
use crate::sheet::{CheckedReed, SheetError, Value};

/// A bend to a wanted tip gap. Travels and sets are heights, positive the way the tongue is pushed.
#[derive(Debug, Clone)]
pub struct BendPlan {
    /// Where it is pushed, and over what.
    pub push: Push,
    /// Which way.
    pub direction: Direction,
    /// Tip gap before (m).
    pub gap_m: f64,
    /// Tip gap wanted (m).
    pub wanted_gap_m: f64,
    /// Force of the tool, across the tongue, at the end of the push (N).
    pub force_n: f64,
    /// Force of the support (N); none if there is none or the tongue does not come down on it.
    pub support_n: Option<f64>,
    /// Angle of the tongue to the plate where it is pushed, at the end of the push (rad).
    pub turn_rad: f64,
    /// The pushed place.
    pub place: Travel,
    /// The tip.
    pub tip: Travel,
    /// The push from which the surface keeps 0.01 % of strain somewhere. Less leaves little, but not nothing.
    pub yields: JustYields,
    /// Strain of the surface.
    pub surface: Surface,
    /// The largest change that one push here can make safely.
    pub largest: Largest,
    /// What this one push may leave.
    pub spread: Spread,
    /// How to go about it.
    pub steps: Steps,
    /// The tongue place by place from the clamp to the tip, pushed and let go.
    pub shape: Vec<BentPlace>,
    rest_stations_m: Vec<(f64, f64)>,
}

/// How far a place goes, and how much of it stays.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Travel {
    /// From rest to the end of the push (m).
    pub travel_m: f64,
    /// What remains when it is let go (m).
    pub set_m: f64,
}

impl Travel {
    /// How far the place must be pushed beyond where it shall stay (m): what springs back.
    pub fn overtravel_m(&self) -> f64 {
        self.travel_m - self.set_m
    }
}

/// The push at which the surface keeps 0.01 % of strain somewhere.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct JustYields {
    /// Force (N).
    pub force_n: f64,
    /// Travel of the pushed place (m).
    pub place_travel_m: f64,
    /// Travel of the tip (m).
    pub tip_travel_m: f64,
    /// Where it does so first, along the tongue (m).
    pub at_m: f64,
}

/// Strain of the surface at the end of the push.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Surface {
    /// Largest strain by this bend.
    pub strain: f64,
    /// Where it is, along the tongue (m).
    pub at_m: f64,
    /// What of it is permanent.
    pub permanent_strain: f64,
    /// Strain of which 0.01 % is permanent: from here on it counts as yielding.
    pub yield_strain: f64,
    /// Largest strain allowed.
    pub allowed_strain: f64,
    /// Where the permanent strain allowed comes from.
    pub allowed_source: String,
    /// Largest moment over the one from which on it counts as yielding.
    pub moment_over_yield: f64,
    /// Pieces of the tongue whose surface keeps 0.01 % of strain or more, from and to (m).
    pub yielded_m: Vec<(f64, f64)>,
}

/// The end of what one push here can do.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Largest {
    /// The farthest tip gap it leaves if all is as expected (m).
    pub gap_m: f64,
    /// The travel of the pushed place for that (m); there the softest tongue is at its limit.
    pub place_travel_m: f64,
    /// Which limit.
    pub limit: Limit,
}

impl BendPlan {
    /// Plans one push that leaves `wanted_gap_m`, within [`KinkLimit::assumed`].
    ///
    /// # Errors
    /// As [`BendPlan::to_gap_within`].
    pub fn to_gap(checked: &CheckedReed, push: Push, wanted_gap_m: f64) -> Result<Self, BendRefusal> {
        Self::to_gap_within(checked, push, wanted_gap_m, &KinkLimit::assumed())
    }

    /// Plans one push that leaves `wanted_gap_m` (m) within a limit.
    ///
    /// # Errors
    /// A yield strength that is not known; a place, support or gap that makes no sense; a gap that is already there; a
    /// support that comes too late or bends the tongue by itself; a gap that one push here cannot reach safely.
    pub fn to_gap_within(
        checked: &CheckedReed,
        push: Push,
        wanted_gap_m: f64,
        limit: &KinkLimit,
    ) -> Result<Self, BendRefusal> {
        Self::to_gap_knowing(checked, push, wanted_gap_m, limit, Known::of(checked))
    }

    /// As [`BendPlan::to_gap_within`], with what is known of this tongue: after a push that taught its yield strength, more.
    ///
    /// # Errors
    /// As [`BendPlan::to_gap_within`].
    pub fn to_gap_knowing(
        checked: &CheckedReed,
        push: Push,
        wanted_gap_m: f64,
        limit: &KinkLimit,
        known: Known,
    ) -> Result<Self, BendRefusal> {
        let Wanted { tongue, gap_m, set_m, direction } = Wanted::of(checked, wanted_gap_m)?;
        let uncertain = Uncertain::new(&tongue, push, direction, known, limit)?;
        let trio = uncertain.pushed(limit)?;
        trio.check_support(set_m)?;
        let (largest, largest_set_m) = trio.largest(&tongue, direction)?;
        let bent = trio.expected.tip_set(set_m)?.filter(|_| set_m <= largest_set_m);
        let (Some(bent), Some(yields)) = (bent, trio.expected.yields()?) else {
            return Err(BendRefusal::OutOfReach { largest_gap_m: largest.gap_m, limit: largest.limit });
        };
        let shape = uncertain.expected.shape(&bent);
        Ok(Self {
            push,
            direction,
            gap_m,
            wanted_gap_m,
            force_n: bent.force_n,
            support_n: bent.support_n,
            turn_rad: bent.turn_rad,
            place: Travel { travel_m: bent.place_travel_m, set_m: bent.place_set_m },
            tip: Travel { travel_m: bent.tip_travel_m, set_m: bent.tip_set_m },
            yields: JustYields::at(&yields),
            surface: Surface::of(&tongue, &shape, limit),
            largest,
            spread: uncertain.spread(&trio, gap_m, bent.place_travel_m)?,
            steps: Steps::to_set(&trio, set_m, largest.place_travel_m, known.gap_m)?,
            rest_stations_m: stations(&shape, wanted_gap_m),
            shape,
        })
    }

    /// The shape that remains: places along the tongue and heights above the plate (m), for `rest_stations_mm`.
    pub fn rest_stations(&self) -> &[(f64, f64)] {
        &self.rest_stations_m
    }

    /// The reed as it will be: the same with these rest stations.
    ///
    /// # Errors
    /// As [`CheckedReed::with`]: a height out of the range that a sheet takes.
    pub fn applied_to(&self, checked: &CheckedReed) -> Result<CheckedReed, SheetError> {
        // A sheet gives lengths at 20 degC, the plan those of the tongue as warm as it is.
        let typed_mm = checked.spec.typed("length_mm").and_then(|(value, _)| match value {
            Value::Number(length_mm) => Some(*length_mm),
            _ => None,
        });
        let length_m = checked.reed.beam.length_m;
        let per_m = typed_mm.unwrap_or(1e3 * length_m) / length_m;
        let mut stations: Vec<_> = self.rest_stations_m.iter().map(|&(s, height)| (s * per_m, 1e3 * height)).collect();
        // Between the ends, no more digits than a file needs: a ten-thousandth of a millimetre along, a hundredth of a
        // micrometre up.
        let last = stations.len() - 1;
        for (place_mm, height_mm) in &mut stations[1..last] {
            *place_mm = (1e4 * *place_mm).round() / 1e4;
            *height_mm = (1e5 * *height_mm).round() / 1e5;
        }
        checked.with("rest_stations_mm", stations)
    }
}

impl Tongue {
    /// The tongue of a checked reed, with the usual knee.
    ///
    /// # Errors
    /// A yield strength that is not known: it names the keys that tell it.
    pub fn of(checked: &CheckedReed) -> Result<Self, BendRefusal> {
        let keys = if checked.metal.alloy.is_some() { &["temper", "yield_mpa"][..] } else { &["yield_mpa"] };
        let yield_strength_pa = checked.metal.yield_strength_pa.ok_or(BendRefusal::YieldUnknown { keys })?;
        Ok(Self {
            beam: checked.reed.beam.clone(),
            rest: checked.reed.rest.clone(),
            yield_strength_pa,
            knee: Knee::usual(),
        })
    }
}

impl JustYields {
    fn at(bent: &Bent) -> Self {
        Self {
            force_n: bent.force_n,
            place_travel_m: bent.place_travel_m,
            tip_travel_m: bent.tip_travel_m,
            at_m: bent.most_at_m,
        }
    }
}

impl Surface {
    fn of(tongue: &Tongue, shape: &[BentPlace], limit: &KinkLimit) -> Self {
        let most = shape.iter().fold(
            shape[0],
            |most, here| {
                if here.surface_strain > most.surface_strain { *here } else { most }
            },
        );
        let (curve, elastic_strain) = (tongue.curve(), tongue.elastic_strain());
        let stays_moment = tongue.stays_moment();
        Self {
            strain: most.surface_strain,
            at_m: most.place_m,
            permanent_strain: curve.permanent_strain(most.surface_strain / elastic_strain),
            yield_strain: elastic_strain * curve.stays_at(),
            allowed_strain: elastic_strain * limit.curvature_ratio(&curve).0,
            allowed_source: limit.source.clone(),
            moment_over_yield: most.moment_over_yield.abs() / stays_moment,
            yielded_m: yielded(shape, stays_moment),
        }
    }
}

/// Pieces where the moment is past one, over that of the yield strength.
fn yielded(shape: &[BentPlace], stays_moment: f64) -> Vec<(f64, f64)> {
    let over = |place: &BentPlace| place.moment_over_yield.abs() - stays_moment;
    let mut pieces: Vec<(f64, f64)> = Vec::new();
    for pair in shape.windows(2) {
        let (a, b) = (over(&pair[0]), over(&pair[1]));
        let crossing = pair[0].place_m + (pair[1].place_m - pair[0].place_m) * a / (a - b);
        let (from, to) = match (a > 0.0, b > 0.0) {
            (false, false) => continue,
            (true, true) => (pair[0].place_m, pair[1].place_m),
            (true, false) => (pair[0].place_m, crossing),
            (false, true) => (crossing, pair[1].place_m),
        };
        match pieces.last_mut() {
            Some(last) if last.1 >= from => last.1 = to,
            _ => pieces.push((from, to)),
        }
    }
    pieces
}
