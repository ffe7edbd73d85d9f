//! One reed of a set that was balanced.

use super::super::cause::Cause;
use super::goal::Goal;
use crate::answer::Room;
use crate::sheet::{Breath, Note, Slide};

/// A gap and the room it leaves.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Setting {
    /// Tip gap (m).
    pub gap_m: f64,
    /// The room in the window there; nothing where the reed speaks in time at no pressure.
    pub room: Option<Room>,
}

impl Setting {
    /// Whether the reed suits the player.
    pub fn suits(&self) -> bool {
        self.room.is_some_and(|room| room.suits())
    }
}

/// Why no gap suits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NoGap {
    /// One would, but one bend does not safely lead there (m).
    OutOfReach(f64),
    /// Something else is wrong: the single change that would let it speak in time at the gap best for it, the cheapest of
    /// several.
    Fault(Cause),
}

/// Whether one bend leads as far as it would be bent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Bend {
    /// It does.
    Leads,
    /// The gap wanted is the last that one bend safely leads to; the set would give it one farther off.
    EndsBefore,
    /// It is not known: the metal's yield strength is not, or no other gap was looked for.
    NotJudged,
}

/// What is to be done.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Verdict {
    /// Nothing: the gap wanted is the present one.
    Leave,
    /// The gap is to be changed.
    Regap,
    /// At no gap does it suit the player. The gap wanted is then the one that the set gives it as it is, for when it is
    /// mended.
    NoGap(NoGap),
}

/// A reed, balanced.
#[derive(Debug, Clone)]
pub struct ReedBalance {
    /// `5-blow-in`.
    pub id: String,
    /// Number of the hole.
    pub hole: u32,
    /// Its note.
    pub note: Note,
    /// Blow or draw.
    pub breath: Breath,
    /// Slide out or in.
    pub slide: Slide,
    /// What is asked of it.
    pub goal: Goal,
    /// As it is.
    pub now: Setting,
    /// At the gap that is best for it by itself; of a reed that is left as it is because nothing is wrong, as it is.
    pub alone: Setting,
    /// Whether another gap was looked for.
    pub looked_for: bool,
    /// At the gap that it is given in the set.
    pub wanted: Setting,
    /// Whether one bend leads as far as it would be bent.
    pub bend: Bend,
    /// What is to be done.
    pub verdict: Verdict,
}

impl ReedBalance {
    /// How much the gap is to change (m).
    pub fn change_m(&self) -> f64 {
        self.wanted.gap_m - self.now.gap_m
    }

    /// Whether it is to be bent as it is: to the gap wanted, or as far towards one that suits as one bend safely leads.
    pub fn is_to_be_bent(&self) -> bool {
        let bends = matches!(self.verdict, Verdict::Regap | Verdict::NoGap(NoGap::OutOfReach(_)));
        bends && self.wanted.gap_m != self.now.gap_m
    }
}
