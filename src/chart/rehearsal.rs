//! A piece over time: each note a bar at its pitch, marked by how it comes out.

mod draw;

use super::Picture;
use super::reed::{Breath, Slide};
use crate::rehearse::Outcome;

/// A note of a piece.
#[derive(Debug, Clone, PartialEq)]
pub struct RehearsalNote {
    /// When it begins (s).
    pub start_s: f64,
    /// How long it lasts (s).
    pub length_s: f64,
    /// MIDI number.
    pub midi_note: i32,
    /// How it comes out.
    pub outcome: Outcome,
    /// Share of it that is gone before its reed is half way.
    pub share_gone: f64,
    /// The reed that sounds it, and how that is blown.
    pub on: Option<(String, Breath, Slide)>,
}

/// A piece over time.
///
/// ```
/// use freereed::chart::{RehearsalChart, RehearsalNote};
/// use freereed::rehearse::Outcome;
/// let note = RehearsalNote {
///     start_s: 0.0,
///     length_s: 0.5,
///     midi_note: 60,
///     outcome: Outcome::NotOnInstrument,
///     share_gone: 1.0,
///     on: None,
/// };
/// let chart = RehearsalChart { piece: "a piece".into(), set_name: "a set".into(), notes: vec![note], small_print: String::new() };
/// assert!(chart.picture().to_svg().contains("not on this instrument"));
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct RehearsalChart {
    /// What the piece is called.
    pub piece: String,
    /// The set, as the reader knows it.
    pub set_name: String,
    /// The notes by their beginnings.
    pub notes: Vec<RehearsalNote>,
    /// Assumptions and model version, set small below the chart.
    pub small_print: String,
}

impl RehearsalChart {
    /// Most notes that are drawn, from the beginning.
    pub const MOST_DRAWN: usize = 1200;

    /// The chart, to be written or drawn.
    pub fn picture(&self) -> Picture {
        draw::picture(self)
    }
}
