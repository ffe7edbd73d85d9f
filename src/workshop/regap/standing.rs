//! Where the tongue stands: before any push, or after one that has taught its yield strength.

use super::{Pushed, RegapOptions, RegapRefusal, WantedGap};
use crate::sheet::CheckedReed;
use crate::workshop::bend::{BendPlan, BendRefusal, Direction, KinkLimit, Known, Learned, Push};

/// A reed on the bench.
#[derive(Debug, Clone)]
pub(super) struct Standing {
    /// As it lay before the first push, with the yield strength that is known of it.
    pub zero: CheckedReed,
    /// As it lies now.
    pub now: CheckedReed,
    pub known: Known,
    /// The push that was made.
    pub pushed: Option<Pushed>,
    /// What it taught, where the gap has changed enough to be measured.
    pub learned: Option<Learned>,
    /// Share by which the tongue begins to yield sooner when it is bent back.
    pub sooner_back: f64,
    usual: Known,
}

impl Standing {
    pub fn of(checked: &CheckedReed, options: &RegapOptions) -> Result<Self, RegapRefusal> {
        let known = Known::of(checked);
        let known = Known { gap_m: options.gap_tolerance_m.unwrap_or(known.gap_m), ..known };
        let Some(pushed) = options.pushed else {
            return Ok(Self {
                zero: checked.clone(),
                now: checked.clone(),
                known,
                pushed: None,
                learned: None,
                sooner_back: 0.0,
                usual: known,
            });
        };
        let place_m = options.place_m.ok_or(RegapRefusal::PushedWhere)?;
        let push = Push { place_m, support: options.support };
        let learned = match (Learned::from_push(checked, push, pushed.travel_m, pushed.gap_m, known), options.wanted) {
            (Err(BendRefusal::NothingLearned { .. }), WantedGap::Gap(wanted_m))
                if checked.metal.yield_strength_pa.is_some() =>
            {
                return Self::after_nothing(checked, push, pushed, wanted_m, known);
            }
            (learned, _) => learned?,
        };
        // To a tenth of a megapascal: as it is written down.
        let zero = checked.with("yield_mpa", (1e-5 * learned.yield_strength_pa).round() / 10.0)?;
        let made = BendPlan::to_gap_knowing(&zero, push, pushed.gap_m, &KinkLimit::assumed(), learned.known);
        let made = made.map_err(|refusal| match refusal {
            BendRefusal::OutOfReach { limit, .. } => RegapRefusal::PushedTooFar { limit },
            other => other.into(),
        })?;
        // Let go, the section holds stress; it yields the other way when the moment has changed by twice the yield moment.
        let sooner_back = (made.surface.moment_over_yield - 1.0).max(0.0);
        Ok(Self {
            now: made.applied_to(&zero)?,
            zero,
            usual: known,
            known: learned.known,
            pushed: Some(pushed),
            learned: Some(learned),
            sooner_back,
        })
    }

    /// After a push that left less than can be measured: the tongue lies where it lay, and is no softer than that says.
    fn after_nothing(
        checked: &CheckedReed,
        push: Push,
        pushed: Pushed,
        wanted_m: f64,
        usual: Known,
    ) -> Result<Self, RegapRefusal> {
        let direction = Direction::from_to(tip_gap_m(checked), wanted_m);
        Ok(Self {
            zero: checked.clone(),
            now: checked.clone(),
            known: usual.after_nothing(checked, push, direction, pushed.travel_m)?,
            pushed: Some(pushed),
            learned: None,
            sooner_back: 0.0,
            usual,
        })
    }

    /// Tip gap now (m).
    pub fn gap_m(&self) -> f64 {
        tip_gap_m(&self.now)
    }

    /// Tip gap before the first push (m).
    pub fn zero_gap_m(&self) -> f64 {
        tip_gap_m(&self.zero)
    }

    /// Whether a gap lies back from where the push has brought the tongue.
    pub fn turns_back(&self, wanted_m: f64) -> bool {
        (wanted_m - self.gap_m()) * (self.gap_m() - self.zero_gap_m()) < 0.0
    }

    /// From where the travels to a gap count, and how well the tongue is known on the way. Pushed on the same way it ends as
    /// if pushed so far at once; what a push has taught is not held to be true for the way back.
    pub fn from(&self, wanted_m: f64) -> (&CheckedReed, Known) {
        if !self.turns_back(wanted_m) {
            return (&self.zero, self.known);
        }
        (&self.now, self.usual)
    }

    /// The bend to a gap.
    pub fn bend(&self, push: Push, wanted_m: f64) -> Result<BendPlan, BendRefusal> {
        let (from, known) = self.from(wanted_m);
        BendPlan::to_gap_knowing(from, push, wanted_m, &KinkLimit::assumed(), known)
    }

    /// The same bench with another metal.
    pub fn with_metal(&self, metal: CheckedReed) -> Self {
        Self {
            zero: metal.clone(),
            now: metal,
            known: self.known,
            pushed: None,
            learned: None,
            sooner_back: 0.0,
            usual: self.known,
        }
    }
}

pub(super) fn tip_gap_m(checked: &CheckedReed) -> f64 {
    let length_m = checked.reed.beam.length_m;
    checked.reed.rest.height_m(length_m, length_m)
}
