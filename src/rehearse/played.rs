//! What becomes of each note of a piece.

use std::collections::BTreeMap;

use serde::Serialize;

use super::answers::Answers;
use super::piece::PieceNote;
use super::ringing::{left_after, saved_s};
use super::route::Fate;
use crate::instrument::{LEVEL_PASSES_DB, ReedAssessment};
use crate::physics::playable::Demand;
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
            Self::Silent => "not started",
            Self::Choked => "choked",
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
    /// What it still swings of its last note when it is blown, as a share of that.
    pub swings_on: f64,
    /// How much sooner it speaks for that than from rest (s).
    pub saved_s: f64,
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

impl OnReed {
    /// The time in which it would have to speak from rest to be in time (s).
    pub fn allowed_from_rest_s(&self) -> f64 {
        self.allowed_s + self.saved_s
    }
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
pub(super) fn allowed_s(note: &PieceNote, player: &Demand) -> f64 {
    (PlayerProfile::SPEAKING_SHARE * note.length_s).min(player.allowed_s)
}

/// Every note with its outcome.
pub(super) fn played(notes: &[PieceNote], fates: &[Fate], answers: &Answers<'_>) -> Vec<PlayedNote> {
    let again_s = until_again(notes, fates);
    // When each reed was last blown, and whether it spoke.
    let mut last: BTreeMap<usize, f64> = BTreeMap::new();
    let mut one = |(k, (note, fate)): (usize, (&PieceNote, &Fate))| match *fate {
        Fate::NotOnInstrument => PlayedNote { note: *note, outcome: Outcome::NotOnInstrument, on: None },
        Fate::NotTogether => PlayedNote { note: *note, outcome: Outcome::NotTogether, on: None },
        Fate::Reed(place) => {
            let silent_s = last.remove(&place).map(|end_s| (note.start_s - end_s).max(0.0));
            let played = on_reed(note, place, silent_s, again_s[k], answers);
            if played.on.as_ref().is_some_and(|on| on.t50_s.is_some_and(|t50_s| t50_s < note.length_s)) {
                last.insert(place, note.end_s());
            }
            played
        }
    };
    notes.iter().zip(fates).enumerate().map(&mut one).collect()
}

/// Of each note the time until its reed is blown again (s).
fn until_again(notes: &[PieceNote], fates: &[Fate]) -> Vec<Option<f64>> {
    let mut next: BTreeMap<usize, f64> = BTreeMap::new();
    let again = |(note, fate): (&PieceNote, &Fate)| match fate {
        Fate::Reed(place) => next.insert(*place, note.start_s).map(|again_s| again_s - note.start_s),
        _ => None,
    };
    let mut all: Vec<Option<f64>> = notes.iter().zip(fates).rev().map(again).collect();
    all.reverse();
    all
}

fn on_reed(
    note: &PieceNote,
    place: usize,
    silent_s: Option<f64>,
    repeat_s: Option<f64>,
    answers: &Answers<'_>,
) -> PlayedNote {
    let (assessed, answer) = (answers.reeds[place], answers.at((place, note.velocity)));
    let reed = &assessed.reed;
    let swings_on = silent_s.map_or(0.0, |silent_s| left_after(&assessed.prediction.model, silent_s));
    let saved_s = saved_s(answer, assessed.demand.rise_s, swings_on);
    let t50_s = answer.t50_s.map(|t50_s| t50_s - saved_s);
    let on = OnReed {
        reed: reed.id.clone(),
        hole: reed.hole,
        breath: reed.breath,
        slide: reed.slide,
        pressure_pa: answer.pressure_pa,
        allowed_s: allowed_s(note, &assessed.demand),
        repeat_s,
        swings_on,
        saved_s,
        t50_s,
        t90_s: answer.t90_s.map(|t90_s| t90_s - saved_s),
        share_gone: t50_s.map_or(1.0, |t50_s| (t50_s / note.length_s).min(1.0)),
        level_db: answer.level_db,
        level_off_db: answer.level_off_db,
    };
    PlayedNote { note: *note, outcome: outcome(assessed, &on, answer.speaks), on: Some(on) }
}

fn outcome(assessed: &ReedAssessment, on: &OnReed, speaks: bool) -> Outcome {
    let fastest_pa = assessed.prediction.speaking.fastest.map_or(f64::INFINITY, |fastest| fastest.pressure_pa);
    match (speaks, on.t50_s, on.level_off_db) {
        // On the far side of the pressure of fastest growth harder blowing makes it worse.
        (false, ..) if on.pressure_pa > fastest_pa => Outcome::Choked,
        (false, ..) => Outcome::Silent,
        (true, t50_s, _) if t50_s.is_none_or(|t50_s| t50_s > on.allowed_s) => Outcome::Late,
        (true, _, Some(off)) if off > LEVEL_PASSES_DB => Outcome::TooLoud,
        (true, _, Some(off)) if off < -LEVEL_PASSES_DB => Outcome::TooSoft,
        (true, ..) => Outcome::Speaks,
    }
}
