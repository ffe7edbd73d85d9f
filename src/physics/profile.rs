//! A quantity that varies along the reed, given at stations.

use super::InputError;

/// A piecewise linear function of the place `s` along the reed (metres), constant beyond its ends.
///
/// Two stations at one place make a step: the first is the value before it, the second the value after.
///
/// ```
/// use freereed::physics::Profile;
/// let taper = Profile::linear(vec![(0.0, 2.2e-3), (12.5e-3, 2.0e-3)]).unwrap();
/// assert!((taper.at(6.25e-3) - 2.1e-3).abs() < 1e-12);
/// assert_eq!(Profile::constant(3.0e-5).at(1.0), 3.0e-5);
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    stations: Vec<(f64, f64)>,
}

impl Profile {
    /// The same value everywhere.
    pub fn constant(value: f64) -> Self {
        Self { stations: vec![(0.0, value)] }
    }

    /// Linear between stations `(s, value)`, which must be in order of `s`.
    ///
    /// # Errors
    /// No station, a value that is not finite, stations out of order, or more than two at one place.
    pub fn linear(stations: Vec<(f64, f64)>) -> Result<Self, InputError> {
        check_stations("profile", &stations)?;
        if stations.windows(3).any(|w| w[0].0 == w[2].0) {
            return Err(InputError::Stations { what: "profile", why: "more than two stations at one place" });
        }
        Ok(Self { stations })
    }

    /// The stations `(s, value)`.
    pub fn stations(&self) -> &[(f64, f64)] {
        &self.stations
    }

    /// Value at `s`; at a step, the value after it.
    pub fn at(&self, s: f64) -> f64 {
        let right = self.stations.partition_point(|station| station.0 <= s);
        self.between(right, s)
    }

    /// Value at `s` as seen from the span that ends or begins at `inside`: tells the two sides of a step apart.
    pub fn at_within(&self, s: f64, inside: f64) -> f64 {
        let right = self.stations.partition_point(|station| station.0 <= inside);
        self.between(right, s)
    }

    fn between(&self, right: usize, s: f64) -> f64 {
        let last = self.stations.len() - 1;
        if right == 0 {
            return self.stations[0].1;
        }
        if right > last {
            return self.stations[last].1;
        }
        let ((s0, v0), (s1, v1)) = (self.stations[right - 1], self.stations[right]);
        v0 + (v1 - v0) * (s - s0) / (s1 - s0)
    }

    /// The smallest and the largest value at any station.
    pub fn range(&self) -> (f64, f64) {
        let values = self.stations.iter().map(|station| station.1);
        values.fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), v| (lo.min(v), hi.max(v)))
    }

    /// The same profile with every value multiplied by `factor`.
    pub fn scaled(&self, factor: f64) -> Self {
        Self { stations: self.stations.iter().map(|&(s, v)| (s, v * factor)).collect() }
    }

    /// The same profile with every place multiplied by `factor`.
    pub fn stretched(&self, factor: f64) -> Self {
        Self { stations: self.stations.iter().map(|&(s, v)| (s * factor, v)).collect() }
    }
}

/// Stations must exist, be finite and in order.
pub(super) fn check_stations(what: &'static str, stations: &[(f64, f64)]) -> Result<(), InputError> {
    if stations.is_empty() {
        return Err(InputError::Stations { what, why: "no station is given" });
    }
    if stations.iter().any(|&(s, v)| !s.is_finite() || !v.is_finite()) {
        return Err(InputError::Stations { what, why: "a station is not a finite number" });
    }
    if stations.windows(2).any(|w| w[1].0 < w[0].0) {
        return Err(InputError::Stations { what, why: "stations are not in order from the clamp to the tip" });
    }
    Ok(())
}
