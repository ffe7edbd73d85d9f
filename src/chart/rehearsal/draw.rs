//! Drawing a piece: lines of time below each other, as on a sheet of music.

use super::{RehearsalChart, RehearsalNote};
use crate::chart::Picture;
use crate::chart::marks::{Anchor, Area, Marks, Pen, Point, at, pen, plain};
use crate::chart::near::{NearLabel, Placer};
use crate::chart::page::{KeyItem, LEFT, MARGIN, Page, RIGHT, TICK_SIZE};
use crate::chart::reed::{Breath, Slide, cross};
use crate::chart::scale::Scale;
use crate::chart::{palette, with_left_out};
use crate::rehearse::Outcome;
use crate::sheet::Note;

/// So many notes make a line of time.
const IN_A_LINE: usize = 48;
const MOST_LINES: usize = 12;
/// Height of a semitone, and of the whole range at the least.
const ROW: f64 = 5.5;
const LEAST_HEIGHT: f64 = 90.0;
/// Room above a line for names, and below it for hands and numbers.
const ABOVE: f64 = 16.0;
const HANDS: f64 = 16.0;
const NUMBERS: f64 = 24.0;
/// A bar is at least so wide.
const LEAST_WIDE: f64 = 2.0;

/// The notes that are drawn, and the axes.
struct Drawing<'a> {
    notes: &'a [RehearsalNote],
    low: i32,
    high: i32,
    line_s: f64,
    lines: usize,
}

pub(super) fn picture(chart: &RehearsalChart) -> Picture {
    let shown = &chart.notes[..chart.notes.len().min(RehearsalChart::MOST_DRAWN)];
    let mut page = Page::open(&title(chart), &format!("{} on {}", chart.piece, chart.set_name));
    key(&mut page, shown);
    let mut left_out = 0;
    if shown.is_empty() {
        let plot = page.take(LEAST_HEIGHT);
        page.empty(plot, "There are no notes in this piece.");
    } else {
        let drawing = Drawing::of(shown);
        for line in 0..drawing.lines {
            page.take(ABOVE);
            let plot = page.take((ROW * f64::from(drawing.high - drawing.low + 1)).max(LEAST_HEIGHT));
            let hands = page.take(HANDS);
            page.take(NUMBERS);
            left_out += drawing.line(&mut page.marks, line, plot, hands);
        }
        let below = page.take(14.0);
        let style = plain(13.0).anchored(Anchor::Middle);
        page.marks.text(at((LEFT + RIGHT) / 2.0, below.bottom - 6.0), "time (s)", style);
    }
    let cut = chart.notes.len() - shown.len();
    let small_print = match cut {
        0 => chart.small_print.clone(),
        _ => format!("The last {cut} notes are not drawn. {}", chart.small_print),
    };
    page.close(&with_left_out(left_out, &small_print), &description(chart))
}

fn title(chart: &RehearsalChart) -> String {
    let good = chart.notes.iter().filter(|note| note.outcome == Outcome::Speaks).count();
    format!("{good} of {} notes speak as asked", chart.notes.len())
}

fn description(chart: &RehearsalChart) -> String {
    let count = |outcome: Outcome| chart.notes.iter().filter(|note| note.outcome == outcome).count();
    let counts = Outcome::ALL.iter().map(|outcome| (count(*outcome), outcome.words()));
    let counts: Vec<String> =
        counts.filter(|(count, _)| *count > 0).map(|(count, words)| format!("{count} {words}")).collect();
    let mut failing: Vec<&str> = Vec::new();
    for note in chart.notes.iter().filter(|note| note.outcome.fails()) {
        if let Some((reed, ..)) = &note.on
            && !failing.contains(&reed.as_str())
        {
            failing.push(reed);
        }
    }
    let of = if failing.is_empty() { String::new() } else { format!(" Reeds that fail: {}.", failing.join(", ")) };
    format!("Notes of {} over time, by pitch; level axis: time (s). {}.{of}", chart.piece, counts.join(", "))
}

/// A sign of the key, drawn around a point.
type Sign = Box<dyn Fn(&mut Marks, Point)>;

/// The signs that occur.
fn key(page: &mut Page, notes: &[RehearsalNote]) {
    let occurs = |outcome: &Outcome| notes.iter().any(|note| note.outcome == *outcome);
    let of = |outcome: Outcome| -> (Sign, &str) {
        let sign = move |marks: &mut Marks, centre: Point| {
            let (left, right) = (centre.x - 12.0, centre.x + 12.0);
            bar_of(marks, Area { left, right, top: centre.y - 3.0, bottom: centre.y + 3.0 }, outcome, 0.4);
        };
        (Box::new(sign), outcome.words())
    };
    let hands: [(Sign, &str); 2] = [
        (Box::new(|marks, place| hand(marks, Area::around(place, 5.0), true, false)), "draw"),
        (Box::new(|marks, place| hand(marks, Area::around(place, 5.0), false, true)), "slide in"),
    ];
    let signs: Vec<(Sign, &str)> = Outcome::ALL.into_iter().filter(occurs).map(of).chain(hands).collect();
    let items: Vec<KeyItem<'_>> =
        signs.iter().map(|(sign, meaning)| KeyItem { sign: sign.as_ref(), meaning: (*meaning).to_owned() }).collect();
    page.key(&items);
}

impl<'a> Drawing<'a> {
    fn of(notes: &'a [RehearsalNote]) -> Self {
        let midi = || notes.iter().map(|note| note.midi_note);
        let end_s = notes.iter().map(|note| note.start_s + note.length_s).fold(0.0, f64::max);
        let lines = notes.len().div_ceil(IN_A_LINE).clamp(1, MOST_LINES);
        Self {
            notes,
            low: midi().min().unwrap_or(60) - 1,
            high: midi().max().unwrap_or(60) + 1,
            line_s: (end_s / lines as f64).max(1e-3),
            lines,
        }
    }

    /// Draws one line of time; how many names found no room.
    fn line(&self, marks: &mut Marks, line: usize, plot: Area, hands: Area) -> usize {
        let from_s = line as f64 * self.line_s;
        let scale = Scale::Linear { low: from_s, high: from_s + self.line_s };
        let x = |time_s: f64| plot.left + scale.share(time_s) * (plot.right - plot.left);
        self.grid(marks, plot, hands, scale);
        let (mut taken, mut labels) = (Vec::new(), Vec::new());
        let mut named: Vec<&str> = Vec::new();
        let inside = |(_, note): &(usize, &RehearsalNote)| {
            note.start_s < from_s + self.line_s && note.start_s + note.length_s > from_s
        };
        for (number, note) in self.notes.iter().enumerate().filter(inside) {
            let (left, right) = (x(note.start_s), x(note.start_s + note.length_s));
            let right = (right - 0.8).max(left + LEAST_WIDE).min(plot.right);
            let bar = Area { left: left.min(right - LEAST_WIDE), right, ..self.row(plot, note.midi_note) };
            taken.push(bar);
            let begins = note.start_s >= from_s;
            marks.group_of("note", &number.to_string(), &in_words(note), |marks| {
                bar_of(marks, bar, note.outcome, note.share_gone);
            });
            if let Some((_, breath, slide)) = &note.on {
                hand(
                    marks,
                    Area { left: bar.left, right: bar.right, ..hands },
                    *breath == Breath::Draw,
                    *slide == Slide::In,
                );
            }
            let reed = note.on.as_ref().map(|(reed, ..)| reed.as_str());
            if let Some(reed) = reed.filter(|reed| begins && note.outcome != Outcome::Speaks && !named.contains(reed)) {
                named.push(reed);
                let point = at(bar.left, (bar.top + bar.bottom) / 2.0);
                labels.push(NearLabel {
                    point,
                    whole: format!("{reed} {}", note.outcome.words()),
                    least: reed.to_owned(),
                });
            }
        }
        Placer::new(Area { top: plot.top - ABOVE, ..plot }, taken).draw(marks, &labels)
    }

    fn row(&self, plot: Area, midi_note: i32) -> Area {
        let each = (plot.bottom - plot.top) / f64::from(self.high - self.low + 1);
        let top = plot.bottom - f64::from(midi_note - self.low + 1) * each;
        Area { top: top + 0.1 * each, bottom: top + 0.9 * each, ..plot }
    }

    fn grid(&self, marks: &mut Marks, plot: Area, hands: Area, scale: Scale) {
        let style = plain(TICK_SIZE).coloured(palette::SOFT_INK);
        // C and G lie far enough apart for their names; in a narrow range every natural does.
        let classes: &[i32] = if self.high - self.low <= 15 { &[0, 2, 4, 5, 7, 9, 11] } else { &[0, 7] };
        for midi_note in (self.low..=self.high).filter(|midi| classes.contains(&midi.rem_euclid(12))) {
            let row = self.row(plot, midi_note);
            let y = (row.top + row.bottom) / 2.0;
            let rank = if midi_note.rem_euclid(12) == 0 { palette::GRID } else { palette::FINE_GRID };
            marks.line(at(plot.left, y), at(plot.right, y), pen(rank, 1.0));
            let name = Note::from_midi(midi_note).map_or(String::new(), |note| note.to_string());
            marks.text(at(plot.left - 8.0, y + 4.2), &name, style.anchored(Anchor::End));
        }
        marks.line(at(plot.left, hands.bottom), at(plot.right, hands.bottom), pen(palette::INK, 1.0));
        for tick in scale.ticks_in(10.0) {
            let x = plot.left + scale.share(tick.value) * (plot.right - plot.left);
            marks.line(at(x, plot.top), at(x, plot.bottom), pen(palette::FINE_GRID, 0.8));
            marks.line(at(x, hands.bottom), at(x, hands.bottom + 4.0), pen(palette::INK, 1.0));
            let number = tick.label.trim_start_matches('+');
            marks.text(at(x, hands.bottom + 16.0), number, style.anchored(Anchor::Middle));
        }
        marks.text(at(MARGIN, hands.bottom - 4.0), "breath", style);
    }
}

/// A note's bar: filled where it sounds, empty for as long as its reed is not half way.
fn bar_of(marks: &mut Marks, bar: Area, outcome: Outcome, share_gone: f64) {
    let corners = |area: Area| {
        [at(area.left, area.top), at(area.right, area.top), at(area.right, area.bottom), at(area.left, area.bottom)]
    };
    let (fill, edge): (&str, Pen) = match outcome {
        Outcome::Speaks => (palette::SKY, pen(palette::BLUE, 0.8)),
        Outcome::TooLoud | Outcome::TooSoft => (palette::PALE_SKY, pen(palette::BLUE, 0.8)),
        Outcome::Late => (palette::PALE_VERMILION, pen(palette::VERMILION, 1.2)),
        Outcome::Silent | Outcome::Choked => (palette::PAPER, pen(palette::VERMILION, 1.2)),
        Outcome::NotTogether => (palette::PAPER, pen(palette::ABSENT, 1.2).dashed("4 2")),
        Outcome::NotOnInstrument => (palette::PAPER, pen(palette::ABSENT, 1.2).dashed("1.5 2")),
    };
    marks.polygon(&corners(bar), fill, edge);
    if matches!(outcome, Outcome::Speaks | Outcome::TooLoud | Outcome::TooSoft | Outcome::Late) {
        // A share that is no number draws the whole as gone.
        let gone = if share_gone.is_finite() { share_gone.clamp(0.0, 1.0) } else { 1.0 };
        let sounds_from = bar.left + gone * (bar.right - bar.left);
        marks.polygon(&corners(Area { right: sounds_from, ..bar }), palette::PAPER, edge);
    }
    let (centre, middle) = (
        at(bar.left + 0.5 * (bar.right - bar.left), 0.5 * (bar.top + bar.bottom)),
        at(bar.left, 0.5 * (bar.top + bar.bottom)),
    );
    match outcome {
        Outcome::Choked => cross(marks, middle, 4.0, pen(palette::VERMILION_TEXT, 2.0)),
        Outcome::Silent => marks.circle(middle, 3.4, palette::PAPER, pen(palette::VERMILION_TEXT, 1.8)),
        Outcome::TooLoud => arrow(marks, centre, -1.0),
        Outcome::TooSoft => arrow(marks, centre, 1.0),
        _ => {}
    }
}

/// A small triangle, up for louder and down for softer.
fn arrow(marks: &mut Marks, centre: Point, down: f64) {
    let tip = at(centre.x, centre.y + 4.0 * down);
    let foot = centre.y - 2.5 * down;
    marks.patch(&[tip, at(centre.x - 4.0, foot), at(centre.x + 4.0, foot)], palette::INK);
}

/// What the hands do in a note: dark where it is drawn, with a line below where the slide is in.
fn hand(marks: &mut Marks, room: Area, draws: bool, slide_in: bool) {
    let middle = 0.5 * (room.top + room.bottom);
    if draws {
        marks.fill(Area { top: middle - 4.0, bottom: middle + 1.0, ..room }, palette::SOFT_INK);
    }
    if slide_in {
        marks.line(at(room.left, middle + 4.0), at(room.right, middle + 4.0), pen(palette::INK, 2.0));
    }
}

fn in_words(note: &RehearsalNote) -> String {
    let name = Note::from_midi(note.midi_note).map_or(String::new(), |note| note.to_string());
    let reed = note.on.as_ref().map_or(String::new(), |(reed, ..)| format!(" on {reed}"));
    format!("{name}{reed} at {:.2} s: {}", note.start_s, note.outcome.words())
}
