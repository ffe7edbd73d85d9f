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
    /// An input at the end of its tolerance leaves no such figure: it may be off by more.
    pub or_more: bool,
}

impl Uncertainty {
    /// Half of an 80 % interval over the standard deviation of a normal distribution (any table of it).
    const INTERVAL_80: f64 = 1.281_551_565_544_6;
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
    /// let one = Uncertainty { by_tool: [1.0 / 3.0_f64.sqrt(), 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0], ..Default::default() };
    /// assert!((one.half_interval() / 0.8 - 1.0).abs() < 0.02);
    /// ```
    pub fn half_interval(&self) -> f64 {
        let z = Self::INTERVAL_80;
        let deviation = self.deviation();
        if deviation == 0.0 {
            return 0.0;
        }
        let fourth = Self::SHARP * self.by_tool.iter().map(|part| part.powi(4)).sum::<f64>() + self.own_fourth;
        (z + (z.powi(3) - 3.0 * z) / 24.0 * fourth / deviation.powi(4)) * deviation
    }

    /// Of the difference of two figures measured with the same tools.
    #[must_use]
    pub fn of_difference(&self, other: &Self) -> Self {
        Self {
            by_tool: std::array::from_fn(|k| self.by_tool[k] - other.by_tool[k]),
            own: self.own + other.own,
            own_fourth: self.own_fourth + other.own_fourth,
            or_more: self.or_more || other.or_more,
        }
    }

    /// With what one input adds: `swing` is what the figure changes by from the middle to the end of what the input may be.
    fn add(&mut self, swing: f64, tool: Tool, shared: f64) {
        self.by_tool[tool as usize] += swing * (RECTANGULAR * shared).sqrt();
        self.add_own((swing * swing * RECTANGULAR * (1.0 - shared)).sqrt());
    }

    /// Half of it the tool's, half of it the reading's, of a tolerance in the figure's own measure.
    pub(super) fn read(tolerance: f64, tool: Tool) -> Self {
        let mut found = Self::default();
        found.add(tolerance, tool, 0.5);
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

    /// From the tolerances: each input that may be off is moved to one standard deviation of it, and what every figure
    /// changes by is taken to grow in proportion. Where the input may be off by much (more than a fifth), it is moved both
    /// ways and the mean counts.
    pub(super) fn of(checked: &CheckedReed, nearby: &Nearby) -> Self {
        let here = nearby.figures(&checked.reed);
        let mut found = Self::default();
        let offs = Off::all(checked);
        let mut swings: Vec<Swing> = offs.iter().map(|off| Swing::of(off, checked, nearby, &here)).collect();
        by_whole_attacks(&mut swings, &offs, checked, nearby);
        for (off, swing) in offs.iter().zip(&swings) {
            for (k, uncertainty) in found.0.iter_mut().enumerate() {
                match (swing.0[k], ALL[k]) {
                    (Some(change), _) => uncertainty.add(change, off.tool, off.shared()),
                    (None, figure) => uncertainty.or_more |= here.get(figure).is_some(),
                }
            }
        }
        for figure in [Figure::Low, Figure::High] {
            found.0[figure as usize].add_own(SEARCHED);
        }
        found
    }
}

/// The speaking time follows growth less closely the more of it is the blow's own: how closely, two whole attacks tell, with
/// the input moved both ways that matters most, and all swings of the time are brought to their measure.
fn by_whole_attacks(swings: &mut [Swing], offs: &[Off], checked: &CheckedReed, nearby: &Nearby) {
    const TIME: usize = Figure::Time as usize;
    let size = |swing: &Swing| swing.0[TIME].map_or(0.0, f64::abs);
    let Some((swing, off)) = swings.iter().zip(offs).max_by(|a, b| size(a.0).total_cmp(&size(b.0))) else { return };
    let step = RECTANGULAR.sqrt();
    let whole = |x: f64| off.moved(checked, x).and_then(|moved| nearby.whole_ln_time(&moved.reed));
    let Some(((up, down), by_growth)) = whole(step).zip(whole(-step)).zip(swing.0[TIME]) else { return };
    let share = (up - down) / (2.0 * step) / by_growth;
    if share.is_finite() {
        swings.iter_mut().filter_map(|swing| swing.0[TIME].as_mut()).for_each(|time| *time *= share);
    }
}

/// An end of the window is told from its inner side and lies anywhere within 3 % of that: root of the mean square.
const SEARCHED: f64 = 0.03 / 1.732_050_808;
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
