//! Values of the level axis marked by upright lines through the plot, each named above it.

use super::flags::{Flag, Flags};
use super::marks::{Area, Marks, Pen, at, pen};
use super::window::PlayerPressures;
use super::{palette, plottable};

/// Marks nearer than this share one line of words.
const TOGETHER: f64 = 3.0;

/// A value to mark.
pub(super) struct Upright {
    pub x: f64,
    /// What it is.
    pub name: String,
    /// What is said of it where there is room.
    pub more: String,
    pub pen: Pen,
}

impl Upright {
    /// A mark with nothing more to say.
    pub fn new(x: f64, name: impl Into<String>, pen: Pen) -> Self {
        Self { x, name: name.into(), more: String::new(), pen }
    }
}

/// Marks that have found places for their names.
pub(super) struct Uprights {
    marks: Vec<Upright>,
    feet: Vec<f64>,
    flags: Flags,
}

impl Uprights {
    /// Finds places for the names.
    pub fn arrange(mut marks: Vec<Upright>) -> Self {
        marks.sort_by(|a, b| a.x.total_cmp(&b.x));
        let groups = marks.chunk_by(|a, b| b.x - a.x < TOGETHER);
        let flags: Vec<Flag> = groups
            .map(|group| {
                let whole: Vec<String> = group.iter().map(|mark| format!("{}{}", mark.name, mark.more)).collect();
                let least: Vec<&str> = group.iter().map(|mark| mark.name.as_str()).collect();
                Flag { x: group[0].x, whole: whole.join("; "), least: least.join("; ") }
            })
            .collect();
        Self { feet: flags.iter().map(|flag| flag.x).collect(), flags: Flags::arrange(&flags), marks }
    }

    /// How much room the names need above the plot.
    pub fn height(&self) -> f64 {
        self.flags.height()
    }

    /// How many names found no place.
    pub fn left_out(&self) -> usize {
        self.flags.left_out
    }

    /// Where lines stand.
    pub fn lines(&self) -> impl Iterator<Item = f64> + '_ {
        self.feet.iter().copied()
    }

    /// Draws the names in `room` and the lines through `plot` below it.
    pub fn draw(&self, marks: &mut Marks, room: Area, plot: Area) {
        self.flags.draw(marks, room, |_| plot.top);
        for mark in &self.marks {
            marks.line(at(mark.x, plot.top), at(mark.x, plot.bottom), mark.pen);
        }
    }
}

/// The player's pressures with their names and lines, from soft to hard; those an axis has no place for are left out.
pub(super) fn of_player(player: Option<&PlayerPressures>) -> Vec<(f64, &'static str, Pen)> {
    let Some(player) = player else { return Vec::new() };
    let all = [
        (player.soft_pa, "player soft", pen(palette::INK, 1.0).dashed("2 3")),
        (player.normal_pa, "player normal", pen(palette::INK, 1.0)),
        (player.hard_pa, "player hard", pen(palette::INK, 1.0).dashed("6 3")),
    ];
    all.into_iter().filter(|(pressure_pa, ..)| plottable(*pressure_pa).is_some()).collect()
}
