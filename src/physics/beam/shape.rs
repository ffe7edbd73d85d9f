//! A deflected shape of the tongue.

/// Deflection along the reed: cubic between knots, continuous in value and slope.
#[derive(Debug, Clone, PartialEq)]
pub struct Shape {
    /// Place (m), deflection, slope (per m).
    knots: Vec<(f64, f64, f64)>,
}

impl Shape {
    pub(super) fn new(knots: Vec<(f64, f64, f64)>) -> Self {
        Self { knots }
    }

    /// Deflection at `s` (m).
    pub fn at(&self, s: f64) -> f64 {
        let (left, right, x) = self.locate(s);
        let span = right.0 - left.0;
        let n = hermite(x, span);
        n[0] * left.1 + n[1] * left.2 + n[2] * right.1 + n[3] * right.2
    }

    /// Slope at `s` (per m).
    pub fn slope(&self, s: f64) -> f64 {
        let (left, right, x) = self.locate(s);
        let span = right.0 - left.0;
        6.0 * (x - x * x) * (right.1 - left.1) / span
            + (1.0 - 4.0 * x + 3.0 * x * x) * left.2
            + (3.0 * x * x - 2.0 * x) * right.2
    }

    /// Second derivative at `s` (per m2); linear between knots.
    pub fn curvature(&self, s: f64) -> f64 {
        self.curvature_within(s, s)
    }

    /// Second derivative at `s` as seen from the element that holds `inside`.
    pub(super) fn curvature_within(&self, s: f64, inside: f64) -> f64 {
        let (left, right, _) = self.locate(inside);
        curvature_between(left, right, (s - left.0) / (right.0 - left.0))
    }

    /// Places between root and tip that stay at rest (m).
    pub fn nodes_m(&self) -> Vec<f64> {
        let away_from_root = self.elements().skip(1);
        let crossed = away_from_root.filter(|ends| self.at(ends[0]) * self.at(ends[1]) < 0.0);
        crossed.map(|ends| zero_between(ends, |s| self.at(s))).collect()
    }

    /// Both ends of every element (m).
    pub(super) fn elements(&self) -> impl Iterator<Item = [f64; 2]> + '_ {
        self.knots.windows(2).map(|w| [w[0].0, w[1].0])
    }

    /// Deflection at the tip.
    pub fn tip(&self) -> f64 {
        self.knots[self.knots.len() - 1].1
    }

    /// Slope at the tip (per m).
    pub fn tip_slope(&self) -> f64 {
        self.knots[self.knots.len() - 1].2
    }

    /// Weighted sum of shapes on the same knots.
    pub fn combine(parts: &[(f64, &Shape)]) -> Self {
        let knots = (0..parts[0].1.knots.len()).map(|k| {
            let sum =
                |pick: fn(&(f64, f64, f64)) -> f64| parts.iter().map(|(q, shape)| q * pick(&shape.knots[k])).sum();
            (parts[0].1.knots[k].0, sum(|knot| knot.1), sum(|knot| knot.2))
        });
        Self { knots: knots.collect() }
    }

    fn locate(&self, s: f64) -> ((f64, f64, f64), (f64, f64, f64), f64) {
        let right = self.knots.partition_point(|knot| knot.0 <= s).clamp(1, self.knots.len() - 1);
        let (left, right) = (self.knots[right - 1], self.knots[right]);
        (left, right, (s - left.0) / (right.0 - left.0))
    }
}

/// Where a function that changes sign between two places is zero, by halving.
pub(super) fn zero_between([mut low, mut high]: [f64; 2], value: impl Fn(f64) -> f64) -> f64 {
    let sign = value(low);
    for _ in 0..50 {
        let middle = 0.5 * (low + high);
        if value(middle) * sign > 0.0 { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

fn curvature_between(left: (f64, f64, f64), right: (f64, f64, f64), x: f64) -> f64 {
    let span = right.0 - left.0;
    let b = hermite_curvature(x, span);
    b[0] * left.1 + b[1] * left.2 + b[2] * right.1 + b[3] * right.2
}

/// The four cubic Hermite functions at `x` in 0..1 of an element `span` long (value, slope at each end).
pub(super) fn hermite(x: f64, span: f64) -> [f64; 4] {
    let (x2, x3) = (x * x, x * x * x);
    [1.0 - 3.0 * x2 + 2.0 * x3, span * (x - 2.0 * x2 + x3), 3.0 * x2 - 2.0 * x3, span * (x3 - x2)]
}

/// Their second derivatives.
pub(super) fn hermite_curvature(x: f64, span: f64) -> [f64; 4] {
    let square = span * span;
    [(12.0 * x - 6.0) / square, (6.0 * x - 4.0) / span, (6.0 - 12.0 * x) / square, (6.0 * x - 2.0) / span]
}
