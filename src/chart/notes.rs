//! The level axis: the reeds of a set in order of pitch, by note, hole and octave.

use std::ops::Range;

use super::marks::{Anchor, Area, Marks, Point, at, pen, plain};
use super::page::{LEFT, MARGIN, RIGHT, TICK_SIZE, WIDTH};
use super::reed::ReedLabel;
use super::{palette, text};

const NOTE_ROW: f64 = 20.0;
const HOLE_ROW: f64 = 16.0;
const OCTAVE_ROW: f64 = 24.0;
const TITLE_ROW: f64 = 24.0;
/// Height of the axis below the data.
pub(super) const HEIGHT: f64 = NOTE_ROW + HOLE_ROW + OCTAVE_ROW + TITLE_ROW;

/// Reeds side by side at even distances.
pub(super) struct NoteAxis<'a> {
    reeds: Vec<&'a ReedLabel>,
}

impl<'a> NoteAxis<'a> {
    /// The axis of reeds that are in order of pitch.
    pub fn new(reeds: impl IntoIterator<Item = &'a ReedLabel>) -> Self {
        Self { reeds: reeds.into_iter().collect() }
    }

    /// The distance between two reeds.
    pub fn slot(&self) -> f64 {
        (RIGHT - LEFT) / self.reeds.len().max(1) as f64
    }

    /// The middle of a reed's place.
    pub fn x(&self, index: usize) -> f64 {
        LEFT + (index as f64 + 0.5) * self.slot()
    }

    /// Half the width of a reed's bar.
    pub fn half_bar(&self) -> f64 {
        (0.29 * self.slot()).min(9.0)
    }

    /// Lines through one height for each reed, from edge to edge of their places, broken where there is none.
    pub fn across(&self, height: impl Fn(usize) -> Option<f64>) -> Vec<Vec<Point>> {
        let heights: Vec<Option<f64>> = (0..self.reeds.len()).map(height).collect();
        let mut lines = Vec::new();
        let mut first = 0;
        for run in heights.chunk_by(|a, b| a.is_some() == b.is_some()) {
            if let (Some(start), Some(end)) = (run[0], run[run.len() - 1]) {
                let mut line = vec![at(self.edge(first), start)];
                line.extend(run.iter().flatten().enumerate().map(|(k, y)| at(self.x(first + k), *y)));
                line.push(at(self.edge(first + run.len()), end));
                lines.push(line);
            }
            first += run.len();
        }
        lines
    }

    /// Shades every other octave.
    pub fn stripes(&self, marks: &mut Marks, plot: Area) {
        for octave in self.runs(|a, b| a.octave() == b.octave()) {
            if self.reeds[octave.start].octave().rem_euclid(2) == 1 {
                let (left, right) = (self.edge(octave.start), self.edge(octave.end));
                marks.fill(Area { left, right, ..plot }, palette::STRIPE);
            }
        }
    }

    /// Names of notes and octaves and the axis title, in the room below the data.
    pub fn names(&self, marks: &mut Marks, room: Area) {
        marks.line(at(LEFT, room.top), at(RIGHT, room.top), pen(palette::INK, 1.0));
        self.note_names(marks, room.top);
        self.holes(marks, room.top + NOTE_ROW);
        let line = room.top + NOTE_ROW + HOLE_ROW + 4.0;
        for octave in self.runs(|a, b| a.octave() == b.octave()) {
            let (left, right) = (self.edge(octave.start) + 2.0, self.edge(octave.end) - 2.0);
            marks.line(at(left, line), at(right, line), pen(palette::ABSENT, 1.0));
            let number = self.reeds[octave.start].octave();
            let long = format!("octave {number}");
            let fits = text::width(&long, TICK_SIZE) <= right - left;
            let name = if fits { long } else { number.to_string() };
            if text::width(&name, TICK_SIZE) <= right - left + 4.0 {
                let style = plain(TICK_SIZE).anchored(Anchor::Middle).coloured(palette::SOFT_INK);
                marks.text(at((left + right) / 2.0, line + 15.0), &name, style);
            }
        }
        let title = "note of each reed, in order of pitch";
        marks.text(at((LEFT + RIGHT) / 2.0, room.bottom - 4.0), title, plain(13.0).anchored(Anchor::Middle));
    }

    fn note_names(&self, marks: &mut Marks, top: f64) {
        let notes = self.runs(|a, b| a.printed_note() == b.printed_note() && a.midi_note == b.midi_note);
        let full = |run: &Range<usize>| self.reeds[run.start].printed_note();
        let bare = |run: &Range<usize>| {
            let note = full(run);
            let letters = note.trim_end_matches(|c: char| c.is_ascii_digit()).trim_end_matches('-');
            if letters.is_empty() { note } else { letters.to_owned() }
        };
        let centre = |run: &Range<usize>| (self.edge(run.start) + self.edge(run.end)) / 2.0;
        let is_natural =
            |run: &&Range<usize>| matches!(self.reeds[run.start].midi_note.rem_euclid(12), 0 | 2 | 4 | 5 | 7 | 9 | 11);
        let is_c = |run: &&Range<usize>| self.reeds[run.start].midi_note.rem_euclid(12) == 0;
        let choices: [Vec<(f64, String)>; 4] = [
            notes.iter().map(|run| (centre(run), full(run))).collect(),
            notes.iter().map(|run| (centre(run), bare(run))).collect(),
            notes.iter().filter(is_natural).map(|run| (centre(run), bare(run))).collect(),
            notes.iter().filter(is_c).map(|run| (centre(run), bare(run))).collect(),
        ];
        for (x, name) in choices.iter().find(|names| all_apart(names)).into_iter().flatten() {
            marks.text(at(*x, top + 15.0), name, plain(TICK_SIZE).anchored(Anchor::Middle));
        }
        for run in notes.iter().filter(|run| run.len() > 1) {
            let y = top + NOTE_ROW - 2.0;
            let (left, right) = (self.x(run.start) - 4.0, self.x(run.end - 1) + 4.0);
            marks.line(at(left, y), at(right, y), pen(palette::INK, 1.0));
        }
    }

    /// The number of the hole below each run of reeds that share it, where it has room.
    fn holes(&self, marks: &mut Marks, top: f64) {
        let style = plain(TICK_SIZE).coloured(palette::SOFT_INK);
        if !self.reeds.is_empty() {
            marks.text(at(LEFT - 8.0, top + 12.0), "hole", style.anchored(Anchor::End));
        }
        for run in self.runs(|a, b| a.hole == b.hole) {
            let (left, right) = (self.edge(run.start), self.edge(run.end));
            let number = self.reeds[run.start].hole.to_string();
            if text::width(&number, TICK_SIZE) <= right - left {
                marks.text(at(0.5 * (left + right), top + 12.0), &number, style.anchored(Anchor::Middle));
            }
        }
    }

    /// Neighbouring reeds that belong together.
    fn runs(&self, together: impl Fn(&ReedLabel, &ReedLabel) -> bool) -> Vec<Range<usize>> {
        let mut runs: Vec<Range<usize>> = Vec::new();
        for (index, reed) in self.reeds.iter().enumerate() {
            match runs.last_mut() {
                Some(run) if together(self.reeds[run.start], reed) => run.end = index + 1,
                _ => runs.push(index..index + 1),
            }
        }
        runs
    }

    fn edge(&self, index: usize) -> f64 {
        LEFT + index as f64 * self.slot()
    }
}

fn all_apart(names: &[(f64, String)]) -> bool {
    let areas: Vec<Area> =
        names.iter().map(|(x, name)| text::area(name, TICK_SIZE, at(*x, 0.0), Anchor::Middle)).collect();
    areas.windows(2).all(|pair| pair[0].right + 1.0 <= pair[1].left)
        && areas.iter().all(|area| area.left >= MARGIN && area.right <= WIDTH - MARGIN)
}
