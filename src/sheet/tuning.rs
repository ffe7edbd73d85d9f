//! Which frequency a note should have: concert pitch, temperament and offsets.

use super::notes::{A4, Note, cents, class_name, raised};

/// How the twelve notes of the octave are tuned against each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Temperament {
    /// Twelve equal steps.
    Equal,
    /// Just intonation over the key: 1, 16/15, 9/8, 6/5, 5/4, 4/3, 45/32, 3/2, 8/5, 5/3, 9/5, 15/8.
    Just,
    /// Pure fifths from the flat third to the sharp fifth of the key (Eb to G# in C).
    Pythagorean,
    /// Quarter-comma meantone: fifths of `5^(1/4)` over the same chain, pure major thirds.
    Meantone,
}

impl Temperament {
    /// All of them with their names in a file.
    pub const NAMES: [(&'static str, Self); 4] = [
        ("equal", Self::Equal),
        ("just", Self::Just),
        ("pythagorean", Self::Pythagorean),
        ("meantone", Self::Meantone),
    ];

    /// Cents of the note `steps` semitones above the key.
    pub fn cents(self, steps: i32) -> f64 {
        const JUST: [(f64, f64); 12] = [
            (1.0, 1.0),
            (16.0, 15.0),
            (9.0, 8.0),
            (6.0, 5.0),
            (5.0, 4.0),
            (4.0, 3.0),
            (45.0, 32.0),
            (3.0, 2.0),
            (8.0, 5.0),
            (5.0, 3.0),
            (9.0, 5.0),
            (15.0, 8.0),
        ];
        let step = steps.rem_euclid(12);
        let octaves = 1200.0 * f64::from(steps.div_euclid(12));
        let within = match self {
            Self::Equal => 100.0 * f64::from(step),
            Self::Just => {
                let (over, under) = JUST[step as usize];
                cents(over, under)
            }
            Self::Pythagorean => by_fifths(step, cents(3.0, 2.0)),
            Self::Meantone => by_fifths(step, 0.25 * cents(5.0, 1.0)),
        };
        octaves + within
    }
}

/// Cents of a step reached by a chain of fifths, from three below the key to eight above.
fn by_fifths(step: i32, fifth_cents: f64) -> f64 {
    let up = (7 * step).rem_euclid(12);
    let fifths = if up > 8 { up - 12 } else { up };
    (f64::from(fifths) * fifth_cents).rem_euclid(1200.0)
}

/// The tuning wanted while sounding: concert pitch, temperament over a key, stretch, and offsets from them.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct Tuning {
    /// Frequency of A4 before stretch and offsets (Hz).
    pub concert_pitch_hz: f64,
    /// The temperament.
    pub temperament: Temperament,
    /// Pitch class of the key it is built over (0 = C).
    pub key_class: i32,
    /// Cents added to single notes (MIDI number).
    pub note_offsets_cents: Vec<(i32, f64)>,
    /// Cents added to pitch classes, where the note has no offset of its own.
    pub class_offsets_cents: Vec<(i32, f64)>,
    /// Cents by which each octave is wider than 2:1.
    pub stretch_cents_per_octave: f64,
    /// The note (MIDI number) that the stretch leaves where it is.
    pub stretch_centre: i32,
}

impl Default for Tuning {
    /// Equal temperament at 440 Hz (ISO 16:1975).
    fn default() -> Self {
        Self {
            concert_pitch_hz: 440.0,
            temperament: Temperament::Equal,
            key_class: 0,
            note_offsets_cents: Vec::new(),
            class_offsets_cents: Vec::new(),
            stretch_cents_per_octave: 0.0,
            stretch_centre: A4,
        }
    }
}

/// The note nearest to a frequency, and how far the frequency lies above it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nearest {
    /// The note.
    pub note: Note,
    /// Cents above it.
    pub cents: f64,
}

impl std::fmt::Display for Nearest {
    /// "A4 +3 cents".
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        // Adding zero turns a minus zero into zero.
        write!(f, "{} {:+.0} cents", self.note, self.cents.round() + 0.0)
    }
}

impl std::fmt::Display for Tuning {
    /// "A4 = 442 Hz, equal temperament".
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let named = Temperament::NAMES.iter().find(|(_, temperament)| *temperament == self.temperament);
        write!(f, "A4 = {} Hz, {} temperament", self.concert_pitch_hz, named.map_or("", |(name, _)| name))?;
        if self.temperament != Temperament::Equal {
            write!(f, " over {}", class_name(self.key_class))?;
        }
        if self.stretch_cents_per_octave != 0.0 {
            write!(f, ", octaves stretched {:+} cents", self.stretch_cents_per_octave)?;
        }
        let offsets = !self.class_offsets_cents.is_empty() || !self.note_offsets_cents.is_empty();
        f.write_str(if offsets { ", with offsets of its own" } else { "" })
    }
}

impl Tuning {
    /// The frequency a note should have (Hz): `concert 2^(c/1200)`, with `c` the sum of the temperament's cents above A4,
    /// the note's offset, and `stretch (note - centre)/12`.
    ///
    /// ```
    /// use freereed::sheet::{Note, Tuning};
    /// let tuning = Tuning { concert_pitch_hz: 442.0, ..Tuning::default() };
    /// assert!((tuning.frequency_hz(Note::parse("C4").unwrap()) - 262.815).abs() < 1e-3);
    /// ```
    pub fn frequency_hz(&self, note: Note) -> f64 {
        let above_key = |midi: i32| self.temperament.cents(midi - self.key_class);
        let above_a4 = above_key(note.midi()) - above_key(A4);
        raised(self.concert_pitch_hz, above_a4 + self.stretched_cents(note) + self.offset_cents(note))
    }

    /// How far the stretch moves a note (cents).
    pub fn stretched_cents(&self, note: Note) -> f64 {
        self.stretch_cents_per_octave * f64::from(note.midi() - self.stretch_centre) / 12.0
    }

    /// The offset of a note: its own, else its pitch class's, else none.
    pub fn offset_cents(&self, note: Note) -> f64 {
        let find = |list: &[(i32, f64)], number: i32| list.iter().find(|(n, _)| *n == number).map(|(_, cents)| *cents);
        let own = find(&self.note_offsets_cents, note.midi());
        own.or_else(|| find(&self.class_offsets_cents, note.pitch_class())).unwrap_or(0.0)
    }

    /// The note nearest to a frequency; none outside MIDI 0 to 127 or for what is no frequency.
    ///
    /// ```
    /// use freereed::sheet::Tuning;
    /// assert_eq!(Tuning::default().nearest(440.8).unwrap().to_string(), "A4 +3 cents");
    /// ```
    pub fn nearest(&self, frequency_hz: f64) -> Option<Nearest> {
        let semitones = cents(frequency_hz, self.concert_pitch_hz) / 100.0;
        if !semitones.is_finite() || semitones.abs() > 200.0 {
            return None;
        }
        let about = A4 + semitones.round() as i32;
        // Stretch, offset and temperament together move no note by as much as four semitones.
        let near = (about - 4..=about + 4).filter_map(Note::from_midi);
        let distance = |note: Note| Nearest { note, cents: cents(frequency_hz, self.frequency_hz(note)) };
        near.map(distance)
            .min_by(|a, b| a.cents.abs().total_cmp(&b.cents.abs()))
            .filter(|near| near.cents.abs() < 100.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tuned(temperament: Temperament, key_class: i32) -> Tuning {
        Tuning { temperament, key_class, ..Tuning::default() }
    }

    fn between(tuning: &Tuning, low: &str, high: &str) -> f64 {
        let frequency = |name: &str| tuning.frequency_hz(Note::parse(name).unwrap());
        cents(frequency(high), frequency(low))
    }

    #[test]
    fn every_temperament_keeps_concert_pitch_and_octaves() {
        for (_, temperament) in Temperament::NAMES {
            for key in 0..12 {
                let tuning = tuned(temperament, key);
                assert!((tuning.frequency_hz(Note::parse("A4").unwrap()) - 440.0).abs() < 1e-9);
                assert!((between(&tuning, "D3", "D6") - 3600.0).abs() < 1e-9);
                for midi in 1..=127 {
                    let step = |m: i32| tuning.frequency_hz(Note::from_midi(m).unwrap());
                    assert!(step(midi) > step(midi - 1), "{temperament:?} over {key}: {midi}");
                }
            }
        }
    }

    // Intervals in cents of the ratios named, from 1200 log2.
    #[test]
    fn intervals_of_the_temperaments() {
        let just = tuned(Temperament::Just, 0);
        for (high, cents) in [("E4", 386.313714), ("G4", 701.955001), ("Bb4", 1017.596288), ("F#4", 590.223716)] {
            assert!((between(&just, "C4", high) - cents).abs() < 1e-6, "{high}");
        }
        let pure = tuned(Temperament::Pythagorean, 0);
        assert!((between(&pure, "C4", "E4") - 407.820003).abs() < 1e-6);
        assert!((between(&pure, "G#4", "Eb5") - (701.955001 - 23.460010)).abs() < 1e-6);
        let meantone = tuned(Temperament::Meantone, 7);
        assert!((between(&meantone, "G4", "B4") - 386.313714).abs() < 1e-6);
        assert!((between(&meantone, "G4", "D5") - (701.955001 - 21.506290 / 4.0)).abs() < 1e-6);
    }

    #[test]
    fn a_note_s_own_offset_goes_before_its_pitch_class() {
        let tuning = Tuning {
            note_offsets_cents: vec![(64, -7.0)],
            class_offsets_cents: vec![(4, -14.0), (9, 2.0)],
            ..Tuning::default()
        };
        let offset = |name: &str| tuning.offset_cents(Note::parse(name).unwrap());
        assert_eq!((offset("E4"), offset("E5"), offset("A4"), offset("C4")), (-7.0, -14.0, 2.0, 0.0));
        assert!((cents(tuning.frequency_hz(Note::parse("E5").unwrap()), 659.255113825739) + 14.0).abs() < 1e-6);
    }

    #[test]
    fn a_stretch_widens_octaves_from_its_centre() {
        let tuning = Tuning { stretch_cents_per_octave: 3.0, stretch_centre: 60, ..Tuning::default() };
        let equal = Tuning::default();
        let note = |name: &str| Note::parse(name).unwrap();
        let moved = |name: &str| cents(tuning.frequency_hz(note(name)), equal.frequency_hz(note(name)));
        for (name, expected) in [("C4", 0.0), ("C5", 3.0), ("C3", -3.0), ("F#4", 1.5), ("C7", 9.0)] {
            assert!((moved(name) - expected).abs() < 1e-9, "{name}");
        }
        assert!((between(&tuning, "D5", "D6") - 1203.0).abs() < 1e-9);
        let wide = Tuning { stretch_cents_per_octave: 20.0, note_offsets_cents: vec![(120, 60.0)], ..tuning };
        for midi in 0..=127 {
            let note = Note::from_midi(midi).unwrap();
            assert_eq!(wide.nearest(wide.frequency_hz(note)).map(|near| near.note), Some(note), "{note}");
        }
    }

    #[test]
    fn nearest_notes() {
        let tuning = Tuning::default();
        let text = |frequency: f64| tuning.nearest(frequency).map(|near| near.to_string());
        assert_eq!(text(261.626).as_deref(), Some("C4 +0 cents"));
        assert_eq!(text(261.62).as_deref(), Some("C4 +0 cents"));
        assert_eq!(text(raised(440.0, -49.0)).as_deref(), Some("A4 -49 cents"));
        assert_eq!(text(1e9), None);
        assert_eq!(text(0.0), None);
        assert_eq!(text(-1.0), None);
        assert_eq!(text(f64::NAN), None);
    }
}
