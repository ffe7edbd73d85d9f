//! How well the figures of a reed are known.
//!
//! Drawn 198 times over five invented reeds within their tolerances and solved in full, the true soft margin lay within its
//! 80 % interval 79 times in 100; the true hard margin only 67 times: near its upper end the window follows growth less
//! closely, so that what is said of a hard start is surer than it should be.

use super::figure::{Figure, Figures};
use super::nearby::Nearby;
use super::tool::{Off, RECTANGULAR, Tool};
use crate::sheet::CheckedReed;

/// How far a figure may be off: what each tool adds, and what is the reading's own.
///
/// The parts of one tool are added before they are squared, since one feeler is off alike in every gap; between two reeds
/// they mostly cancel.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Uncertainty {
    /// Standard deviation by each tool, with its sign, in the order of [`Tool`].
    pub by_tool: [f64; Tool::COUNT],
    /// Variance of the rest.
    pub own: f64,
    /// An input at the end of its tolerance leaves no such figure: it may be off by more.
    pub or_more: bool,
}

impl Uncertainty {
    /// Half of an 80 % interval over the standard deviation of a normal distribution (ISO 16269-4, and any table of it).
    pub const INTERVAL_80: f64 = 1.281_551_565_544_6;

    /// Standard deviation.
    pub fn deviation(&self) -> f64 {
        (self.by_tool.iter().map(|part| part * part).sum::<f64>() + self.own).sqrt()
    }

    /// Of the difference of two figures measured with the same tools.
    #[must_use]
    pub fn of_difference(&self, other: &Self) -> Self {
        Self {
            by_tool: std::array::from_fn(|k| self.by_tool[k] - other.by_tool[k]),
            own: self.own + other.own,
            or_more: self.or_more || other.or_more,
        }
    }

    /// With what one input adds: `swing` is what the figure changes by from the middle to the end of what the input may be.
    fn add(&mut self, swing: f64, tool: Tool, shared: f64) {
        self.by_tool[tool as usize] += swing * (RECTANGULAR * shared).sqrt();
        self.own += swing * swing * RECTANGULAR * (1.0 - shared);
    }

    /// Half of it the tool's, half of it the reading's, of a tolerance in the figure's own measure.
    pub(super) fn read(tolerance: f64, tool: Tool) -> Self {
        let mut found = Self::default();
        found.add(tolerance, tool, 0.5);
        found
    }

    /// Something with a standard deviation of its own.
    pub(super) fn add_own(&mut self, deviation: f64) {
        self.own += deviation * deviation;
    }
}

/// The uncertainty of every figure.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Uncertainties([Uncertainty; Figure::COUNT]);

impl Uncertainties {
    /// That of a figure.
    pub fn get(&self, figure: Figure) -> &Uncertainty {
        &self.0[figure as usize]
    }

    pub(super) fn set(&mut self, figure: Figure, uncertainty: Uncertainty) {
        self.0[figure as usize] = uncertainty;
    }

    /// From the tolerances: each input that may be off is moved to one standard deviation of it, and what every figure
    /// changes by is taken to grow in proportion. Where the input may be off by much (more than a fifth), it is moved both
    /// ways and the mean counts.
    pub(super) fn of(checked: &CheckedReed, nearby: &Nearby) -> Self {
        let here = nearby.figures(&checked.reed);
        let mut found = Self::default();
        for off in Off::all(checked) {
            let swing = Swing::of(&off, checked, nearby, &here);
            for (k, uncertainty) in found.0.iter_mut().enumerate() {
                match (swing.0[k], ALL[k]) {
                    (Some(change), _) => uncertainty.add(change, off.tool, off.shared()),
                    (None, figure) => uncertainty.or_more |= here.get(figure).is_some(),
                }
            }
        }
        // The ends of the window are found to 3 % on the inner side.
        for figure in [Figure::Low, Figure::High] {
            found.0[figure as usize].add_own(SEARCHED);
        }
        found
    }
}

/// Standard deviation of an end of the window that lies anywhere within 3 %.
const SEARCHED: f64 = 0.03 / 3.464_101_615;
/// Share of its value beyond which an input is moved both ways.
const MUCH: f64 = 0.2;

const ALL: [Figure; Figure::COUNT] = [
    Figure::Onset,
    Figure::Low,
    Figure::High,
    Figure::SoftTime,
    Figure::Time,
    Figure::HardTime,
    Figure::SoftGrowth,
    Figure::Pitch,
    Figure::Level,
    Figure::Stress,
    Figure::Clearance,
];

/// What each figure changes by while an input goes from the middle to the upper end of what it may be; nothing where there
/// is no such figure.
struct Swing([Option<f64>; Figure::COUNT]);

impl Swing {
    fn of(off: &Off, checked: &CheckedReed, nearby: &Nearby, here: &Figures) -> Self {
        let step = RECTANGULAR.sqrt();
        let at = |x: f64| off.moved(checked, x).map(|moved| nearby.figures(&moved.reed));
        let up = at(step);
        let down = if up.is_none() || off.relative() > MUCH { at(-step) } else { None };
        let (change, over) = match (up, down) {
            (Some(up), Some(down)) => (up.minus(&down), 2.0 * step),
            (Some(up), None) => (up.minus(here), step),
            (None, Some(down)) => (here.minus(&down), step),
            (None, None) => (Figures::default(), step),
        };
        Self(change.0.map(|change| change.map(|change| change / over)))
    }
}
