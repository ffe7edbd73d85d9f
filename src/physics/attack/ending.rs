//! When a run is at its end: steady, silent, or still to go on.

use super::Ending;
use super::run::Run;

/// Relative change over ten periods that is no change at all.
const CALM: f64 = 1e-4;
/// Relative distance yet to go above which the end of a run says nothing about the steady state.
pub(super) const ROUGHLY_STEADY: f64 = 0.05;
/// Periods over which a change is judged.
const BLOCK_PERIODS: f64 = 10.0;

impl Run<'_> {
    /// The envelope now, ten periods ago and twenty ago, the oldest first (m/s); all of them integrated alike.
    pub(super) fn recent(&self) -> Option<[f64; 3]> {
        let (time_s, now) = self.envelope.last()?;
        let block = BLOCK_PERIODS * self.plucked_period_s;
        let first_s = time_s - 2.0 * block;
        let alike = first_s >= self.since_s;
        alike.then_some([self.envelope.at(first_s)?, self.envelope.at(time_s - block)?, now])
    }

    /// Steady, silent, or nothing yet. A run that could go on is ended only where nothing is left to come; one that has
    /// reached its time counts as steady by the change over ten periods alone, if it is not far from its end.
    pub(super) fn ending(&self, can_go_on: bool) -> Option<Ending> {
        let recent @ [a0, a1, a2] = self.recent()?;
        if self.swing_m(a2) < self.silent_m {
            let dying = a2 <= a1 || self.swing_m(a2) < 1e-3 * self.silent_m;
            let may_grow = || self.growth_per_s().is_none_or(|rate| rate > 0.0);
            return (dying && !may_grow()).then_some(Ending::Silent);
        }
        let (before, change) = ((a1 - a0).abs(), (a2 - a1).abs());
        if change >= self.accuracy.level * a2 {
            return None;
        }
        let level = self.level() * a2;
        let enough = if can_go_on { level } else { ROUGHLY_STEADY * a2 };
        let calm = !can_go_on || before < 10.0 * level && !(turns(recent) && before.max(change) > 0.1 * level);
        (change < level && calm && yet_to_go(recent).abs() < enough).then_some(Ending::Settled)
    }

    /// Relative change over ten periods below which the run is at its end: far below that of small motion, which may itself
    /// creep.
    fn level(&self) -> f64 {
        const BELOW: f64 = 0.05;
        self.accuracy.level.min((BELOW * self.creep()).max(CALM))
    }

    /// Relative change of small motion over ten periods.
    pub(super) fn creep(&self) -> f64 {
        self.growth_per_s().map_or(0.0, f64::abs) * BLOCK_PERIODS * self.plucked_period_s
    }

    /// Whether nothing has swung for twenty periods, and small motion dies.
    pub(super) fn is_still(&self) -> bool {
        let last_s = self.envelope.last().map_or(0.0, |(time_s, _)| time_s).max(self.stepper.blow.rise_s);
        let still = self.here.time_s - last_s > 2.0 * BLOCK_PERIODS * self.plucked_period_s;
        still && self.growth_per_s().is_some_and(|rate| rate <= 0.0)
    }
}

/// Whether the envelope has just turned round: it wavers, or has gone too far and comes back.
fn turns([a0, a1, a2]: [f64; 3]) -> bool {
    (a1 - a0) * (a2 - a1) <= 0.0
}

/// How far the envelope has yet to go (m/s), with its sign. A slow approach changes little in ten periods and has yet far to
/// go: what is left is a geometric series. Without limit while the change is not falling.
pub(super) fn yet_to_go(recent: [f64; 3]) -> f64 {
    let [a0, a1, a2] = recent;
    let (before, change) = (a1 - a0, a2 - a1);
    if change.abs() <= CALM * a2 || turns(recent) {
        if turns(recent) { change.abs().max(before.abs()) } else { change }
    } else if change.abs() < before.abs() {
        change * change.abs() / (before.abs() - change.abs())
    } else {
        f64::INFINITY.copysign(change)
    }
}
