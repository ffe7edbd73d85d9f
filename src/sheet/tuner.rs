//! A pitch as a tuner shows it: the nearest note of equal temperament and the cents from it. Read, and written.

use super::cell::{Decimal, number};
use super::notes::Note;
use super::tuning::Tuning;
use super::value::Fault;

/// More than a tuner shows of one note.
const MOST_CENTS: f64 = 100.0;

/// The frequency (Hz) of a reading: "C4 -3", "Bb3 +12.5 cents"; nothing where the text does not begin with a note. The
/// tuner is taken to be set to the concert pitch `concert_pitch_hz` (Hz).
///
/// # Errors
/// What is wrong with the cents.
pub(super) fn reading(text: &str, decimal: Decimal, concert_pitch_hz: f64) -> Option<Result<f64, Fault>> {
    let text = text.trim();
    let octave = text.find(|c: char| c.is_ascii_digit())?;
    let (name, cents) = text.split_at(octave + 1);
    let note = Note::parse(name)?;
    let equal = set_to(concert_pitch_hz);
    Some(cents_of(cents, decimal).map(|cents| super::notes::raised(equal.frequency_hz(note), cents)))
}

/// A frequency (Hz) as such a tuner shows it: "C4 -3.2"; nothing for what is no pitch.
#[cfg(feature = "page")]
pub(crate) fn shown(frequency_hz: f64, concert_pitch_hz: f64) -> Option<String> {
    let nearest = set_to(concert_pitch_hz).nearest(frequency_hz)?;
    // Adding zero turns a minus zero into zero.
    Some(format!("{} {:+.1}", nearest.note, (10.0 * nearest.cents).round() / 10.0 + 0.0))
}

fn set_to(concert_pitch_hz: f64) -> Tuning {
    Tuning { concert_pitch_hz, ..Tuning::default() }
}

fn cents_of(text: &str, decimal: Decimal) -> Result<f64, Fault> {
    let bare = text.trim().trim_end_matches(|c: char| c.is_alphabetic() || c == '.').trim();
    if bare.is_empty() {
        return Err(
            Fault::new("is a note without its cents").cure("write both as the tuner shows them, C4 -3 or C4 +0")
        );
    }
    let cents = number(bare, decimal)?;
    if !(-MOST_CENTS..=MOST_CENTS).contains(&cents) {
        return Err(Fault::new("is further off than a tuner shows")
            .allowed(format!("-{MOST_CENTS} to {MOST_CENTS} cents"))
            .cure("name the nearest note"));
    }
    Ok(cents)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str, concert_pitch_hz: f64) -> Option<Result<f64, String>> {
        let found = reading(text, Decimal::PointOrComma, concert_pitch_hz);
        found.map(|found| found.map_err(|fault| fault.message))
    }

    /// Middle C of equal temperament is 261.626 Hz at an A of 440 Hz (ISO 16) and 262.815 Hz at 442 Hz; 100 cents are
    /// a factor of 1.0594631, 3 cents of 1.0017344 (`2^(c/1200)`).
    #[test]
    fn a_note_and_its_cents_are_a_frequency() {
        for (text, concert, hz) in [
            ("C4 +0", 440.0, 261.626),
            ("C4 -3", 440.0, 261.626 / 1.001_734_4),
            ("c4 -3 cents", 442.0, 262.815 / 1.001_734_4),
            ("C4-3", 442.0, 262.815 / 1.001_734_4),
            ("B3 +100", 440.0, 261.626),
            ("Db4 -100,0 ct", 440.0, 261.626),
        ] {
            let found = read(text, concert).unwrap().unwrap();
            assert!((found - hz).abs() < 1e-3, "{text}: {found}");
        }
    }

    #[cfg(feature = "page")]
    #[test]
    fn what_is_shown_is_read_again() {
        for hz in [65.4, 261.626, 442.0, 2093.0] {
            let text = shown(hz, 442.0).unwrap();
            let again = read(&text, 442.0).unwrap().unwrap();
            // A tenth of a cent is shown.
            assert!(super::super::notes::cents(again, hz).abs() <= 0.05 + 1e-9, "{text}");
        }
        assert_eq!(shown(442.0, 442.0).unwrap(), "A4 +0.0");
    }

    #[test]
    fn what_a_tuner_does_not_show_is_told() {
        assert_eq!(read("261.6", 440.0), None);
        assert_eq!(read("soon", 440.0), None);
        assert_eq!(read("H4 -3", 440.0), None);
        for (text, message) in [
            ("C4", "is a note without its cents"),
            ("C4 cents", "is a note without its cents"),
            ("C4 -300", "is further off than a tuner shows"),
            ("C4 \u{2212}3", "has a minus sign that is not a plain one"),
        ] {
            assert_eq!(read(text, 440.0), Some(Err(message.to_owned())), "{text}");
        }
    }
}
