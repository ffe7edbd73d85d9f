//! The notes of a piece tried on a reed as it might be.

use std::collections::BTreeMap;

use super::answers::Answer;
use super::piece::PieceNote;
use super::played::{PlayedNote, allowed_s};
use super::ringing::{left_after, saved_s};
use crate::physics::ReedModel;
use crate::physics::playable::Demand;
use crate::sheet::PlayerProfile;

/// What a reed leaves undone of its notes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Left {
    /// How many fail.
    pub failing: usize,
    /// How many times as long the piece would have to last for none to fail, 1 where none does; nothing where some fail at any
    /// tempo.
    pub slower: Option<f64>,
}

impl Left {
    /// A tempo that comes nearer by less is not worth work (assumed).
    const NEARER: f64 = 1.05;

    /// Whether it is less: fewer notes fail, or as many and a tempo serves that is nearer.
    pub fn is_less_than(&self, other: &Self) -> bool {
        let nearer = match (self.slower, other.slower) {
            (Some(own), Some(others)) => Self::NEARER * own < others,
            (own, others) => own.is_some() && others.is_none(),
        };
        self.failing < other.failing || self.failing == other.failing && nearer
    }
}

/// A reed that is given its notes of a piece, in their order.
pub(super) struct Trial<'a> {
    model: &'a ReedModel,
    /// How the player blows, and what time they allow.
    player: Demand,
    /// Each note, and the pressure at which it is blown (Pa).
    notes: Vec<(PieceNote, f64)>,
    answers: BTreeMap<u64, Answer>,
}

impl<'a> Trial<'a> {
    /// Solves the reed at each pressure once.
    pub fn of(model: &'a ReedModel, player: Demand, notes: &[&PlayedNote]) -> Self {
        let blown = notes.iter().filter_map(|note| Some((note.note, note.on.as_ref()?.pressure_pa)));
        let notes: Vec<(PieceNote, f64)> = blown.collect();
        let mut answers = BTreeMap::new();
        for (_, pressure_pa) in &notes {
            let solve = || Answer::starting(model, &player.blow(*pressure_pa));
            answers.entry(pressure_pa.to_bits()).or_insert_with(solve);
        }
        Self { model, player, notes, answers }
    }

    /// What is left undone.
    pub fn left(&self) -> Left {
        Left { failing: self.failing(1.0), slower: self.in_time_slower() }
    }

    /// How many of the notes fail where the piece lasts so many times as long.
    fn failing(&self, slower: f64) -> usize {
        let mut last_end_s: Option<f64> = None;
        let mut failing = 0;
        for (note, pressure_pa) in &self.notes {
            let note = PieceNote { start_s: slower * note.start_s, length_s: slower * note.length_s, ..*note };
            let answer = &self.answers[&pressure_pa.to_bits()];
            let share = last_end_s.map_or(0.0, |end_s| left_after(self.model, (note.start_s - end_s).max(0.0)));
            let t50_s = answer.t50_s.map(|t50_s| t50_s - saved_s(answer, self.player.rise_s, share));
            failing += usize::from(t50_s.is_none_or(|t50_s| t50_s > allowed_s(&note, &self.player)));
            last_end_s = t50_s.filter(|t50_s| *t50_s < note.length_s).map(|_| note.end_s());
        }
        failing
    }

    /// How many times as long the piece must last for no note to fail, to a thousandth; nothing where that does not help.
    fn in_time_slower(&self) -> Option<f64> {
        if self.failing(1.0) == 0 {
            return Some(1.0);
        }
        // So slow, each is in time from rest.
        let from_rest = |(note, pressure_pa): &(PieceNote, f64)| {
            let t50_s = self.answers[&pressure_pa.to_bits()].t50_s?;
            Some(t50_s / (PlayerProfile::SPEAKING_SHARE * note.length_s))
        };
        let all: Vec<f64> = self.notes.iter().map(from_rest).collect::<Option<_>>()?;
        let (mut low, mut high) = (1.0, all.into_iter().fold(1.0, f64::max) * TO);
        if self.failing(high) > 0 {
            return None;
        }
        while high / low > TO {
            let middle = f64::sqrt(low * high);
            *(if self.failing(middle) > 0 { &mut low } else { &mut high }) = middle;
        }
        Some(high)
    }
}

/// To what share a slower tempo is found.
const TO: f64 = 1.001;
