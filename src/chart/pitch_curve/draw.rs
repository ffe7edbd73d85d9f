//! The drawing of pitch over pressure.

use super::PitchCurveChart;
use crate::chart::Picture;
use crate::chart::branch::{self, BranchLine};
use crate::chart::marks::{Anchor, Area, Marks, at, pen, plain};
use crate::chart::page::{KeyItem, MARGIN, Page, TICK_SIZE, WIDTH};
use crate::chart::plane::{self, PRESSURE_TITLE, Plane, pressure_scale};
use crate::chart::reed::printed;
use crate::chart::scale::{Scale, signed};
use crate::chart::uprights::{Upright, Uprights, of_player};
use crate::chart::words::Words;
use crate::chart::{palette, plottable, with_words_left_out};
use crate::sheet::Note;
use crate::sheet::notes::{cents, raised};
use crate::units::hertz;

const PLOT_HEIGHT: f64 = 380.0;
const AXIS_TITLE: &str = "cents from the plucked pitch";
/// Room to the right of the page's data that the second axis takes from the plot.
const SECOND_AXIS: f64 = 56.0;
/// The number of A4, with 60 for middle C.
const A4_MIDI: f64 = 69.0;
/// The axis reaches at least this far both ways (cents): no ear hears less.
const LEAST_CENTS: f64 = 2.0;
/// The axis when nothing sets it (cents).
const USUAL_CENTS: (f64, f64) = (-20.0, 20.0);

pub(super) struct Drawing<'a> {
    pub chart: &'a PitchCurveChart,
    pub line: BranchLine,
}

impl Drawing<'_> {
    pub fn picture(&self) -> Picture {
        let subtitle = format!("{} · sounding pitch against mouth pressure", self.chart.reed_name);
        let mut page = Page::open(&self.title(), &subtitle);
        if self.line.turns() {
            let meaning = "steady, but the least disturbance ends it".to_owned();
            page.key(&[KeyItem { sign: &branch::passing_sign, meaning }]);
        }
        let narrow = |area: Area| Area { right: area.right - SECOND_AXIS, ..area };
        let (x, y) = self.scales();
        let flat = Plane { plot: narrow(page.take(0.0)), x, y };
        let uprights = self.uprights(&flat);
        let room = narrow(page.take(uprights.height() + 4.0));
        let plane = Plane { plot: narrow(page.take(PLOT_HEIGHT)), ..flat };
        let marks = &mut page.marks;
        plane.axes(marks, PRESSURE_TITLE, AXIS_TITLE, true);
        self.second_axis(marks, &plane);
        uprights.draw(marks, room, plane.plot);
        let mut words = Words::new(Area { left: plane.plot.left + 2.0, right: plane.plot.right - 2.0, ..plane.plot });
        uprights.lines().for_each(|x| words.keep_off_line(&[at(x, plane.plot.top), at(x, plane.plot.bottom)]));
        let stretches = self.line.stretches(&plane);
        stretches.iter().for_each(|(points, _)| words.keep_off_line(points));
        self.reference(marks, &plane, &mut words);
        branch::draw(marks, &stretches);
        if stretches.is_empty() {
            let why = if self.chart.plucked_hz().is_none() {
                "The plucked pitch is not known."
            } else {
                "No sounding pitch is known."
            };
            page.empty(plane.plot, why);
        }
        page.take(plane::BELOW);
        let left_out = words.left_out + uprights.left_out();
        page.close(&with_words_left_out(left_out, &self.chart.small_print), &self.description())
    }

    fn scales(&self) -> (Scale, Scale) {
        let player = of_player(self.chart.player.as_ref()).into_iter().map(|(pressure_pa, ..)| pressure_pa);
        let pressures_pa = self.line.known().map(|point| point.pressure_pa).chain(player).chain(self.chart.onset_pa);
        let with_zero = self.line.known().map(|point| point.value).chain([-LEAST_CENTS, 0.0, LEAST_CENTS]);
        let cents = if self.line.known().next().is_none() {
            Scale::linear_over([], USUAL_CENTS)
        } else {
            Scale::linear_over(with_zero, USUAL_CENTS)
        };
        (pressure_scale(pressures_pa), cents)
    }

    fn uprights(&self, flat: &Plane) -> Uprights {
        let onset =
            self.chart.onset_pa.and_then(plottable).map(|onset_pa| (onset_pa, "onset", pen(palette::BLUE, 1.0)));
        let player = of_player(self.chart.player.as_ref()).into_iter();
        let marks = player
            .chain(onset)
            .map(|(pressure_pa, name, pen)| Upright::new(flat.x_of(pressure_pa / 1000.0), name, pen));
        Uprights::arrange(marks.collect())
    }

    /// The plucked pitch.
    fn reference(&self, marks: &mut Marks, plane: &Plane, words: &mut Words) {
        let Some(plucked_hz) = self.chart.plucked_hz() else { return };
        let y = plane.y_of(0.0);
        let line = [at(plane.plot.left, y), at(plane.plot.right, y)];
        marks.path(&line, pen(palette::INK, 1.2));
        words.keep_off_line(&line);
        let name = format!("plucked pitch {}", self.hertz_and_note(plucked_hz).join(", ").trim_end_matches(", "));
        words.beside_line(marks, &line, &name, palette::INK);
    }

    /// Frequencies and notes at the ticks of the first axis.
    fn second_axis(&self, marks: &mut Marks, plane: &Plane) {
        let Some(plucked_hz) = self.chart.plucked_hz() else { return };
        let right = plane.plot.right;
        marks.line(at(right, plane.plot.top), at(right, plane.plot.bottom), pen(palette::INK, 1.0));
        for tick in plane.y.ticks() {
            let y = plane.y_of(tick.value) + 4.2;
            let style = plain(TICK_SIZE).coloured(palette::SOFT_INK);
            let [hertz, note] = self.hertz_and_note(raised(plucked_hz, tick.value));
            marks.text(at(right + 72.0, y), &hertz, style.anchored(Anchor::End));
            marks.text(at(right + 80.0, y), &note, style);
        }
        let notes = plottable(self.chart.a4_hz).map(|a4_hz| format!("; note and cents (A4 = {})", hertz(a4_hz)));
        let title = format!("frequency (Hz){}", notes.unwrap_or_default());
        let style = plain(13.0).anchored(Anchor::Middle).turned(-90.0);
        let middle = (plane.plot.top + plane.plot.bottom) / 2.0;
        marks.text(at(WIDTH - MARGIN + 4.0, middle), &title, style);
    }

    /// "494.2 Hz" and "B4 +1"; no note where it has no name.
    fn hertz_and_note(&self, frequency_hz: f64) -> [String; 2] {
        let midi = plottable(self.chart.a4_hz).map(|a4_hz| A4_MIDI + cents(frequency_hz, a4_hz) / 100.0);
        let note = midi.and_then(|midi| {
            let note = Note::from_midi(midi.round() as i32)?;
            Some(format!("{} {}", printed(&note.to_string()), signed(100.0 * (midi - midi.round()), 0)))
        });
        [hertz(frequency_hz), note.unwrap_or_default()]
    }

    fn title(&self) -> String {
        let ends = self.line.lasting().map(|point| point.value).fold(None, |ends: Option<(f64, f64)>, value| {
            Some(ends.map_or((value, value), |(low, high)| (low.min(value), high.max(value))))
        });
        match (ends, self.chart.plucked_hz()) {
            (Some((low, high)), Some(plucked_hz)) => {
                let [low, high] = [low, high].map(|cents| signed(cents, 0));
                let range = if low == high { low } else { format!("{low} to {high}") };
                format!("It sounds {range} cents from its plucked pitch of {}", hertz(plucked_hz))
            }
            _ => "No lasting sound to show".to_owned(),
        }
    }

    fn description(&self) -> String {
        format!(
            "A line of the sounding pitch over the pressure; level axis: {PRESSURE_TITLE}; upright axis: {AXIS_TITLE}, \
             with frequency and note on the right. {}.",
            self.title()
        )
    }
}
