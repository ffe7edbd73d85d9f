//! The gap that suits a player.

use rayon::prelude::*;

use super::standing::Standing;
use super::{RegapOptions, RegapRefusal, place};
use crate::answer::{Neighbour, Quantity, Solved};
use crate::physics::Reed;
use crate::physics::playable::Playable;

/// A step of the feelers (m).
pub const FEELER_M: f64 = 0.01e-3;
/// Ends of a window are found to 3 %: gaps whose margins differ by less are as good as each other.
const AS_GOOD: f64 = 0.03;
/// Gaps tried from the closest to the widest, before the steps of a feeler between the best of them.
const COARSE: usize = 10;

/// The gap, in steps of a feeler, at which the player's pressures from soft to hard lie farthest, as a ratio, from both
/// ends of the playable window: the largest of `min(ln(soft / low), ln(high / hard))`. Of gaps as good as each other, the
/// one nearest to the present.
#[derive(Debug, Clone, PartialEq)]
pub struct Best {
    /// The gap (m).
    pub gap_m: f64,
    /// Its playable window.
    pub window: Playable,
    /// The window at the present gap; none where the reed speaks in time at no pressure.
    pub window_now: Option<Playable>,
    /// Mouth pressures of soft and hard playing (Pa).
    pub pressures_pa: (f64, f64),
    /// Closest and widest gap tried (m).
    pub tried_m: (f64, f64),
}

impl Best {
    /// How far the player's pressures lie inside a window, as the logarithm of a ratio; negative where they reach out.
    pub fn margin(&self, window: &Playable) -> f64 {
        margin(self.pressures_pa, window)
    }

    /// Every gap is tried with the shape that a bend to it leaves.
    pub(super) fn find(
        standing: &Standing,
        options: &RegapOptions,
        soft_pa: f64,
        hard_pa: f64,
    ) -> Result<Self, RegapRefusal> {
        if !(soft_pa > 0.0 && hard_pa >= soft_pa && hard_pa.is_finite()) {
            return Err(RegapRefusal::Pressures { soft_pa, hard_pa });
        }
        // A refusal for another reason than its reach comes for any gap.
        let search = Search { standing, options, pressures_pa: (soft_pa, hard_pa) };
        let window_now = search.window(&standing.now.reed);
        let steps = search.gaps();
        let tried_m = (FEELER_M * f64::from(steps[0]), FEELER_M * f64::from(steps[steps.len() - 1]));
        let mut found = search.all(&steps);
        let best = found.iter().map(|gap| gap.margin).fold(f64::NEG_INFINITY, f64::max);
        let Some(at) = found.iter().position(|gap| gap.margin == best) else {
            return Err(search.nothing());
        };
        let step = |k: usize| found.get(k).map_or(found[at].step, |gap| gap.step);
        let between = step(at.saturating_sub(1)) + 1..step(at + 1);
        let finer: Vec<u32> = between.filter(|step| found.iter().all(|gap| gap.step != *step)).collect();
        found.extend(search.all(&finer));
        let best = found.iter().map(|gap| gap.margin).fold(f64::NEG_INFINITY, f64::max);
        let now_m = standing.gap_m();
        let best_now = window_now.map(|window| margin(search.pressures_pa, &window));
        if best_now.is_some_and(|now| now >= best - AS_GOOD) {
            return Err(RegapRefusal::AlreadyBest { gap_m: now_m });
        }
        let off = |gap: &&Gap| (FEELER_M * f64::from(gap.step) - now_m).abs();
        let as_good = found.iter().filter(|gap| gap.margin >= best - AS_GOOD);
        let chosen = as_good.min_by(|a, b| off(a).total_cmp(&off(b))).expect("the best is as good as itself");
        Ok(Self {
            gap_m: FEELER_M * f64::from(chosen.step),
            window: chosen.window,
            window_now,
            pressures_pa: search.pressures_pa,
            tried_m,
        })
    }
}

fn margin((soft_pa, hard_pa): (f64, f64), window: &Playable) -> f64 {
    (soft_pa / window.low.pressure_pa).ln().min((window.high.pressure_pa / hard_pa).ln())
}

/// A gap that was tried.
struct Gap {
    /// In steps of a feeler.
    step: u32,
    window: Playable,
    margin: f64,
}

struct Search<'a> {
    standing: &'a Standing,
    options: &'a RegapOptions,
    pressures_pa: (f64, f64),
}

impl Search<'_> {
    /// Gaps from close to wide, in steps of a feeler and in even ratios: a fifth to three times what the reed has, or would
    /// have if it had a hundredth of its length.
    fn gaps(&self) -> Vec<u32> {
        let (now_m, usual_m) = (self.standing.gap_m(), 0.01 * self.standing.zero.reed.beam.length_m);
        let (low_m, high_m) = (0.2 * now_m.clamp(0.2 * usual_m, usual_m), 3.0 * now_m.clamp(usual_m, 3.0 * usual_m));
        let gap = |k: usize| low_m * (high_m / low_m).powf(k as f64 / (COARSE - 1) as f64);
        let mut steps: Vec<u32> = (0..COARSE).map(|k| (gap(k) / FEELER_M).round().max(1.0) as u32).collect();
        steps.dedup();
        steps
    }

    /// Those of the gaps that a bend reaches and at which the reed speaks in time.
    fn all(&self, steps: &[u32]) -> Vec<Gap> {
        steps.par_iter().filter_map(|&step| self.one(step)).collect()
    }

    fn one(&self, step: u32) -> Option<Gap> {
        let gap_m = FEELER_M * f64::from(step);
        let (bend, _) = place::choose(self.standing, self.options, gap_m).ok()?;
        let window = self.window(&bend.applied_to(&self.standing.zero).ok()?.reed)?;
        Some(Gap { step, window, margin: margin(self.pressures_pa, &window) })
    }

    fn window(&self, reed: &Reed) -> Option<Playable> {
        const ENDS: [Quantity; 2] = [Quantity::PlayableLow, Quantity::PlayableHigh];
        Solved::of(reed, &ENDS, &self.options.conditions, 1.0, &mut Neighbour::default()).ok()?.playable
    }

    /// Why no gap is found: none can be bent to, or the reed speaks at none.
    fn nothing(&self) -> RegapRefusal {
        let anywhere_m = self.standing.gap_m() + 2.0 * self.standing.known.gap_m;
        match place::choose(self.standing, self.options, anywhere_m) {
            Ok(_) => RegapRefusal::SpeaksAtNone,
            Err(refusal) => RegapRefusal::of(refusal, self.standing, self.options, anywhere_m),
        }
    }
}
