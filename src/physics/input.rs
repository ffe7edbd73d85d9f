//! Values for which the equations have no meaning.

/// A value for which the equations have no meaning.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum InputError {
    /// A quantity that must be above zero is not.
    #[error("{what} is {value}; it must be a finite number above zero")]
    NotPositive {
        /// The quantity and its unit.
        what: &'static str,
        /// The value found.
        value: f64,
    },
    /// A quantity that must not be negative is.
    #[error("{what} is {value}; it must be a finite number, zero or more")]
    Negative {
        /// The quantity and its unit.
        what: &'static str,
        /// The value found.
        value: f64,
    },
    /// Stations along the reed that make no shape.
    #[error("{what}: {why}")]
    Stations {
        /// The quantity given by stations.
        what: &'static str,
        /// What is wrong.
        why: &'static str,
    },
}

/// Passes a finite number above zero.
pub(super) fn positive(what: &'static str, value: f64) -> Result<(), InputError> {
    if value.is_finite() && value > 0.0 { Ok(()) } else { Err(InputError::NotPositive { what, value }) }
}

/// Passes a finite number, zero or more.
pub(super) fn not_negative(what: &'static str, value: f64) -> Result<(), InputError> {
    if value.is_finite() && value >= 0.0 { Ok(()) } else { Err(InputError::Negative { what, value }) }
}
