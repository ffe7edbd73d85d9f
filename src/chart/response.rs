//! How soon a reed speaks at each pressure, as it is and with other settings.

mod draw;

use super::Picture;
use super::plottable;
use super::speaking::Speech;
use super::window::PlayerPressures;

/// How the reed answers one pressure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ResponsePoint {
    /// Mouth pressure (Pa).
    pub pressure_pa: f64,
    /// What it does.
    pub speech: Speech,
}

/// The reed with one setting, over the pressures.
#[derive(Debug, Clone, PartialEq)]
pub struct ResponseCurve {
    /// The setting with its unit, such as "tip gap 0.30 mm"; shown as it is.
    pub label: String,
    /// Whether this is the reed as it is, drawn strong.
    pub is_own: bool,
    /// How it answers, in any order.
    pub points: Vec<ResponsePoint>,
}

/// Speaking time over the blowing pressure, one line for each setting of the reed.
///
/// A line ends in a cross where the reed does not speak.
#[derive(Debug, Clone, PartialEq)]
pub struct ResponseChart {
    /// The reed, as the reader knows it.
    pub reed_name: String,
    /// One line for each setting; up to five are told apart by line and shade.
    pub curves: Vec<ResponseCurve>,
    /// The time the reed may take (s); `None` if there is no such limit.
    pub allowed_s: Option<f64>,
    /// What the player gives at the note of the reed.
    pub player: Option<PlayerPressures>,
    /// Assumptions and model version, set small below the chart.
    pub small_print: String,
}

impl ResponseChart {
    /// The chart, to be written or drawn.
    pub fn picture(&self) -> Picture {
        draw::Drawing::of(self).picture()
    }

    fn allowed_s(&self) -> Option<f64> {
        self.allowed_s.and_then(plottable)
    }
}

/// A curve with what can be drawn of it, in order of pressure.
struct Curve<'a> {
    label: &'a str,
    is_own: bool,
    /// Pressure (Pa) and answer.
    points: Vec<(f64, Speech)>,
}

impl<'a> Curve<'a> {
    fn of(curve: &'a ResponseCurve) -> Self {
        let known = curve.points.iter().filter(|point| plottable(point.pressure_pa).is_some());
        let mut points: Vec<(f64, Speech)> = known.map(|point| (point.pressure_pa, point.speech)).collect();
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        Self { label: &curve.label, is_own: curve.is_own, points }
    }

    /// Pressures (Pa) and times (s) where it speaks.
    fn spoken(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.points.iter().filter_map(|(pressure_pa, speech)| Some((*pressure_pa, speech.time_s()?)))
    }

    /// The pressure (Pa) at which it speaks soonest, and the time (s).
    fn soonest(&self) -> Option<(f64, f64)> {
        self.spoken().min_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// Where it speaks beside a pressure at which it does not: pressure (Pa) and time (s).
    fn ends(&self) -> Vec<(f64, f64)> {
        let pairs = self.points.windows(2).flat_map(|pair| [(pair[0], pair[1]), (pair[1], pair[0])]);
        let at_end = pairs.filter(|(_, beyond)| beyond.1 == Speech::Silent);
        at_end.filter_map(|((pressure_pa, speech), _)| Some((pressure_pa, speech.time_s()?))).collect()
    }

    fn never_speaks(&self) -> bool {
        !self.points.is_empty() && self.points.iter().all(|(_, speech)| *speech == Speech::Silent)
    }
}
