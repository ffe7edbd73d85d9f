//! What would make a reed last longer, each change computed on the model.

use super::{Life, Playing, Surface, of_reed};
use crate::physics::Reed;
use crate::sheet::CheckedReed;
use crate::study::changed;
use rayon::prelude::*;

/// How far each change goes.
const SOFTER: f64 = 0.8;
const LESS_GAP: f64 = 0.8;
const THICKER: f64 = 1.1;

/// Something that may be done.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Change {
    /// The tongue polished along its length until no mark is left.
    Polished,
    /// Played with this share of the pressure.
    Softer(f64),
    /// The tip gap made this share of what it is.
    LessGap(f64),
    /// A tongue this much thicker all along, and longer by the root of it, so that the pitch stays; the gap stays.
    Thicker(f64),
}

/// What a change would bring.
#[derive(Debug, Clone, PartialEq)]
pub struct Improvement {
    /// The change.
    pub change: Change,
    /// The life of the changed reed; none where it would not sound its note.
    pub life: Option<Life>,
    /// Cycles to break over those of the reed as it is, both at the cautious end. A better surface is judged at the stress
    /// that the reed as it is bears for the cycles asked: the two lines meet at a thousand cycles.
    pub life_ratio: Option<f64>,
}

/// Tries every change on a reed whose life is known.
pub fn improvements(checked: &CheckedReed, life: &Life) -> Vec<Improvement> {
    let mut changes = vec![Change::Softer(SOFTER), Change::LessGap(LESS_GAP), Change::Thicker(THICKER)];
    if life.playing.surface != Surface::Polished {
        changes.insert(0, Change::Polished);
    }
    if changed::tip_gap_m(&checked.reed) <= 0.0 {
        changes.retain(|change| !matches!(change, Change::LessGap(_)));
    }
    changes.into_par_iter().map(|change| tried(&checked.reed, life, change)).collect()
}

fn tried(reed: &Reed, life: &Life, change: Change) -> Improvement {
    let mut playing = life.playing;
    let reed = match change {
        Change::Polished => {
            playing.surface = Surface::Polished;
            reed.clone()
        }
        Change::Softer(share) => {
            playing.pressure_pa *= share;
            reed.clone()
        }
        Change::LessGap(share) => changed::with_tip_gap(reed, share * changed::tip_gap_m(reed)),
        Change::Thicker(factor) => thicker(reed, factor),
    };
    let changed = life_again(&reed, life, &playing);
    let life_ratio = changed.as_ref().map(|changed| match change {
        Change::Polished => changed.line().cycles(life.line().strength_pa(life.cycles)) / life.cycles,
        _ => changed.cycles_to_break.low / life.cycles_to_break.low,
    });
    Improvement { change, life: changed, life_ratio }
}

fn life_again(reed: &Reed, life: &Life, playing: &Playing) -> Option<Life> {
    of_reed(reed, playing, life.strength, life.swing_from).ok()
}

/// The frequency goes as thickness over length squared.
fn thicker(reed: &Reed, factor: f64) -> Reed {
    let mut longer = changed::with_length_scaled(reed, factor.sqrt());
    longer.beam = longer.beam.with_thickness_scaled(factor);
    changed::with_tip_gap(&longer, changed::tip_gap_m(reed))
}
