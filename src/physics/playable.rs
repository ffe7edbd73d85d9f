//! The playable window: the mouth pressures at which the reed speaks within the time a player allows.
//!
//! Its ends are the lowest and the highest `P` at which `t50` is within that time. This is what a maker feels; onset and
//! choke are its outer limits.

mod near;

use serde::{Deserialize, Serialize};

use super::attack::{Blow, Promptness, Steady, Stop};
use super::model::ReedModel;
use super::onset::{Growth, Speaking};

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

impl Edge {
    fn beyond(failure: Promptness) -> Self {
        if failure == Promptness::Silent { Self::DoesNotStart } else { Self::TooSlow }
    }
}

/// One end of the window.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct End {
    /// Mouth pressure (Pa), to 3 %.
    pub pressure_pa: f64,
    /// Why it ends here.
    pub edge: Edge,
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

/// Relative accuracy of the ends.
const ACCURACY: f64 = 0.03;
/// First step away from a guess of an end, and by how much each further one grows.
const STEP: f64 = 1.06;
/// Widest step upwards.
const WIDEST: f64 = 1.25;

impl ReedModel {
    /// The playable window, given what the small motion told; nothing where the reed speaks in time at no pressure tried.
    ///
    /// The time to speak is taken to fall from onset to a shortest time near the pressure of fastest growth and to rise
    /// from there on.
    pub fn playable(&self, speaking: &Speaking, demand: Demand) -> Option<Playable> {
        let onset = speaking.onset?.pressure_pa;
        let fastest = speaking.fastest?.pressure_pa;
        let mut search = WindowSearch { model: self, speaking, demand, evaluations: 0 };
        let tries = [fastest, 0.7 * fastest, 1.4 * fastest, 2.0 * fastest];
        let in_range = tries.into_iter().filter(|&p| p >= onset && p <= speaking.limit_pa);
        let (inside, t50_s) = in_range.into_iter().find_map(|p| Some((p, search.try_at(p).ok()?)))?;
        let needed = search.growth_needed(inside, t50_s);
        // At onset itself growth is infinitely slow.
        let low = search.edge(inside, onset, Promptness::Late, search.guess(inside, onset, needed));
        let high = search.upper(inside, needed);
        let high = demand.stress_limit_pa.map_or(Some(high), |limit| search.stressed(low, high, limit))?;
        Some(Playable { low, high, evaluations: search.evaluations })
    }

    /// What sounds at both ends of a window.
    pub fn dynamic_range(&self, window: &Playable, demand: Demand) -> Option<DynamicRange> {
        let at = |end: End| self.attack(&demand.blow(end.pressure_pa), Stop::WhenSteady).steady;
        Some(DynamicRange { low: at(window.low)?, high: at(window.high)? })
    }
}

impl Demand {
    /// An attack as this player makes it.
    pub fn blow(&self, pressure_pa: f64) -> Blow {
        Blow { pressure_pa, rise_s: self.rise_s }
    }
}

/// The steady sound at both ends of a playable window.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DynamicRange {
    /// At the softest blow.
    pub low: Steady,
    /// At the hardest.
    pub high: Steady,
}

impl DynamicRange {
    /// Level at the top less level at the bottom (dB). It can be negative: near its choke a reed swings less.
    pub fn db(&self) -> f64 {
        self.high.level.db - self.low.level.db
    }
}

struct WindowSearch<'a> {
    model: &'a ReedModel,
    speaking: &'a Speaking,
    demand: Demand,
    evaluations: usize,
}

impl WindowSearch<'_> {
    /// About when the reed speaks, if it is in time.
    fn try_at(&mut self, pressure_pa: f64) -> Result<f64, Promptness> {
        let blow = self.demand.blow(pressure_pa);
        let growth = self.speaking.growth_near(pressure_pa);
        let trial = self.model.trial(&blow, self.demand.allowed_s, growth);
        self.evaluations += trial.evaluations;
        match trial.promptness {
            Promptness::InTime => Ok(trial.about_t50_s.unwrap_or(self.demand.allowed_s)),
            failure => Err(failure),
        }
    }

    /// The growth rate that brings `t50` to the time allowed, if the swing to be reached is about the same number of times
    /// the first one as where it was tried: a guess to begin with.
    fn growth_needed(&self, tried_pa: f64, t50_s: f64) -> f64 {
        let half_rise = 0.5 * self.demand.rise_s;
        let times = self.speaking.growth_near(tried_pa) * (t50_s - half_rise).max(0.0);
        times / (self.demand.allowed_s - half_rise).max(0.1 * self.demand.allowed_s)
    }

    /// The first pressure from `inside` towards `outside` at which growth falls short of what is needed.
    fn guess(&self, inside: f64, outside: f64, needed: f64) -> Option<f64> {
        let short = |growth: &&Growth| growth.growth_per_s < needed;
        let curve = &self.speaking.curve;
        let found = if outside < inside {
            curve.iter().rev().filter(|g| g.pressure_pa <= inside && g.pressure_pa > outside).find(short)
        } else {
            curve.iter().filter(|g| g.pressure_pa >= inside && g.pressure_pa < outside).find(short)
        };
        found.map(|growth| growth.pressure_pa)
    }

    /// Goes up in growing steps until the reed fails, then closes in: from where growth falls short of what is needed, so
    /// that a narrow stretch without an answer in time is not jumped over.
    fn upper(&mut self, inside: f64, needed: f64) -> End {
        let limit = self.speaking.limit_pa;
        let short = self.guess(inside, limit, needed).or(self.speaking.choke.pressure_pa());
        let (mut good, mut next, mut step) = (inside, short.unwrap_or(limit).max(STEP * inside), STEP);
        loop {
            let pressure = next.min(limit);
            match self.try_at(pressure) {
                Ok(_) if pressure >= limit => return End { pressure_pa: limit, edge: Edge::LimitOfSearch },
                Ok(_) => (good, next, step) = (pressure, step * pressure, (step * step).min(WIDEST)),
                Err(failure) => return self.edge(good, pressure, failure, self.guess(good, pressure, needed)),
            }
        }
    }

    /// The upper end where the stress limit comes before it; nothing where even the softest blow passes the limit.
    fn stressed(&mut self, low: End, high: End, limit_pa: f64) -> Option<End> {
        let (mut good, mut bad) = (low.pressure_pa, high.pressure_pa);
        if !self.passes(bad, limit_pa) {
            return Some(high);
        }
        if self.passes(good, limit_pa) {
            return None;
        }
        while bad > good * (1.0 + ACCURACY) {
            let middle = (good * bad).sqrt();
            if self.passes(middle, limit_pa) { bad = middle } else { good = middle }
        }
        Some(End { pressure_pa: good, edge: Edge::OverStressed })
    }

    /// Whether the steady swing at a pressure bends the reed past a limit.
    fn passes(&mut self, pressure_pa: f64, limit_pa: f64) -> bool {
        let attack = self.model.attack(&self.demand.blow(pressure_pa), Stop::WhenSteady);
        self.evaluations += attack.evaluations;
        attack.steady.is_some_and(|steady| steady.stress_pa > limit_pa)
    }

    /// Closes in between a pressure at which the reed speaks in time and one at which it fails: from the guess in growing
    /// steps until the end is passed, then by halves, in the logarithm of the pressure.
    fn edge(&mut self, mut good: f64, mut bad: f64, mut failure: Promptness, guess: Option<f64>) -> End {
        let apart = |good: f64, bad: f64| (good / bad).max(bad / good);
        let mut step = if bad > good { STEP } else { 1.0 / STEP };
        let mut next = guess;
        let mut passed = [false; 2];
        while apart(good, bad) > 1.0 + ACCURACY {
            let within = |p: &f64| (*p - good) * (*p - bad) < 0.0;
            let pressure = next.filter(within).unwrap_or_else(|| (good * bad).sqrt());
            let outcome = self.try_at(pressure);
            match outcome {
                Ok(_) => good = pressure,
                Err(other) => (bad, failure) = (pressure, other),
            }
            passed[usize::from(outcome.is_ok())] = true;
            let onwards = if outcome.is_ok() { pressure * step } else { pressure / step };
            next = (passed != [true; 2]).then_some(onwards);
            step *= step;
        }
        End { pressure_pa: good, edge: Edge::beyond(failure) }
    }
}
