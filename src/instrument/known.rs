//! How well the figures of a reed are known.

use serde::{Deserialize, Serialize};

use super::figure::{Figure, Figures};
use super::nearby::Nearby;
use super::tool::{Off, RECTANGULAR, Tool};
use crate::sheet::CheckedReed;

/// How far a figure may be off: what each tool adds, and what is the reading's own.
///
/// The parts of one tool are added before they are squared, since one feeler is off alike in every gap; between two reeds
/// they mostly cancel.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Uncertainty {
    /// Standard deviation by each tool, with its sign, in the order of [`Tool`].
    pub by_tool: [f64; Tool::COUNT],
    /// Variance of the rest.
    pub own: f64,
    /// Fourth cumulant of the rest: below zero where few inputs with sharp bounds make it up.
    pub own_fourth: f64,
    /// What is to be added to the figure for what may be expected: what is assumed may lie to one side of its spread.
    pub off: f64,
    /// An input at the end of its tolerance leaves no such figure: it may be off by more.
    pub or_more: bool,
}

impl Uncertainty {
    /// Half of an 80 % interval over the standard deviation of a normal distribution (any table of it).
    pub(super) const INTERVAL_80: f64 = 1.281_551_565_544_6;
    /// Fourth cumulant of a rectangular distribution over the square of its variance (any table of distributions).
    const SHARP: f64 = -1.2;

    /// Standard deviation.
    pub fn deviation(&self) -> f64 {
        (self.by_tool.iter().map(|part| part * part).sum::<f64>() + self.own).sqrt()
    }

    /// Half of the interval that holds the true value in 80 % of all cases: of a normal distribution `1.28 s`, and somewhat
    /// more of one without tails, as a few inputs with sharp bounds make it. With the excess of kurtosis `k` the quantile `z`
    /// becomes `z + (z^3 - 3 z) k/24` (E. A. Cornish and R. A. Fisher, *Rev. Inst. Int. Stat.* 5, 1938).
    ///
    /// ```
    /// use freereed::instrument::Uncertainty;
    /// // One rectangular part of half width 1: 80 % lie within 0.8 (told to 2 %).
    /// let mut one = Uncertainty::default();
    /// one.by_tool[0] = 1.0 / 3.0_f64.sqrt();
    /// assert!((one.half_interval() / 0.8 - 1.0).abs() < 0.02);
    /// ```
    pub fn half_interval(&self) -> f64 {
        let z = Self::INTERVAL_80;
        let deviation = self.deviation();
        if deviation == 0.0 {
            return 0.0;
        }
        let sharp = self.by_tool.iter().enumerate().filter(|(tool, _)| Tool::is_sharp(*tool));
        let fourth = Self::SHARP * sharp.map(|(_, part)| part.powi(4)).sum::<f64>() + self.own_fourth;
        (z + (z.powi(3) - 3.0 * z) / 24.0 * fourth / deviation.powi(4)) * deviation
    }

    /// Of the difference of two figures measured with the same tools.
    #[must_use]
    pub fn of_difference(&self, other: &Self) -> Self {
        Self {
            by_tool: std::array::from_fn(|k| self.by_tool[k] - other.by_tool[k]),
            own: self.own + other.own,
            own_fourth: self.own_fourth + other.own_fourth,
            off: self.off - other.off,
            or_more: self.or_more || other.or_more,
        }
    }

    /// Of the figure with its sign turned.
    #[must_use]
    pub(super) fn turned(&self) -> Self {
        Self { by_tool: self.by_tool.map(|part| -part), off: -self.off, ..*self }
    }

    /// With what one input adds: `change` is what the figure changes by with one standard deviation of it, from its middle.
    fn add(&mut self, [change, aside]: [f64; 2], off: &Off) {
        self.off += aside;
        let shared = off.shared();
        self.by_tool[off.tool as usize] += change * shared.sqrt();
        let own = change.abs() * (1.0 - shared).sqrt();
        if off.is_sharp() { self.add_own(own) } else { self.own += own * own }
    }

    /// Standard deviation of a single reading's own error, of a tolerance: half of the variance is the tool's.
    pub(super) fn own_of(tolerance: f64) -> f64 {
        tolerance * (0.5 * RECTANGULAR).sqrt()
    }

    /// Half of it the tool's, half of it the reading's, of a tolerance in the figure's own measure.
    pub(super) fn read(tolerance: f64, tool: Tool) -> Self {
        let mut found = Self::default();
        let half = Self::own_of(tolerance);
        found.by_tool[tool as usize] = half;
        found.add_own(half);
        found
    }

    /// Something within sharp bounds, with a standard deviation of its own.
    pub(super) fn add_own(&mut self, deviation: f64) {
        self.own += deviation * deviation;
        self.own_fourth += Self::SHARP * deviation.powi(4);
    }
}

/// The uncertainty of every figure.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Uncertainties([Uncertainty; Figure::COUNT]);

impl Uncertainties {
    /// That of a figure.
    pub fn get(&self, figure: Figure) -> &Uncertainty {
        &self.0[figure as usize]
    }

    pub(super) fn set(&mut self, figure: Figure, uncertainty: Uncertainty) {
        self.0[figure as usize] = uncertainty;
    }

    /// From tolerances and spreads: each input that may be off is moved by one standard deviation of it, and what every figure
    /// changes by is taken to grow in proportion. Where that is much, and of what is assumed, the input is moved the other way
    /// too and half of the difference counts. What is assumed aside from the middle of its spread is moved there first.
    pub(super) fn of(checked: &CheckedReed, nearby: &Nearby) -> Self {
        let here = nearby.figures(&checked.reed);
        let mut found = Self::default();
        for off in Off::all(checked) {
            let change = change(&off, checked, nearby, &here);
            for (k, uncertainty) in found.0.iter_mut().enumerate() {
                match change[k] {
                    Some(change) => uncertainty.add(change, &off),
                    None => uncertainty.or_more |= here.0[k].is_some(),
                }
            }
        }
        found
    }
}

/// What each figure changes by with one standard deviation of an input, and from what was found to the middle of what the
/// input may be; nothing where there is no such figure.
fn change(off: &Off, checked: &CheckedReed, nearby: &Nearby, here: &Figures) -> [Option<[f64; 2]>; Figure::COUNT] {
    let at = |x: f64| off.moved(checked, x).map(|moved| nearby.figures(&moved.reed));
    let middle = if off.is_aside() { at(0.0) } else { None };
    let from = middle.as_ref().unwrap_or(here);
    let up = at(1.0);
    let both = !off.is_sharp() || up.as_ref().is_none_or(|up| up.is_far_from(from));
    let down = if both { at(-1.0) } else { None };
    let figure = |k: usize| {
        let [up, down, from, here] = [up.as_ref(), down.as_ref(), Some(from), Some(here)].map(|figures| figures?.0[k]);
        let aside = from.zip(here).map_or(0.0, |(from, here)| from - here);
        match (up, down) {
            (Some(up), Some(down)) => Some([0.5 * (up - down), aside]),
            (Some(up), None) => Some([up - from?, aside]),
            (None, Some(down)) => Some([from? - down, aside]),
            (None, None) => None,
        }
    };
    std::array::from_fn(figure)
}
