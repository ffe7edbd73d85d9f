//! How long each reed of a set takes to speak, softly, as usual and hard.

mod draw;
mod series;

use super::Picture;
use super::plottable;
use super::reed::{ReedLabel, by_pitch};

/// How a reed answers one pressure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Speech {
    /// Nothing is known.
    Unknown,
    /// It does not speak.
    Silent,
    /// It speaks.
    Speaks {
        /// Time from the start of the attack to half the final swing of the tip (s).
        t50_s: f64,
    },
}

/// A reed and its speaking times.
#[derive(Debug, Clone, PartialEq)]
pub struct SpeakingReed {
    /// Which reed.
    pub reed: ReedLabel,
    /// At the player's soft pressure for its note.
    pub soft: Speech,
    /// At the normal pressure.
    pub normal: Speech,
    /// At the hard pressure.
    pub hard: Speech,
    /// The time it may take (s); `None` if there is no such limit.
    pub allowed_s: Option<f64>,
}

/// Speaking time over the notes of a set, one series for each of the player's pressures.
///
/// Reeds that do not speak stand in a row of their own above the plot; they and reeds that take longer than allowed are
/// named.
#[derive(Debug, Clone, PartialEq)]
pub struct SpeakingChart {
    /// The set, as the reader knows it.
    pub set_name: String,
    /// The reeds, in any order.
    pub reeds: Vec<SpeakingReed>,
    /// Assumptions and model version, set small below the chart.
    pub small_print: String,
}

impl SpeakingChart {
    /// The chart, to be written or drawn.
    pub fn picture(&self) -> Picture {
        let reeds = by_pitch(&self.reeds, |reed| &reed.reed);
        draw::Drawing { chart: self, reeds }.picture()
    }
}

impl Speech {
    /// The time, if an axis has a place for it (s).
    pub(super) fn time_s(self) -> Option<f64> {
        if let Self::Speaks { t50_s } = self { plottable(t50_s) } else { None }
    }

    fn is_unknown(self) -> bool {
        self != Self::Silent && self.time_s().is_none()
    }
}

impl SpeakingReed {
    /// The three answers, from soft to hard.
    fn answers(&self) -> [Speech; 3] {
        [self.soft, self.normal, self.hard]
    }

    fn allowed(&self) -> Option<f64> {
        self.allowed_s.and_then(plottable)
    }

    fn is_late(&self, speech: Speech) -> bool {
        speech.time_s().zip(self.allowed()).is_some_and(|(time_s, allowed_s)| time_s > allowed_s)
    }

    /// The answers that are wrong, each with its index from soft to hard.
    fn faults(&self) -> Vec<(usize, Speech)> {
        let is_wrong = |speech: Speech| speech == Speech::Silent || self.is_late(speech);
        self.answers().into_iter().enumerate().filter(|(_, speech)| is_wrong(*speech)).collect()
    }

    fn lacks_an_answer(&self) -> bool {
        self.answers().iter().any(|speech| speech.is_unknown())
    }

    fn is_unknown(&self) -> bool {
        self.answers().iter().all(|speech| speech.is_unknown())
    }
}
