//! Stray leaks: how large, what they cost, how small they should be.

use super::SealRefusal;
use super::onset::OnsetOverLeak;
use super::{LARGE_RISE, Law, Reading, SMALL_RISE, felt_over_read};
use crate::answer::Conditions;
use crate::physics::Air;
use crate::physics::aperture::Slit;
use crate::sheet::CheckedReed;

/// How the leak is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Source {
    /// `leak_mm2` of the reed's file.
    InFile,
    /// A slit of this height and depth, so long (m).
    Slit {
        /// The slit.
        slit: Slit,
        /// Its length across the flow (m).
        length_m: f64,
    },
    /// Pressure falling in a closed volume with the slot taped over.
    LeakDown(LeakDown),
    /// A flow measured at a pressure with the slot taped over.
    Flow {
        /// Flow (m3/s).
        flow_m3_s: f64,
        /// Pressure (Pa).
        at_pa: f64,
        /// How far pressures and the flow may be off.
        off: Off,
    },
    /// Flows at two pressures, the higher first: they tell a hole from a slit.
    TwoFlows {
        /// The readings.
        readings: [Reading; 2],
        /// How far pressures and flows may be off.
        off: Off,
    },
}

/// How far measurements of a leak may be off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Off {
    /// Each pressure (Pa).
    pressure_pa: f64,
    /// Volume, time and flow, each of itself.
    share: f64,
}

impl Off {
    /// Pressures off by `pressure_pa`, the rest by a `share` of itself.
    pub fn new(pressure_pa: f64, share: f64) -> Self {
        Self { pressure_pa, share }
    }
}

/// A closed volume whose pressure over the room's falls through a leak.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeakDown {
    /// Volume (m3).
    pub volume_m3: f64,
    /// Pressure over the room's at the start (Pa).
    pub from_pa: f64,
    /// Pressure over the room's at the end (Pa).
    pub to_pa: f64,
    /// Time between them (s).
    pub time_s: f64,
    /// Pressure of the room (Pa).
    pub room_pa: f64,
    /// How far all that may be off.
    pub off: Off,
}

impl LeakDown {
    /// One that can be timed by hand.
    pub const BY_HAND: Self = Self {
        volume_m3: 1e-3,
        from_pa: 1000.0,
        to_pa: 300.0,
        time_s: 5.0,
        room_pa: 101_325.0,
        off: Off { pressure_pa: 0.0, share: 0.0 },
    };

    /// The volume in which the same fall in the same time would tell of a hole of `area_m2` (m3).
    pub fn volume_for_m3(&self, area_m2: f64, density_kg_m3: f64) -> f64 {
        self.volume_m3 * area_m2 / self.area_m2(density_kg_m3)
    }

    /// The hole that lets the pressure fall so: `A = V sqrt(2 rho) (sqrt p1 - sqrt p2)/(t p0)` (m2).
    ///
    /// An ideal gas at constant temperature holds the mass `(p0 + p) V/(R T)`; with `p` far below `p0`,
    /// `V/(R T) dp/dt = -A sqrt(2 rho p)` and `R T = p0/rho`, which is integrated in closed form (draining of a tank
    /// through an orifice, with the gas law for the capacity: F. M. White, *Fluid Mechanics*, chapter 3, from memory).
    pub fn area_m2(&self, density_kg_m3: f64) -> f64 {
        let roots = self.from_pa.sqrt() - self.to_pa.sqrt();
        self.volume_m3 * (2.0 * density_kg_m3).sqrt() * roots / (self.time_s * self.room_pa)
    }

    /// Least and largest area (m2). The two pressures count at their worst; the largest is for a gas that keeps its
    /// temperature, the least for one so fast that it keeps its heat (1.4 times stiffer).
    fn bounds_m2(&self, density_kg_m3: f64) -> (f64, f64) {
        let with = |by: f64| Self { from_pa: (self.from_pa + by).max(0.0), to_pa: (self.to_pa - by).max(0.0), ..*self };
        let share = 2f64.sqrt() * self.off.share;
        let least = with(-self.off.pressure_pa).area_m2(density_kg_m3).max(0.0) / (ADIABATIC * (1.0 + share));
        (least, with(self.off.pressure_pa).area_m2(density_kg_m3) * (1.0 + share))
    }
}

/// Ratio of the specific heats of air.
const ADIABATIC: f64 = 1.4;

/// A leak with its bounds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeakFound {
    /// Effective area that a starting reed feels (m2), the `leak_mm2` of the model.
    pub area_m2: f64,
    /// The least it may be (m2): by the readings, and by whether it is a hole or a slit where these do not tell.
    pub least_m2: f64,
    /// The most it may be (m2), likewise.
    pub most_m2: f64,
    /// What two readings tell of its kind.
    pub law: Option<Law>,
    /// Air lost at the normal pressure (m3/s).
    pub lost_m3_s: f64,
}

/// What is planned for a leak.
#[derive(Debug, Clone)]
pub struct LeakPlan {
    /// The leak.
    pub found: LeakFound,
    /// How it is known.
    pub source: Source,
    /// Onset without a leak (Pa).
    pub tight_onset_pa: f64,
    /// Onset with it (Pa); nothing where the reed no longer starts.
    pub onset_pa: Option<f64>,
    /// Leak that raises the onset by [`SMALL_RISE`] (m2): as good as tight.
    pub small_m2: f64,
    /// Leak that raises it by [`LARGE_RISE`] (m2).
    pub large_m2: f64,
    /// Whether the leak is larger than is as good as tight.
    pub needed: bool,
    /// The reed as it is.
    pub before: CheckedReed,
    /// The reed with a leak that is as good as tight.
    pub after: CheckedReed,
}

impl LeakPlan {
    /// Finds the leak and what sealing it is worth.
    ///
    /// # Errors
    /// A measurement that is none, or a reed that does not start even without a leak.
    pub fn of(checked: &CheckedReed, source: &Source, conditions: &Conditions) -> Result<Self, SealRefusal> {
        let reed = &checked.reed;
        let over_leak = OnsetOverLeak::of(reed, conditions)?;
        let tight_onset_pa = over_leak.tight_pa()?;
        let found = found(source, reed.slot.leak_area_m2, &reed.air, tight_onset_pa, conditions.pressure_pa)?;
        let [small_m2, large_m2] =
            [SMALL_RISE, LARGE_RISE].map(|rise| over_leak.leak_for_rise_m2(tight_onset_pa, rise));
        let needed = found.area_m2 > small_m2;
        let before = checked.with("leak_mm2", 1e6 * found.area_m2)?;
        let after = if needed { checked.with("leak_mm2", 1e6 * small_m2)? } else { before.clone() };
        let onset_pa = over_leak.onset_pa(found.area_m2);
        Ok(Self { found, source: *source, tight_onset_pa, onset_pa, small_m2, large_m2, needed, before, after })
    }
}

/// A hole that damps small changes of pressure about `at_pa` as `conductance` does (m2): `dU/dp = A/sqrt(2 rho dp)`.
pub fn damping_area_m2(conductance_m3_s_pa: f64, air: &Air, at_pa: f64) -> f64 {
    conductance_m3_s_pa * (2.0 * air.density_kg_m3 * at_pa).sqrt()
}

fn found(source: &Source, of_file_m2: f64, air: &Air, onset_pa: f64, normal_pa: f64) -> Result<LeakFound, SealRefusal> {
    let jet = (2.0 / air.density_kg_m3).sqrt();
    let hole = |area_m2: f64, least_m2: f64, most_m2: f64| LeakFound {
        area_m2,
        least_m2,
        most_m2,
        law: None,
        lost_m3_s: area_m2 * jet * normal_pa.sqrt(),
    };
    // One reading does not tell a hole from a slit.
    let of_any_kind = |area_m2: f64, (least, most): (f64, f64), (from_pa, to_pa): (f64, f64)| {
        let kinds = felt_over_read(onset_pa, from_pa, to_pa);
        hole(area_m2, kinds.low * least, kinds.high * most)
    };
    Ok(match source {
        Source::InFile => hole(of_file_m2, of_file_m2, of_file_m2),
        Source::Slit { slit, length_m } => {
            let area = |slit: &Slit| damping_area_m2(slit.conductance_m3_s_pa(air, *length_m, onset_pa), air, onset_pa);
            // A rounded entrance and no contraction let the most through.
            let smooth = Slit { lost_heads: SMOOTH_HEADS, end_heights: 0.0, ..*slit };
            LeakFound {
                area_m2: area(slit),
                least_m2: area(slit),
                most_m2: area(&smooth),
                law: None,
                lost_m3_s: slit.flow_m3_s(air, *length_m, normal_pa),
            }
        }
        Source::LeakDown(down) if down.from_pa <= down.to_pa => {
            return Err(SealRefusal::DidNotFall { from_pa: down.from_pa, to_pa: down.to_pa });
        }
        Source::LeakDown(down) => {
            let bounds = down.bounds_m2(air.density_kg_m3);
            // A fall to nothing has no mean: down to a hundredth of the start.
            let to_pa = down.to_pa.max(0.01 * down.from_pa);
            of_any_kind(down.area_m2(air.density_kg_m3), bounds, (down.from_pa, to_pa))
        }
        Source::Flow { flow_m3_s, at_pa, off } => {
            let area = |flow: f64, pressure: f64| flow / (jet * pressure.sqrt());
            let least = area(flow_m3_s * (1.0 - off.share), at_pa + off.pressure_pa);
            let most = area(flow_m3_s * (1.0 + off.share), (at_pa - off.pressure_pa).max(0.1 * at_pa));
            of_any_kind(area(*flow_m3_s, *at_pa), (least, most), (*at_pa, *at_pa))
        }
        Source::TwoFlows { readings, off } => by_two(readings, off, air, onset_pa, normal_pa)?,
    })
}

/// The leak by the law through two readings; its ends by that through every pair of what these may have been.
fn by_two(
    readings: &[Reading; 2],
    off: &Off,
    air: &Air,
    onset_pa: f64,
    normal_pa: f64,
) -> Result<LeakFound, SealRefusal> {
    let [high, low] = *readings;
    let law = Law::through([high, low]).ok_or(SealRefusal::NoLaw {
        flows_m3_s: (high.flow_m3_s, low.flow_m3_s),
        pressures_pa: (high.at_pa, low.at_pa),
    })?;
    let corners = |reading: Reading| {
        let Off { pressure_pa, share } = *off;
        [(-1.0, -1.0), (-1.0, 1.0), (1.0, -1.0), (1.0, 1.0)].map(|(flow, pressure)| Reading {
            flow_m3_s: reading.flow_m3_s * (1.0 + flow * share),
            at_pa: (reading.at_pa + pressure * pressure_pa).max(0.1 * reading.at_pa),
        })
    };
    let (highs, lows) = (corners(high), corners(low));
    let pairs = highs.iter().flat_map(|high| lows.iter().map(move |low| [*high, *low]));
    let areas: Vec<f64> = pairs.filter_map(Law::through).map(|law| law.area_m2(air, onset_pa)).collect();
    let area_m2 = law.area_m2(air, onset_pa);
    Ok(LeakFound {
        area_m2,
        least_m2: areas.iter().copied().fold(area_m2, f64::min),
        most_m2: areas.iter().copied().fold(area_m2, f64::max),
        law: Some(law),
        lost_m3_s: law.flow_m3_s(normal_pa),
    })
}

/// Heads lost in a slit with a rounded entrance and its developed profile's jet thrown away (White, *Viscous Fluid Flow*,
/// from memory: 1.5 to 1.7).
const SMOOTH_HEADS: f64 = 1.5;
