//! The tip gap of every reed of a set: as it is, as wanted, and what would be best for each alone.

use super::near::{NearLabel, Placer};
use super::reed::{ReedLabel, by_pitch, cross};
use super::scale::{Scale, short};
use super::svg::{Anchor, Area, Point, Svg, at, pen, plain};
use super::{count_of_reeds, palette, plottable, text, verb, with_left_out};

/// Narrower than the other charts of a set: 180 mm wide on paper, its smallest letters are 7 point.
const WIDTH: f64 = 780.0;
const MARGIN: f64 = 16.0;
const LEFT: f64 = 58.0;
const RIGHT: f64 = WIDTH - MARGIN;
const PLOT_HEIGHT: f64 = 330.0;
const SIZE: f64 = 11.0;
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
///     note: "C#5".into(),
///     midi_note: 73,
///     breath: Breath::Blow,
///     slide: Slide::In,
/// };
/// let gaps = GapsReed { reed, now_m: 0.1e-3, wanted_m: 0.25e-3, alone_m: 0.24e-3, is_left: false, suits: true };
/// let chart = GapsChart { set_name: "a set".into(), reeds: vec![gaps], small_print: String::new() };
/// assert!(chart.to_svg().contains("5-blow-in 0.1 to 0.25 mm"));
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
    /// The chart as an SVG document.
    pub fn to_svg(&self) -> String {
        Drawing { chart: self, reeds: by_pitch(&self.reeds, |reed| &reed.reed), svg: Svg::default(), y: MARGIN }.draw()
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

/// Draws a mark around a place.
type Mark = fn(&mut Svg, Point);

struct Drawing<'a> {
    chart: &'a GapsChart,
    reeds: Vec<&'a GapsReed>,
    svg: Svg,
    y: f64,
}

impl Drawing<'_> {
    fn draw(mut self) -> String {
        let title = self.title();
        self.words(&title, 17.0, palette::INK);
        let name = self.chart.set_name.clone();
        self.words(&name, 12.0, palette::SOFT_INK);
        self.key();
        let plot = Area { left: LEFT, top: self.y + 8.0, right: RIGHT, bottom: self.y + 8.0 + PLOT_HEIGHT };
        let gaps = self.reeds.iter().flat_map(|reed| [reed.now_m, reed.wanted_m, reed.alone_m]);
        let scale = Scale::log_over(gaps.filter_map(plottable).map(|gap_m| 1e3 * gap_m), USUAL_MM);
        self.stripes(plot);
        self.upright(plot, scale);
        let height = |gap_m: f64| {
            plottable(gap_m).map(|gap_m| plot.bottom - scale.share(1e3 * gap_m) * (plot.bottom - plot.top))
        };
        let run: Vec<Point> =
            (0..self.reeds.len()).filter_map(|k| Some(at(self.x(k), height(self.reeds[k].wanted_m)?))).collect();
        self.svg.path(&run, pen(palette::PALE_SKY, 5.0));
        for (index, reed) in self.reeds.iter().enumerate() {
            let x = self.x(index);
            let [now, wanted, alone] = [reed.now_m, reed.wanted_m, reed.alone_m].map(&height);
            let words = format!("{}: {}", reed.reed.printed_note(), reed.in_words());
            self.svg.group(&words, |svg| one(svg, x, [now, wanted, alone], reed.suits));
        }
        let left_out = self.names(plot, height);
        if self.reeds.is_empty() {
            let middle = at((plot.left + plot.right) / 2.0, (plot.top + plot.bottom) / 2.0);
            self.svg.text(middle, "There are no reeds in this set.", plain(14.0).anchored(Anchor::Middle));
        }
        self.notes(plot.bottom);
        let small_print = with_left_out(left_out, &self.chart.small_print);
        self.words(&small_print, SIZE, palette::SOFT_INK);
        let description = self.description();
        self.svg.finish(WIDTH, (self.y + MARGIN).ceil(), &title, &description)
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

    /// Sets text as wide as the page and goes on below it.
    fn words(&mut self, words: &str, size: f64, colour: &'static str) {
        let bold = size > 15.0;
        let wider = if bold { 1.1 } else { 1.0 };
        for line in text::wrap(words, size * wider, WIDTH - 2.0 * MARGIN) {
            self.y += size * text::LINE;
            let style = plain(size).coloured(colour);
            self.svg.text(at(MARGIN, self.y), &line, if bold { style.bold() } else { style });
        }
    }

    fn key(&mut self) {
        let signs: [(Mark, &str); 4] = [
            (now_mark, "gap now"),
            (wanted_mark, "gap wanted, and the run of these"),
            (alone_mark, "best for the reed alone"),
            (no_gap_mark, "no gap suits: mend it first"),
        ];
        self.y += 20.0;
        let mut x = MARGIN;
        let count = if self.reeds.iter().all(|reed| reed.suits) { 3 } else { 4 };
        for (sign, meaning) in &signs[..count] {
            sign(&mut self.svg, at(x + 8.0, self.y - 4.0));
            self.svg.text(at(x + 20.0, self.y), meaning, plain(SIZE).coloured(palette::SOFT_INK));
            x += 34.0 + text::width(meaning, SIZE);
        }
    }

    fn slot(&self) -> f64 {
        (RIGHT - LEFT) / self.reeds.len().max(1) as f64
    }

    fn x(&self, index: usize) -> f64 {
        LEFT + (index as f64 + 0.5) * self.slot()
    }

    /// The edges of neighbouring reeds that are alike, and the first of them.
    fn alike<T: PartialEq>(&self, of: impl Fn(&ReedLabel) -> T) -> Vec<(f64, f64, &ReedLabel)> {
        let mut first = 0;
        let runs = self.reeds.chunk_by(|a, b| of(&a.reed) == of(&b.reed));
        runs.map(|run| {
            let (left, right) = (LEFT + first as f64 * self.slot(), LEFT + (first + run.len()) as f64 * self.slot());
            first += run.len();
            (left, right, &run[0].reed)
        })
        .collect()
    }

    fn stripes(&mut self, plot: Area) {
        let odd = self.alike(ReedLabel::octave).into_iter().filter(|run| run.2.octave().rem_euclid(2) == 1);
        let areas: Vec<Area> = odd.map(|(left, right, _)| Area { left, right, ..plot }).collect();
        areas.into_iter().for_each(|area| self.svg.fill(area, palette::STRIPE));
    }

    fn upright(&mut self, plot: Area, scale: Scale) {
        for tick in scale.ticks() {
            let y = plot.bottom - scale.share(tick.value) * (plot.bottom - plot.top);
            let ranked = if tick.label.is_empty() { pen(palette::FINE_GRID, 0.8) } else { pen(palette::GRID, 1.0) };
            self.svg.line(at(plot.left, y), at(plot.right, y), ranked);
            let style = plain(SIZE).coloured(palette::SOFT_INK).anchored(Anchor::End);
            if !tick.label.is_empty() {
                self.svg.text(at(plot.left - 6.0, y + 4.0), &tick.label, style);
            }
        }
        let style = plain(12.0).anchored(Anchor::Middle).turned(-90.0);
        self.svg.text(at(MARGIN + 6.0, (plot.top + plot.bottom) / 2.0), AXIS_TITLE, style);
    }

    /// Names what stands out; returns how many found no room.
    fn names(&mut self, plot: Area, height: impl Fn(f64) -> Option<f64>) -> usize {
        let place = |index: usize, gap_m: f64| height(gap_m).map(|y| at(self.x(index), y));
        let mut taken = Vec::new();
        let mut labels = Vec::new();
        for (index, reed) in self.reeds.iter().enumerate() {
            let places: Vec<Point> =
                [reed.now_m, reed.wanted_m, reed.alone_m].into_iter().filter_map(|gap_m| place(index, gap_m)).collect();
            let ends = places.iter().map(|place| place.y);
            let (top, bottom) = ends.fold((f64::INFINITY, 0.0), |(top, low): (f64, f64), y| (top.min(y), low.max(y)));
            let x = self.x(index);
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
        Placer::new(Area { top: plot.top + 2.0, bottom: plot.bottom - 2.0, ..plot }, taken).draw(&mut self.svg, &labels)
    }

    fn notes(&mut self, top: f64) {
        let middle = |size: f64| plain(size).anchored(Anchor::Middle);
        let mut words: Vec<(f64, f64, String)> = Vec::new();
        let (mut free, mut lines) = (0.0, Vec::new());
        for (left, right, reed) in self.alike(|reed| reed.midi_note) {
            let name = reed.printed_note().trim_end_matches(|c: char| c.is_ascii_digit() || c == '-').to_owned();
            let (x, half) = ((left + right) / 2.0, 0.5 * text::width(&name, SIZE));
            let is_natural = name.chars().count() == 1;
            if is_natural && x - half >= free {
                free = x + half + 2.0;
                words.push((x, top + 15.0, name));
            }
        }
        for (left, right, reed) in self.alike(ReedLabel::octave) {
            let name = format!("octave {}", reed.octave());
            let fits = text::width(&name, SIZE) <= right - left;
            let name = if fits { name } else { reed.octave().to_string() };
            words.push(((left + right) / 2.0, top + 32.0, name));
            lines.push((left + 2.0, right - 2.0));
        }
        for (left, right) in lines {
            self.svg.line(at(left, top + 20.0), at(right, top + 20.0), pen(palette::ABSENT, 1.0));
        }
        self.svg.line(at(LEFT, top), at(RIGHT, top), pen(palette::INK, 1.0));
        words.into_iter().for_each(|(x, y, name)| self.svg.text(at(x, y), &name, middle(SIZE)));
        self.svg.text(at((LEFT + RIGHT) / 2.0, top + 50.0), "note of each reed, in order of pitch", middle(12.0));
        self.y = top + 54.0;
    }
}

/// The gaps of one reed at their heights, those that are on the axis.
fn one(svg: &mut Svg, x: f64, [now, wanted, alone]: [Option<f64>; 3], suits: bool) {
    if let (Some(now), Some(wanted)) = (now, wanted) {
        svg.line(at(x, now), at(x, wanted), pen(palette::SOFT_INK, 1.0));
    }
    let marks: [(Option<f64>, Mark); 3] =
        [(alone, alone_mark), (now, now_mark), (wanted, if suits { wanted_mark } else { no_gap_mark })];
    for (height, mark) in marks {
        if let Some(y) = height {
            mark(svg, at(x, y));
        }
    }
}

fn now_mark(svg: &mut Svg, place: Point) {
    svg.circle(place, 3.6, palette::PAPER, pen(palette::SOFT_INK, 1.3));
}

fn wanted_mark(svg: &mut Svg, place: Point) {
    svg.circle(place, 2.9, palette::BLUE, pen(palette::BLUE, 1.0));
}

fn alone_mark(svg: &mut Svg, place: Point) {
    svg.line(at(place.x - 5.5, place.y), at(place.x + 5.5, place.y), pen(palette::VERMILION, 1.8));
}

fn no_gap_mark(svg: &mut Svg, place: Point) {
    cross(svg, place, 4.5, pen(palette::VERMILION, 2.2));
}
