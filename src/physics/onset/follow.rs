//! Static rest and first mode, followed in pressure.

use super::{Growth, Search};
use crate::physics::equilibrium::{Equilibrium, Fold};
use crate::physics::linear::{Eigenmode, SmallMotion};
use crate::physics::model::ReedModel;

/// Relative accuracy of onset and choke.
pub(super) const ACCURACY: f64 = 1e-7;
/// An overlap that leaves no doubt which mode is which.
const CLEAR_OVERLAP: f64 = 0.9;

/// The static rest and the first mode there.
#[derive(Debug, Clone, Copy)]
pub(super) struct Point {
    pub(super) rest: Equilibrium,
    pub(super) mode: Eigenmode,
}

impl Point {
    pub(super) fn pressure(&self) -> f64 {
        self.rest.mouth_pa
    }

    pub(super) fn growth(&self) -> Growth {
        Growth {
            pressure_pa: self.rest.mouth_pa,
            growth_per_s: self.mode.growth_per_s,
            frequency_hz: self.mode.frequency_hz,
        }
    }
}

/// Follows static rest and first mode in pressure, counting its work.
pub(super) struct Follower {
    /// The model up to the mouth.
    pub(super) model: ReedModel,
    pub(super) evaluations: usize,
}

pub(super) fn rate(point: &Point) -> f64 {
    point.mode.growth_per_s
}

impl Follower {
    pub(super) fn new(model: &ReedModel) -> Self {
        Self { model: model.to_the_mouth(), evaluations: 0 }
    }

    /// The first mode at the lowest pressure is the one with most of its energy in the reed's first bending mode.
    pub(super) fn start(&mut self, lowest_pa: f64) -> Option<Point> {
        let rest = self.model.equilibrium_from(&Equilibrium::default(), lowest_pa).ok()?;
        self.evaluations += 1;
        let modes = SmallMotion::about(&self.model, &rest).modes();
        let share = |mode: &Eigenmode| mode.first_mode_share();
        let mode = modes.into_iter().max_by(|a, b| share(a).total_cmp(&share(b)))?;
        Some(Point { rest, mode })
    }

    /// The next point, if it is clearly on the same branch and of the same mode.
    fn step(&mut self, from: &Point, mouth_pa: f64) -> Result<Point, Doubt> {
        let rest = self.model.equilibrium_from(&from.rest, mouth_pa).map_err(Doubt::Fold)?;
        self.evaluations += 1;
        let motion = SmallMotion::about(&self.model, &rest);
        if let Some(mode) = motion.mode_after(&from.mode).filter(|mode| mode.overlap(&from.mode) > CLEAR_OVERLAP) {
            return Ok(Point { rest, mode });
        }
        let overlap = |mode: &Eigenmode| mode.overlap(&from.mode);
        let modes = motion.modes();
        let best = modes.into_iter().max_by(|a, b| overlap(a).total_cmp(&overlap(b))).unwrap_or(from.mode);
        let point = Point { rest, mode: best };
        if overlap(&best) > CLEAR_OVERLAP { Ok(point) } else { Err(Doubt::Mode(Box::new(point))) }
    }

    /// Goes to `mouth_pa`, halving the step while in doubt which mode is which.
    pub(super) fn advance(&mut self, from: &Point, mouth_pa: f64) -> Result<Point, Fold> {
        const SMALLEST: f64 = 1e-8;
        let (mut here, mut target) = (*from, mouth_pa);
        loop {
            let close = target / here.pressure() - 1.0 < SMALLEST;
            match self.step(&here, target) {
                Ok(point) if target == mouth_pa => return Ok(point),
                Ok(point) => (here, target) = (point, mouth_pa),
                Err(Doubt::Mode(found)) if close && target == mouth_pa => return Ok(*found),
                Err(Doubt::Mode(found)) if close => (here, target) = (*found, mouth_pa),
                Err(Doubt::Mode(_)) => target = (here.pressure() * target).sqrt(),
                Err(Doubt::Fold(fold)) => return Err(fold),
            }
        }
    }

    /// Goes to a far pressure in steps, which may be longer than those of a search: nothing between is asked for.
    pub(super) fn travel(&mut self, from: Point, mouth_pa: f64) -> Option<Point> {
        const RATIO: f64 = 1.3;
        let mut here = from;
        while here.pressure() < mouth_pa {
            let next = (here.pressure() * RATIO).min(mouth_pa);
            here = self.advance(&here, next).ok()?;
        }
        Some(here)
    }

    /// The point at a pressure, followed from no pressure; nothing beyond a fold.
    pub(super) fn reach(&mut self, mouth_pa: f64) -> Option<Point> {
        let start = self.start(mouth_pa.min(Search::default().lowest_pa))?;
        self.travel(start, mouth_pa)
    }

    /// Where the growth rate passes `level` between two neighbouring points: false position with the Illinois
    /// modification (M. Dowell and P. Jarratt, BIT 11 (1971) 168) in the logarithm of the pressure.
    pub(super) fn crossing(&mut self, before: &Point, after: &Point, level: f64) -> Point {
        let (mut lo, mut hi) = (*before, *after);
        let (mut f_lo, mut f_hi) = (rate(&lo) - level, rate(&hi) - level);
        let mut best = hi;
        while hi.pressure() / lo.pressure() - 1.0 > ACCURACY {
            let (a, b) = (lo.pressure().ln(), hi.pressure().ln());
            let guess = (b - f_hi * (b - a) / (f_hi - f_lo)).exp();
            // Stay off the ends, so that the bracket closes from both sides.
            let margin = 0.25 * ACCURACY * guess;
            let pressure = guess.clamp(lo.pressure() + margin, hi.pressure() - margin);
            let Ok(middle) = self.advance(&lo, pressure) else { break };
            best = middle;
            let f = rate(&middle) - level;
            if f == 0.0 {
                break;
            }
            if (f > 0.0) == (f_hi > 0.0) {
                (hi, f_hi) = (middle, f);
                f_lo *= 0.5;
            } else {
                (lo, f_lo) = (middle, f);
                f_hi *= 0.5;
            }
        }
        best
    }
}

/// Why a step could not be taken as it was.
enum Doubt {
    /// The static rest folds before.
    Fold(Fold),
    /// No mode is clearly the one followed; the likeliest is given.
    Mode(Box<Point>),
}
