//! Under which conditions a reed is asked.

use crate::physics::attack::Blow;
use crate::physics::onset::Search;
use crate::physics::playable::Demand;
use crate::sheet::{Note, PlayerProfile};

/// The blow, the time allowed, how far to look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conditions {
    /// Mouth pressure of the attack (Pa); the one in the lungs where there is a player.
    pub pressure_pa: f64,
    /// Rise time of the attack (s).
    pub rise_s: f64,
    /// Time a reed may take to speak (s).
    pub allowed_s: f64,
    /// Largest stress (Pa) that ends the playable window, where one is asked for.
    pub stress_limit_pa: Option<f64>,
    /// Where to look for onset and choke.
    pub search: Search,
}

/// A firm blow, and a note of a quick passage (ten a second), with no player in particular in mind.
impl Default for Conditions {
    fn default() -> Self {
        Self { pressure_pa: 500.0, rise_s: 10e-3, allowed_s: 100e-3, stress_limit_pa: None, search: Search::default() }
    }
}

impl Conditions {
    /// A player's normal playing at a note, without a stress limit.
    pub fn of(player: &PlayerProfile, note: Note) -> Self {
        Self {
            pressure_pa: player.normal_pa.at(note),
            rise_s: player.attack_rise_s,
            allowed_s: player.time_allowed_s.at(note),
            ..Self::default()
        }
    }

    /// The attack.
    pub fn blow(&self) -> Blow {
        Blow { pressure_pa: self.pressure_pa, rise_s: self.rise_s }
    }

    /// What is asked of the reed, with the stress limit brought to the model's own swing.
    pub fn demand(&self, swing_scale: f64) -> Demand {
        let stress_limit_pa = self.stress_limit_pa.map(|limit| limit / swing_scale);
        Demand { rise_s: self.rise_s, allowed_s: self.allowed_s, stress_limit_pa }
    }
}
