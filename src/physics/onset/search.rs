//! The search in pressure: every point, every window, where it ends.

use super::follow::{Follower, Point, rate};
use super::squeal::{Squeal, SquealLog};
use super::{Choke, Search};

/// Choke: growth under this share of its largest.
const CHOKE_SHARE: f64 = 0.05;

/// Other modes are looked at once in so many steps.
const SQUEAL_STRIDE: usize = 4;

/// How near to a fold the last point stands, relative to its pressure.
const BEFORE_FOLD: f64 = 1e-8;

impl Follower {
    pub(super) fn scan(&mut self, search: &Search) -> (Vec<Point>, Vec<Squeal>, Option<f64>) {
        let mut squeals = SquealLog::default();
        let Some(start) = self.start(search.lowest_pa) else { return (Vec::new(), Vec::new(), Some(search.lowest_pa)) };
        let mut points = vec![start];
        let mut here = start;
        while here.pressure() < search.limit_pa {
            let target = (here.pressure() * search.ratio).min(search.limit_pa);
            match self.advance(&here, target) {
                Ok(next) => {
                    if points.len().is_multiple_of(SQUEAL_STRIDE) {
                        squeals.note(&self.model, &next);
                    }
                    points.push(next);
                    here = next;
                }
                Err(fold) => {
                    // The last point stands just before the fold, where the rest moves without limit.
                    points.extend(self.advance(&here, fold.mouth_pa * (1.0 - BEFORE_FOLD)).ok());
                    return (points, squeals.finished, Some(fold.mouth_pa));
                }
            }
        }
        (points, squeals.finished, None)
    }

    /// Adds a point at the top of the parabola through every local maximum of the growth rate.
    pub(super) fn with_peaks(&mut self, points: Vec<Point>) -> Vec<Point> {
        let mut all = Vec::with_capacity(points.len() + 4);
        for k in 0..points.len() {
            let summit = (k > 0 && k + 1 < points.len()).then(|| summit(&points[k - 1], &points[k], &points[k + 1]));
            let extra = summit.flatten().and_then(|pressure| {
                let from = if pressure < points[k].pressure() { points[k - 1] } else { points[k] };
                self.advance(&from, pressure).ok()
            });
            match extra {
                Some(peak) if peak.pressure() < points[k].pressure() => all.extend([peak, points[k]]),
                Some(peak) => all.extend([points[k], peak]),
                None => all.push(points[k]),
            }
        }
        all
    }

    /// Every stretch of positive growth: its first point, and the pressure where it ends.
    pub(super) fn windows(&mut self, points: &[Point], fold_pa: Option<f64>) -> Vec<(Point, Option<f64>)> {
        let mut windows: Vec<(Point, Option<f64>)> = Vec::new();
        let mut growing = false;
        for (k, point) in points.iter().enumerate() {
            if (rate(point) > 0.0) == growing {
                continue;
            }
            let crossing = if k == 0 { *point } else { self.crossing(&points[k - 1], point, 0.0) };
            growing = !growing;
            match windows.last_mut() {
                Some(window) if !growing => window.1 = Some(crossing.pressure()),
                _ => windows.push((crossing, None)),
            }
        }
        if let (true, Some(window)) = (growing, windows.last_mut()) {
            window.1 = fold_pa;
        }
        windows
    }

    /// The point of fastest growth around the fastest of some, by golden section in the logarithm of the pressure: the
    /// growth rate has corners, and its top may be one.
    pub(super) fn top(&mut self, before: &Point, around: &Point, after: &Point) -> Point {
        const GOLDEN: f64 = 0.618_033_988_749_894_9;
        let (mut a, mut b) = (before.pressure().ln(), after.pressure().ln());
        let mut best = *around;
        let mut at = |x: f64, best: &mut Point| {
            let found = self.advance(before, x.exp()).map_or(f64::NEG_INFINITY, |point| {
                if rate(&point) > rate(best) {
                    *best = point;
                }
                rate(&point)
            });
            (x, found)
        };
        let (mut left, mut right) = (at(b - GOLDEN * (b - a), &mut best), at(a + GOLDEN * (b - a), &mut best));
        for _ in 0..24 {
            if left.1 > right.1 {
                (b, right) = (right.0, left);
                left = at(b - GOLDEN * (b - a), &mut best);
            } else {
                (a, left) = (left.0, right);
                right = at(a + GOLDEN * (b - a), &mut best);
            }
        }
        best
    }

    pub(super) fn choke(&mut self, from_peak: &[Point], fold_pa: Option<f64>) -> Choke {
        let level = CHOKE_SHARE * rate(&from_peak[0]);
        match from_peak.iter().position(|point| rate(point) < level) {
            Some(k) => Choke::Fades(self.crossing(&from_peak[k - 1], &from_peak[k], level).pressure()),
            None => fold_pa.map_or(Choke::NoneBelowLimit, Choke::Snaps),
        }
    }
}

/// Pressure at the top of the parabola through three points, in the logarithm of the pressure, if the middle is highest.
fn summit(before: &Point, middle: &Point, after: &Point) -> Option<f64> {
    let (left, right) = (rate(middle) - rate(before), rate(middle) - rate(after));
    if left < 0.0 || right < 0.0 || left + right <= 0.0 {
        return None;
    }
    let (a, b) = ((middle.pressure() / before.pressure()).ln(), (after.pressure() / middle.pressure()).ln());
    let shift = 0.5 * (left * b * b - right * a * a) / (left * b + right * a);
    (shift.abs() > 0.01 * a).then(|| middle.pressure() * shift.exp())
}
