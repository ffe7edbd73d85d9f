//! The tip gap of every reed of a set: as it is, as wanted, and what would be best for each alone.

use super::Picture;
use super::marks::{Area, Marks, Point, at, pen};
use super::near::{NearLabel, Placer};
use super::notes::{self, NoteAxis};
use super::page::{KeyItem, Page, height_of};
use super::reed::{ReedLabel, by_pitch, cross};
use super::scale::{Scale, short};
use super::{count_of_reeds, palette, plottable, verb, with_left_out};

const PLOT_HEIGHT: f64 = 330.0;
/// Room between the key and the plot.
const EDGE: f64 = 8.0;
const AXIS_TITLE: &str = "tip gap (mm, log scale)";
/// The axis when nothing sets it (mm).
const USUAL_MM: (f64, f64) = (0.1, 0.4);
/// A gap that is to change by more than this ratio is named.
const NAMED: f64 = 1.5;

/// A reed and its gaps.
#[derive(Debug, Clone, PartialEq)]
pub struct GapsReed {
    /// Which reed.
    pub reed: ReedLabel,
    /// As it is (m); one that does not stand above the plate has no place on the axis.
    pub now_m: f64,
    /// As it should be (m).
    pub wanted_m: f64,
    /// Best for this reed by itself (m).
    pub alone_m: f64,
    /// Whether it may be left as it is.
    pub is_left: bool,
    /// Whether any gap suits the player.
    pub suits: bool,
}

/// Tip gaps over the notes of a set: now, wanted, best alone.
///
/// Reeds that no gap suits are crossed and named, as are those whose gap is to change by more than a half.
///
/// ```
/// use freereed::chart::{Breath, GapsChart, GapsReed, ReedLabel, Slide};
/// let reed = ReedLabel {
///     id: "5-blow-in".into(),
///     hole: 5,
///     note: "C#5".into(),
///     midi_note: 73,
///     breath: Breath::Blow,
///     slide: Slide::In,
/// };
/// let gaps = GapsReed { reed, now_m: 0.1e-3, wanted_m: 0.25e-3, alone_m: 0.24e-3, is_left: false, suits: true };
/// let chart = GapsChart { set_name: "a set".into(), reeds: vec![gaps], small_print: String::new() };
/// assert!(chart.picture().to_svg().contains("5-blow-in 0.1 to 0.25 mm"));
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct GapsChart {
    /// The set, as the reader knows it.
    pub set_name: String,
    /// The reeds, in any order.
    pub reeds: Vec<GapsReed>,
    /// Assumptions and model version, set small below the chart.
    pub small_print: String,
}

impl GapsChart {
    /// The chart, to be written or drawn.
    pub fn picture(&self) -> Picture {
        Drawing { chart: self, reeds: by_pitch(&self.reeds, |reed| &reed.reed) }.picture()
    }
}

impl GapsReed {
    fn in_words(&self) -> String {
        let mm = |gap_m: f64| short(1e3 * gap_m, 2);
        let no_gap = if self.suits { "" } else { ", no gap suits" };
        if self.is_left {
            return format!("{} stays at {} mm{no_gap}", self.reed.id, mm(self.now_m));
        }
        format!("{} {} to {} mm{no_gap}", self.reed.id, mm(self.now_m), mm(self.wanted_m))
    }

    /// By how much it stands out: the ratio of its gaps; without limit where no gap suits.
    fn stands_out(&self) -> f64 {
        let ratio = (self.wanted_m / self.now_m).max(self.now_m / self.wanted_m);
        if self.suits && ratio >= 1.0 { ratio } else { f64::INFINITY }
    }
}

struct Drawing<'a> {
    chart: &'a GapsChart,
    reeds: Vec<&'a GapsReed>,
}

/// Draws a mark around a place.
type Mark = fn(&mut Marks, Point);

impl Drawing<'_> {
    fn picture(&self) -> Picture {
        let title = self.title();
        let mut page = Page::open(&title, &self.chart.set_name);
        self.key(&mut page);
        page.take(EDGE);
        let plot = page.take(PLOT_HEIGHT);
        let gaps = self.reeds.iter().flat_map(|reed| [reed.now_m, reed.wanted_m, reed.alone_m]);
        let scale = Scale::log_over(gaps.filter_map(plottable).map(|gap_m| 1e3 * gap_m), USUAL_MM);
        let axis = NoteAxis::new(self.reeds.iter().map(|reed| &reed.reed));
        axis.stripes(&mut page.marks, plot);
        page.upright_axis(plot, scale, AXIS_TITLE);
        let height = |gap_m: f64| plottable(gap_m).map(|gap_m| height_of(plot, scale, 1e3 * gap_m));
        for run in axis.across(|index| height(self.reeds[index].wanted_m)) {
            page.marks.path(&run, pen(palette::PALE_SKY, 5.0));
        }
        for (index, reed) in self.reeds.iter().enumerate() {
            let [now, wanted, alone] = [reed.now_m, reed.wanted_m, reed.alone_m].map(height);
            let words = format!("{}: {}", reed.reed.printed_note(), reed.in_words());
            page.marks.group_of("reed", &reed.reed.id, &words, |marks| {
                one(marks, axis.x(index), [now, wanted, alone], reed.suits)
            });
        }
        let left_out = self.names(&mut page.marks, &axis, plot, height);
        if self.reeds.is_empty() {
            page.empty(plot, "There are no reeds in this set.");
        }
        let below = page.take(notes::HEIGHT);
        axis.names(&mut page.marks, below);
        page.close(&with_left_out(left_out, &self.chart.small_print), &self.description())
    }

    fn title(&self) -> String {
        let changed = self.reeds.iter().filter(|reed| !reed.is_left && reed.suits).count();
        let none = self.reeds.iter().filter(|reed| !reed.suits).count();
        let is = verb(changed, "is", "are");
        let rest = if none > 0 { format!("; no gap suits {none}") } else { String::new() };
        format!("{changed} of {} {is} to be bent to another tip gap{rest}", count_of_reeds(self.reeds.len()))
    }

    fn description(&self) -> String {
        let all: Vec<String> = self.reeds.iter().map(|reed| reed.in_words()).collect();
        format!("Tip gaps of {}, in order of pitch; upright axis: {AXIS_TITLE}. {}.", self.reeds.len(), all.join("; "))
    }

    fn key(&self, page: &mut Page) {
        let signs: [(Mark, &str); 4] = [
            (now_mark, "gap now"),
            (wanted_mark, "gap wanted, and the run of these"),
            (alone_mark, "best for the reed alone"),
            (no_gap_mark, "no gap suits: mend it first"),
        ];
        let count = if self.reeds.iter().all(|reed| reed.suits) { 3 } else { 4 };
        let items = signs[..count].iter().map(|(sign, meaning)| KeyItem { sign, meaning: (*meaning).to_owned() });
        page.key(&items.collect::<Vec<_>>());
    }

    /// Names what stands out; returns how many found no room.
    fn names(&self, marks: &mut Marks, axis: &NoteAxis<'_>, plot: Area, height: impl Fn(f64) -> Option<f64>) -> usize {
        let place = |index: usize, gap_m: f64| height(gap_m).map(|y| at(axis.x(index), y));
        let mut taken = Vec::new();
        let mut labels = Vec::new();
        for (index, reed) in self.reeds.iter().enumerate() {
            let places: Vec<Point> =
                [reed.now_m, reed.wanted_m, reed.alone_m].into_iter().filter_map(|gap_m| place(index, gap_m)).collect();
            let ends = places.iter().map(|place| place.y);
            let (top, bottom) = ends.fold((f64::INFINITY, 0.0), |(top, low): (f64, f64), y| (top.min(y), low.max(y)));
            let x = axis.x(index);
            taken.push(Area { left: x - 5.0, top: top - 5.0, right: x + 5.0, bottom: bottom + 5.0 });
            // Below all of its marks there is room for a line to its name.
            let named = if reed.suits { places.first().copied() } else { Some(at(x, bottom)) };
            if let Some(point) = named.filter(|point| point.y > 0.0 && reed.stands_out() > NAMED) {
                let id = &reed.reed.id;
                let whole = if reed.suits { reed.in_words() } else { format!("{id}: no gap suits") };
                let label = NearLabel { point, whole, least: id.clone() };
                labels.push((reed.stands_out(), label));
            }
        }
        labels.sort_by(|a, b| b.0.total_cmp(&a.0));
        let labels: Vec<NearLabel> = labels.into_iter().map(|(_, label)| label).collect();
        Placer::new(Area { top: plot.top + 2.0, bottom: plot.bottom - 2.0, ..plot }, taken).draw(marks, &labels)
    }
}

/// The gaps of one reed at their heights, those that are on the axis.
fn one(marks: &mut Marks, x: f64, [now, wanted, alone]: [Option<f64>; 3], suits: bool) {
    if let (Some(now), Some(wanted)) = (now, wanted) {
        marks.line(at(x, now), at(x, wanted), pen(palette::SOFT_INK, 1.0));
    }
    let signs: [(Option<f64>, Mark); 3] =
        [(alone, alone_mark), (now, now_mark), (wanted, if suits { wanted_mark } else { no_gap_mark })];
    for (height, sign) in signs {
        if let Some(y) = height {
            sign(marks, at(x, y));
        }
    }
}

fn now_mark(marks: &mut Marks, place: Point) {
    marks.circle(place, 3.6, palette::PAPER, pen(palette::SOFT_INK, 1.3));
}

fn wanted_mark(marks: &mut Marks, place: Point) {
    marks.circle(place, 2.9, palette::BLUE, pen(palette::BLUE, 1.0));
}

fn alone_mark(marks: &mut Marks, place: Point) {
    marks.line(at(place.x - 5.5, place.y), at(place.x + 5.5, place.y), pen(palette::VERMILION, 1.8));
}

fn no_gap_mark(marks: &mut Marks, place: Point) {
    cross(marks, place, 4.5, pen(palette::VERMILION, 2.2));
}
