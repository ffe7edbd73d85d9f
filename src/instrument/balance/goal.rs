//! What a reed is to do.

use super::super::assess::ReedAssessment;
use crate::answer::Room;
use crate::physics::playable::{Demand, Playable};

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
    /// What is asked of a reed: by its player, by a counterpart in the target set, by the player's word.
    pub fn of(assessed: &ReedAssessment) -> Self {
        let asked = &assessed.asked;
        Self { soft_pa: asked.soft_pa.value, hard_pa: asked.hard_pa.value, demand: assessed.demand }
    }

    /// The room that a window leaves.
    pub fn room(&self, window: &Playable) -> Room {
        Room::of(self.soft_pa, self.hard_pa, window)
    }

    pub(super) fn room_between(&self, low_pa: f64, high_pa: f64) -> Room {
        Room { soft: self.soft_pa / low_pa, hard: high_pa / self.hard_pa }
    }

    /// The time in which small motion can grow: what is allowed, less half of the blow's rise.
    pub(super) fn growing_s(&self) -> f64 {
        (self.demand.allowed_s - 0.5 * self.demand.rise_s).max(0.1 * self.demand.allowed_s)
    }
}
