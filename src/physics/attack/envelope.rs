//! The envelope of the tip's speed.
//!
//! Half the difference of each extremum of the speed and the next, at the time midway between them, joined linearly in its
//! logarithm. Extrema are found inside a step, from the speeds and accelerations at its ends, so that the envelope has no
//! stairs. Where the second mode ripples on the first, a swing one way has several extrema: the largest between two passages
//! through zero counts, and a swing that is but a ripple about zero counts with the one before.

/// The envelope of a run as far as it has come.
#[derive(Debug, Clone, Default)]
pub struct Envelope {
    /// Time (s) and half difference of speeds (m/s).
    points: Vec<(f64, f64)>,
    last_step: Option<Step>,
    /// The largest extremum of the swing under way, and that of the one before.
    peak: Option<(f64, f64)>,
    peak_before: Option<(f64, f64)>,
}

/// A swing of less than this share of the one before is a ripple.
const RIPPLE: f64 = 0.1;

/// Speed and acceleration of the tip at an end of a step.
#[derive(Debug, Clone, Copy)]
pub(super) struct Step {
    pub(super) time_s: f64,
    pub(super) speed_m_s: f64,
    pub(super) acceleration_m_s2: f64,
}

impl Envelope {
    /// Of a whole run: time (s), speed (m/s) and acceleration (m/s2) of the tip at every step.
    pub fn of(steps: impl Iterator<Item = (f64, f64, f64)>) -> Self {
        let mut envelope = Self::default();
        for (time_s, speed_m_s, acceleration_m_s2) in steps {
            envelope.push(Step { time_s, speed_m_s, acceleration_m_s2 });
        }
        envelope
    }

    /// Takes in the next end of a step; true where it made a new point.
    pub(super) fn push(&mut self, step: Step) -> bool {
        let Some(extremum) = self.last_step.replace(step).and_then(|before| extremum(&before, &step)) else {
            return false;
        };
        let Some(peak) = self.peak else {
            self.peak = Some(extremum);
            return false;
        };
        let (speed, largest) = (extremum.1, peak.1);
        if (speed > 0.0) == (largest > 0.0) {
            if speed.abs() > largest.abs() {
                self.peak = Some(extremum);
            }
            return false;
        }
        if speed.abs() < RIPPLE * largest.abs() {
            return false;
        }
        // The swing of `peak` is over.
        let before = self.peak_before.replace(peak);
        self.peak = Some(extremum);
        let Some(before) = before else { return false };
        self.points.push((0.5 * (before.0 + peak.0), 0.5 * (peak.1 - before.1).abs()));
        true
    }

    /// Goes on from a later time, between which and the last point nothing was followed.
    pub(super) fn leap_to(&mut self, points: [(f64, f64); 2]) {
        let last_s = self.points.last().map_or(f64::NEG_INFINITY, |point| point.0);
        let points = points.into_iter().filter(|point| point.0 > last_s);
        *self = Self { points: std::mem::take(&mut self.points), ..Self::default() };
        self.points.extend(points);
    }

    /// Time (s) and value (m/s) of every point.
    pub fn points(&self) -> &[(f64, f64)] {
        &self.points
    }

    /// The last point: time (s) and value (m/s).
    pub(crate) fn last(&self) -> Option<(f64, f64)> {
        self.points.last().copied()
    }

    /// Value at a time (m/s); nothing before the first point or after the last.
    pub fn at(&self, time_s: f64) -> Option<f64> {
        let right = self.points.partition_point(|point| point.0 < time_s);
        let ((t0, a), (t1, b)) = (self.points.get(right.checked_sub(1)?)?, self.points.get(right)?);
        Some((a.ln() + (b.ln() - a.ln()) * (time_s - t0) / (t1 - t0)).exp())
    }

    /// From when on it stays at or above a level (s); nothing where it ends below.
    pub(crate) fn reaches(&self, level_m_s: f64) -> Option<f64> {
        let Some(k) = self.points.iter().rposition(|point| point.1 < level_m_s) else {
            return self.points.first().map(|point| point.0);
        };
        let ((t0, a), (t1, b)) = (self.points[k], *self.points.get(k + 1)?);
        let (a, b) = (a.max(f64::MIN_POSITIVE), b);
        Some(t0 + (t1 - t0) * (level_m_s / a).ln() / (b / a).ln())
    }

    /// Twice the mean distance in time of the last so many points (s): the period.
    pub(super) fn period_s(&self, count: usize) -> Option<f64> {
        let last = self.points.len().checked_sub(1)?;
        let first = last.checked_sub(count)?;
        Some(2.0 * (self.points[last].0 - self.points[first].0) / count as f64)
    }
}

/// Time and value of the extremum of the speed within a step: the cubic through the speeds and accelerations at both ends.
fn extremum(before: &Step, after: &Step) -> Option<(f64, f64)> {
    let (a0, a1) = (before.acceleration_m_s2, after.acceleration_m_s2);
    if a0 == 0.0 || (a0 > 0.0) == (a1 > 0.0) {
        return None;
    }
    let span = after.time_s - before.time_s;
    let (v0, v1) = (before.speed_m_s, after.speed_m_s);
    // Its derivative, span times: c + 2 b x + a x^2, of opposite signs at both ends.
    let (c, b, a) = (span * a0, 3.0 * (v1 - v0) - span * (2.0 * a0 + a1), 6.0 * (v0 - v1) + 3.0 * span * (a0 + a1));
    let q = -(b + (b * b - a * c).max(0.0).sqrt().copysign(b));
    let x = [c / q, q / a].into_iter().find(|x| (0.0..=1.0).contains(x)).unwrap_or(a0 / (a0 - a1));
    let value = crate::physics::trace::hermite(x, span, v0, a0, v1, a1);
    Some((before.time_s + x * span, value))
}
