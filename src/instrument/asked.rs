//! What is asked of one reed: by its player, by its counterpart in the target set, and where the player's word moves that.
//!
//! A counterpart asks that the reed be as good but for a tenth, the least a player is taken to notice (assumed). A word says on
//! which side of the demand a reed lies. Where the model says otherwise it is the demand that is not where the job puts it,
//! and it is moved: a reed called too stiff speaks softly no sooner than a tenth above what is asked, one called late no
//! faster; one called good does all of it with a tenth to spare. What was learned so of the player stays when the reed is
//! worked on, until another word.

use super::figure::{Figure, Figures};
use super::word::NOTICED;
use crate::physics::playable::Demand;
use crate::sheet::{Feel, Note, PlayerProfile};
use serde::Serialize;

/// The player's three pressures at one note (Pa).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Pressures {
    /// Playing softly.
    pub soft_pa: f64,
    /// Playing as usual.
    pub normal_pa: f64,
    /// Playing hard.
    pub hard_pa: f64,
}

impl Pressures {
    /// A player's, at a note.
    pub fn of(player: &PlayerProfile, note: Note) -> Self {
        Self {
            soft_pa: player.soft_pa.at(note),
            normal_pa: player.normal_pa.at(note),
            hard_pa: player.hard_pa.at(note),
        }
    }

    /// Soft, normal, hard.
    pub fn all(&self) -> [f64; 3] {
        [self.soft_pa, self.normal_pa, self.hard_pa]
    }
}

/// How a player blows a note, and in which time it is to speak.
pub(super) fn demand(player: &PlayerProfile, note: Note) -> Demand {
    Demand { rise_s: player.attack_rise_s, allowed_s: player.time_allowed_s.at(note), stress_limit_pa: None }
}

/// Who asks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AskedBy {
    /// The job's player.
    Player,
    /// The counterpart in the target set.
    Target,
    /// The player's word on this reed.
    Word {
        /// What would be asked without it.
        instead_of: f64,
    },
}

/// What is asked in one respect.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limit {
    /// Pressure (Pa) or time (s).
    pub value: f64,
    /// Who asks it.
    pub by: AskedBy,
}

/// What is asked of a reed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asked {
    /// It is to speak in time from here down to nothing softer (Pa).
    pub soft_pa: Limit,
    /// It is to speak in time up to here (Pa).
    pub hard_pa: Limit,
    /// At the normal pressure it is to speak within this (s).
    pub time_s: Limit,
}

impl Asked {
    /// By the player, and by the counterpart where there is one.
    pub(super) fn of(pressures: Pressures, demand: Demand, counterpart: Option<&Figures>) -> Self {
        let limit = |player: f64, figure: Figure, leave: f64| match counterpart.and_then(|there| there.get(figure)) {
            Some(theirs) => Limit { value: (theirs + leave).exp(), by: AskedBy::Target },
            None => Limit { value: player, by: AskedBy::Player },
        };
        Self {
            soft_pa: limit(pressures.soft_pa, Figure::Low, NOTICED),
            hard_pa: limit(pressures.hard_pa, Figure::High, -NOTICED),
            time_s: limit(demand.allowed_s, Figure::Time, NOTICED),
        }
    }

    /// As a word moves it, said of a reed with these figures.
    #[must_use]
    pub(super) fn moved(self, feel: Feel, said_of: &Figures) -> Self {
        let at = |figure: Figure, leave: f64| said_of.get(figure).map(|value| (value + leave).exp());
        match feel {
            Feel::TooStiff => Self { soft_pa: self.soft_pa.at_most(at(Figure::Low, -NOTICED)), ..self },
            Feel::Late => Self { time_s: self.time_s.at_most(at(Figure::Time, -NOTICED)), ..self },
            Feel::Good => Self {
                soft_pa: self.soft_pa.at_least(at(Figure::Low, NOTICED)),
                hard_pa: self.hard_pa.at_most(at(Figure::High, -NOTICED)),
                time_s: self.time_s.at_least(at(Figure::Time, NOTICED)),
            },
            Feel::Airy => self,
        }
    }

    /// Whether any of it was moved by a word.
    pub fn is_moved(&self) -> bool {
        [self.soft_pa, self.hard_pa, self.time_s].iter().any(|limit| matches!(limit.by, AskedBy::Word { .. }))
    }
}

impl Limit {
    fn at_most(self, value: Option<f64>) -> Self {
        value.filter(|value| *value < self.value).map_or(self, |value| self.by_word(value))
    }

    fn at_least(self, value: Option<f64>) -> Self {
        value.filter(|value| *value > self.value).map_or(self, |value| self.by_word(value))
    }

    fn by_word(self, value: f64) -> Self {
        Self { value, by: AskedBy::Word { instead_of: self.value } }
    }
}
