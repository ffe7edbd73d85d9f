//! Results over one input, one below the other.

use super::Picture;
use super::lines::{OWN, runs, stretch};
use super::marks::{Marks, Point, at, pen, plain};
use super::page::{KeyItem, Page};
use super::plane::{self, Plane};
use super::reed::absent;
use super::scale::{Scale, short};
use super::uprights::{Upright, Uprights};
use super::{LARGEST, palette, with_words_left_out};
use crate::units::capital;

/// Height of all plots together, and of one at least.
const HEIGHT: f64 = 380.0;
const LEAST_HEIGHT: f64 = 150.0;
/// Room above a plot for what it shows.
const HEADING: f64 = 26.0;
/// A curve that moves by less of its size is level.
const LEVEL: f64 = 0.01;
/// Nearer to an end than this share of the range, a least or a most is that end.
const AT_END: f64 = 0.02;

/// One result over the input.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// The result, such as "onset".
    pub name: String,
    /// Its unit as printed; may be empty.
    pub unit: String,
    /// What it means.
    pub meaning: String,
    /// Input and result, in their units; nothing where there is none.
    pub points: Vec<(f64, Option<f64>)>,
}

/// Results over one input of a reed, each on an upright axis of its own.
///
/// ```
/// use freereed::chart::{Curve, CurvesChart};
/// let onset = Curve {
///     name: "onset".into(),
///     unit: "Pa".into(),
///     meaning: "lowest pressure that starts it".into(),
///     points: vec![(0.1, Some(44.0)), (0.2, Some(60.0)), (0.3, None)],
/// };
/// let chart = CurvesChart {
///     reed_name: "a reed".into(),
///     input: ("tip gap".into(), "mm".into()),
///     own: Some(0.2),
///     curves: vec![onset],
///     small_print: String::new(),
/// };
/// assert_eq!(chart.picture().title(), "Onset rises with the tip gap, from 44 to 60 Pa");
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct CurvesChart {
    /// The reed, as the reader knows it.
    pub reed_name: String,
    /// The input, such as "tip gap", and its unit as printed.
    pub input: (String, String),
    /// The input of the reed as it is, where that is known.
    pub own: Option<f64>,
    /// The results, the first the one of the headline.
    pub curves: Vec<Curve>,
    /// Assumptions and model version, set small below the chart.
    pub small_print: String,
}

impl Curve {
    /// What can be drawn, by rising input.
    fn known(&self) -> Vec<(f64, Option<f64>)> {
        let can = |value: f64| value.abs() <= LARGEST;
        let mut known: Vec<_> = self.points.iter().filter(|(x, _)| can(*x)).copied().collect();
        known.iter_mut().for_each(|(_, y)| *y = y.filter(|&y| can(y)));
        known.sort_by(|a, b| a.0.total_cmp(&b.0));
        known
    }

    fn values(&self) -> Vec<(f64, f64)> {
        self.known().into_iter().filter_map(|(x, y)| Some((x, y?))).collect()
    }

    fn is_missing_somewhere(&self) -> bool {
        self.known().iter().any(|(_, y)| y.is_none())
    }

    fn title(&self) -> String {
        titled(&self.name, &self.unit)
    }

    /// How it runs over the input.
    fn in_words(&self, (input, input_unit): &(String, String)) -> String {
        let (name, values) = (&self.name, self.values());
        let (Some(&first), Some(&last)) = (values.first(), values.last()) else {
            return format!("{name} has no value at any {input} tried");
        };
        let by_value = |a: &&(f64, f64), b: &&(f64, f64)| a.1.total_cmp(&b.1);
        let (least, most) =
            (values.iter().min_by(by_value).unwrap_or(&first), values.iter().max_by(by_value).unwrap_or(&last));
        let range = most.1 - least.1;
        let inside = |of: &(f64, f64)| [first, last].iter().all(|end| (end.1 - of.1).abs() > AT_END * range);
        let with_unit = |value: f64| format!("{} {}", number(value), self.unit).trim_end().to_owned();
        if range <= LEVEL * most.1.abs().max(least.1.abs()) {
            format!("{name} hardly changes with the {input}: {}", with_unit(first.1))
        } else if let Some((word, &(x, y))) = [("least", least), ("most", most)].into_iter().find(|(_, of)| inside(of))
        {
            format!(
                "{name} is {word}, {}, at a {input} of {}",
                with_unit(y),
                format!("{} {input_unit}", number(x)).trim_end()
            )
        } else {
            let way = if last.1 > first.1 { "rises" } else { "falls" };
            format!("{name} {way} with the {input}, from {} to {}", number(first.1), with_unit(last.1))
        }
    }
}

impl CurvesChart {
    /// The chart, to be written or drawn.
    pub fn picture(&self) -> Picture {
        let told: Vec<String> = self.curves.iter().map(|curve| curve.in_words(&self.input)).collect();
        let title = told.first().map_or_else(|| "No result to show".to_owned(), |told| capital(told));
        let mut page = Page::open(&title, &format!("{} · over the {}", self.reed_name, self.input.0));
        self.key(&mut page);
        let inputs = self.curves.iter().flat_map(Curve::known).map(|(x, _)| x).chain(self.own);
        let across = Scale::linear_over(inputs, (0.0, 1.0));
        let flat = Plane { plot: page.take(0.0), x: across, y: across };
        let own = self.own.map(|own| Upright::new(flat.x_of(own), "as it is", pen(palette::INK, 1.0).dashed("6 3")));
        let own = Uprights::arrange(own.into_iter().collect());
        let height = (HEIGHT / self.curves.len().max(1) as f64).max(LEAST_HEIGHT);
        for (k, curve) in self.curves.iter().enumerate() {
            let values = curve.values();
            let heading = page.take(HEADING);
            let room = page.take(if k == 0 { own.height() } else { 0.0 });
            let up = Scale::linear_over(values.iter().map(|(_, y)| *y), (0.0, 1.0));
            let plane = Plane { plot: page.take(height), x: across, y: up };
            let marks = &mut page.marks;
            marks.text(at(heading.left, heading.bottom - 8.0), &curve.meaning, plain(13.0).coloured(palette::SOFT_INK));
            let signed = values.iter().any(|(_, y)| *y < 0.0);
            let input = titled(&self.input.0, &self.input.1);
            plane.axes(marks, &input, &curve.title(), signed);
            match k {
                0 => own.draw(marks, room, plane.plot),
                _ => own.lines().for_each(|x| {
                    marks.line(at(x, plane.plot.top), at(x, plane.plot.bottom), pen(palette::INK, 1.0).dashed("6 3"));
                }),
            }
            marks.group(&told[k], |marks| draw(marks, &plane, &curve.known()));
            if values.is_empty() {
                page.empty(plane.plot, "It has no value here.");
            }
            page.take(plane::BELOW);
        }
        page.close(&with_words_left_out(own.left_out(), &self.small_print), &format!("{}.", told.join("; ")))
    }

    fn key(&self, page: &mut Page) {
        let missing = |marks: &mut Marks, place: Point| absent(marks, place);
        if self.curves.iter().any(Curve::is_missing_somewhere) {
            page.key(&[KeyItem { sign: &missing, meaning: "no value: the table says why".to_owned() }]);
        }
    }
}

/// A line over what is known, a tick below where nothing is.
fn draw(marks: &mut Marks, plane: &Plane, points: &[(f64, Option<f64>)]) {
    let places: Vec<Option<Point>> = points.iter().map(|(x, y)| y.map(|y| plane.at(*x, y))).collect();
    runs(&places).iter().for_each(|run| stretch(marks, run, OWN));
    for (x, _) in points.iter().filter(|(_, y)| y.is_none()) {
        absent(marks, at(plane.x_of(*x), plane.plot.bottom - 7.0));
    }
}

fn titled(name: &str, unit: &str) -> String {
    if unit.is_empty() { name.to_owned() } else { format!("{name} ({unit})") }
}

/// Three digits, as print has them.
fn number(value: f64) -> String {
    let size = short(value.abs(), 3);
    if value < 0.0 { format!("−{size}") } else { size }
}
