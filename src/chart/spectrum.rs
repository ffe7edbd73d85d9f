//! What a steady reed sounds like: its harmonics.

use super::Picture;
use super::flags::{Flag, Flags};
use super::frame::{Frame, HEADING, LEVEL_AXIS, Signs};
use super::marks::{Area, Marks, at, pen};
use super::page::{LEFT, Page, RIGHT, SeriesName, series_names};
use super::scale::{Scale, short};
use super::tone::Tone;
use super::{LARGEST, palette, verb};
use crate::units;

const PLOT_HEIGHT: f64 = 330.0;
/// Room to the right of the data for the levels of the whole.
const NAME_ROOM: f64 = 50.0;
/// Harmonics whose notes are named.
const NAMED: usize = 6;
/// Levels this far below the strongest are drawn (dB).
const DEPTH_DB: f64 = 70.0;

/// The harmonics of a steady sound.
#[derive(Debug, Clone, PartialEq)]
pub struct SpectrumChart {
    /// The reed, as the reader knows it.
    pub reed_name: String,
    /// The pressure it is blown at (Pa).
    pub pressure_pa: f64,
    /// Distance in front (m).
    pub distance_m: f64,
    /// The harmonics from the first upwards; none where the reed does not sound.
    pub harmonics: Vec<Harmonic>,
    /// Level of the whole (dB re 20 uPa).
    pub level_db: f64,
    /// The same, A-weighted (dB).
    pub level_dba: f64,
    /// Assumptions and model version, set small below the chart.
    pub small_print: String,
}

/// One harmonic.
#[derive(Debug, Clone, PartialEq)]
pub struct Harmonic {
    /// Its pitch.
    pub tone: Tone,
    /// Its level (dB re 20 uPa).
    pub level_db: f64,
}

impl SpectrumChart {
    /// The chart, to be written or drawn.
    pub fn picture(&self) -> Picture {
        let shown = self.shown();
        let title = self.title(&shown);
        let subtitle = match self.harmonics.first() {
            Some(first) => format!("{} · {}", self.blown(), first.tone.in_words()),
            None => self.blown(),
        };
        let mut page = Page::open(&title, &subtitle);
        let across = self.across();
        let (left, right) = (LEFT, RIGHT - NAME_ROOM);
        page.take(HEADING);
        let flags = shown.iter().take(NAMED).map(|(number, harmonic)| Flag {
            x: left + across.share(harmonic.tone.frequency_hz) * (right - left),
            whole: format!("{number}: {}", harmonic.tone.in_words()),
            least: format!("{number}: {}", harmonic.tone.note()),
        });
        let flags = Flags::arrange(&flags.collect::<Vec<_>>());
        let flag_room = page.take(flags.height());
        let plot = Area { right, ..page.take(PLOT_HEIGHT) };
        let frame = Frame { plot, across, up: self.up(&shown) };
        frame.grid(&mut page.marks, 8.0, Signs::Minus);
        let heading = format!("level of each harmonic {} in front of the reed (dB re 20 µPa)", self.distance());
        frame.heading(&mut page.marks, flag_room.top, &heading);
        if shown.is_empty() {
            page.empty(plot, "The reed does not sound.");
        } else {
            flags.draw(&mut page.marks, flag_room, |k| frame.y(shown[k].1.level_db) - 6.0);
            self.whole(&mut page.marks, &frame);
            stems(&mut page.marks, &frame, &shown);
        }
        let below = page.take(LEVEL_AXIS);
        frame.level_axis(&mut page.marks, below.top, "frequency (Hz, log scale)");
        page.close(&self.small_print(shown.len()), &format!("A line for each harmonic: {heading}. {title}."))
    }

    fn distance(&self) -> String {
        format!("{} m", short(self.distance_m, 2))
    }

    fn blown(&self) -> String {
        format!("{} · blown at {}", self.reed_name, units::pascal(self.pressure_pa))
    }

    /// Harmonics with a place in the chart, by number.
    fn shown(&self) -> Vec<(usize, &Harmonic)> {
        let numbered = self.harmonics.iter().enumerate().map(|(k, harmonic)| (k + 1, harmonic));
        let finite = numbered.filter(|(_, harmonic)| {
            (1e-3..=1e9).contains(&harmonic.tone.frequency_hz) && harmonic.level_db.abs() <= LARGEST
        });
        let finite: Vec<_> = finite.collect();
        let strongest = finite.iter().map(|(_, harmonic)| harmonic.level_db).fold(f64::NEG_INFINITY, f64::max);
        finite.into_iter().filter(|(_, harmonic)| harmonic.level_db >= strongest - DEPTH_DB).collect()
    }

    fn title(&self, shown: &[(usize, &Harmonic)]) -> String {
        let Some((number, _)) = shown.iter().max_by(|a, b| a.1.level_db.total_cmp(&b.1.level_db)) else {
            return format!("No sound at {}", units::pascal(self.pressure_pa));
        };
        let whole = format!("{} ({:.1} dBA) at {}", units::decibel(self.level_db), self.level_dba, self.distance());
        let which = if *number == 1 { "the first harmonic".to_owned() } else { format!("harmonic {number}") };
        format!("{whole}; {which} is the strongest")
    }

    fn across(&self) -> Scale {
        let frequencies = self.harmonics.iter().map(|harmonic| harmonic.tone.frequency_hz);
        let lowest = frequencies.filter(|hz| (1e-3..=1e9).contains(hz)).fold(f64::INFINITY, f64::min);
        let low = if lowest.is_finite() { lowest / 1.3 } else { 50.0 };
        Scale::Log { low, high: (20e3_f64).max(2.0 * low) }
    }

    fn up(&self, shown: &[(usize, &Harmonic)]) -> Scale {
        let wholes = [self.level_db, self.level_dba].into_iter().filter(|db| db.abs() <= LARGEST);
        let levels = || shown.iter().map(|(_, harmonic)| harmonic.level_db);
        let high = levels().chain(wholes).fold(f64::NEG_INFINITY, f64::max);
        let low = levels().fold(f64::INFINITY, f64::min);
        match shown {
            [] => Scale::Linear { low: 0.0, high: 80.0 },
            _ => Scale::Linear { low: (low / 10.0).floor() * 10.0 - 5.0, high: high + 3.0 },
        }
    }

    /// The levels of the whole as lines across, named to the right.
    fn whole(&self, marks: &mut Marks, frame: &Frame) {
        let mut names = Vec::new();
        for (db, name, dash) in [
            (self.level_db, format!("all: {}", units::decibel(self.level_db)), "6 3"),
            (self.level_dba, format!("A-weighted: {:.1} dBA", self.level_dba), "2 3"),
        ] {
            if db.abs() <= LARGEST {
                let end = at(frame.plot.right, frame.y(db));
                marks.line(at(frame.plot.left, end.y), end, pen(palette::VERMILION, 1.4).dashed(dash));
                names.push(SeriesName { name, colour: palette::VERMILION_TEXT, end });
            }
        }
        series_names(marks, frame.plot, names);
    }

    fn small_print(&self, shown: usize) -> String {
        let left = self.harmonics.len() - shown;
        if left == 0 {
            return self.small_print.clone();
        }
        let (harmonics, are) = (verb(left, "harmonic", "harmonics"), verb(left, "is", "are"));
        format!("{left} {harmonics} more than {DEPTH_DB} dB below the strongest {are} not drawn. {}", self.small_print)
    }
}

/// An upright line for each harmonic, with a dot at its level; finer where they crowd.
fn stems(marks: &mut Marks, frame: &Frame, shown: &[(usize, &Harmonic)]) {
    for (number, harmonic) in shown {
        let hz = harmonic.tone.frequency_hz;
        let x = frame.x(hz);
        let to_next = frame.x(hz * (1.0 + 1.0 / *number as f64)) - x;
        let width = (0.35 * to_next).clamp(0.4, 2.6);
        let top = at(x, frame.y(harmonic.level_db));
        let said = format!("{number}: {}, {}", harmonic.tone.in_words(), units::decibel(harmonic.level_db));
        marks.group(&said, |marks| {
            marks.line(at(x, frame.plot.bottom), top, pen(palette::BLUE, width));
            marks.circle(top, (1.6 * width).min(4.0), palette::BLUE, pen(palette::BLUE, 0.5));
        });
    }
}
