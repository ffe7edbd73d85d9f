//! The playable window: the mouth pressures at which the reed speaks within the time a player allows.
//!
//! Its ends are the lowest and the highest `P` at which `t50` is within that time. This is what a maker feels; onset and
//! choke are its outer limits.

use super::attack::{Blow, Promptness};
use super::model::ReedModel;
use super::onset::Speaking;

/// What a player asks of a reed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Demand {
    /// Rise time of the attack (s).
    pub rise_s: f64,
    /// Longest `t50` (s).
    pub allowed_s: f64,
}

/// Why a window ends where it does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Edge {
    /// Beyond it the reed speaks, but too late.
    TooSlow,
    /// Beyond it the reed does not start.
    DoesNotStart,
    /// The search ends here; the reed still speaks in time.
    LimitOfSearch,
}

/// One end of the window.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct End {
    /// Mouth pressure (Pa), to 2 %.
    pub pressure_pa: f64,
    /// Why it ends here.
    pub edge: Edge,
}

/// The playable window.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Playable {
    /// Softest blow.
    pub low: End,
    /// Hardest blow.
    pub high: End,
    /// Evaluations of the equations of motion.
    pub evaluations: usize,
}

/// Relative accuracy of the ends.
const ACCURACY: f64 = 0.02;
impl ReedModel {
    /// The playable window, given what the small motion told; nothing where the reed speaks in time at no pressure tried.
    ///
    /// The time to speak is taken to fall from onset to a shortest time near the pressure of fastest growth and to rise
    /// from there on.
    pub fn playable(&self, speaking: &Speaking, demand: Demand) -> Option<Playable> {
        let onset = speaking.onset?.pressure_pa;
        let fastest = speaking.fastest?.pressure_pa;
        let mut trial = Trial { model: self, speaking, demand, evaluations: 0 };
        let tries = [fastest, 0.7 * fastest, 1.4 * fastest, 2.0 * fastest];
        let in_range = tries.into_iter().filter(|&p| p >= onset && p <= speaking.limit_pa);
        let inside = in_range.into_iter().find(|&p| trial.answer(p) == Promptness::InTime)?;
        // At onset itself growth is infinitely slow.
        let low = trial.edge(inside, onset, Promptness::Late);
        let high = trial.upper(inside);
        Some(Playable { low, high, evaluations: trial.evaluations })
    }
}

struct Trial<'a> {
    model: &'a ReedModel,
    speaking: &'a Speaking,
    demand: Demand,
    evaluations: usize,
}

impl Trial<'_> {
    fn answer(&mut self, pressure_pa: f64) -> Promptness {
        let blow = Blow { pressure_pa, rise_s: self.demand.rise_s };
        let growth = self.speaking.growth_near(pressure_pa);
        let (answer, evaluations) = self.model.promptness(&blow, self.demand.allowed_s, growth);
        self.evaluations += evaluations;
        answer
    }

    /// Steps up from `inside` until the reed fails, then closes in.
    fn upper(&mut self, inside: f64) -> End {
        let limit = self.speaking.limit_pa;
        let mut good = inside;
        let mut next = self.speaking.choke.pressure_pa().unwrap_or(limit).max(1.1 * inside);
        loop {
            let pressure = next.min(limit);
            match self.answer(pressure) {
                Promptness::InTime if pressure >= limit => {
                    return End { pressure_pa: limit, edge: Edge::LimitOfSearch };
                }
                Promptness::InTime => (good, next) = (pressure, 1.25 * pressure),
                failure => return self.edge(good, pressure, failure),
            }
        }
    }

    /// Bisects, in the logarithm of the pressure, between one at which the reed speaks in time and one at which it fails.
    fn edge(&mut self, mut good: f64, mut bad: f64, mut failure: Promptness) -> End {
        while (good / bad).max(bad / good) - 1.0 > ACCURACY {
            let middle = (good * bad).sqrt();
            match self.answer(middle) {
                Promptness::InTime => good = middle,
                other => (bad, failure) = (middle, other),
            }
        }
        let edge = if failure == Promptness::Silent { Edge::DoesNotStart } else { Edge::TooSlow };
        End { pressure_pa: good, edge }
    }
}
