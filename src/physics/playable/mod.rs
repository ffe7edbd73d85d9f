//! The playable window: the mouth pressures at which the reed speaks within the time a player allows.
//!
//! Its ends are the lowest and the highest `P` at which `t50` is within that time. This is what a maker feels; onset and
//! choke are its outer limits.

mod search;

use serde::{Deserialize, Serialize};

use super::attack::{Blow, Stop};
use super::model::ReedModel;
use super::onset::Speaking;
use search::{Tried, WindowSearch};

/// What a player asks of a reed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Demand {
    /// Rise time of the attack (s).
    pub rise_s: f64,
    /// Longest `t50` (s).
    pub allowed_s: f64,
    /// Largest stress (Pa), where one is not to be passed.
    pub stress_limit_pa: Option<f64>,
}

/// Why a window ends where it does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Edge {
    /// Beyond it the reed speaks, but too late.
    TooSlow,
    /// Beyond it the reed does not start.
    DoesNotStart,
    /// Beyond it the steady swing bends the reed past the stress limit that was asked for.
    OverStressed,
    /// The search ends here; the reed still speaks in time.
    LimitOfSearch,
}

/// One end of the window.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct End {
    /// Pressure (Pa): in the mouth, or in the lungs where there is a player.
    pub pressure_pa: f64,
    /// Why it ends here.
    pub edge: Edge,
    /// Derivative of `ln t50` by the logarithm of the pressure there, where the reed is too slow beyond it.
    pub steepness: Option<f64>,
    /// Growth rate of small motion there (1/s).
    pub growth_per_s: f64,
}

/// The playable window.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Playable {
    /// Softest blow.
    pub low: End,
    /// Hardest blow.
    pub high: End,
    /// Evaluations of the equations of motion.
    pub evaluations: usize,
}

/// What is known of a reed much like another: its small motion, and its window.
#[derive(Debug, Clone, Copy)]
pub struct Like<'a> {
    /// Onset and choke.
    pub speaking: &'a Speaking,
    /// The window.
    pub window: &'a Playable,
}

impl Like<'_> {
    /// Where the ends would be if the lower went with onset and the upper with choke.
    fn ends(&self, speaking: &Speaking) -> [End; 2] {
        let gone = |end: End, of: fn(&Speaking) -> Option<f64>| {
            let times = of(speaking).zip(of(self.speaking)).map_or(1.0, |(there, here)| there / here);
            End { pressure_pa: times * end.pressure_pa, ..end }
        };
        let onset_pa = |speaking: &Speaking| speaking.onset.map(|onset| onset.pressure_pa);
        [gone(self.window.low, onset_pa), gone(self.window.high, |speaking| speaking.choke.pressure_pa())]
    }
}

impl ReedModel {
    /// The playable window, given what the small motion told; nothing where the reed speaks in time at no pressure tried.
    ///
    /// Each end is a root of `t50(P) = allowed` found by whole attacks. The time to speak is taken to fall from onset to a
    /// shortest time near the pressure of fastest growth and to rise from there on.
    pub fn playable(&self, speaking: &Speaking, demand: Demand) -> Option<Playable> {
        self.playable_like(speaking, demand, None)
    }

    /// The same, where a reed much like this one is known: the same roots to the same accuracy, sought from there in fewer
    /// attacks.
    pub fn playable_like(&self, speaking: &Speaking, demand: Demand, like: Option<Like<'_>>) -> Option<Playable> {
        let onset = speaking.onset?.pressure_pa;
        let fastest = speaking.fastest?.pressure_pa;
        let mut search = WindowSearch { model: self, speaking, demand, evaluations: 0 };
        let (low, high) = like
            .map(|like| like.ends(speaking))
            .map_or((None, None), |[low, high]| search.both(|search| search.near(low), |search| search.near(high)));
        let (low, high) = match (low, high) {
            (Some(low), Some(high)) if low.pressure_pa < high.pressure_pa => (low, high),
            (low, high) => {
                let tries = [fastest, 0.7 * fastest, 1.4 * fastest, 2.0 * fastest];
                let in_range = tries.into_iter().filter(|&p| p >= onset && p <= speaking.limit_pa);
                let inside = in_range.map(|p| search.try_at(p)).find(Tried::in_time)?;
                let low = low.filter(|low| low.pressure_pa < inside.pressure_pa);
                let high = high.filter(|high| high.pressure_pa > inside.pressure_pa);
                search.both(
                    |search| low.unwrap_or_else(|| search.lower(inside, onset)),
                    |search| high.unwrap_or_else(|| search.upper(inside)),
                )
            }
        };
        let high = demand.stress_limit_pa.map_or(Some(high), |limit| search.stressed(low, high, limit))?;
        Some(Playable { low, high, evaluations: search.evaluations })
    }
}

impl Demand {
    /// An attack as this player makes it.
    pub fn blow(&self, pressure_pa: f64) -> Blow {
        Blow { pressure_pa, rise_s: self.rise_s }
    }

    /// Much later than allowed is late enough to know that it is too late.
    pub fn late_enough(&self) -> Stop {
        const LATE: f64 = 3.0;
        Stop::WhenSteadyOrAt(self.rise_s + LATE * self.allowed_s)
    }
}
