//! The set shape of the reed at rest.

use super::input::{InputError, positive};
use super::profile::check_stations;

/// Height of the reed's underside above the plate at rest, along the reed. It is a set shape: no stress.
#[derive(Debug, Clone, PartialEq)]
pub enum RestShape {
    /// `y0(s) = g_root + (g - g_root) (s/L)^b`.
    Power {
        /// Gap at the root, `g_root` (m).
        root_gap_m: f64,
        /// Gap at the tip, `g` (m).
        tip_gap_m: f64,
        /// Exponent `b`: 1 is straight, 2 a gentle curve, 4 bent near the tip.
        exponent: f64,
    },
    /// Piecewise cubic through stations `(s, y0)` in metres, in order from the clamp (0) to the tip.
    /// Between two stations it stays between their values (the monotone cubic of Fritsch and Butland, 1984).
    Stations(Vec<(f64, f64)>),
}

impl RestShape {
    /// Height at `s` on a reed of length `length_m` (both m).
    pub fn height_m(&self, s: f64, length_m: f64) -> f64 {
        match self {
            Self::Power { root_gap_m, tip_gap_m, exponent } => {
                root_gap_m + (tip_gap_m - root_gap_m) * (s / length_m).max(0.0).powf(*exponent)
            }
            Self::Stations(stations) => monotone_cubic(stations, s),
        }
    }

    /// Slope at `s`, the derivative of [`RestShape::height_m`].
    pub fn slope(&self, s: f64, length_m: f64) -> f64 {
        match self {
            Self::Power { root_gap_m, tip_gap_m, exponent } => {
                (tip_gap_m - root_gap_m) * exponent / length_m * (s / length_m).max(0.0).powf(exponent - 1.0)
            }
            Self::Stations(stations) => monotone_cubic_slope(stations, s),
        }
    }

    /// Places where the shape's formula changes.
    pub fn breaks(&self) -> impl Iterator<Item = f64> + '_ {
        match self {
            Self::Power { .. } => [].iter(),
            Self::Stations(stations) => stations.iter(),
        }
        .map(|station: &(f64, f64)| station.0)
    }

    /// Checks that the shape is defined along the whole reed.
    ///
    /// # Errors
    /// A value that is not finite, or stations that are fewer than two, out of order or short of an end.
    pub fn check(&self, length_m: f64) -> Result<(), InputError> {
        const WHAT: &str = "rest shape";
        match self {
            Self::Power { root_gap_m, tip_gap_m, exponent } => {
                if !root_gap_m.is_finite() || !tip_gap_m.is_finite() {
                    return Err(InputError::Stations { what: WHAT, why: "a gap is not a finite number" });
                }
                positive("rest exponent", *exponent)
            }
            Self::Stations(stations) => {
                check_stations(WHAT, stations)?;
                if stations.len() < 2 || stations.windows(2).any(|w| w[0].0 == w[1].0) {
                    return Err(InputError::Stations {
                        what: WHAT,
                        why: "needs two or more stations, no two at one place",
                    });
                }
                let (first, last) = (stations[0].0, stations[stations.len() - 1].0);
                if first.abs() > 1e-9 * length_m || (last - length_m).abs() > 1e-6 * length_m {
                    return Err(InputError::Stations {
                        what: WHAT,
                        why: "must begin at 0 and end at the reed's length",
                    });
                }
                Ok(())
            }
        }
    }
}

/// Monotone piecewise cubic Hermite interpolation: F. N. Fritsch and J. Butland, SIAM J. Sci. Stat. Comput. 5 (1984)
/// 300, with the three-point end slopes of C. Moler, *Numerical Computing with MATLAB* (2004), section 3.6.
pub(crate) fn monotone_cubic(stations: &[(f64, f64)], s: f64) -> f64 {
    let last = stations.len() - 1;
    let right = stations.partition_point(|station| station.0 <= s).clamp(1, last);
    let ((s0, y0), (s1, y1)) = (stations[right - 1], stations[right]);
    let (d0, d1) = (slope(stations, right - 1), slope(stations, right));
    let span = s1 - s0;
    let t = (s - s0) / span;
    let (t2, t3) = (t * t, t * t * t);
    y0 * (2.0 * t3 - 3.0 * t2 + 1.0)
        + span * d0 * (t3 - 2.0 * t2 + t)
        + y1 * (3.0 * t2 - 2.0 * t3)
        + span * d1 * (t3 - t2)
}

/// Derivative of [`monotone_cubic`].
fn monotone_cubic_slope(stations: &[(f64, f64)], s: f64) -> f64 {
    let last = stations.len() - 1;
    let right = stations.partition_point(|station| station.0 <= s).clamp(1, last);
    let ((s0, y0), (s1, y1)) = (stations[right - 1], stations[right]);
    let span = s1 - s0;
    let t = (s - s0) / span;
    6.0 * (t - t * t) * (y1 - y0) / span
        + (1.0 - 4.0 * t + 3.0 * t * t) * slope(stations, right - 1)
        + (3.0 * t * t - 2.0 * t) * slope(stations, right)
}

/// Slope at station `k`.
fn slope(stations: &[(f64, f64)], k: usize) -> f64 {
    let span = |i: usize| stations[i + 1].0 - stations[i].0;
    let secant = |i: usize| (stations[i + 1].1 - stations[i].1) / span(i);
    let last = stations.len() - 1;
    if last == 1 {
        return secant(0);
    }
    if k == 0 {
        return end_slope(span(0), span(1), secant(0), secant(1));
    }
    if k == last {
        return end_slope(span(last - 1), span(last - 2), secant(last - 1), secant(last - 2));
    }
    let (before, after) = (secant(k - 1), secant(k));
    if before * after <= 0.0 {
        return 0.0;
    }
    let (w1, w2) = (2.0 * span(k) + span(k - 1), span(k) + 2.0 * span(k - 1));
    (w1 + w2) / (w1 / before + w2 / after)
}

/// One-sided slope at an end from the nearest two spans, kept from overshooting.
fn end_slope(h0: f64, h1: f64, d0: f64, d1: f64) -> f64 {
    let slope = ((2.0 * h0 + h1) * d0 - h0 * d1) / (h0 + h1);
    if slope * d0 <= 0.0 {
        0.0
    } else if d0 * d1 < 0.0 && slope.abs() > 3.0 * d0.abs() {
        3.0 * d0
    } else {
        slope
    }
}
