//! The drawing of speaking times.

use super::series::SERIES;
use super::{SpeakingChart, SpeakingReed, Speech};
use crate::chart::Picture;
use crate::chart::flags::{Flag, Flags};
use crate::chart::marks::{Area, HOLLOW, Marks, Pen, Point, at, pen, plain};
use crate::chart::notes::{self, NoteAxis};
use crate::chart::page::{KeyItem, Page, SeriesName, TICK_SIZE, height_of, row_name, series_names};
use crate::chart::reed::absent;
use crate::chart::scale::{Scale, short};
use crate::chart::{count_of_reeds, palette, verb, with_left_out};

const PLOT_HEIGHT: f64 = 340.0;
/// Height of each of the three rows of reeds that do not speak.
const SILENT_ROW: f64 = 15.0;
const ROWS_EDGE: f64 = 8.0;
const AXIS_TITLE: &str = "time to half the full swing, t50 (ms, log scale)";
/// The ring around a mark above the time allowed.
const LATE: Pen = pen(palette::VERMILION, 1.6);
/// The axis when nothing sets it (ms).
const USUAL_MS: (f64, f64) = (5.0, 500.0);

pub(super) struct Drawing<'a> {
    pub chart: &'a SpeakingChart,
    pub reeds: Vec<&'a SpeakingReed>,
}

/// Where times, and reeds that do not speak, are on the page.
#[derive(Clone, Copy)]
struct Levels {
    rows: Area,
    plot: Area,
    scale: Scale,
}

impl Levels {
    fn of(&self, time_s: f64) -> f64 {
        height_of(self.plot, self.scale, 1000.0 * time_s)
    }

    fn row(&self, series: usize) -> f64 {
        self.rows.top + ROWS_EDGE + (series as f64 + 0.5) * SILENT_ROW
    }

    fn answer(&self, series: usize, speech: Speech) -> Option<f64> {
        match speech {
            Speech::Silent => Some(self.row(series)),
            _ => speech.time_s().map(|time_s| self.of(time_s)),
        }
    }
}

impl Drawing<'_> {
    pub fn picture(&self) -> Picture {
        let (title, subtitle) = self.headline();
        let mut page = Page::open(&title, &subtitle);
        self.key(&mut page);
        let axis = NoteAxis::new(self.reeds.iter().map(|reed| &reed.reed));
        let faulty: Vec<usize> =
            (0..self.reeds.len()).filter(|index| !self.reeds[*index].faults().is_empty()).collect();
        let flags = faulty.iter().map(|index| Flag {
            x: axis.x(*index),
            whole: format!("{} {}", self.reeds[*index].reed.id, faults_in_words(self.reeds[*index])),
            least: self.reeds[*index].reed.id.clone(),
        });
        let flags = Flags::arrange(&flags.collect::<Vec<_>>());
        let flag_room = page.take(flags.height());
        let rows = page.take(if self.has_silent() { 3.0 * SILENT_ROW + 2.0 * ROWS_EDGE } else { 0.0 });
        let plot = page.take(PLOT_HEIGHT);
        let levels = Levels { rows, plot, scale: self.scale() };
        axis.stripes(&mut page.marks, Area { top: rows.top, ..plot });
        page.upright_axis(plot, levels.scale, AXIS_TITLE);
        flags.draw(&mut page.marks, flag_room, |flag| {
            let reed = self.reeds[faulty[flag]];
            let feet = reed.faults().into_iter().filter_map(|(series, speech)| levels.answer(series, speech));
            feet.fold(plot.bottom, f64::min) - 7.0
        });
        self.rows(&mut page.marks, levels);
        self.series(&mut page.marks, &axis, levels);
        for index in 0..self.reeds.len() {
            let tooltip = self.in_words(index);
            page.marks.group_of("reed", &self.reeds[index].reed.id, &tooltip, |marks| {
                self.marks(marks, axis.x(index), index, levels)
            });
        }
        if self.reeds.is_empty() {
            page.empty(plot, "There are no reeds in this set.");
        }
        let below = page.take(notes::HEIGHT);
        axis.names(&mut page.marks, below);
        page.close(&with_left_out(flags.left_out, &self.chart.small_print), &self.description())
    }

    fn has_silent(&self) -> bool {
        self.reeds.iter().any(|reed| reed.answers().contains(&Speech::Silent))
    }

    fn scale(&self) -> Scale {
        let times_s = self.reeds.iter().flat_map(|reed| {
            reed.answers().into_iter().filter_map(Speech::time_s).chain(reed.allowed()).collect::<Vec<_>>()
        });
        Scale::log_over(times_s.map(|time_s| 1000.0 * time_s), USUAL_MS)
    }

    fn headline(&self) -> (String, String) {
        let name = &self.chart.set_name;
        let known: Vec<&&SpeakingReed> = self.reeds.iter().filter(|reed| !reed.is_unknown()).collect();
        if known.is_empty() {
            let nothing =
                if self.reeds.is_empty() { "No reeds to show" } else { "No speaking time is known for any reed" };
            return (nothing.to_owned(), name.clone());
        }
        let good = known.iter().filter(|reed| reed.faults().is_empty()).count();
        let of_all = count_of_reeds(self.reeds.len());
        let title =
            format!("{good} of {of_all} {} in time at soft, normal and hard pressure", verb(good, "speaks", "speak"));
        let silent = known.iter().filter(|reed| reed.answers().contains(&Speech::Silent)).count();
        let late = known.len() - good - silent;
        let unknown = self.reeds.len() - known.len();
        let parts = [
            (silent, verb(silent, "is silent at one pressure or more", "are silent at one pressure or more")),
            (late, verb(late, "takes longer than allowed", "take longer than allowed")),
            (unknown, verb(unknown, "is not known", "are not known")),
        ];
        let parts = parts.iter().filter(|(count, _)| *count > 0).map(|(count, what)| format!("{count} {what}"));
        let parts: Vec<String> = parts.collect();
        (title, if parts.is_empty() { name.clone() } else { format!("{name} · {}", parts.join(", ")) })
    }

    fn in_words(&self, index: usize) -> String {
        let reed = self.reeds[index];
        let answers = SERIES.iter().zip(reed.answers()).map(|(series, speech)| match (speech, speech.time_s()) {
            (Speech::Silent, _) => format!("{} silent", series.name),
            (_, Some(time_s)) => format!("{} {} ms", series.name, short(1000.0 * time_s, 2)),
            (_, None) => format!("{} not known", series.name),
        });
        format!("{} ({}): {}", reed.reed.id, reed.reed.printed_note(), answers.collect::<Vec<_>>().join(", "))
    }

    fn description(&self) -> String {
        let faulty = (0..self.reeds.len()).filter(|index| !self.reeds[*index].faults().is_empty());
        let faulty: Vec<String> = faulty.map(|index| self.in_words(index)).collect();
        let listed = if faulty.is_empty() { HOLLOW.to_owned() } else { faulty.join("; ") };
        format!(
            "Three marks for each of {}, in order of pitch: soft, normal and hard pressure; upright axis: {AXIS_TITLE}. \
             Reeds that are late or silent: {listed}.",
            count_of_reeds(self.reeds.len())
        )
    }

    fn key(&self, page: &mut Page) {
        let ring = |marks: &mut Marks, point: Point| marks.circle(point, 7.5, HOLLOW, LATE);
        let mut items = Vec::new();
        if self.reeds.iter().any(|reed| reed.answers().iter().any(|speech| reed.is_late(*speech))) {
            items.push(KeyItem { sign: &ring, meaning: "later than allowed".to_owned() });
        }
        if self.reeds.iter().any(|reed| reed.lacks_an_answer()) {
            items.push(KeyItem { sign: &absent, meaning: "not known at one pressure or more".to_owned() });
        }
        page.key(&items);
    }

    /// The rows of reeds that do not speak, named on both sides.
    fn rows(&self, marks: &mut Marks, levels: Levels) {
        if !self.has_silent() {
            return;
        }
        row_name(marks, levels.rows, ["does not", "speak"]);
        for (index, series) in SERIES.iter().enumerate() {
            let y = levels.row(index);
            marks.line(at(levels.rows.left, y), at(levels.rows.right, y), pen(palette::FINE_GRID, 1.0));
            marks.text(at(levels.rows.right + 17.0, y + 4.0), series.name, plain(TICK_SIZE).coloured(series.colour));
        }
    }

    fn series(&self, marks: &mut Marks, axis: &NoteAxis<'_>, levels: Levels) {
        let mut names = Vec::new();
        let allowed = axis.across(|index| self.reeds[index].allowed().map(|allowed_s| levels.of(allowed_s)));
        for run in &allowed {
            marks.path(run, pen(palette::VERMILION, 2.0).dashed("9 3 2 3"));
        }
        if let Some(end) = allowed.last().and_then(|run| run.last()) {
            names.push(SeriesName { name: "time allowed".to_owned(), colour: palette::VERMILION_TEXT, end: *end });
        }
        for (number, series) in SERIES.iter().enumerate() {
            let place = |index: usize| {
                let y = levels.of(self.reeds[index].answers()[number].time_s()?);
                Some(at(axis.x(index), y))
            };
            let points: Vec<Option<Point>> = (0..self.reeds.len()).map(place).collect();
            for run in points.split(Option::is_none) {
                marks.path(&run.iter().flatten().copied().collect::<Vec<_>>(), series.line);
            }
            if let Some(end) = points.iter().flatten().last() {
                names.push(SeriesName { name: series.name.to_owned(), colour: series.colour, end: *end });
            }
        }
        series_names(marks, levels.plot, names);
    }

    fn marks(&self, marks: &mut Marks, x: f64, index: usize, levels: Levels) {
        let reed = self.reeds[index];
        if reed.lacks_an_answer() {
            absent(marks, at(x, levels.plot.bottom - 7.0));
        }
        for (number, (series, speech)) in SERIES.iter().zip(reed.answers()).enumerate() {
            let Some(y) = levels.answer(number, speech) else { continue };
            if reed.is_late(speech) {
                marks.circle(at(x, y), 7.5, HOLLOW, LATE);
            }
            series.mark(marks, at(x, y));
        }
    }
}

/// "silent soft and normal", "240 ms soft".
fn faults_in_words(reed: &SpeakingReed) -> String {
    let faults = reed.faults();
    let silent: Vec<&str> =
        faults.iter().filter(|(_, speech)| *speech == Speech::Silent).map(|(series, _)| SERIES[*series].name).collect();
    let late = faults.iter().filter_map(|(series, speech)| {
        Some(format!("{} ms {}", short(1000.0 * speech.time_s()?, 2), SERIES[*series].name))
    });
    let silent = match silent.len() {
        0 => None,
        3 => Some("does not speak".to_owned()),
        _ => Some(format!("silent {}", silent.join(" and "))),
    };
    silent.into_iter().chain(late).collect::<Vec<_>>().join(", ")
}
