//! Notes: names, MIDI numbers, and the distance between two pitches in cents.

use std::fmt;

/// Letters and the semitones from C.
const LETTERS: [(char, i32); 7] = [('C', 0), ('D', 2), ('E', 4), ('F', 5), ('G', 7), ('A', 9), ('B', 11)];
/// Names by pitch class, sharps.
const NAMES: [&str; 12] = ["C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"];
/// MIDI number of A4.
pub(super) const A4: i32 = 69;

/// `1200 log2(f / reference)`: how far `frequency_hz` lies above the reference.
///
/// ```
/// assert!((freereed::sheet::notes::cents(442.0, 440.0) - 7.851415).abs() < 1e-6);
/// ```
pub fn cents(frequency_hz: f64, reference_hz: f64) -> f64 {
    1200.0 * (frequency_hz / reference_hz).log2()
}

/// The frequency that lies `cents` above `reference_hz`.
pub fn raised(reference_hz: f64, cents: f64) -> f64 {
    reference_hz * (cents / 1200.0).exp2()
}

/// A note of the twelve-note scale; C4 is middle C, MIDI 60.
///
/// ```
/// use freereed::sheet::Note;
/// assert_eq!(Note::parse("Bb3").unwrap().to_string(), "A#3");
/// assert_eq!(Note::parse("F\u{266f}5").unwrap().midi(), 78);
/// assert!(Note::parse("H4").is_none());
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Note {
    midi: i32,
}

impl Note {
    /// The note with a MIDI number, 0 to 127.
    pub fn from_midi(midi: i32) -> Option<Self> {
        (0..=127).contains(&midi).then_some(Self { midi })
    }

    /// Reads a name: letter, sharps (`#`, ♯) or flats (`b`, ♭), octave: "C4", "F#5", "Bb3", "Db4".
    /// The octave is the letter's: Cb4 is B3.
    pub fn parse(name: &str) -> Option<Self> {
        let (class, octave) = split(name.trim())?;
        // "+4", "04" and the like are no octaves; "-1" is the lowest.
        let plain = octave == "-1" || (octave.len() == 1 && octave.as_bytes()[0].is_ascii_digit());
        let octave: i32 = if plain { octave.parse().ok()? } else { return None };
        Self::from_midi(12 * (octave + 1) + class)
    }

    /// MIDI number.
    pub fn midi(self) -> i32 {
        self.midi
    }

    /// Semitones above the C below, 0 to 11.
    pub fn pitch_class(self) -> i32 {
        self.midi.rem_euclid(12)
    }

    /// Octave number: that of middle C is 4.
    pub fn octave(self) -> i32 {
        self.midi.div_euclid(12) - 1
    }
}

impl fmt::Display for Note {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", class_name(self.pitch_class()), self.octave())
    }
}

/// The pitch class of a name without an octave: "C", "F#", "Bb".
pub fn parse_class(name: &str) -> Option<i32> {
    match split(name.trim())? {
        (class, "") => Some(class.rem_euclid(12)),
        _ => None,
    }
}

/// Name of a pitch class, with sharps.
pub fn class_name(class: i32) -> &'static str {
    NAMES[class.rem_euclid(12) as usize]
}

/// Letter and accidentals as semitones above the octave's C, and the rest of the name.
fn split(name: &str) -> Option<(i32, &str)> {
    let letter = name.chars().next()?.to_ascii_uppercase();
    let class = LETTERS.iter().find(|(known, _)| *known == letter)?.1;
    let rest = &name[1..];
    let sharp = |c: char| matches!(c, '#' | '\u{266f}');
    let flat = |c: char| matches!(c, 'b' | '\u{266d}');
    let octave = rest.trim_start_matches(|c| sharp(c) || flat(c));
    let signs = &rest[..rest.len() - octave.len()];
    let (sharps, flats) = (signs.chars().filter(|&c| sharp(c)).count(), signs.chars().filter(|&c| flat(c)).count());
    if sharps * flats != 0 || sharps + flats > 2 {
        return None;
    }
    Some((class + sharps as i32 - flats as i32, octave))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_go_there_and_back() {
        for midi in 0..=127 {
            let note = Note::from_midi(midi).unwrap();
            assert_eq!(Note::parse(&note.to_string()), Some(note));
        }
        let midi = |name: &str| Note::parse(name).map(Note::midi);
        let same = [("Bb3", 58), ("Db4", 61), ("E\u{266d}5", 75), ("Cb4", 59), ("B#3", 60), ("F##4", 67), ("c4", 60)];
        for (name, number) in same {
            assert_eq!(midi(name), Some(number), "{name}");
        }
        assert_eq!((midi("C-1"), midi("G9"), midi("G#9")), (Some(0), Some(127), None));
    }

    #[test]
    fn what_is_no_note_is_refused() {
        for name in ["", "4", "H4", "C", "C 4", "C44", "C+4", "C#b4", "C###4", "C4x", "\u{e9}4", "C\u{664}", "#4", "-1"]
        {
            assert_eq!(Note::parse(name), None, "{name}");
        }
        assert_eq!(parse_class("Bb"), Some(10));
        assert_eq!(parse_class("Cb"), Some(11));
        assert_eq!(parse_class("Bb3"), None);
    }

    #[test]
    fn cents_invert() {
        assert!((cents(raised(440.0, 123.4), 440.0) - 123.4).abs() < 1e-9);
        assert!((raised(1.0, 1.0) - 1.0005777895).abs() < 1e-10);
    }
}
