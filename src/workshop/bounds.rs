//! A value of which only bounds are known.

/// Between what and what a value lies, both ends included.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Not less than this.
    pub low: f64,
    /// Not more than this; infinite where nothing bounds it.
    pub high: f64,
}

impl Bounds {
    /// Between two values, the smaller first.
    pub const fn new(low: f64, high: f64) -> Self {
        Self { low, high }
    }

    /// One value, known.
    pub const fn exactly(value: f64) -> Self {
        Self { low: value, high: value }
    }

    /// The bounds of a function of the value that rises with it.
    #[must_use]
    pub fn map(self, rising: impl Fn(f64) -> f64) -> Self {
        Self { low: rising(self.low), high: rising(self.high) }
    }

    /// The bounds of the product of two values, neither below zero.
    #[must_use]
    pub fn times(self, other: Self) -> Self {
        Self { low: self.low * other.low, high: self.high * other.high }
    }
}
