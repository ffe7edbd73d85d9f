//! Labels in rows above the data, each on a fine upright line that leads down to its mark: for charts whose marks leave
//! no room beside them.

use super::marks::{Anchor, Area, Marks, at, pen, plain};
use super::page::{MARGIN, WIDTH};
use super::{palette, text};

const SIZE: f64 = 12.0;
const ROW: f64 = 16.0;
const MOST_ROWS: usize = 8;
/// Distance of the words from their line.
const INDENT: f64 = 4.0;
/// The least distance between words of one row.
const GAP: f64 = 10.0;
/// The least distance at which slanted labels stay apart.
const SLANT_PITCH: f64 = 1.75 * SIZE;

/// What to say about the mark at `x`: the whole, and the least that is of use.
pub(super) struct Flag {
    pub x: f64,
    pub whole: String,
    pub least: String,
}

/// Flags that have found their places.
pub(super) struct Flags {
    placed: Vec<Placed>,
    height: f64,
    /// How many found no place.
    pub left_out: usize,
}

struct Placed {
    /// Which of the flags given.
    index: usize,
    words: String,
    x: f64,
    place: Place,
}

#[derive(Clone, Copy)]
enum Place {
    /// In a row counted from the bottom, with the words to the left or to the right of the line.
    Level {
        row: usize,
        leftward: bool,
    },
    Slanted,
}

impl Flags {
    /// Finds places for flags in order of `x`: in full if all fit, else some or all in short, else slanted.
    pub fn arrange(flags: &[Flag]) -> Self {
        let in_rows =
            |words: &[Words]| (1..=MOST_ROWS).filter_map(|rows| levelled(flags, rows, words)).collect::<Vec<_>>();
        let (whole, least): (Words, Words) = (|flag| &flag.whole, |flag| &flag.least);
        let in_full = |placed: &Vec<Placed>| placed.iter().filter(|at| at.words == flags[at.index].whole).count();
        // Of equals the first, in the fewest rows.
        let fullest = |all: Vec<Vec<Placed>>| all.into_iter().rev().max_by_key(in_full);
        if let Some(placed) = fullest(in_rows(&[whole, least])).or_else(|| fullest(in_rows(&[least]))) {
            let rows = placed.iter().filter_map(|flag| match flag.place {
                Place::Level { row, .. } => Some(row + 1),
                Place::Slanted => None,
            });
            let height = rows.max().map_or(0.0, |rows| rows as f64 * ROW + 6.0);
            return Self { placed, height, left_out: 0 };
        }
        let placed = slanted(flags);
        let longest = placed.iter().map(|flag| text::width(&flag.words, SIZE)).fold(0.0, f64::max);
        let left_out = flags.len() - placed.len();
        Self { placed, height: (longest + SIZE) * std::f64::consts::FRAC_1_SQRT_2 + 12.0, left_out }
    }

    /// How much room they need above the data.
    pub fn height(&self) -> f64 {
        self.height
    }

    /// Draws them in `room`, with lines down to the height that `foot` gives for each flag.
    pub fn draw(&self, marks: &mut Marks, room: Area, foot: impl Fn(usize) -> f64) {
        let line = pen(palette::SOFT_INK, 0.8);
        for flag in &self.placed {
            let foot = foot(flag.index);
            match flag.place {
                Place::Level { row, leftward } => {
                    let baseline = room.bottom - 8.0 - row as f64 * ROW;
                    marks.line(at(flag.x, baseline - SIZE * 0.8), at(flag.x, foot), line);
                    let (x, anchor) =
                        if leftward { (flag.x - INDENT, Anchor::End) } else { (flag.x + INDENT, Anchor::Start) };
                    marks.text(at(x, baseline), &flag.words, plain(SIZE).anchored(anchor));
                }
                Place::Slanted => {
                    marks.line(at(flag.x, room.bottom - 6.0), at(flag.x, foot), line);
                    marks.text(at(flag.x + 4.0, room.bottom - 8.0), &flag.words, plain(SIZE).turned(-45.0));
                }
            }
        }
    }
}

/// Some words of a flag.
type Words = fn(&Flag) -> &String;

/// Every flag with the first of its `words` that finds a place in so many rows.
fn levelled(flags: &[Flag], rows: usize, words: &[Words]) -> Option<Vec<Placed>> {
    let mut placed: Vec<(usize, f64, f64, f64)> = Vec::new();
    let mut flags_placed = Vec::new();
    for (index, flag) in flags.iter().enumerate() {
        let (words, row, leftward) = words.iter().find_map(|words| {
            let leftward = (0..rows).map(|row| (row, true));
            let rightward = (0..rows).rev().map(|row| (row, false));
            let single = (flags.len() == 1).then_some((0, false));
            let mut places = single.into_iter().chain(leftward).chain(rightward);
            let place = places.find(|(row, leftward)| {
                let (left, right) = reach(flag.x, words(flag), *leftward);
                left >= MARGIN && right <= WIDTH - MARGIN && is_free(&placed, *row, left, right, flag.x)
            });
            place.map(|(row, leftward)| (words(flag), row, leftward))
        })?;
        let (left, right) = reach(flag.x, words, leftward);
        placed.push((row, left, right, flag.x));
        flags_placed.push(Placed { index, words: words.clone(), x: flag.x, place: Place::Level { row, leftward } });
    }
    Some(flags_placed)
}

/// From where to where words beside a line at `x` reach.
fn reach(x: f64, words: &str, leftward: bool) -> (f64, f64) {
    let wide = text::width(words, SIZE) + 2.0 * INDENT;
    if leftward { (x - wide, x) } else { (x, x + wide) }
}

/// Whether words from `left` to `right` in `row`, with their line at `x`, touch no other words and no other line.
fn is_free(placed: &[(usize, f64, f64, f64)], row: usize, left: f64, right: f64, x: f64) -> bool {
    placed.iter().all(|&(other_row, other_left, other_right, other_x)| {
        let words_apart = other_row != row || right + GAP <= other_left || other_right + GAP <= left;
        let our_line_is_clear = other_row >= row || x <= other_left - 1.0 || x >= other_right + 1.0;
        let their_line_is_clear = other_row <= row || other_x <= left - 1.0 || other_x >= right + 1.0;
        words_apart && our_line_is_clear && their_line_is_clear
    })
}

fn slanted(flags: &[Flag]) -> Vec<Placed> {
    let mut last = f64::NEG_INFINITY;
    let mut placed = Vec::new();
    for (index, flag) in flags.iter().enumerate() {
        let words = text::shorten(&flag.least, SIZE, 130.0);
        let reach = flag.x + text::width(&words, SIZE) * std::f64::consts::FRAC_1_SQRT_2 + SIZE;
        if flag.x - last >= SLANT_PITCH && reach <= WIDTH - 4.0 {
            last = flag.x;
            placed.push(Placed { index, words, x: flag.x, place: Place::Slanted });
        }
    }
    placed
}
