//! The window of a reed of which it is about known where it ends, as from one much like it.

use super::{ACCURACY, Demand, Edge, End, Playable, WindowSearch};
use crate::physics::attack::Promptness;
use crate::physics::model::ReedModel;
use crate::physics::onset::Speaking;

/// Ratio of two pressures between which an end lies: their middle is within [`ACCURACY`] of it either way.
const BETWEEN: f64 = (1.0 + ACCURACY) * (1.0 + ACCURACY);

/// Widest step outwards: past the upper end there may be a narrow stretch in which a run that ends early seems in time.
const WIDEST: f64 = BETWEEN * BETWEEN;

impl ReedModel {
    /// As [`ReedModel::playable`], beginning at pressures (Pa) near which the ends are expected: with good guesses in half
    /// the work. The ends are as accurate, but lie to either side of the true ones; `playable` keeps them inside. Where the
    /// guesses do not lead to a window, everything is searched.
    pub fn playable_near(&self, speaking: &Speaking, demand: Demand, low_pa: f64, high_pa: f64) -> Option<Playable> {
        let onset = speaking.onset?.pressure_pa;
        let mut search = WindowSearch { model: self, speaking, demand, evaluations: 0 };
        let (low_pa, high_pa) = (low_pa.max(onset), high_pa.min(speaking.limit_pa));
        let found = (low_pa < high_pa).then(|| {
            let middle = (low_pa * high_pa).sqrt();
            Some((search.end_near(low_pa, middle, onset)?, search.end_near(high_pa, middle, speaking.limit_pa)?))
        });
        let Some((low, high)) = found.flatten() else {
            let whole = self.playable(speaking, demand)?;
            return Some(Playable { evaluations: whole.evaluations + search.evaluations, ..whole });
        };
        let high = demand.stress_limit_pa.map_or(Some(high), |limit| search.stressed(low, high, limit))?;
        Some(Playable { low, high, evaluations: search.evaluations })
    }
}

impl WindowSearch<'_> {
    /// The end of the window near a pressure, sought from `middle` to `outer`; nothing where the reed is not in time at
    /// any pressure tried from there to the middle.
    fn end_near(&mut self, about_pa: f64, middle: f64, outer: f64) -> Option<End> {
        let upwards = outer > middle;
        let outwards = |pressure: f64, factor: f64| if upwards { pressure * factor } else { pressure / factor };
        let (mut good, mut step) = (outwards(about_pa, 1.0 / BETWEEN.sqrt()), BETWEEN);
        let mut bad: Option<(f64, Promptness)> = None;
        while let Err(failure) = self.try_at(good) {
            bad = Some((good, failure));
            good = outwards(good, 1.0 / step);
            step *= step;
            if (good > middle) != upwards {
                return None;
            }
        }
        let mut step = BETWEEN;
        let (mut bad, mut failure) = loop {
            if let Some(bad) = bad {
                break bad;
            }
            let next = outwards(good, step);
            let next = if upwards { next.min(outer) } else { next.max(outer) };
            match self.try_at(next) {
                Ok(_) if next == outer => {
                    return upwards.then_some(End { pressure_pa: next, edge: Edge::LimitOfSearch });
                }
                Ok(_) => (good, step) = (next, WIDEST),
                Err(failure) => bad = Some((next, failure)),
            }
        };
        while (good / bad).max(bad / good) > 1.001 * BETWEEN {
            let middle = (good * bad).sqrt();
            match self.try_at(middle) {
                Ok(_) => good = middle,
                Err(other) => (bad, failure) = (middle, other),
            }
        }
        Some(End { pressure_pa: (good * bad).sqrt(), edge: Edge::beyond(failure) })
    }
}
