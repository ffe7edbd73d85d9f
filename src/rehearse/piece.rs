//! A piece of music as it is to be played: notes in seconds.

use serde::Serialize;

/// One note.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PieceNote {
    /// MIDI number, 60 is middle C.
    pub midi: i32,
    /// When it begins (s).
    pub start_s: f64,
    /// How long it lasts (s).
    pub length_s: f64,
    /// How hard it is struck, 1 to 127.
    pub velocity: u8,
}

impl PieceNote {
    /// When it ends (s).
    pub fn end_s(&self) -> f64 {
        self.start_s + self.length_s
    }
}

/// A piece.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Piece {
    /// Quarter notes a minute at its beginning; nothing where its time is that of a film.
    pub bpm: Option<f64>,
    /// Its notes by their beginnings, of one beginning the lowest first.
    pub notes: Vec<PieceNote>,
    /// What was left out of the file or read otherwise than it stands: sentences without their points.
    pub remarks: Vec<String>,
}

impl Piece {
    /// Most notes that are rehearsed: an hour of thirty a second.
    pub const MOST_NOTES: usize = 100_000;

    /// When the last note ends (s).
    pub fn duration_s(&self) -> f64 {
        self.notes.iter().map(PieceNote::end_s).fold(0.0, f64::max)
    }

    /// The same piece so many semitones higher; notes beyond the MIDI numbers are left out, and that is said.
    #[must_use]
    pub fn transposed(mut self, semitones: i32) -> Self {
        let before = self.notes.len();
        self.notes.iter_mut().for_each(|note| note.midi += semitones);
        self.notes.retain(|note| (0..=127).contains(&note.midi));
        self.said(before - self.notes.len(), "moved beyond the MIDI numbers and left out");
        self
    }

    /// The same piece played `factor` times as fast.
    #[must_use]
    pub fn faster(mut self, factor: f64) -> Self {
        self.bpm = self.bpm.map(|bpm| bpm * factor);
        for note in &mut self.notes {
            (note.start_s, note.length_s) = (note.start_s / factor, note.length_s / factor);
        }
        self
    }

    /// The same piece at another tempo at its beginning (quarter notes a minute), later changes in proportion; nothing where its
    /// time is that of a film.
    pub fn at_bpm(self, bpm: f64) -> Option<Self> {
        let factor = bpm / self.bpm?;
        Some(self.faster(factor))
    }

    /// Adds a remark on so many notes, if there are any.
    pub(super) fn said(&mut self, count: usize, what: &str) {
        if count > 0 {
            self.remarks.push(format!("{}: {what}", notes(count)));
        }
    }
}

/// "1 note", "2 notes".
pub fn notes(count: usize) -> String {
    if count == 1 { "1 note".to_owned() } else { format!("{count} notes") }
}
