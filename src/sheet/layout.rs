//! The solo layout of a chromatic harmonica, and where a reed sits.

use super::csv_sheet::{Breath, Slide, id};
use super::notes::Note;

/// Where a reed sits and what it should sound.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ReedPlace {
    /// Number of the hole, from 1.
    pub hole: u32,
    /// Blow or draw.
    pub breath: Breath,
    /// Slide out or in.
    pub slide: Slide,
    /// Its note.
    pub note: Note,
}

impl ReedPlace {
    /// `5-blow-in`: hole, breath, slide.
    pub fn id(&self) -> String {
        id(self.hole, self.breath, self.slide)
    }
}

/// Semitones of a solo layout above the key's note of the same four holes (common practice, no source): blow C E G C,
/// draw D F A B, in C.
pub(super) fn solo_step(hole: u32, breath: Breath) -> i32 {
    let place = ((hole - 1) % 4) as usize;
    match breath {
        Breath::Blow => [0, 4, 7, 12][place],
        Breath::Draw => [2, 5, 9, 11][place],
    }
}

/// The note on which a layout in a key of this pitch class begins: between G3 and F#4, an octave lower for 16 holes (common
/// practice, no source).
pub fn usual_lowest(pitch_class: i32, holes: u32) -> Option<Note> {
    let class = pitch_class.rem_euclid(12);
    let octave_lower = if holes == 16 { 12 } else { 0 };
    Note::from_midi(if class < 7 { 60 + class } else { 48 + class } - octave_lower)
}

/// The reeds of a solo layout that begins on `lowest`, hole by hole: blow before draw, slide out before slide in, which is
/// a semitone higher. In a last hole of four the draw reed with the slide in would repeat a note, and sounds a whole tone
/// above the key's instead. None where that runs out of the notes there are.
///
/// ```
/// use freereed::sheet::{Note, solo_layout};
/// let reeds = solo_layout(12, Note::parse("C4").unwrap()).unwrap();
/// assert_eq!((reeds.len(), reeds[47].id().as_str()), (48, "12-draw-in"));
/// assert_eq!(reeds[47].note, Note::parse("D7").unwrap());
/// ```
pub fn solo_layout(holes: u32, lowest: Note) -> Option<Vec<ReedPlace>> {
    let mut reeds = Vec::new();
    for hole in 1..=holes {
        let octave = i32::try_from((hole - 1) / 4).ok()?;
        for breath in [Breath::Blow, Breath::Draw] {
            for slide in [Slide::Out, Slide::In] {
                let top = hole % 4 == 0 && (hole, breath, slide) == (holes, Breath::Draw, Slide::In);
                let raised = if top { 3 } else { i32::from(slide == Slide::In) };
                let note = Note::from_midi(lowest.midi() + 12 * octave + solo_step(hole, breath) + raised)?;
                reeds.push(ReedPlace { hole, breath, slide, note });
            }
        }
    }
    Some(reeds)
}

/// Semitones above the first note of a diatonic layout of ten holes (common practice, no source): blow C E G C E G C E G C,
/// draw D G B D F A B D F A, in C.
const DIATONIC: [[i32; 10]; 2] = [[0, 4, 7, 12, 16, 19, 24, 28, 31, 36], [2, 7, 11, 14, 17, 21, 23, 26, 29, 33]];

/// The reeds of a diatonic layout of ten holes that begins on `lowest`, hole by hole, blow before draw, no slide. None where
/// that runs out of the notes there are.
pub fn diatonic_layout(lowest: Note) -> Option<Vec<ReedPlace>> {
    let mut reeds = Vec::new();
    for (hole, steps) in (1..).zip(std::iter::zip(DIATONIC[0], DIATONIC[1])) {
        for (breath, step) in [(Breath::Blow, steps.0), (Breath::Draw, steps.1)] {
            let note = Note::from_midi(lowest.midi() + step)?;
            reeds.push(ReedPlace { hole, breath, slide: Slide::Out, note });
        }
    }
    Some(reeds)
}

#[cfg(test)]
mod tests {
    use super::*;

    // Common practice of twelve holes in C: hole 1 C4 D4, hole 4 C5 B4, hole 5 C5 D5, hole 12 C7 B6.
    #[test]
    fn twelve_holes_run_three_octaves() {
        let reeds = solo_layout(12, Note::parse("C4").unwrap()).unwrap();
        let note = |name: &str| reeds.iter().find(|reed| reed.id() == name).unwrap().note.to_string();
        for (id, expected) in [
            ("1-blow-out", "C4"),
            ("1-draw-in", "D#4"),
            ("2-draw-out", "F4"),
            ("4-blow-out", "C5"),
            ("4-draw-out", "B4"),
            ("5-blow-out", "C5"),
            ("11-draw-out", "A6"),
            ("12-blow-in", "C#7"),
            ("12-draw-out", "B6"),
        ] {
            assert_eq!(note(id), expected, "{id}");
        }
        let sixteen = solo_layout(16, Note::parse("C3").unwrap()).unwrap();
        assert_eq!((sixteen.len(), sixteen[63].note.to_string().as_str()), (64, "D7"));
        assert_eq!(solo_layout(12, Note::parse("C8").unwrap()), None);
    }
}
