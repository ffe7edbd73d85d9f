//! What a reed is worth to its player: how far it is from what is asked, in one number that work can raise.

use serde::Serialize;

use super::super::assess::{PitchFrom, ReedAssessment};
use super::super::balance::BalanceOptions;
use super::super::finding::{CENTRED, in_tune_cents};
use crate::study::changed::tip_gap_m;

/// What is asked of a reed, each demand as a ratio `x` to its limit: 1 where it is just met, below where it is met with
/// room to spare, infinite where there is nothing to hold against it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Demands {
    /// Lower end of the playable window over the soft pressure that is asked.
    pub soft: f64,
    /// Hard pressure that is asked over the upper end of the window.
    pub hard: f64,
    /// Time to speak at the normal pressure over the time asked.
    pub time: f64,
    /// Cents off the target over what is in tune; of a pitch that was not measured, over what its sizes can tell.
    pub pitch: f64,
    /// Half of the mean side clearance over the least.
    pub centred: f64,
    /// How far the tip gap stands off the one that the set gives it, `|ln(g/g_wanted)|` over [`Demands::OFF_RUN`].
    pub run: f64,
}

impl Demands {
    /// A gap this far off the run (as a logarithm) costs as much as a demand that is just met: `1/sqrt(6 w)`, so that a
    /// small departure `e` costs `6 w e^2`, as it does where [`balance`](super::super::balance) weighs it.
    pub const OFF_RUN: f64 = 0.288_675_134_594_812_9;
    const _AS_BALANCE: () = assert!((6.0 * BalanceOptions::SMOOTH * Self::OFF_RUN * Self::OFF_RUN - 1.0).abs() < 1e-9);

    /// Of an assessed reed, to which the set gives a gap (m) or none.
    pub(super) fn of(reed: &ReedAssessment, wanted_m: Option<f64>) -> Self {
        let (window, asked) = (reed.playable, reed.asked);
        let physical = &reed.reed.checked.reed;
        let (left, right) = (physical.slot.left_clearance_m.range().0, physical.slot.right_clearance_m.range().0);
        let off_run = |wanted_m: f64| {
            let gap_m = tip_gap_m(physical);
            if gap_m > 0.0 { (gap_m / wanted_m).ln().abs() / Self::OFF_RUN } else { f64::INFINITY }
        };
        Self {
            soft: window.map_or(f64::INFINITY, |it| it.low.pressure_pa / asked.soft_pa.value),
            hard: window.map_or(f64::INFINITY, |it| asked.hard_pa.value / it.high.pressure_pa),
            time: reed.attacks[1].t50_s.map_or(f64::INFINITY, |time| time / asked.time_s.value),
            pitch: reed.pitch.cents.abs() / in_tune_cents(reed),
            centred: CENTRED * 0.5 * (left + right) / left.min(right),
            run: wanted_m.map_or(0.0, off_run),
        }
    }

    /// What is missing: `L = sum of x^2/(1 + x^2)`. Each demand costs 1/2 at its limit, 1/5 with twice the room, 1 where it
    /// is not met at all; with the pressure ratio `r = 1/x` it is the loss `1/(1 + r^2)` of
    /// [`balance`](super::super::balance).
    pub fn loss(&self) -> f64 {
        let all = [self.soft, self.hard, self.time, self.pitch, self.centred, self.run];
        all.into_iter().map(|x| if x.is_finite() { x * x / (1.0 + x * x) } else { 1.0 }).sum()
    }
}

/// Whether a reed's pitch was measured.
pub(super) fn pitch_is_measured(reed: &ReedAssessment) -> bool {
    reed.pitch.from != PitchFrom::Computed
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_demand_costs_a_half_at_its_limit() {
        let none = Demands { soft: 0.0, hard: 0.0, time: 0.0, pitch: 0.0, centred: 0.0, run: 0.0 };
        assert_eq!(none.loss(), 0.0);
        assert_eq!(Demands { soft: 1.0, hard: 0.5, ..none }.loss(), 0.7);
        assert_eq!(Demands { time: f64::INFINITY, pitch: 3.0, ..none }.loss(), 1.9);
        // A tenth off the run: 6 w e^2 = 0.12 by the weight of balance, a little less as it levels off.
        let tenth = Demands { run: 0.1 / Demands::OFF_RUN, ..none }.loss();
        assert!((tenth - 0.12 / 1.12).abs() < 1e-12, "{tenth}");
    }
}
