//! A recorded run in time and what is measured on it.

use super::model::State;

/// The states of one run, in order of time.
#[derive(Debug, Clone, Default)]
pub struct Trace {
    times_s: Vec<f64>,
    states: Vec<State>,
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
    /// Adds a state; times must increase.
    pub(super) fn push(&mut self, time_s: f64, state: State) {
        self.times_s.push(time_s);
        self.states.push(state);
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
        self.states[k].tip_m.iter().sum()
    }

    /// Tip speed at step `k` (m/s).
    pub fn speed(&self, k: usize) -> f64 {
        self.states[k].speed_m_s.iter().sum()
    }

    /// First step at or after `time_s`.
    pub(super) fn index_at(&self, time_s: f64) -> usize {
        self.times_s.partition_point(|&t| t < time_s)
    }

    /// Tip displacement (m) at any time of the run: cubic between steps, whose ends know both place and speed.
    pub fn tip_at(&self, time_s: f64) -> f64 {
        let k = self.times_s.partition_point(|&t| t <= time_s).clamp(1, self.len() - 1);
        let (t0, t1) = (self.times_s[k - 1], self.times_s[k]);
        let span = t1 - t0;
        hermite((time_s - t0) / span, span, self.tip(k - 1), self.speed(k - 1), self.tip(k), self.speed(k))
    }

    /// Extremes of the tip displacement between two times, with the turning points between steps.
    pub fn tip_extremes(&self, from_s: f64, to_s: f64) -> Extremes {
        let mut found = Extremes::NONE;
        found.include(self.tip_at(from_s));
        found.include(self.tip_at(to_s));
        for k in self.index_at(from_s)..self.times_s.partition_point(|&t| t <= to_s) {
            found.include(self.tip(k));
            if k > 0 && self.speed(k - 1) * self.speed(k) < 0.0 {
                let (before, after) = (self.speed(k - 1), self.speed(k));
                let turn = self.times_s[k - 1] + (self.times_s[k] - self.times_s[k - 1]) * before / (before - after);
                if turn > from_s {
                    found.include(self.tip_at(turn));
                }
            }
        }
        found
    }

    /// Mean period over a stretch of time (s): upward passages of the tip through the middle of its range, each counted
    /// only after the tip has been well below. Nothing where there are fewer than three.
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
        (count >= 3).then(|| (passages[count - 1] - passages[0]) / (count - 1) as f64)
    }

    /// Time at which the tip passes `level` upwards between steps `k - 1` and `k`, by Newton's iteration kept inside.
    fn passage(&self, k: usize, level: f64) -> f64 {
        let (t0, t1) = (self.times_s[k - 1], self.times_s[k]);
        let (mut lo, mut hi) = (t0, t1);
        for _ in 0..40 {
            let middle = 0.5 * (lo + hi);
            if self.tip_at(middle) < level { lo = middle } else { hi = middle }
        }
        0.5 * (lo + hi)
    }

    /// Envelope of the tip speed: at each step, half the peak-to-peak speed over the `period_s` just past (m/s).
    pub fn speed_envelope(&self, period_s: f64) -> Vec<f64> {
        let mut highs = Sliding::new(1.0);
        let mut lows = Sliding::new(-1.0);
        let mut envelope = Vec::with_capacity(self.len());
        for k in 0..self.len() {
            for (time, speed) in self.speed_peak_before(k).into_iter().chain([(self.times_s[k], self.speed(k))]) {
                highs.push(time, speed);
                lows.push(time, speed);
            }
            let from = self.times_s[k] - period_s;
            envelope.push(0.5 * (highs.best(from) - lows.best(from)));
        }
        envelope
    }

    /// The turning point of the speed around step `k - 1`, from the parabola through three steps, if there is one.
    fn speed_peak_before(&self, k: usize) -> Option<(f64, f64)> {
        if k < 2 {
            return None;
        }
        let (t0, t1, t2) = (self.times_s[k - 2], self.times_s[k - 1], self.times_s[k]);
        let (v0, v1, v2) = (self.speed(k - 2), self.speed(k - 1), self.speed(k));
        if (v1 - v0) * (v2 - v1) >= 0.0 {
            return None;
        }
        let (left, right) = ((v1 - v0) / (t1 - t0), (v2 - v1) / (t2 - t1));
        let bend = (right - left) / (t2 - t0);
        let slope = left + bend * (t1 - t0);
        let shift = -0.5 * slope / bend;
        Some((t1 + shift.min(0.0), v1 - 0.25 * slope * slope / bend))
    }
}

/// Cubic between two ends that know value and slope, `x` from 0 to 1.
pub(super) fn hermite(x: f64, span: f64, y0: f64, d0: f64, y1: f64, d1: f64) -> f64 {
    let (x2, x3) = (x * x, x * x * x);
    y0 + (y1 - y0) * (3.0 * x2 - 2.0 * x3) + span * (d0 * (x - 2.0 * x2 + x3) + d1 * (x3 - x2))
}

/// Largest of `sign * value` over a window that slides along.
struct Sliding {
    sign: f64,
    /// Candidates, times rising and values falling.
    queue: std::collections::VecDeque<(f64, f64)>,
}

impl Sliding {
    fn new(sign: f64) -> Self {
        Self { sign, queue: Default::default() }
    }

    fn push(&mut self, time: f64, value: f64) {
        let value = self.sign * value;
        while self.queue.back().is_some_and(|last| last.1 <= value) {
            self.queue.pop_back();
        }
        self.queue.push_back((time, value));
    }

    fn best(&mut self, from: f64) -> f64 {
        while self.queue.len() > 1 && self.queue[0].0 < from {
            self.queue.pop_front();
        }
        self.sign * self.queue[0].1
    }
}
