//! A measured value and how well it is known.

use serde::Serialize;

/// A value with the interval that holds the true one four times in five.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Estimate {
    /// The value.
    pub value: f64,
    /// Below it the true value lies once in ten.
    pub low: f64,
    /// Above it the true value lies once in ten.
    pub high: f64,
}

/// Quantile of the standard normal distribution with a tenth above (any table of it).
const TENTH: f64 = 1.281_551_565_544_6;

impl Estimate {
    /// A value with a standard error of so many degrees of freedom.
    pub(super) fn new(value: f64, error: f64, freedom: f64) -> Self {
        let half = error * tenth_of_t(freedom);
        Self { value, low: value - half, high: value + half }
    }

    /// The same through a monotone function.
    pub(super) fn map(self, f: impl Fn(f64) -> f64) -> Self {
        let [a, b] = [f(self.low), f(self.high)];
        Self { value: f(self.value), low: a.min(b), high: a.max(b) }
    }

    /// Half of the interval.
    pub fn half_width(self) -> f64 {
        0.5 * (self.high - self.low)
    }
}

/// Quantile of Student's distribution with a tenth above, by the expansion of M. Abramowitz and I. A. Stegun, *Handbook of
/// Mathematical Functions* (1964), 26.7.5: to 1 % from three degrees of freedom on.
fn tenth_of_t(freedom: f64) -> f64 {
    let (z, n) = (TENTH, freedom.max(1.0));
    let g1 = (z.powi(3) + z) / 4.0;
    let g2 = (5.0 * z.powi(5) + 16.0 * z.powi(3) + 3.0 * z) / 96.0;
    let g3 = (3.0 * z.powi(7) + 19.0 * z.powi(5) + 17.0 * z.powi(3) - 15.0 * z) / 384.0;
    z + g1 / n + g2 / (n * n) + g3 / n.powi(3)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn students_quantiles() {
        // Abramowitz and Stegun (1964), table 26.10, column of 0.8 (two-sided); from memory.
        for (freedom, quantile) in [(3.0, 1.638), (5.0, 1.476), (10.0, 1.372), (30.0, 1.310), (1e9, 1.282)] {
            assert!((tenth_of_t(freedom) - quantile).abs() < 0.01 * quantile, "{freedom} {}", tenth_of_t(freedom));
        }
    }
}
