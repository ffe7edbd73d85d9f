//! Where on a reed the file raises the pitch, and where it lowers it.

use super::Picture;
use super::flags::{Flag, Flags};
use super::frame::{ALONG, Frame, HEADING, LEVEL_AXIS, Signs, length, mm};
use super::marks::{Anchor, Area, Marks, Point, at, pen, plain};
use super::page::{Page, RIGHT};
use super::scale::{Scale, short};
use super::tone::Tone;
use super::{LARGEST, palette, text, tongue_strip};

const PLOT_HEIGHT: f64 = 330.0;
const MEASURES: &str =
    "change of pitch (cents) for each 0.001 mm of metal taken off over 1 mm of length, the full width";
/// Size of the names of the regions.
const REGION_SIZE: f64 = 15.0;
/// The narrowest region that is named in the plot.
const NARROWEST: f64 = 90.0;

/// Where metal is to be taken, drawn as a bar on the line of no change.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FilingPatch {
    /// From (m from the clamp).
    pub from_m: f64,
    /// To (m from the clamp).
    pub to_m: f64,
    /// Metal to take (m).
    pub depth_m: f64,
    /// What that does to the pitch (cents).
    pub cents: f64,
}

/// How far filing moves the pitch, place by place along one reed.
#[derive(Debug, Clone, PartialEq)]
pub struct FilingChart {
    /// The reed, as the reader knows it.
    pub reed_name: String,
    /// Its plucked pitch.
    pub tone: Tone,
    /// From the clamp to the tip (m).
    pub length_m: f64,
    /// Places from the clamp (m) and the thickness there (m).
    pub thickness_m: Vec<(f64, f64)>,
    /// Places from the clamp (m) and cents for each micrometre taken off over a millimetre of length, the full width.
    pub sensitivity: Vec<(f64, f64)>,
    /// Places where filing does not move the pitch (m).
    pub neutral_m: Vec<f64>,
    /// Where metal is to be taken.
    pub patch: Option<FilingPatch>,
    /// Assumptions and model version, set small below the chart.
    pub small_print: String,
}

impl FilingChart {
    /// The chart, to be written or drawn.
    pub fn picture(&self) -> Picture {
        let curve = self.curve();
        let (title, subtitle) = self.headline(&curve);
        let mut page = Page::open(&title, &subtitle);
        let across = Scale::Linear { low: 0.0, high: self.length_mm() };
        let plot = |area: Area| Area { right: RIGHT - 40.0, ..area };
        page.take(HEADING);
        let flags = self.flags(plot(page.take(0.0)), across);
        let flag_room = page.take(flags.height());
        let area = plot(page.take(PLOT_HEIGHT));
        let up = Scale::over(curve.iter().map(|point| point.1).chain([0.0]), 0.06);
        let frame = Frame { plot: area, across, up };
        frame.grid(&mut page.marks, 8.0, Signs::All);
        frame.heading(&mut page.marks, flag_room.top, MEASURES);
        if curve.is_empty() {
            page.empty(area, "It is not known what filing does to this reed.");
        } else {
            regions(&mut page.marks, &frame, &curve);
            flags.draw(&mut page.marks, flag_room, |_| area.bottom);
            if let Some(patch) = self.patch() {
                draw_patch(&mut page.marks, &frame, &curve, patch);
            }
            ends(&mut page.marks, &frame, &curve);
            for place_m in self.neutral() {
                let centre = at(frame.x(mm(place_m)), frame.y(0.0));
                page.marks.circle(centre, 4.5, palette::PAPER, pen(palette::INK, 1.8));
            }
        }
        let strip = page.take(tongue_strip::HEIGHT);
        tongue_strip::draw(&mut page.marks, strip, &self.thickness_m, |s| frame.x(mm(s)));
        let below = page.take(LEVEL_AXIS);
        frame.level_axis(&mut page.marks, below.top, ALONG);
        page.close(&self.small_print, &format!("A curve of {MEASURES}, over the {ALONG}. {title}."))
    }

    fn length_mm(&self) -> f64 {
        if (1e-6..=LARGEST).contains(&self.length_m) { mm(self.length_m) } else { 1.0 }
    }

    /// Places (mm) and cents that can be drawn.
    fn curve(&self) -> Vec<(f64, f64)> {
        let drawn = self.sensitivity.iter().map(|(s, cents)| (mm(*s), *cents));
        drawn.filter(|(s, cents)| (0.0..=self.length_mm()).contains(s) && cents.abs() <= LARGEST).collect()
    }

    /// Neutral places that lie on the reed (m).
    fn neutral(&self) -> impl Iterator<Item = f64> {
        self.neutral_m.iter().copied().filter(|s| (0.0..=self.length_mm()).contains(&mm(*s)))
    }

    /// The patch, if it lies on the reed.
    fn patch(&self) -> Option<&FilingPatch> {
        let on_reed = |s: f64| (-1e-6..=self.length_mm() + 1e-6).contains(&mm(s));
        let drawn = |value: f64| value.abs() <= LARGEST;
        self.patch.as_ref().filter(|patch| {
            on_reed(patch.from_m)
                && on_reed(patch.to_m)
                && patch.from_m < patch.to_m
                && drawn(patch.depth_m)
                && drawn(patch.cents)
        })
    }

    fn headline(&self, curve: &[(f64, f64)]) -> (String, String) {
        let mut name = format!("{} · plucked {}", self.reed_name, self.tone.in_words());
        if let Some(patch) = self.patch() {
            let (from, to) = (length(patch.from_m), length(patch.to_m));
            let depth = format!("{:.4} mm", mm(patch.depth_m));
            name += &format!(
                "; bar: take {depth} off {from} to {to}, {}",
                crate::units::cents(patch.cents).replace('-', "−")
            );
        }
        let (Some(first), Some(last)) = (curve.first(), curve.last()) else {
            return ("What filing does to this reed is not known".to_owned(), name);
        };
        let what = |cents: f64| if cents < 0.0 { "lowers" } else { "raises" };
        let places: Vec<f64> = self.neutral().collect();
        let title = match places[..] {
            [place_m] => {
                let (near, beyond) = (what(first.1), what(last.1));
                let place = length(place_m);
                format!("Filing {near} the pitch up to {place} from the clamp, and {beyond} it beyond")
            }
            [] => format!("Filing {} the pitch all along the reed", what(last.1)),
            _ => format!("Filing lowers the pitch in some places and raises it in others, {} neutral", places.len()),
        };
        let ratio = (first.1 / last.1).abs();
        let ends = if (0.01..=1e3).contains(&ratio) {
            format!("; a stroke at the clamp moves it {} times as far as one at the tip", short(ratio, 2))
        } else {
            String::new()
        };
        (title, name + &ends)
    }

    fn flags(&self, plot: Area, across: Scale) -> Flags {
        let flags: Vec<Flag> = self
            .neutral()
            .map(|place_m| Flag {
                x: plot.left + across.share(mm(place_m)) * (plot.right - plot.left),
                whole: format!(
                    "neutral place, {} from the clamp ({} of the length)",
                    length(place_m),
                    short(mm(place_m) / self.length_mm(), 2)
                ),
                least: format!("neutral, {}", length(place_m)),
            })
            .collect();
        Flags::arrange(&flags)
    }
}

/// A bar over the patch, its ends carried to the curve.
fn draw_patch(marks: &mut Marks, frame: &Frame, curve: &[(f64, f64)], patch: &FilingPatch) {
    let (left, right) = (frame.x(mm(patch.from_m)), frame.x(mm(patch.to_m)));
    let middle = frame.y(0.0);
    for (x, place_m) in [(left, patch.from_m), (right, patch.to_m)] {
        let y = frame.y(value_at(curve, mm(place_m)));
        marks.line(at(x, middle), at(x, y), pen(palette::INK, 1.4).dashed("4 4"));
    }
    marks.fill(Area { left, top: middle - 4.0, right, bottom: middle + 4.0 }, palette::INK);
}

/// Value of the curve at a place (mm).
fn value_at(curve: &[(f64, f64)], place_mm: f64) -> f64 {
    let after = curve.partition_point(|point| point.0 < place_mm).clamp(1, curve.len().max(2) - 1);
    match (curve.get(after - 1), curve.get(after)) {
        (Some(a), Some(b)) if b.0 > a.0 => a.1 + (b.1 - a.1) * ((place_mm - a.0) / (b.0 - a.0)).clamp(0.0, 1.0),
        (Some(a), _) => a.1,
        _ => 0.0,
    }
}

/// Fills the curve down or up to zero and says in words what filing does there.
fn regions(marks: &mut Marks, frame: &Frame, curve: &[(f64, f64)]) {
    let zero = frame.y(0.0);
    for run in runs(curve) {
        let raises = run.iter().map(|point| point.1).sum::<f64>() > 0.0;
        let points: Vec<Point> = frame.points(run.iter().copied()).collect();
        let (left, right) = (points[0].x, points[points.len() - 1].x);
        let outline: Vec<Point> = points.into_iter().chain([at(right, zero), at(left, zero)]).collect();
        marks.patch(&outline, if raises { palette::PALE_SKY } else { palette::PALE_VERMILION });
        if right - left < NARROWEST {
            continue;
        }
        // The curve leaves the other side of zero free.
        let words = if raises { "filing here raises the pitch" } else { "filing here lowers the pitch" };
        let lines = text::wrap(words, 1.1 * REGION_SIZE, right - left - 12.0);
        let first = if raises { 26.0 } else { -12.0 - (lines.len() as f64 - 1.0) * 1.3 * REGION_SIZE };
        let colour = if raises { palette::BLUE } else { palette::VERMILION_TEXT };
        for (k, line) in lines.iter().enumerate() {
            let style = plain(REGION_SIZE).bold().coloured(colour).anchored(Anchor::Middle);
            marks.text(at(0.5 * (left + right), zero + first + k as f64 * 1.3 * REGION_SIZE), line, style);
        }
    }
    marks.line(at(frame.plot.left, zero), at(frame.plot.right, zero), pen(palette::INK, 1.2));
    marks.path(&frame.points(curve.iter().copied()).collect::<Vec<_>>(), pen(palette::INK, 2.0));
}

/// Stretches of one sign, each with the places where it meets zero.
fn runs(curve: &[(f64, f64)]) -> Vec<Vec<(f64, f64)>> {
    let mut runs: Vec<Vec<(f64, f64)>> = vec![Vec::new()];
    for (k, &(x, y)) in curve.iter().enumerate() {
        if let Some(&(x0, y0)) = k.checked_sub(1).map(|before| &curve[before])
            && y0 * y < 0.0
        {
            let crossing = (x0 + (x - x0) * y0 / (y0 - y), 0.0);
            runs.last_mut().expect("never empty").push(crossing);
            runs.push(vec![crossing]);
        }
        runs.last_mut().expect("never empty").push((x, y));
    }
    runs.retain(|run| run.len() > 1);
    runs
}

/// The furthest place from zero between the ends, if it is well beyond both.
fn furthest(curve: &[(f64, f64)]) -> Option<(f64, f64)> {
    let ends = curve[0].1.abs().max(curve[curve.len() - 1].1.abs());
    let furthest = curve.iter().copied().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))?;
    (furthest.1.abs() > 1.15 * ends).then_some(furthest)
}

/// Dots with their values at the clamp, at the tip and where filing does most.
fn ends(marks: &mut Marks, frame: &Frame, curve: &[(f64, f64)]) {
    let value = |cents: f64| {
        let size = crate::units::significant(cents, 2).replace('-', "−");
        format!("{}{size} cents", if cents > 0.0 { "+" } else { "" })
    };
    if let Some((place_mm, cents)) = furthest(curve) {
        let centre = at(frame.x(place_mm), frame.y(cents));
        marks.circle(centre, 4.0, palette::INK, pen(palette::INK, 1.0));
        let words = format!("{}, {}", value(cents), length(1e-3 * place_mm));
        let below = centre.y + if cents < 0.0 { 8.0 } else { -4.0 };
        marks.text(at(centre.x + 16.0, below), &words, plain(13.0));
    }
    for (point, is_tip) in [(curve[0], false), (curve[curve.len() - 1], true)] {
        let centre = at(frame.x(point.0), frame.y(point.1));
        marks.circle(centre, 4.0, palette::INK, pen(palette::INK, 1.0));
        if is_tip {
            marks.text(at(centre.x + 10.0, centre.y - 2.0), &value(point.1), plain(13.0));
            marks.text(at(centre.x + 10.0, centre.y + 13.0), "at the tip", plain(13.0));
        } else {
            // Where the curve does not go.
            let rises = curve.iter().find(|other| other.0 > point.0).is_none_or(|other| other.1 > point.1);
            let down = if rises { 8.0 } else { -8.0 };
            marks.text(at(centre.x + 16.0, centre.y + down), &format!("{} at the clamp", value(point.1)), plain(13.0));
        }
    }
}
