//! How far an assumed value may be off.

use super::keys::Key;

/// How the true value of what nobody measured is spread about the assumed one.
///
/// What is doubtful of all reeds at once counts like a measurement with a tolerance: these are its tolerances. They are
/// judgements from published spreads (named with each key) and common practice, no measurement of them is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// Its distribution.
    pub law: Law,
    /// Share of the variance that all reeds of an instrument have in common, 0 to 1; the rest is each reed's own.
    pub common: f64,
}

/// The distribution of an assumed value, in the key's unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Law {
    /// Log-normal, the assumed value its median: in 80 of 100 cases within so many times either way.
    Times(f64),
    /// Every value between two bounds as likely, whatever is assumed.
    Even {
        /// Least value.
        least: f64,
        /// Largest value.
        most: f64,
    },
    /// Every value from 0 to twice the assumed one as likely.
    ToTwice {
        /// The largest value where 0 is assumed.
        of_none: f64,
    },
    /// Exponential from 0 on: small values are likely, large ones rare.
    Exponential {
        /// Its mean.
        mean: f64,
    },
}

impl Spread {
    /// Upper end of the middle 80 % of the normal distribution, in standard deviations (any table of it).
    pub(super) const Z_90: f64 = 1.281_551_565_544_6;

    /// The value below which the true one lies in the share `u` of all cases, strictly between 0 and 1, where `assumed` was
    /// assumed: for samples from even numbers, or steps by standard deviations.
    ///
    /// ```
    /// use freereed::sheet::keys::find;
    /// let loss = find("quality_factor").unwrap().spread.unwrap();
    /// assert!((loss.at(100.0, 0.5) - 100.0).abs() < 1e-9);
    /// assert!((loss.at(100.0, 0.9) - 250.0).abs() < 1e-6 && (loss.at(100.0, 0.1) - 40.0).abs() < 1e-6);
    /// ```
    pub fn at(&self, assumed: f64, u: f64) -> f64 {
        match self.law {
            Law::Times(times) => assumed * times.powf(normal_quantile(u) / Self::Z_90),
            Law::Even { least, most } => least + u * (most - least),
            Law::ToTwice { of_none } => u * if assumed > 0.0 { 2.0 * assumed } else { of_none },
            Law::Exponential { mean } => -mean * (-u).ln_1p(),
        }
    }

    /// In words, for documents.
    pub(super) fn words(&self, key: &Key) -> String {
        let law = match self.law {
            Law::Times(times) => format!("4 of 5 within {times} times either way"),
            Law::Even { least, most } => format!("anything from {least} to {}", key.with_unit(most)),
            Law::ToTwice { of_none } => format!("anything from 0 to twice that, to {of_none} where that is 0"),
            Law::Exponential { mean } => format!("often none, {} on the mean", key.with_unit(mean)),
        };
        let common = if self.common < 1.0 { "half of it each reed's own" } else { "alike for all reeds" };
        format!("{law}; {common}")
    }
}

/// Standard deviations below which the share `u` of a normal distribution lies, by halving `erfc(-z/sqrt 2)/2 = u`.
fn normal_quantile(u: f64) -> f64 {
    let below = |z: f64| 0.5 * libm::erfc(-z * std::f64::consts::FRAC_1_SQRT_2);
    let (mut low, mut high) = (-38.0, 38.0);
    for _ in 0..64 {
        let middle = 0.5 * (low + high);
        if below(middle) < u { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::keys::{KEYS, WhenLeftOut, find};

    // Any table of the normal distribution (from memory): 0.8413 below 1, 0.95 below 1.644854, 0.999 below 3.090232.
    #[test]
    fn quantiles_of_the_normal_distribution() {
        for (u, z) in [(0.5, 0.0), (0.841_344_7, 1.0), (0.95, 1.644_854), (0.999, 3.090_232), (0.05, -1.644_854)] {
            assert!((normal_quantile(u) - z).abs() < 1e-6, "{u}");
        }
        assert!((normal_quantile(0.9) - Spread::Z_90).abs() < 1e-12);
    }

    #[test]
    fn each_law_has_its_mean_and_bounds() {
        let mean = |law: Law, assumed: f64| {
            let spread = Spread { law, common: 1.0 };
            (0..10_000).map(|k| spread.at(assumed, (f64::from(k) + 0.5) / 1e4)).sum::<f64>() / 1e4
        };
        // Closed forms: log-normal e^(s^2/2), even the middle, exponential its mean.
        let s = 2.5_f64.ln() / Spread::Z_90;
        assert!((mean(Law::Times(2.5), 1.0) / (0.5 * s * s).exp() - 1.0).abs() < 1e-3);
        assert!((mean(Law::Even { least: 0.58, most: 0.75 }, 0.61) - 0.665).abs() < 1e-9);
        assert!((mean(Law::ToTwice { of_none: 0.05 }, 0.2) - 0.2).abs() < 1e-9);
        assert!((mean(Law::ToTwice { of_none: 0.05 }, 0.0) - 0.025).abs() < 1e-9);
        assert!((mean(Law::Exponential { mean: 0.1 }, 0.0) - 0.1).abs() < 1e-4);
    }

    #[test]
    fn what_is_doubtful_of_all_reeds_has_a_spread_within_the_key_s_range() {
        let with_spread = KEYS.iter().filter_map(|key| key.spread.map(|spread| (key, spread)));
        let names: Vec<&str> = with_spread.clone().map(|(key, _)| key.name).collect();
        assert_eq!(names.len(), 14, "{names:?}");
        for (key, spread) in with_spread {
            assert!(matches!(spread.common, 0.5 | 1.0) && !spread.words(key).is_empty());
            let assumed = match key.left_out {
                WhenLeftOut::Assumed { value, .. } => value,
                _ => continue,
            };
            let ends = [0.1, 0.9].map(|u| spread.at(assumed, u));
            assert!(ends[0] < ends[1] && ends.iter().all(|end| (key.least..=key.most).contains(end)), "{}", key.name);
        }
        for own in ["quality_factor", "tip_weight_share", "leak_mm2", "rest_exponent"] {
            assert_eq!(find(own).unwrap().spread.unwrap().common, 0.5, "{own}");
        }
    }
}
