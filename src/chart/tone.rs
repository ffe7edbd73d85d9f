//! A frequency with the note beside it.

use super::reed::printed;
use super::scale::signed;
use crate::units;

/// A frequency and the note nearest to it.
#[derive(Debug, Clone, PartialEq)]
pub struct Tone {
    /// Frequency (Hz).
    pub frequency_hz: f64,
    /// Name of the nearest note and how far the frequency lies above it (cents); `None` beyond all notes.
    pub nearest: Option<(String, f64)>,
}

impl Tone {
    /// "496.1 Hz".
    pub(super) fn hertz(&self) -> String {
        units::hertz(self.frequency_hz)
    }

    /// "B4 +8 cents"; empty beyond all notes.
    pub(super) fn note(&self) -> String {
        self.nearest.as_ref().map_or(String::new(), |(note, cents)| {
            let decimals = usize::from(cents.abs() < 9.95);
            format!("{} {} cents", printed(note), signed(*cents, decimals))
        })
    }

    /// "496.1 Hz, B4 +8 cents".
    pub(super) fn in_words(&self) -> String {
        let parts = [self.hertz(), self.note()];
        parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
    }
}
