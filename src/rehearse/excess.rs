//! The reeds of which a piece asks too much, and by how much.

use std::collections::BTreeMap;

use super::played::{Outcome, PlayedNote};
use super::serve::Serve;
use super::trial::Trial;
use crate::instrument::ReedAssessment;
use crate::physics::playable::{Demand, Like};
use crate::sheet::{Note, NoteCurve, PlayerProfile};

/// By which factor the pressure of a note is off what the reed needs.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum PressureOff {
    /// It would have to be blown so many times as hard.
    TooSoft(f64),
    /// It could be blown at most so many times softer.
    TooHard(f64),
    /// No pressure makes it speak in that time.
    NoPressure,
}

/// A reed of which the piece asks too much.
#[derive(Debug, Clone)]
pub struct Excess {
    /// `5-blow-in`.
    pub reed: String,
    /// Its note.
    pub note: Note,
    /// How many notes it has in the piece.
    pub notes: usize,
    /// How many of them fail, and how.
    pub failing: BTreeMap<Outcome, usize>,
    /// The worst of them.
    pub worst: PlayedNote,
    /// How much too late that is (s); nothing where it does not speak.
    pub late_s: Option<f64>,
    /// How far its pressure is off.
    pub pressure: PressureOff,
    /// What would serve it.
    pub serve: Serve,
}

impl Excess {
    /// How many of its notes fail.
    pub fn failing(&self) -> usize {
        self.failing.values().sum()
    }
}

/// What a piece asks of one reed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct PieceAsks {
    pub soft_pa: f64,
    pub hard_pa: f64,
    pub allowed_s: f64,
}

impl PieceAsks {
    fn of(notes: &[&PlayedNote]) -> Option<Self> {
        let mut all = notes.iter().filter_map(|note| note.on.as_ref()).map(|on| Self {
            soft_pa: on.pressure_pa,
            hard_pa: on.pressure_pa,
            allowed_s: on.allowed_from_rest_s(),
        });
        let first = all.next()?;
        Some(all.fold(first, Self::both))
    }

    fn both(self, other: Self) -> Self {
        Self {
            soft_pa: self.soft_pa.min(other.soft_pa),
            hard_pa: self.hard_pa.max(other.hard_pa),
            allowed_s: self.allowed_s.min(other.allowed_s),
        }
    }
}

/// The notes of each reed.
pub(super) fn by_reed(played: &[PlayedNote]) -> BTreeMap<&str, Vec<&PlayedNote>> {
    let mut reeds: BTreeMap<&str, Vec<&PlayedNote>> = BTreeMap::new();
    for note in played {
        if let Some(on) = &note.on {
            reeds.entry(&on.reed).or_default().push(note);
        }
    }
    reeds
}

/// What fails on a reed; nothing where all speaks in time.
pub(super) fn excess(assessed: &ReedAssessment, notes: &[&PlayedNote]) -> Option<Excess> {
    let failing = notes.iter().filter(|note| note.outcome.fails());
    let mut counts = BTreeMap::new();
    failing.clone().for_each(|note| *counts.entry(note.outcome).or_default() += 1);
    let worst = (*failing.max_by(|a, b| a.lateness().total_cmp(&b.lateness()))?).clone();
    let on = worst.on.as_ref()?;
    let (late_s, pressure) =
        (on.t50_s.map(|t50_s| t50_s - on.allowed_s), pressure_off(assessed, on.pressure_pa, on.allowed_from_rest_s()));
    Some(Excess {
        reed: assessed.reed.id.clone(),
        note: assessed.reed.note,
        notes: notes.len(),
        failing: counts,
        late_s,
        pressure,
        worst,
        serve: Serve {
            now: Trial::of(&assessed.prediction.model, assessed.demand, notes).left(),
            balance: None,
            gap: None,
            work: None,
        },
    })
}

fn pressure_off(assessed: &ReedAssessment, pressure_pa: f64, allowed_s: f64) -> PressureOff {
    let demand = Demand { allowed_s, ..assessed.demand };
    let speaking = &assessed.prediction.speaking;
    let like = assessed.playable.as_ref().map(|window| Like { speaking, window });
    match assessed.prediction.model.playable_like(speaking, demand, like) {
        None => PressureOff::NoPressure,
        Some(window) => {
            let (harder, softer) = (window.low.pressure_pa / pressure_pa, pressure_pa / window.high.pressure_pa);
            // Between the ends, which are found to a hundredth, it is late by a hair.
            if harder > softer { PressureOff::TooSoft(harder.max(1.0)) } else { PressureOff::TooHard(softer.max(1.0)) }
        }
    }
}

/// The job's player as the piece has them: at each note that is played the softest and the hardest pressure and the least time
/// that it asks of any reed there, at every other note the player's own.
pub(super) fn player_of_piece(
    player: &PlayerProfile,
    reeds: &[&ReedAssessment],
    played: &[PlayedNote],
) -> PlayerProfile {
    let notes = by_reed(played);
    let mut asks: BTreeMap<Note, PieceAsks> = BTreeMap::new();
    for reed in reeds {
        if let Some(of_reed) = notes.get(reed.reed.id.as_str()).and_then(|notes| PieceAsks::of(notes)) {
            asks.entry(reed.reed.note).and_modify(|known| *known = known.both(of_reed)).or_insert(of_reed);
        }
    }
    let of_set: std::collections::BTreeSet<Note> = reeds.iter().map(|reed| reed.reed.note).collect();
    let curve = |own: &NoteCurve, pick: fn(&PieceAsks) -> f64| {
        let at = |note: &Note| (*note, asks.get(note).map_or_else(|| own.at(*note), pick));
        NoteCurve::new(of_set.iter().map(at).collect()).unwrap_or_else(|| own.clone())
    };
    PlayerProfile {
        soft_pa: curve(&player.soft_pa, |asks| asks.soft_pa),
        normal_pa: curve(&player.normal_pa, |asks| (asks.soft_pa * asks.hard_pa).sqrt()),
        hard_pa: curve(&player.hard_pa, |asks| asks.hard_pa),
        time_allowed_s: curve(&player.time_allowed_s, |asks| asks.allowed_s),
        ..player.clone()
    }
}
