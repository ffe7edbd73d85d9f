//! The ways a reed swings.

use super::Picture;
use super::arrow::double;
use super::flags::{Flag, Flags};
use super::frame::{ALONG, Frame, HEADING, LEVEL_AXIS, Signs, length, mm};
use super::marks::{Area, Marks, Point, at, pen, plain};
use super::page::{LEFT, Page, RIGHT};
use super::scale::{Scale, short};
use super::tone::Tone;
use super::{LARGEST, palette, text, tongue_strip};

const PANEL_HEIGHT: f64 = 150.0;
/// Room to the right of the data for the names of the modes.
const NAME_ROOM: f64 = 60.0;

/// The first bending modes of one reed, one above the other.
#[derive(Debug, Clone, PartialEq)]
pub struct ModeChart {
    /// The reed, as the reader knows it.
    pub reed_name: String,
    /// From the clamp to the tip (m).
    pub length_m: f64,
    /// Places from the clamp (m) and the thickness there (m).
    pub thickness_m: Vec<(f64, f64)>,
    /// The modes, lowest first.
    pub modes: Vec<SwingMode>,
    /// Assumptions and model version, set small below the chart.
    pub small_print: String,
}

/// One way of swinging.
#[derive(Debug, Clone, PartialEq)]
pub struct SwingMode {
    /// Its pitch.
    pub tone: Tone,
    /// Places from the clamp (m) and the swing there, in units of that of the tip.
    pub shape: Vec<(f64, f64)>,
    /// Places that stand still (m).
    pub nodes_m: Vec<f64>,
}

impl ModeChart {
    /// The chart, to be written or drawn.
    pub fn picture(&self) -> Picture {
        let title = self.title();
        let mut page = Page::open(&title, &self.reed_name);
        let across = Scale::Linear { low: 0.0, high: self.length_mm() };
        let strip = page.take(tongue_strip::HEIGHT);
        let x = |s: f64| LEFT + across.share(mm(s)) * (RIGHT - NAME_ROOM - LEFT);
        tongue_strip::draw(&mut page.marks, strip, &self.thickness_m, x);
        let mut last = None;
        for k in 0..self.modes.len() {
            last = Some(self.panel(&mut page, k, across));
        }
        match last {
            Some(frame) => {
                let below = page.take(LEVEL_AXIS);
                frame.level_axis(&mut page.marks, below.top, ALONG);
            }
            None => {
                let plot = page.take(PANEL_HEIGHT);
                page.empty(plot, "No mode of this reed is known.");
            }
        }
        let description = format!("The swing along the reed for each mode; level axis: {ALONG}. {title}.");
        page.close(&self.small_print, &description)
    }

    fn length_mm(&self) -> f64 {
        if (1e-6..=LARGEST).contains(&self.length_m) { mm(self.length_m) } else { 1.0 }
    }

    fn title(&self) -> String {
        let times = |k: usize| self.modes[k].tone.frequency_hz / self.modes[0].tone.frequency_hz;
        match self.modes.as_slice() {
            [] => "The modes of this reed are not known".to_owned(),
            [first] => format!("It swings at {}", first.tone.in_words()),
            [first, others @ ..] => {
                let factors: Vec<String> = (1..=others.len()).map(|k| ratio(times(k))).collect();
                let (count, first) = (others.len(), first.tone.in_words());
                let these = if count == 1 { "The next mode above" } else { "The modes above" };
                format!(
                    "{these} {first}, swing{} {} times as fast",
                    if count == 1 { "s" } else { "" },
                    factors.join(" and ")
                )
            }
        }
    }

    fn panel(&self, page: &mut Page, k: usize, across: Scale) -> Frame {
        let mode = &self.modes[k];
        page.take(HEADING);
        let flags = self.flags(mode, across);
        let flag_room = page.take(flags.height());
        let plot = Area { right: RIGHT - NAME_ROOM, ..page.take(PANEL_HEIGHT) };
        let reach = mode.shape.iter().map(|point| point.1.abs()).filter(|y| *y <= LARGEST).fold(0.0, f64::max);
        let frame = Frame { plot, across, up: Scale::around_zero(1.1 * reach) };
        let marks = &mut page.marks;
        frame.grid(marks, 4.0, Signs::All);
        frame.heading(marks, flag_room.top, &format!("mode {}: swing (tip = 1)", k + 1));
        self.swing(marks, &frame, mode);
        flags.draw(marks, flag_room, |_| frame.y(0.0) - 5.0);
        for node_m in self.nodes(mode) {
            marks.circle(at(frame.x(mm(node_m)), frame.y(0.0)), 4.5, palette::PAPER, pen(palette::INK, 1.8));
        }
        self.name(marks, &frame, k);
        frame
    }

    /// Both ends of the swing, the rest between them, and arrows where it is widest.
    fn swing(&self, marks: &mut Marks, frame: &Frame, mode: &SwingMode) {
        let side = |sign: f64| -> Vec<Point> {
            frame.points(mode.shape.iter().map(|(s, swing)| (mm(*s), sign * swing))).collect()
        };
        let (up, down) = (side(1.0), side(-1.0));
        let outline: Vec<Point> = up.iter().copied().chain(down.iter().rev().copied()).collect();
        if outline.len() > 2 {
            marks.patch(&outline, palette::PALE_SKY);
        }
        let zero = frame.y(0.0);
        marks.line(at(frame.plot.left, zero), at(frame.plot.right, zero), pen(palette::SOFT_INK, 1.2));
        marks.path(&down, pen(palette::BLUE, 1.8).dashed("6 4"));
        marks.path(&up, pen(palette::BLUE, 2.2));
        let arrow_pen = pen(palette::INK, 1.4);
        for (place_mm, swing) in bellies(&mode.shape) {
            let (x, half) = (frame.x(place_mm), (frame.y(0.0) - frame.y(swing.abs())) - 5.0);
            if half > 12.0 {
                double(marks, at(x, zero - half), at(x, zero + half), arrow_pen);
            }
        }
    }

    /// Frequency, note and ratio, to the right of the tip.
    fn name(&self, marks: &mut Marks, frame: &Frame, k: usize) {
        let (x, middle) = (frame.plot.right + 16.0, frame.y(0.0));
        let tone = &self.modes[k].tone;
        marks.text(at(x, middle - 10.0), &tone.hertz(), plain(15.0).bold().coloured(palette::BLUE));
        let times = ratio(tone.frequency_hz / self.modes[0].tone.frequency_hz);
        let times = if k > 0 { format!("{times} × the first") } else { String::new() };
        let lines = [tone.note(), times].into_iter().filter(|line| !line.is_empty());
        for (row, line) in lines.enumerate() {
            let line = text::shorten(&line, 13.0, 150.0);
            marks.text(at(x, middle + 9.0 + 18.0 * row as f64), &line, plain(13.0));
        }
    }

    /// Nodes that lie on the reed (m).
    fn nodes(&self, mode: &SwingMode) -> Vec<f64> {
        mode.nodes_m.iter().copied().filter(|s| (0.0..=self.length_mm()).contains(&mm(*s))).collect()
    }

    fn flags(&self, mode: &SwingMode, across: Scale) -> Flags {
        let nodes = self.nodes(mode);
        let flags = nodes.iter().map(|node_m| {
            let share = short(mm(*node_m) / self.length_mm(), 3);
            Flag {
                x: LEFT + across.share(mm(*node_m)) * (RIGHT - NAME_ROOM - LEFT),
                whole: format!("node: stands still {} from the clamp ({share} of the length)", length(*node_m)),
                least: format!("node, {}", length(*node_m)),
            }
        });
        Flags::arrange(&flags.collect::<Vec<_>>())
    }
}

/// A ratio of frequencies, "6.27".
fn ratio(value: f64) -> String {
    if value.is_finite() { crate::units::significant(value, 3) } else { "?".to_owned() }
}

/// Where (mm) the swing is widest between nodes, and just short of the tip.
fn bellies(shape: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let inside = shape.windows(3).filter(|w| w[1].1.abs() > w[0].1.abs() && w[1].1.abs() >= w[2].1.abs());
    let near_tip = shape.len().checked_sub(1).and_then(|last| shape.get(last - last / 50));
    let all = inside.map(|w| w[1]).chain(near_tip.copied());
    all.filter(|(s, y)| s.abs() <= LARGEST && y.abs() <= LARGEST).map(|(s, y)| (mm(s), y)).collect()
}
