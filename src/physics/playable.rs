//! The playable window: the mouth pressures at which the reed speaks within the time a player allows.
//!
//! Its ends are the lowest and the highest `P` at which `t50` is within that time. This is what a maker feels; onset and
//! choke are its outer limits.

use serde::{Deserialize, Serialize};

use super::attack::{Blow, Start, Steady, Stop};
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

/// Relative accuracy of the ends.
const ACCURACY: f64 = 2e-3;
/// First step outwards, and the widest.
const STEPS: [f64; 2] = [1.06, 1.3];

impl ReedModel {
    /// The playable window, given what the small motion told; nothing where the reed speaks in time at no pressure tried.
    ///
    /// Each end is a root of `t50(P) = allowed` found by whole attacks. The time to speak is taken to fall from onset to a
    /// shortest time near the pressure of fastest growth and to rise from there on.
    pub fn playable(&self, speaking: &Speaking, demand: Demand) -> Option<Playable> {
        let onset = speaking.onset?.pressure_pa;
        let fastest = speaking.fastest?.pressure_pa;
        let mut search = WindowSearch { model: self, speaking, demand, evaluations: 0 };
        let tries = [fastest, 0.7 * fastest, 1.4 * fastest, 2.0 * fastest];
        let in_range = tries.into_iter().filter(|&p| p >= onset && p <= speaking.limit_pa);
        let inside = in_range.map(|p| search.try_at(p)).find(Tried::in_time)?;
        let low = search.lower(inside, onset);
        let high = search.upper(inside);
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

/// A pressure and when the reed spoke there.
#[derive(Debug, Clone, Copy)]
struct Tried {
    pressure_pa: f64,
    /// Logarithm of `t50` over the time allowed; nothing where the reed does not speak.
    lateness: Option<f64>,
    speaks: bool,
}

impl Tried {
    fn in_time(&self) -> bool {
        self.lateness.is_some_and(|lateness| lateness <= 0.0)
    }

    fn ln_pressure(&self) -> f64 {
        self.pressure_pa.ln()
    }

    /// Why a window ends before it.
    fn edge(&self) -> Edge {
        if self.speaks { Edge::TooSlow } else { Edge::DoesNotStart }
    }
}

struct WindowSearch<'a> {
    model: &'a ReedModel,
    speaking: &'a Speaking,
    demand: Demand,
    evaluations: usize,
}

impl WindowSearch<'_> {
    fn try_at(&mut self, pressure_pa: f64) -> Tried {
        let Start { t50_s, speaks, evaluations, .. } = self.model.start(&self.demand.blow(pressure_pa));
        self.evaluations += evaluations;
        let lateness = t50_s.map(|t50_s| (t50_s / self.demand.allowed_s).ln());
        Tried { pressure_pa, lateness, speaks }
    }

    fn end(&self, pressure_pa: f64, edge: Edge, steepness: Option<f64>) -> End {
        End { pressure_pa, edge, steepness, growth_per_s: self.speaking.growth_near(pressure_pa) }
    }

    /// Where growth falls to what would bring `t50` to the time allowed, if the swing to be reached is as many times the
    /// first one as where it was tried: from `from` towards `to`.
    fn guess(&self, from: &Tried, to: f64) -> Option<f64> {
        let half_rise = 0.5 * self.demand.rise_s;
        let t50_s = self.demand.allowed_s * from.lateness?.exp();
        let times = self.speaking.growth_near(from.pressure_pa) * (t50_s - half_rise).max(0.0);
        let needed = times / (self.demand.allowed_s - half_rise).max(0.1 * self.demand.allowed_s);
        let short = |growth: &&Growth| growth.growth_per_s < needed;
        let between = |growth: &&Growth| (growth.pressure_pa - from.pressure_pa) * (growth.pressure_pa - to) < 0.0;
        let mut curve = self.speaking.curve.iter().filter(between);
        let found = if to < from.pressure_pa { curve.rfind(short) } else { curve.find(short) };
        found.map(|growth| growth.pressure_pa)
    }

    /// At onset itself growth is infinitely slow.
    fn lower(&mut self, inside: Tried, onset: f64) -> End {
        self.edge(inside, Tried { pressure_pa: onset, lateness: None, speaks: true })
    }

    /// Goes up in growing steps until the reed fails, from where growth falls short of what is needed, then closes in.
    fn upper(&mut self, inside: Tried) -> End {
        let limit = self.speaking.limit_pa;
        let short = self.guess(&inside, limit).or(self.speaking.choke.pressure_pa());
        let [mut step, widest] = STEPS;
        let (mut good, mut next) = (inside, short.unwrap_or(limit).max(step * inside.pressure_pa));
        loop {
            let tried = self.try_at(next.min(limit));
            if !tried.in_time() {
                return self.edge(good, tried);
            }
            if tried.pressure_pa >= limit {
                return self.end(limit, Edge::LimitOfSearch, None);
            }
            good = tried;
            (next, step) = (step * tried.pressure_pa, (step * step).min(widest));
        }
    }

    /// Closes in between a pressure at which the reed speaks in time and one at which it fails: by the line through the two
    /// nearest logarithms of `t50`, by growth where one has none, by halves where neither gets on.
    fn edge(&mut self, mut good: Tried, mut bad: Tried) -> End {
        const ROUNDS: usize = 24;
        let slope = |a: &Tried, b: &Tried| Some((b.lateness? - a.lateness?) / (b.ln_pressure() - a.ln_pressure()));
        let (mut before, mut steepness) = (good, None);
        for round in 0..ROUNDS {
            let width = (bad.ln_pressure() - good.ln_pressure()).abs();
            let near = good.lateness.is_some_and(|lateness| lateness > -ACCURACY);
            if width < ACCURACY || near {
                break;
            }
            let line =
                slope(&good, &bad).or_else(|| slope(&before, &good).filter(|_| before.pressure_pa != good.pressure_pa));
            let by_line = line.zip(good.lateness).map(|(slope, lateness)| good.ln_pressure() - lateness / slope);
            let guess = by_line.or_else(|| self.guess(&good, bad.pressure_pa).map(f64::ln));
            let middle = 0.5 * (good.ln_pressure() + bad.ln_pressure());
            // A little beyond the root, so that the bracket closes from both sides.
            let outwards = 0.3 * ACCURACY * (bad.ln_pressure() - good.ln_pressure()).signum();
            let within = |x: &f64| (x - good.ln_pressure()) * (x - bad.ln_pressure()) < 0.0;
            let next = guess.map(|x| x + outwards).filter(within).filter(|_| round % 4 < 3).unwrap_or(middle);
            let tried = self.try_at(next.exp());
            before = good;
            if tried.in_time() {
                good = tried
            } else {
                bad = tried
            }
            steepness = slope(&good, &bad).or(steepness);
        }
        self.end(good.pressure_pa, bad.edge(), steepness.filter(|_| bad.speaks))
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
        Some(self.end(good, Edge::OverStressed, None))
    }

    /// Whether the steady swing at a pressure bends the reed past a limit.
    fn passes(&mut self, pressure_pa: f64, limit_pa: f64) -> bool {
        let attack = self.model.attack(&self.demand.blow(pressure_pa), Stop::WhenSteady);
        self.evaluations += attack.evaluations;
        attack.steady.is_some_and(|steady| steady.stress_pa > limit_pa)
    }
}
