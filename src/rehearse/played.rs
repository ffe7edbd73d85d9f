//! What becomes of each note of a piece.

use std::collections::BTreeMap;

use serde::Serialize;

use super::answers::Answers;
use super::piece::PieceNote;
use super::route::Fate;
use crate::instrument::{LEVEL_PASSES_DB, ReedAssessment};
use crate::sheet::{Breath, PlayerProfile, Slide};

/// How a note comes out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// In time, as loud as the reeds about it.
    Speaks,
    /// In time, and louder than the reeds about it would be, by more than is let pass.
    TooLoud,
    /// In time, and softer than they would be.
    TooSoft,
    /// Too late for its length, or for the player.
    Late,
    /// Not at all: blown too softly.
    Silent,
    /// Not at all: blown too hard.
    Choked,
    /// It cannot sound together with other notes of its time.
    NotTogether,
    /// The set has no reed for it.
    NotOnInstrument,
}

impl Outcome {
    /// All of them, the good one first.
    pub const ALL: [Self; 8] = [
        Self::Speaks,
        Self::TooLoud,
        Self::TooSoft,
        Self::Late,
        Self::Silent,
        Self::Choked,
        Self::NotTogether,
        Self::NotOnInstrument,
    ];

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Speaks => "speaks",
            Self::TooLoud => "too loud",
            Self::TooSoft => "too soft",
            Self::Late => "late",
            Self::Silent => "does not start",
            Self::Choked => "chokes",
            Self::NotTogether => "not together",
            Self::NotOnInstrument => "not on this instrument",
        }
    }

    /// Whether the reed fails what the piece asks: it does not speak in time.
    pub fn fails(self) -> bool {
        matches!(self, Self::Late | Self::Silent | Self::Choked)
    }
}

/// The reed that sounds a note, and what it does.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OnReed {
    /// `5-blow-in`.
    pub reed: String,
    /// Number of the hole.
    pub hole: u32,
    /// Blow or draw.
    pub breath: Breath,
    /// Slide out or in.
    pub slide: Slide,
    /// Mouth pressure (Pa).
    pub pressure_pa: f64,
    /// In which time it must speak (s): [`PlayerProfile::SPEAKING_SHARE`] of the note, and no more than the player allows.
    pub allowed_s: f64,
    /// Time until the reed is blown again (s); nothing for the last time.
    pub repeat_s: Option<f64>,
    /// When it is half way to its swing (s).
    pub t50_s: Option<f64>,
    /// When it is nine tenths of the way (s).
    pub t90_s: Option<f64>,
    /// Share of the note that is gone by then, half way counted; all of it where it does not speak.
    pub share_gone: f64,
    /// Level at 1 m (dB).
    pub level_db: Option<f64>,
    /// What of it is beyond the run of the set at this velocity (dB).
    pub level_off_db: Option<f64>,
}

/// A note of the piece and what becomes of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlayedNote {
    /// The note.
    #[serde(flatten)]
    pub note: PieceNote,
    /// How it comes out.
    pub outcome: Outcome,
    /// The reed; none where none sounds it.
    pub on: Option<OnReed>,
}

impl PlayedNote {
    /// How many times later than allowed it speaks; without limit where it does not.
    pub fn lateness(&self) -> f64 {
        let on = self.on.as_ref();
        on.map_or(1.0, |on| on.t50_s.map_or(f64::INFINITY, |t50_s| t50_s / on.allowed_s))
    }
}

/// In which time a note must speak (s).
pub(super) fn allowed_s(note: &PieceNote, reed: &ReedAssessment) -> f64 {
    (PlayerProfile::SPEAKING_SHARE * note.length_s).min(reed.demand.allowed_s)
}

/// Every note with its outcome. Each begins from rest: what a reed still swings of the note before is not counted on.
pub(super) fn played(notes: &[PieceNote], fates: &[Fate], answers: &Answers<'_>) -> Vec<PlayedNote> {
    let mut next: BTreeMap<usize, f64> = BTreeMap::new();
    let mut all: Vec<PlayedNote> = notes
        .iter()
        .zip(fates)
        .rev()
        .map(|(note, fate)| match *fate {
            Fate::NotOnInstrument => PlayedNote { note: *note, outcome: Outcome::NotOnInstrument, on: None },
            Fate::NotTogether => PlayedNote { note: *note, outcome: Outcome::NotTogether, on: None },
            Fate::Reed(place) => {
                let again_s = next.insert(place, note.start_s);
                one(note, place, again_s.map(|again_s| again_s - note.start_s), answers)
            }
        })
        .collect();
    all.reverse();
    all
}

fn one(note: &PieceNote, place: usize, repeat_s: Option<f64>, answers: &Answers<'_>) -> PlayedNote {
    let (assessed, answer) = (answers.reeds[place], answers.at((place, note.velocity)));
    let reed = &assessed.reed;
    let t50_s = answer.t50_s.filter(|_| answer.speaks);
    let on = OnReed {
        reed: reed.id.clone(),
        hole: reed.hole,
        breath: reed.breath,
        slide: reed.slide,
        pressure_pa: answer.pressure_pa,
        allowed_s: allowed_s(note, assessed),
        repeat_s,
        t50_s,
        t90_s: answer.t90_s.filter(|_| answer.speaks),
        share_gone: t50_s.map_or(1.0, |t50_s| (t50_s / note.length_s).min(1.0)),
        level_db: answer.level_db,
        level_off_db: answer.level_off_db,
    };
    let fastest_pa = assessed.prediction.speaking.fastest.map_or(f64::INFINITY, |fastest| fastest.pressure_pa);
    let outcome = match (answer.speaks, t50_s, answer.level_off_db) {
        // On the far side of the pressure of fastest growth harder blowing makes it worse.
        (false, ..) if answer.pressure_pa > fastest_pa => Outcome::Choked,
        (false, ..) => Outcome::Silent,
        (true, t50_s, _) if t50_s.is_none_or(|t50_s| t50_s > on.allowed_s) => Outcome::Late,
        (true, _, Some(off)) if off > LEVEL_PASSES_DB => Outcome::TooLoud,
        (true, _, Some(off)) if off < -LEVEL_PASSES_DB => Outcome::TooSoft,
        (true, ..) => Outcome::Speaks,
    };
    PlayedNote { note: *note, outcome, on: Some(on) }
}
