//! What a reed is to do.

use super::super::assess::ReedAssessment;
use super::super::margin::{Against, MarginOf};
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
    /// What is asked of a reed: by its player, by a counterpart in the target set, by the player's word; by the run of its set
    /// where it is judged by that, the end of its window less the margin.
    pub fn of(assessed: &ReedAssessment) -> Self {
        let (asked, window) = (&assessed.asked, assessed.playable);
        let by_run = |of: MarginOf| {
            assessed.margin(of).filter(|margin| margin.against == Against::Run).and_then(|margin| margin.value)
        };
        let soft = window.zip(by_run(MarginOf::Soft)).map(|(it, margin)| it.low.pressure_pa * margin.exp());
        let hard = window.zip(by_run(MarginOf::Hard)).map(|(it, margin)| it.high.pressure_pa / margin.exp());
        Self {
            soft_pa: soft.unwrap_or(asked.soft_pa.value),
            hard_pa: hard.unwrap_or(asked.hard_pa.value),
            demand: assessed.demand,
        }
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
