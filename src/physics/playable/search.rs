//! The ends of a playable window, sought by whole attacks.

use super::{Demand, Edge, End};
use crate::physics::attack::{Start, Stop};
use crate::physics::model::ReedModel;
use crate::physics::onset::{Growth, Speaking};

/// Relative accuracy of the ends, and of `t50` there.
const ACCURACY: f64 = 1e-2;
/// From so far (a logarithm of `t50`) a line as steep as at a reed much like it, steep to a fifth, leads to the end as accurately.
const NEAR: f64 = 5.0 * ACCURACY;
/// Logarithm of the ratio of two pressures between which `ln t50` need not be straight.
const FAR: f64 = 0.25;
/// First step outwards, and the widest.
const STEPS: [f64; 2] = [1.06, 1.3];

/// A pressure and when the reed spoke there.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tried {
    pub(super) pressure_pa: f64,
    /// Logarithm of `t50` over the time allowed; nothing where the reed does not speak.
    lateness: Option<f64>,
    speaks: bool,
}

impl Tried {
    pub(super) fn in_time(&self) -> bool {
        self.lateness.is_some_and(|lateness| lateness <= 0.0)
    }

    fn ln_pressure(&self) -> f64 {
        self.pressure_pa.ln()
    }

    /// How far its time is from the one allowed, as a logarithm.
    fn distance(&self) -> f64 {
        self.lateness.map_or(f64::INFINITY, f64::abs)
    }

    fn is_at_the_end(&self) -> bool {
        self.distance() < ACCURACY
    }

    /// Why a window ends before it.
    fn edge(&self) -> Edge {
        if self.speaks { Edge::TooSlow } else { Edge::DoesNotStart }
    }
}

/// Where the line through two logarithms of `t50` comes to the time allowed, as a logarithm of the pressure, and its slope.
fn line(a: &Tried, b: &Tried) -> Option<(f64, f64)> {
    let slope = (b.lateness? - a.lateness?) / (b.ln_pressure() - a.ln_pressure());
    slope.is_normal().then(|| (a.ln_pressure() - a.lateness.unwrap_or(0.0) / slope, slope))
}

/// Seeks the ends of one reed's window.
#[derive(Clone)]
pub(super) struct WindowSearch<'a> {
    pub(super) model: &'a ReedModel,
    pub(super) speaking: &'a Speaking,
    pub(super) demand: Demand,
    pub(super) evaluations: usize,
}

impl WindowSearch<'_> {
    /// Seeks both ends, one beside the other.
    pub(super) fn both<T: Send>(
        &mut self,
        low: impl FnOnce(&mut Self) -> T + Send,
        high: impl FnOnce(&mut Self) -> T + Send,
    ) -> (T, T) {
        let mut other = Self { evaluations: 0, ..self.clone() };
        let found = rayon::join(|| low(self), || high(&mut other));
        self.evaluations += other.evaluations;
        found
    }

    /// Whether it would speak at all, where it is too late to count, is told by growth.
    pub(super) fn try_at(&mut self, pressure_pa: f64) -> Tried {
        let Start { t50_s, speaks, evaluations, .. } =
            self.model.start(&self.demand.blow(pressure_pa), self.demand.late_enough());
        self.evaluations += evaluations;
        let lateness = t50_s.map(|t50_s| (t50_s / self.demand.allowed_s).ln());
        Tried { pressure_pa, lateness, speaks: speaks || self.speaking.growth_near(pressure_pa) > 0.0 }
    }

    fn end(&self, pressure_pa: f64, edge: Edge, steepness: Option<f64>) -> End {
        End { pressure_pa, edge, steepness, growth_per_s: self.speaking.growth_near(pressure_pa) }
    }

    /// Where between two pressures growth passes what would bring `t50` to the time allowed, if the swing to be reached is as
    /// many times the first one as where it was tried.
    fn guess(&self, tried: &Tried, between: [f64; 2]) -> Option<f64> {
        let half_rise = 0.5 * self.demand.rise_s;
        let t50_s = self.demand.allowed_s * tried.lateness?.exp();
        let times = self.speaking.growth_near(tried.pressure_pa) * (t50_s - half_rise).max(0.0);
        let needed = times / (self.demand.allowed_s - half_rise).max(0.1 * self.demand.allowed_s);
        let [low, high] = if between[0] < between[1] { between } else { [between[1], between[0]] };
        let inside: Vec<_> = self.speaking.curve.iter().filter(|g| (low..=high).contains(&g.pressure_pa)).collect();
        let passes = |pair: &&[&Growth]| (pair[0].growth_per_s < needed) != (pair[1].growth_per_s < needed);
        // Of several passages the one next to the pressure that is known to be good, which is the first of the two.
        let pair =
            if between[0] < between[1] { inside.windows(2).find(passes) } else { inside.windows(2).rfind(passes) }?;
        let share = (needed - pair[0].growth_per_s) / (pair[1].growth_per_s - pair[0].growth_per_s);
        Some(pair[0].pressure_pa + share * (pair[1].pressure_pa - pair[0].pressure_pa))
    }

    /// The end near that of a reed much like this one, where beyond that it was too slow: along the line through the last
    /// two attacks, at first as steep as there. Nothing where that does not soon lead to it.
    pub(super) fn near(&mut self, like: End) -> Option<End> {
        const ROUNDS: usize = 4;
        let mut slope = like.steepness.filter(|_| like.edge == Edge::TooSlow)?;
        let mut tried = self.try_at(like.pressure_pa);
        for _ in 0..ROUNDS {
            let root = tried.ln_pressure() - tried.lateness? / slope;
            if tried.distance() < NEAR {
                return Some(self.end(root.exp(), Edge::TooSlow, Some(slope)));
            }
            let next = self.try_at(root.exp());
            let (_, between) = line(&tried, &next).filter(|(_, between)| between * slope > 0.0)?;
            (tried, slope) = (next, between);
        }
        None
    }

    /// At onset itself growth is infinitely slow.
    pub(super) fn lower(&mut self, inside: Tried, onset: f64) -> End {
        self.edge(inside, Tried { pressure_pa: onset, lateness: None, speaks: true })
    }

    /// Goes up in growing steps until the reed fails, from where growth falls short of what is needed, then closes in.
    pub(super) fn upper(&mut self, inside: Tried) -> End {
        let limit = self.speaking.limit_pa;
        let short = self.guess(&inside, [inside.pressure_pa, limit]).or(self.speaking.choke.pressure_pa());
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
            // Where the line through the last two comes to the time allowed sooner, just beyond that.
            let slower = line(&good, &tried).filter(|(_, slope)| *slope > 0.0).map(|(root, _)| (root + ACCURACY).exp());
            let straight = slower.map_or(f64::INFINITY, |root| root.max(STEPS[0] * tried.pressure_pa));
            good = tried;
            (next, step) = ((step * tried.pressure_pa).min(straight), (step * step).min(widest));
        }
    }

    /// Closes in between a pressure at which the reed speaks in time and one at which it fails: by growth while they are far
    /// apart, by the line through the two logarithms of `t50` when they are near, by halves where neither gets on.
    fn edge(&mut self, mut good: Tried, mut bad: Tried) -> End {
        const ROUNDS: usize = 16;
        let mut before: Option<Tried> = None;
        for round in 0..ROUNDS {
            let width = (bad.ln_pressure() - good.ln_pressure()).abs();
            if width < ACCURACY || good.is_at_the_end() || bad.is_at_the_end() {
                break;
            }
            let nearer = if bad.distance() < good.distance() { &bad } else { &good };
            let by_growth = || self.guess(nearer, [good.pressure_pa, bad.pressure_pa]).map(f64::ln);
            let both = line(&good, &bad).or_else(|| before.and_then(|before| line(&before, &good)));
            let by_line = both.map(|(root, _)| root);
            let guess = if width > FAR { by_growth().or(by_line) } else { by_line.or_else(by_growth) };
            let (low, high) = (good.ln_pressure().min(bad.ln_pressure()), good.ln_pressure().max(bad.ln_pressure()));
            let inside = |x: f64| x.clamp(low + 0.02 * width, high - 0.02 * width);
            // Growth says little of how near to its own end a reed fails that does not speak at all.
            let trusted = if bad.speaks { round % 4 < 3 } else { round % 2 == 0 };
            let next = guess.filter(|_| trusted).map_or(0.5 * (low + high), inside);
            let tried = self.try_at(next.exp());
            if tried.in_time() { (before, good) = (Some(good), tried) } else { bad = tried }
        }
        let (root, steepness) = line(&good, &bad).unzip();
        let steepness = steepness.or_else(|| before.and_then(|before| line(&before, &good)).map(|(_, slope)| slope));
        self.end(root.map_or(good.pressure_pa, f64::exp), bad.edge(), steepness)
    }

    /// The upper end where the stress limit comes before it; nothing where even the softest blow passes the limit.
    pub(super) fn stressed(&mut self, low: End, high: End, limit_pa: f64) -> Option<End> {
        let (mut good, mut bad) = (low.pressure_pa, high.pressure_pa);
        if !self.passes(bad, limit_pa) {
            return Some(high);
        }
        if self.passes(good, limit_pa) {
            return None;
        }
        while bad > good * (1.0 + 0.3 * ACCURACY) {
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
