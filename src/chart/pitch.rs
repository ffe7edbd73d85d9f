//! How far each reed of a set is from its target pitch.

use super::Picture;
use super::marks::{Area, Marks, Point, at, pen, plain};
use super::near::{NearLabel, Placer};
use super::notes::{self, NoteAxis};
use super::page::{KeyItem, Page, TICK_SIZE, WIDTH, height_of};
use super::reed::{ReedLabel, absent, arrowhead, by_pitch, kinds, mark};
use super::scale::{Scale, short, signed};
use super::{LARGEST, count_of_reeds, palette, verb, with_left_out};

const PLOT_HEIGHT: f64 = 360.0;
/// Room between the end of the axis and the edge of the plot, for marks beyond it.
const OVERSHOOT: f64 = 22.0;
/// A reed this many times further out than its set does not set the axis.
const FAR_OUT: f64 = 3.0;
const AXIS_TITLE: &str = "cents from target";

/// A reed and its pitch.
#[derive(Debug, Clone, PartialEq)]
pub struct PitchReed {
    /// Which reed.
    pub reed: ReedLabel,
    /// Its pitch above (below: negative) the target (cents); `None` if it is not known.
    pub deviation_cents: Option<f64>,
}

/// Pitch deviation over the notes of a set.
///
/// Reeds outside the tolerance are named. A few reeds far outside the others do not flatten the rest: they are drawn at
/// the edge as arrowheads, with their values.
///
/// ```
/// use freereed::chart::{Breath, PitchChart, PitchReed, ReedLabel, Slide};
/// let reed = ReedLabel {
///     id: "5-blow-in".into(),
///     hole: 5,
///     note: "C#5".into(),
///     midi_note: 73,
///     breath: Breath::Blow,
///     slide: Slide::In,
/// };
/// let chart = PitchChart {
///     set_name: "a set".into(),
///     reeds: vec![PitchReed { reed, deviation_cents: Some(-12.4) }],
///     tolerance_cents: Some(5.0),
///     small_print: String::new(),
/// };
/// assert!(chart.picture().to_svg().contains("−12.4"));
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct PitchChart {
    /// The set, as the reader knows it.
    pub set_name: String,
    /// The reeds, in any order.
    pub reeds: Vec<PitchReed>,
    /// How far a reed may be from its target (cents, zero or more); `None` draws no band and calls no reed out of tune.
    pub tolerance_cents: Option<f64>,
    /// Assumptions and model version, set small below the chart.
    pub small_print: String,
}

impl PitchChart {
    /// The chart, to be written or drawn.
    pub fn picture(&self) -> Picture {
        let tolerance = self.tolerance_cents.filter(|cents| (0.0..=LARGEST).contains(cents));
        Drawing { chart: self, reeds: by_pitch(&self.reeds, |reed| &reed.reed), tolerance }.picture()
    }
}

struct Drawing<'a> {
    chart: &'a PitchChart,
    reeds: Vec<&'a PitchReed>,
    tolerance: Option<f64>,
}

impl PitchReed {
    fn known(&self) -> Option<f64> {
        self.deviation_cents.filter(|cents| cents.abs() <= LARGEST)
    }

    fn is_outside(&self, tolerance: Option<f64>) -> bool {
        self.known().zip(tolerance).is_some_and(|(cents, tolerance)| cents.abs() > tolerance)
    }

    fn in_words(&self) -> String {
        match self.known() {
            Some(cents) => format!("{} {}", self.reed.id, signed(cents, 1)),
            None => format!("{} not known", self.reed.id),
        }
    }
}

impl Drawing<'_> {
    fn picture(&self) -> Picture {
        let (title, subtitle) = self.headline();
        let mut page = Page::open(&title, &subtitle);
        self.key(&mut page);
        let plot = page.take(PLOT_HEIGHT);
        let axis = NoteAxis::new(self.reeds.iter().map(|reed| &reed.reed));
        axis.stripes(&mut page.marks, plot);
        let scale = Scale::around_zero(self.reach());
        let inner = Area { top: plot.top + OVERSHOOT, bottom: plot.bottom - OVERSHOOT, ..plot };
        self.band(&mut page.marks, inner, scale);
        page.upright_axis(inner, scale, AXIS_TITLE);
        let zero = height_of(inner, scale, 0.0);
        page.marks.line(at(plot.left, zero), at(plot.right, zero), pen(palette::INK, 1.2));
        let points: Vec<Option<Point>> = self.points(&axis, inner, scale);
        self.marks(&mut page.marks, &axis, inner, &points);
        let left_out = self.labels(&mut page.marks, plot, zero, &points);
        if self.reeds.is_empty() {
            page.empty(plot, "There are no reeds in this set.");
        }
        let below = page.take(notes::HEIGHT);
        axis.names(&mut page.marks, below);
        page.close(&with_left_out(left_out, &self.chart.small_print), &self.description())
    }

    fn headline(&self) -> (String, String) {
        let known: Vec<(f64, &PitchReed)> =
            self.reeds.iter().filter_map(|reed| reed.known().map(|cents| (cents, *reed))).collect();
        let name = &self.chart.set_name;
        let Some((cents, furthest)) = known.iter().max_by(|a, b| a.0.abs().total_cmp(&b.0.abs())) else {
            let of_what = if self.reeds.is_empty() { "No reeds to show" } else { "No pitch is known for any reed" };
            return (of_what.to_owned(), name.clone());
        };
        let title = match self.tolerance {
            Some(tolerance) => {
                let inside = known.iter().filter(|(_, reed)| !reed.is_outside(self.tolerance)).count();
                let is = verb(inside, "is", "are");
                format!(
                    "{inside} of {} {is} within ±{} cents of the target pitch",
                    count_of_reeds(self.reeds.len()),
                    short(tolerance, 2)
                )
            }
            None => {
                format!("{} stay within ±{:.1} cents of the target pitch", count_of_reeds(known.len()), cents.abs())
            }
        };
        let side = if *cents < 0.0 { "flat" } else { "sharp" };
        let note = furthest.reed.printed_note();
        let unknown = self.reeds.len() - known.len();
        let rest =
            if unknown > 0 { format!("; pitch of {} not known", count_of_reeds(unknown)) } else { String::new() };
        let far = format!("furthest off: {} ({note}), {:.1} cents {side}", furthest.reed.id, cents.abs());
        (title, format!("{name} · {far}{rest}"))
    }

    fn description(&self) -> String {
        let outside: Vec<String> =
            self.reeds.iter().filter(|reed| reed.is_outside(self.tolerance)).map(|reed| reed.in_words()).collect();
        let listed = if outside.is_empty() { "none".to_owned() } else { outside.join("; ") };
        format!(
            "A dot for each of {}, in order of pitch; upright axis: {AXIS_TITLE}. Outside the tolerance: {listed}.",
            count_of_reeds(self.reeds.len())
        )
    }

    /// The end of the axis (cents): all reeds, but for a few that are far out.
    fn reach(&self) -> f64 {
        let mut sizes: Vec<f64> = self.reeds.iter().filter_map(|reed| reed.known()).map(f64::abs).collect();
        sizes.sort_by(f64::total_cmp);
        let tolerance = self.tolerance.unwrap_or(0.0);
        let (Some(most), typical) = (sizes.last(), sizes.get(sizes.len() * 4 / 5)) else { return 2.0 * tolerance };
        let ordinary = typical.copied().unwrap_or(0.0).max(2.0 * tolerance);
        if *most <= FAR_OUT * ordinary {
            return 1.06 * most.max(1.5 * tolerance);
        }
        let shown = sizes.iter().rev().find(|size| **size <= FAR_OUT * ordinary).copied().unwrap_or(ordinary);
        1.1 * shown.max(1.5 * tolerance)
    }

    fn points(&self, axis: &NoteAxis<'_>, inner: Area, scale: Scale) -> Vec<Option<Point>> {
        let place = |(index, reed): (usize, &&PitchReed)| {
            reed.known().map(|cents| {
                let beyond = if cents.abs() > self.reach() { OVERSHOOT - 6.0 } else { 0.0 };
                at(axis.x(index), height_of(inner, scale, cents) - beyond * cents.signum())
            })
        };
        self.reeds.iter().enumerate().map(place).collect()
    }

    fn band(&self, marks: &mut Marks, inner: Area, scale: Scale) {
        let Some(tolerance) = self.tolerance else { return };
        let [top, bottom] = [tolerance, -tolerance].map(|cents| height_of(inner, scale, cents));
        marks.fill(Area { top, bottom, ..inner }, palette::WANTED);
        let name = plain(TICK_SIZE).coloured(palette::SOFT_INK);
        let middle = (top + bottom) / 2.0;
        marks.text(at(inner.right + 8.0, middle - 3.0), "tolerance", name);
        marks.text(at(inner.right + 8.0, middle + 12.0), &format!("±{} cents", short(tolerance, 2)), name);
    }

    fn marks(&self, marks: &mut Marks, axis: &NoteAxis<'_>, inner: Area, points: &[Option<Point>]) {
        let zero = (inner.top + inner.bottom) / 2.0;
        for (index, (reed, point)) in self.reeds.iter().zip(points).enumerate() {
            let words = format!("{}: {}", reed.reed.printed_note(), reed.in_words());
            marks.group_of("reed", &reed.reed.id, &words, |marks| match point {
                None => absent(marks, at(axis.x(index), zero)),
                Some(point) => {
                    marks.line(at(point.x, zero), *point, pen(palette::ABSENT, 1.2));
                    let beyond = if point.y < inner.top { -1.0 } else { 1.0 };
                    if point.y < inner.top || point.y > inner.bottom {
                        arrowhead(marks, at(point.x, point.y + 6.0 * beyond), -6.0 * beyond, palette::INK);
                    } else {
                        mark(marks, *point, reed.reed.breath, reed.reed.slide);
                    }
                }
            });
        }
    }

    /// Names the reeds outside the tolerance, the worst first; returns how many could not be named.
    fn labels(&self, marks: &mut Marks, plot: Area, zero: f64, points: &[Option<Point>]) -> usize {
        let (band_name, zero_line) = (18.0, 2.0);
        let mut taken = vec![
            Area { top: zero - zero_line, bottom: zero + zero_line, ..plot },
            Area { left: plot.right, top: zero - band_name, right: WIDTH, bottom: zero + band_name },
        ];
        for point in points.iter().flatten() {
            taken.push(Area::around(*point, 7.0));
            let (top, bottom) = (zero.min(point.y), zero.max(point.y));
            taken.push(Area { left: point.x - 1.5, top, right: point.x + 1.5, bottom });
        }
        let mut outside: Vec<(f64, NearLabel)> = self
            .reeds
            .iter()
            .zip(points)
            .filter(|(reed, _)| reed.is_outside(self.tolerance))
            .filter_map(|(reed, point)| {
                let label = NearLabel { point: (*point)?, whole: reed.in_words(), least: reed.reed.id.clone() };
                Some((reed.known()?.abs(), label))
            })
            .collect();
        outside.sort_by(|a, b| b.0.total_cmp(&a.0));
        let labels: Vec<NearLabel> = outside.into_iter().map(|(_, label)| label).collect();
        Placer::new(Area { right: WIDTH - 8.0, ..plot }, taken).draw(marks, &labels)
    }

    fn key(&self, page: &mut Page) {
        let kinds = kinds();
        let mut items: Vec<KeyItem<'_>> = kinds
            .iter()
            .filter(|kind| self.reeds.iter().any(|reed| (reed.reed.breath, reed.reed.slide) == kind.of))
            .map(|kind| KeyItem { sign: &kind.sign, meaning: kind.meaning.to_owned() })
            .collect();
        if self.reeds.iter().any(|reed| reed.known().is_none()) {
            items.push(KeyItem { sign: &absent, meaning: "pitch not known".to_owned() });
        }
        let beyond = |marks: &mut Marks, point: Point| arrowhead(marks, at(point.x, point.y - 5.0), 6.0, palette::INK);
        if self.reeds.iter().filter_map(|reed| reed.known()).any(|cents| cents.abs() > self.reach()) {
            items.push(KeyItem { sign: &beyond, meaning: "beyond the axis".to_owned() });
        }
        page.key(&items);
    }
}
