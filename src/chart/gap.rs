//! How the playable window of a reed changes with its tip gap, for a few clearances.

mod curve;
mod draw;

use super::Picture;
use super::window::{PlayerPressures, Shown, Window};
use super::{LARGEST, plottable};

/// What the reed would do at one tip gap.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GapPoint {
    /// Tip gap (m).
    pub gap_m: f64,
    /// What it does; [`Window::Unknown`] leaves a gap in the lines.
    pub window: Window,
}

/// The reed with one clearance, over tip gaps.
#[derive(Debug, Clone, PartialEq)]
pub struct GapCurve {
    /// Clearance between reed and slot (m).
    pub clearance_m: f64,
    /// What it does, in any order.
    pub points: Vec<GapPoint>,
}

/// The reed as it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OwnGap {
    /// Its tip gap (m).
    pub gap_m: f64,
    /// Its clearance (m); the curve of the same clearance (to 2 %) is drawn strong.
    pub clearance_m: f64,
    /// What it does.
    pub window: Window,
}

/// Lowest and highest playable pressure over the tip gap, one pair of lines for each clearance.
///
/// Where the window is closed there is no line. Onset and choke are drawn faint.
#[derive(Debug, Clone, PartialEq)]
pub struct GapChart {
    /// The reed, as the reader knows it.
    pub reed_name: String,
    /// One curve for each clearance; up to five are told apart by line and shade.
    pub curves: Vec<GapCurve>,
    /// The reed as it is, if it is to be marked.
    pub own: Option<OwnGap>,
    /// What the player gives at the note of the reed.
    pub player: Option<PlayerPressures>,
    /// The highest pressure that was asked (Pa): windows with an open end reach it.
    pub pressure_limit_pa: f64,
    /// Assumptions and model version, set small below the chart.
    pub small_print: String,
}

impl GapChart {
    /// The chart, to be written or drawn.
    pub fn picture(&self) -> Picture {
        draw::Drawing::of(self).picture()
    }
}

/// A curve with what can be drawn of it, in order of the gap (mm).
struct Curve {
    clearance_m: f64,
    is_own: bool,
    points: Vec<(f64, Shown)>,
}

impl Curve {
    fn of(curve: &GapCurve, own: Option<&OwnGap>) -> Self {
        let is_known = |gap_m: f64| gap_m.abs() <= LARGEST;
        let known = curve.points.iter().filter(|point| is_known(point.gap_m));
        let mut points: Vec<_> = known.map(|point| (1000.0 * point.gap_m, Shown::of(&point.window))).collect();
        points.sort_by(|a, b| a.0.total_cmp(&b.0));
        let near = |own: &OwnGap| (curve.clearance_m / own.clearance_m - 1.0).abs() < 0.02;
        Self { clearance_m: curve.clearance_m, is_own: own.is_some_and(near), points }
    }

    /// Every pressure at which something ends (Pa).
    fn ends(&self) -> impl Iterator<Item = f64> + '_ {
        self.points.iter().filter_map(|(_, shown)| shown.bar()).flat_map(|bar| bar.ends().collect::<Vec<_>>())
    }

    fn is_open(&self) -> bool {
        self.points.iter().filter_map(|(_, shown)| shown.bar()).any(|bar| bar.is_open())
    }
}

impl GapChart {
    /// The limit of what was asked, if an axis has a place for it (Pa).
    fn limit_pa(&self) -> Option<f64> {
        plottable(self.pressure_limit_pa)
    }
}
