//! How much room a playable window leaves around the pressures of a player.

use serde::Serialize;

use crate::physics::playable::Playable;

/// How many times softer and harder a reed could be blown than is asked, and still speak in time; below 1 where it does not
/// suit. The logarithms are what a verdict calls the margins of soft and of hard start.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Room {
    /// Soft pressure over the lower end of the playable window.
    pub soft: f64,
    /// Upper end over the hard pressure.
    pub hard: f64,
}

impl Room {
    /// A window is found to 3 % at each end: of two rooms neither is better by less.
    pub const AS_GOOD: f64 = 1.03;

    /// In a window, for mouth pressures of soft and hard playing (Pa).
    pub fn of(soft_pa: f64, hard_pa: f64, window: &Playable) -> Self {
        Self { soft: soft_pa / window.low.pressure_pa, hard: window.high.pressure_pa / hard_pa }
    }

    /// The lesser of both.
    pub fn least(&self) -> f64 {
        self.soft.min(self.hard)
    }

    /// Whether both are enough: both margins above zero.
    pub fn suits(&self) -> bool {
        self.least() > 1.0
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
    pub fn is_beaten_by(&self, other: &Self, factor: f64) -> bool {
        (other.suits() && !self.suits()) || (other.suits() == self.suits() && other.both() > factor * self.both())
    }
}
