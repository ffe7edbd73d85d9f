//! A recorded run in time and what is measured on it.

use super::attack::Envelope;
use super::model::State;

/// The states of one run and their rates, in order of time.
#[derive(Debug, Clone, Default)]
pub struct Trace {
    times_s: Vec<f64>,
    states: Vec<State>,
    rates: Vec<State>,
}

/// Largest and smallest value over a stretch of time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extremes {
    /// Smallest.
    pub low: f64,
    /// Largest.
    pub high: f64,
}

impl Extremes {
    const NONE: Self = Self { low: f64::INFINITY, high: f64::NEG_INFINITY };

    fn include(&mut self, value: f64) {
        self.low = self.low.min(value);
        self.high = self.high.max(value);
    }

    /// Half the distance between them.
    pub fn half_range(&self) -> f64 {
        0.5 * (self.high - self.low)
    }
}

impl Trace {
    /// Adds a state and its rates; times must increase.
    pub(crate) fn push(&mut self, time_s: f64, state: State, rates: State) {
        self.times_s.push(time_s);
        self.states.push(state);
        self.rates.push(rates);
    }

    /// Number of recorded states.
    pub fn len(&self) -> usize {
        self.times_s.len()
    }

    /// Whether nothing was recorded.
    pub fn is_empty(&self) -> bool {
        self.times_s.is_empty()
    }

    /// Times (s).
    pub fn times_s(&self) -> &[f64] {
        &self.times_s
    }

    /// States, one for each time.
    pub fn states(&self) -> &[State] {
        &self.states
    }

    /// End of the run (s).
    pub fn end_s(&self) -> f64 {
        self.times_s.last().copied().unwrap_or(0.0)
    }

    /// Tip displacement from rest at step `k` (m).
    pub fn tip(&self, k: usize) -> f64 {
        self.states[k].tip()
    }

    /// Tip speed at step `k` (m/s).
    pub fn speed(&self, k: usize) -> f64 {
        self.states[k].speed()
    }

    /// First step at or after `time_s`.
    pub(super) fn index_at(&self, time_s: f64) -> usize {
        self.times_s.partition_point(|&t| t < time_s)
    }

    /// The state at any time of the run: cubic between steps, whose ends know both value and rate.
    pub fn at(&self, time_s: f64) -> State {
        let k = self.times_s.partition_point(|&t| t <= time_s).clamp(1, self.len() - 1);
        let span = self.times_s[k] - self.times_s[k - 1];
        let x = (time_s - self.times_s[k - 1]) / span;
        let [from, to, out, into] = hermite_weights(x);
        let values = self.states[k - 1].times(from).plus(to, &self.states[k]);
        values.plus(span * out, &self.rates[k - 1]).plus(span * into, &self.rates[k])
    }

    /// Extremes of the tip displacement between two times, with the turning points between steps.
    pub fn tip_extremes(&self, from_s: f64, to_s: f64) -> Extremes {
        let mut found = Extremes::NONE;
        found.include(self.at(from_s).tip());
        found.include(self.at(to_s).tip());
        for k in self.index_at(from_s)..self.times_s.partition_point(|&t| t <= to_s) {
            found.include(self.tip(k));
            if k > 0 && self.speed(k - 1) * self.speed(k) < 0.0 {
                let (before, after) = (self.speed(k - 1), self.speed(k));
                let turn = self.times_s[k - 1] + (self.times_s[k] - self.times_s[k - 1]) * before / (before - after);
                if turn > from_s {
                    found.include(self.at(turn).tip());
                }
            }
        }
        found
    }

    /// Mean period over a stretch of time (s): upward passages of the tip through the middle of its range, each counted
    /// only after the tip has been well below. Nothing where there are fewer than two.
    pub fn period_s(&self, from_s: f64, to_s: f64) -> Option<f64> {
        let range = self.tip_extremes(from_s, to_s);
        let middle = 0.5 * (range.low + range.high);
        let well_below = middle - 0.5 * range.half_range();
        let mut passages = Vec::new();
        let mut armed = false;
        for k in self.index_at(from_s).max(1)..self.len() {
            if self.times_s[k] > to_s {
                break;
            }
            armed |= self.tip(k) < well_below;
            if armed && self.tip(k - 1) < middle && self.tip(k) >= middle {
                passages.push(self.passage(k, middle));
                armed = false;
            }
        }
        let count = passages.len();
        (count >= 2).then(|| (passages[count - 1] - passages[0]) / (count - 1) as f64)
    }

    /// Time at which the tip passes `level` upwards between steps `k - 1` and `k`, by halving.
    fn passage(&self, k: usize, level: f64) -> f64 {
        let (mut lo, mut hi) = (self.times_s[k - 1], self.times_s[k]);
        for _ in 0..40 {
            let middle = 0.5 * (lo + hi);
            if self.at(middle).tip() < level { lo = middle } else { hi = middle }
        }
        0.5 * (lo + hi)
    }

    /// Envelope of the tip's speed.
    pub fn speed_envelope(&self) -> Envelope {
        Envelope::of((0..self.len()).map(|k| (self.times_s[k], self.speed(k), self.rates[k].speed())))
    }
}

/// Weights of the values at both ends and of the slopes there, at `x` from 0 to 1.
fn hermite_weights(x: f64) -> [f64; 4] {
    let (x2, x3) = (x * x, x * x * x);
    let to = 3.0 * x2 - 2.0 * x3;
    [1.0 - to, to, x - 2.0 * x2 + x3, x3 - x2]
}

/// Cubic between two ends that know value and slope, `x` from 0 to 1.
pub(super) fn hermite(x: f64, span: f64, y0: f64, d0: f64, y1: f64, d1: f64) -> f64 {
    let [from, to, out, into] = hermite_weights(x);
    from * y0 + to * y1 + span * (out * d0 + into * d1)
}
