//! How sure a verdict is.

use serde::Serialize;

/// How sure it is that a reed is good in some respect, or bad.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub enum Surety {
    /// Less likely than 80 %, either way.
    #[serde(rename = "cannot tell")]
    CannotTell,
    /// At least 80 %.
    #[serde(rename = "likely")]
    Likely,
    /// At least 95 %.
    #[serde(rename = "sure")]
    Sure,
}

impl Surety {
    /// From here on it is likely.
    pub const LIKELY: f64 = 0.8;
    /// From here on it is sure.
    pub const SURE: f64 = 0.95;

    /// Of what has this probability.
    pub fn of(probability: f64) -> Self {
        match probability {
            p if p >= Self::SURE => Self::Sure,
            p if p >= Self::LIKELY => Self::Likely,
            _ => Self::CannotTell,
        }
    }

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::CannotTell => "cannot tell",
            Self::Likely => "likely",
            Self::Sure => "sure",
        }
    }
}

/// The share of a normal distribution below `z` standard deviations: `erfc(-z/sqrt 2)/2`.
///
/// ```
/// // Any table of the normal distribution (from memory): 0.8413 at 1, 0.95 at 1.645.
/// use freereed::instrument::normal_below;
/// assert!((normal_below(1.0) - 0.8413).abs() < 5e-5);
/// assert!((normal_below(1.644_854) - 0.95).abs() < 1e-6);
/// ```
pub fn normal_below(z: f64) -> f64 {
    0.5 * libm::erfc(-z * std::f64::consts::FRAC_1_SQRT_2)
}

/// The probability that what was found as `value`, with a standard deviation, is above zero.
pub(super) fn above_zero(value: f64, deviation: f64) -> f64 {
    if deviation > 0.0 {
        normal_below(value / deviation)
    } else if value > 0.0 {
        1.0
    } else {
        0.0
    }
}
