//! What a reed is to do, and how far it is from not doing it.

use serde::Serialize;

use super::super::assess::{Pressures, demand};
use super::super::judged::asked;
use crate::physics::playable::{Demand, Playable};
use crate::sheet::{Job, JobReed, Note, PlayerProfile};

/// The pressures between which a reed is to speak in time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Goal {
    /// Mouth pressure of soft playing (Pa).
    pub soft_pa: f64,
    /// Mouth pressure of hard playing (Pa).
    pub hard_pa: f64,
    /// How it is blown, and in which time it is to speak.
    pub demand: Demand,
}

impl Goal {
    /// What a player asks of a note.
    pub fn of(player: &PlayerProfile, note: Note) -> Self {
        let Pressures { soft_pa, hard_pa, .. } = Pressures::of(player, note);
        Self { soft_pa, hard_pa, demand: demand(player, note) }
    }

    /// What is asked of a reed of a job: by its player, by a counterpart in the target set, by the player's word.
    pub fn of_reed(job: &Job, reed: &JobReed) -> Self {
        let asked = asked(job, reed);
        Self { soft_pa: asked.soft_pa.value, hard_pa: asked.hard_pa.value, demand: demand(&job.player, reed.note) }
    }

    /// The room that a window leaves.
    pub fn room(&self, window: &Playable) -> Room {
        self.room_between(window.low.pressure_pa, window.high.pressure_pa)
    }

    pub(super) fn room_between(&self, low_pa: f64, high_pa: f64) -> Room {
        Room { soft: self.soft_pa / low_pa, hard: high_pa / self.hard_pa }
    }

    /// The time in which small motion can grow: what is allowed, less half of the blow's rise.
    pub(super) fn growing_s(&self) -> f64 {
        (self.demand.allowed_s - 0.5 * self.demand.rise_s).max(0.1 * self.demand.allowed_s)
    }
}

/// How many times softer and harder a reed could be blown than the player does, and still speak in time; below 1 where it
/// does not suit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Room {
    /// Soft pressure over the lower end of the playable window.
    pub soft: f64,
    /// Upper end over the hard pressure.
    pub hard: f64,
}

impl Room {
    /// The lesser of both.
    pub fn least(&self) -> f64 {
        self.soft.min(self.hard)
    }

    /// Whether both are enough.
    pub fn suits(&self) -> bool {
        self.least() >= 1.0
    }

    /// Both in one number, `(soft^-4 + hard^-4)^(-1/4)`: close to the lesser, a little more where the other is ample, so
    /// that where one end hardly moves with the gap the other decides.
    pub fn both(&self) -> f64 {
        (self.soft.powi(-4) + self.hard.powi(-4)).powf(-0.25)
    }

    /// `1 / (1 + r^2)` of [`Room::both`], `r`: about 1/2 where the player just meets an end, 1/5 with twice the pressure
    /// to spare. It is steepest near the end and levels off far beyond it, so that a reed that no gap brings near to what
    /// is asked does not pull its neighbours along.
    pub fn loss(&self) -> f64 {
        1.0 / (1.0 + self.both().powi(2))
    }

    /// Whether another room is worth more by a factor: one that suits more than one that does not, else by [`Room::both`].
    pub(super) fn is_beaten_by(&self, other: &Self, factor: f64) -> bool {
        (other.suits() && !self.suits()) || (other.suits() == self.suits() && other.both() > factor * self.both())
    }
}
