//! Which reed a mark stands for, and the shape of its mark.

use super::marks::{Marks, Pen, Point, at, pen};
use super::{marks::Area, palette};

pub use crate::sheet::{Breath, Slide};

/// Which reed a mark stands for.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct ReedLabel {
    /// The reed's own name in the set, such as `5-blow-in`; shown as it is.
    pub id: String,
    /// The number of its hole.
    pub hole: u32,
    /// Its note, such as `C#4`.
    pub note: String,
    /// The note's number, with 60 for middle C (C4): the order along the axis, and the octave.
    pub midi_note: i32,
    /// Which way the air goes.
    pub breath: Breath,
    /// Where the slide is.
    pub slide: Slide,
}

impl ReedLabel {
    /// The octave of the note, with 4 for that of middle C.
    pub(super) fn octave(&self) -> i32 {
        self.midi_note.div_euclid(12) - 1
    }

    /// The note with signs instead of letters: `C♯4`.
    pub(super) fn printed_note(&self) -> String {
        printed(&self.note)
    }
}

/// A note with signs instead of letters: `C♯4`.
pub(super) fn printed(note: &str) -> String {
    let mut letters = note.chars();
    let first = letters.next().unwrap_or(' ');
    let rest: String = letters.map(|c| if c == '#' { '♯' } else { c }).collect();
    match rest.strip_prefix('b') {
        Some(octave) => format!("{first}♭{octave}"),
        None => format!("{first}{rest}"),
    }
}

/// Values with the reeds they belong to, in order of pitch; those of one note stay in the order given.
pub(super) fn by_pitch<T>(reeds: &[T], label: impl Fn(&T) -> &ReedLabel) -> Vec<&T> {
    let mut sorted: Vec<&T> = reeds.iter().collect();
    sorted.sort_by_key(|reed| label(reed).midi_note);
    sorted
}

/// The mark of a kind of reed: round for blow, pointed for draw; filled for slide out, open for slide in.
pub(super) fn mark(marks: &mut Marks, centre: Point, breath: Breath, slide: Slide) {
    let colour = match breath {
        Breath::Blow => palette::BLUE,
        Breath::Draw => palette::VERMILION,
    };
    let fill = match slide {
        Slide::Out => colour,
        Slide::In => palette::PAPER,
    };
    let edge = pen(colour, 1.8);
    match breath {
        Breath::Blow => marks.circle(centre, 4.4, fill, edge),
        Breath::Draw => diamond(marks, centre, 5.6, fill, edge),
    }
}

/// A kind of reed, for the key of a chart.
pub(super) struct Kind<F> {
    pub of: (Breath, Slide),
    pub sign: F,
    pub meaning: &'static str,
}

/// The four kinds, each with its mark.
pub(super) fn kinds() -> [Kind<impl Fn(&mut Marks, Point)>; 4] {
    let all = [
        (Breath::Blow, Slide::Out, "blow, slide out"),
        (Breath::Blow, Slide::In, "blow, slide in"),
        (Breath::Draw, Slide::Out, "draw, slide out"),
        (Breath::Draw, Slide::In, "draw, slide in"),
    ];
    all.map(|(breath, slide, meaning)| Kind {
        of: (breath, slide),
        sign: move |marks: &mut Marks, point: Point| mark(marks, point, breath, slide),
        meaning,
    })
}

/// A square on its corner that reaches `half` each way.
pub(super) fn diamond(marks: &mut Marks, centre: Point, half: f64, fill: &str, edge: Pen) {
    let corners = [(0.0, -half), (half, 0.0), (0.0, half), (-half, 0.0)];
    marks.polygon(&corners.map(|(dx, dy)| at(centre.x + dx, centre.y + dy)), fill, edge);
}

/// A triangle that points up (or down, if `half` is negative) with its point at `tip`.
pub(super) fn arrowhead(marks: &mut Marks, tip: Point, half: f64, colour: &'static str) {
    let base = tip.y + 1.7 * half;
    marks.patch(&[tip, at(tip.x + half, base), at(tip.x - half, base)], colour);
}

/// A cross: no sound.
pub(super) fn cross(marks: &mut Marks, centre: Point, half: f64, pen: Pen) {
    let Area { left, top, right, bottom } = Area::around(centre, half);
    marks.line(at(left, top), at(right, bottom), pen);
    marks.line(at(left, bottom), at(right, top), pen);
}

/// A short upright tick: nothing is known.
pub(super) fn absent(marks: &mut Marks, centre: Point) {
    marks.line(at(centre.x, centre.y - 5.0), at(centre.x, centre.y + 5.0), pen(palette::ABSENT, 1.4));
}
