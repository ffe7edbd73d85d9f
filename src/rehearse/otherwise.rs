//! How a piece is to be played otherwise than it is written: at another tempo, higher or lower.

use std::ops::RangeInclusive;

use super::piece::Piece;

/// Another tempo and pitch than those written.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Otherwise {
    /// Quarter notes a minute at the beginning, later changes in proportion; as written where there is none.
    pub bpm: Option<f64>,
    /// So many semitones higher, lower below 0.
    pub semitones: i32,
}

/// Why a piece cannot be played so.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum NotSo {
    /// Its time is told by time code.
    #[error("has the time of a film, and no tempo to change; leave its tempo as it is")]
    NoTempo,
    /// All of it was moved beyond the MIDI numbers.
    #[error("has no note left; transpose it less far")]
    NoNotes,
}

impl Otherwise {
    /// Tempos that a piece may be played at (quarter notes a minute).
    pub const BPM: RangeInclusive<f64> = 1.0..=1000.0;
    /// Their range in words.
    pub const BPM_WORDS: &str = "a tempo is 1 to 1000 quarter notes a minute";
    /// How far it may be transposed (semitones).
    pub const SEMITONES: RangeInclusive<i32> = -60..=60;
    /// That range in words.
    pub const SEMITONES_WORDS: &str = "a transposition is -60 to 60 semitones, a whole number";

    /// A tempo as typed (quarter notes a minute).
    ///
    /// # Errors
    /// No number, or one beyond [`Otherwise::BPM`]: a sentence without its point.
    pub fn bpm_of(typed: &str) -> Result<f64, String> {
        let bpm = typed.trim().parse().map_err(|_| format!("{typed:?} is not a number; {}", Self::BPM_WORDS))?;
        if Self::BPM.contains(&bpm) { Ok(bpm) } else { Err(Self::BPM_WORDS.to_owned()) }
    }

    /// A transposition as typed (semitones).
    ///
    /// # Errors
    /// No whole number, or one beyond [`Otherwise::SEMITONES`]: a sentence without its point.
    pub fn semitones_of(typed: &str) -> Result<i32, String> {
        let semitones = typed.trim().parse().ok().filter(|semitones| Self::SEMITONES.contains(semitones));
        semitones.ok_or_else(|| format!("{typed:?} is no such interval; {}", Self::SEMITONES_WORDS))
    }

    /// A piece played so.
    ///
    /// # Errors
    /// [`NotSo`].
    pub fn of(&self, written: Piece) -> Result<Piece, NotSo> {
        let piece = match self.bpm {
            None => written,
            Some(bpm) => written.at_bpm(bpm).ok_or(NotSo::NoTempo)?,
        };
        let piece = if self.semitones == 0 { piece } else { piece.transposed(self.semitones) };
        if piece.notes.is_empty() { Err(NotSo::NoNotes) } else { Ok(piece) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_typed_is_in_its_range_or_refused_with_it() {
        assert_eq!((Otherwise::bpm_of(" 92.5 "), Otherwise::semitones_of("-60")), (Ok(92.5), Ok(-60)));
        for typed in ["0", "1000.1", "NaN", "inf", "-3", "quick", ""] {
            assert!(Otherwise::bpm_of(typed).unwrap_err().contains("1 to 1000"), "{typed}");
        }
        for typed in ["61", "-61", "1.5", "up", "", "99999999999"] {
            assert!(Otherwise::semitones_of(typed).unwrap_err().contains("-60 to 60"), "{typed}");
        }
    }
}
