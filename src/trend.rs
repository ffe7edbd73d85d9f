//! The run of a quantity over a set, robust against odd reeds.

/// A line by the median of all pairwise slopes and the median of what is left (H. Theil 1950; P. K. Sen, J. Am. Stat.
/// Assoc. 63 (1968) 1379).
#[derive(Debug, Clone)]
pub struct Trend {
    slope: f64,
    intercept: f64,
}

impl Trend {
    /// Fewer points have no run.
    pub const FEWEST: usize = 5;

    /// Through points; nothing where there are too few.
    pub fn through(points: &[(f64, f64)]) -> Option<Self> {
        if points.len() < Self::FEWEST {
            return None;
        }
        let pairs = points.iter().enumerate().flat_map(|(k, a)| points[k + 1..].iter().map(move |b| (a, b)));
        let slopes = pairs.filter(|(a, b)| a.0 != b.0).map(|(a, b)| (b.1 - a.1) / (b.0 - a.0)).collect();
        let slope = median(slopes).unwrap_or(0.0);
        let intercept = median(points.iter().map(|(x, y)| y - slope * x).collect())?;
        Some(Self { slope, intercept })
    }

    /// Its value.
    pub fn at(&self, x: f64) -> f64 {
        self.slope * x + self.intercept
    }
}

/// The middle value; the mean of the two in the middle.
pub fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let half = values.len() / 2;
    match values.len() {
        0 => None,
        n if n % 2 == 1 => Some(values[half]),
        _ => Some(0.5 * (values[half - 1] + values[half])),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_odd_reed_does_not_bend_the_run() {
        let mut points: Vec<_> = (0..12).map(|k| (f64::from(k), -0.1 * f64::from(k))).collect();
        points[5].1 = 4.0;
        let trend = Trend::through(&points).unwrap();
        assert!((trend.at(5.0) + 0.5).abs() < 0.02, "{trend:?}");
        assert!(Trend::through(&[(0.0, 1.0); 4]).is_none());
    }
}
