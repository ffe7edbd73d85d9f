//! How the plates mark a reed: in colour by a class, without colour by a sign.

use crate::instrument::ReedAssessment;
use crate::print::in_short::Standing;
use crate::sheet::RowError;

/// What is said of a place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Mark {
    /// Its class in the styles.
    pub(crate) class: &'static str,
    pub(crate) sign: &'static str,
    pub(crate) words: &'static str,
}

impl Mark {
    const SUITS: Self = Self { class: "suits", sign: "\u{2713}", words: "suits" };
    const DOUBTFUL: Self = Self { class: "doubtful", sign: "?", words: "doubtful" };
    const DOES_NOT: Self = Self { class: "fails", sign: "\u{2717}", words: "does not suit" };
    const NOT_MEASURED: Self = Self { class: "open", sign: "\u{2013}", words: "not measured" };
    const WRONG_IN_SHEET: Self = Self { class: "open", sign: "!", words: "wrong in the sheet" };
    /// All, in the order of a key to them.
    pub(crate) const ALL: [Self; 5] =
        [Self::SUITS, Self::DOUBTFUL, Self::DOES_NOT, Self::NOT_MEASURED, Self::WRONG_IN_SHEET];

    /// Of a reed that was assessed.
    pub(crate) fn of(reed: &ReedAssessment) -> Self {
        match Standing::of(reed) {
            Standing::Suits => Self::SUITS,
            Standing::Doubtful => Self::DOUBTFUL,
            Standing::DoesNot => Self::DOES_NOT,
        }
    }

    /// Of a row without a reed.
    pub(crate) fn of_row(error: &RowError) -> Self {
        if error.still_needs().is_some() || error.not_measured() { Self::NOT_MEASURED } else { Self::WRONG_IN_SHEET }
    }
}
