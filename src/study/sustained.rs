//! The sustained sound over the pressure: from onset round every fold to its end.

use super::Study;
use crate::physics::attack::Steady;
use crate::physics::dynamic_range::DynamicRange;
use crate::physics::playable::Playable;
use crate::physics::steady::SetIn;

/// A sustained oscillation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SustainedPoint {
    /// Mouth pressure (Pa).
    pub pressure_pa: f64,
    /// What sounds.
    pub steady: Steady,
    /// Whether it lasts.
    pub stable: bool,
}

/// All of them, with the ends of what can be heard.
#[derive(Debug, Clone, PartialEq)]
pub struct Sustained {
    /// In the order of the branch, which may turn back in pressure.
    pub points: Vec<SustainedPoint>,
    /// Lowest pressure that keeps a sounding reed sounding (Pa).
    pub lowest_pa: f64,
    /// Highest that does (Pa); nothing where it goes on to the limit.
    pub highest_pa: Option<f64>,
    /// How sound sets in.
    pub set_in: SetIn,
    /// Where it speaks in time, with what sounds at the ends.
    pub playable: Option<(Playable, Option<DynamicRange>)>,
}

impl Study {
    /// The sustained sound; nothing where the reed never speaks.
    pub fn sustained(&self) -> Option<Sustained> {
        let branch = self.model.branch(&self.speaking, self.conditions.search.limit_pa)?;
        let scaled = |steady: Steady| steady.with_swing_scaled(self.swing_scale);
        let demand = self.conditions.demand(self.swing_scale);
        let range = |window: Playable| {
            let found = self.model.dynamic_range(&window, demand);
            (window, found.map(|range| DynamicRange { low: scaled(range.low), high: scaled(range.high) }))
        };
        let orbits = self.model.orbits(&self.speaking, &branch);
        let point = |orbit: crate::physics::steady::SteadyOrbit| SustainedPoint {
            pressure_pa: orbit.pressure_pa,
            steady: scaled(orbit.steady),
            stable: orbit.stable,
        };
        Some(Sustained {
            points: orbits.into_iter().map(point).collect(),
            lowest_pa: branch.lowest_pa,
            highest_pa: branch.highest_pa,
            set_in: branch.set_in,
            playable: self.model.playable(&self.speaking, demand).map(range),
        })
    }
}
