//! The move in passes, with a measurement between them.

use super::{Alignment, Touching, towards};
use crate::units::{metres, significant};
use crate::workshop::{Steps, passes};

/// A pass takes half of what is left, as long as more than this is left (m).
const COARSE_M: f64 = 0.03e-3;

impl Alignment {
    /// The move in a line.
    pub fn moves(&self) -> String {
        let (turn_m, shift_m) = (self.tip_move_m(), self.way.shift_m);
        let turn = format!("turn the tip {} to the {}", metres(turn_m.abs()), towards(self.turn_rad));
        let shift = format!("shift the pad {} to the {}", metres(shift_m.abs()), towards(shift_m));
        match (shift_m.abs() > 1e-7, turn_m.abs() > 1e-7) {
            (true, true) => format!("{shift}, {turn}"),
            (true, false) => shift,
            _ => turn,
        }
    }

    /// What to do, in order. Empty where the tongue can stay as it lies.
    pub fn steps(&self) -> Steps {
        if !self.needed {
            return Steps::default();
        }
        let mut steps = vec![format!(
            "Measure left and right at the root, half-way and at the tip, and pluck: note the pitch. A reading is good to {}.",
            metres(self.tolerance_m)
        )];
        steps.extend(self.shift_passes());
        steps.extend(self.turn_passes());
        steps.push(
            "Press the tongue slowly through the slot with a thin strip and look against light: no wall may be touched, nor \
             the end wall by a corner of the tip."
                .to_owned(),
        );
        steps.push(
            "Pluck: the pitch must be within 1 cent of the first one and ring as long. If not, the rivet no longer holds: \
             fasten it first."
                .to_owned(),
        );
        Steps { steps, stop: self.stop() }
    }

    fn shift_passes(&self) -> Vec<String> {
        let side = towards(self.way.shift_m);
        let say = |amount: f64, first: bool| {
            if first {
                format!(
                    "Ease the rivet or screw just so that the pad moves; shift the pad to the {side} by {}. Measure at root \
                     and tip.",
                    metres(amount)
                )
            } else {
                format!("Shift by what the measurement leaves, about {} more. Measure again.", metres(amount))
            }
        };
        let passes = passes(self.way.shift_m.abs(), COARSE_M);
        passes.iter().enumerate().map(|(k, &amount)| say(amount, k == 0)).collect()
    }

    fn turn_passes(&self) -> Vec<String> {
        let side = towards(self.turn_rad);
        let all = self.tip_move_m().abs();
        let say = |amount: f64, first: bool| {
            if first {
                format!(
                    "Turn the tongue about its rivet so that the tip goes to the {side} by {} ({} deg), pushing at the pad or \
                     close to the clamp, never at the tip. Measure at the tip.",
                    metres(amount),
                    significant(self.turn_deg().abs() * amount / all, 2)
                )
            } else {
                format!("Turn by what the measurement leaves, about {} more at the tip. Measure again.", metres(amount))
            }
        };
        passes(all, COARSE_M).iter().enumerate().map(|(k, &amount)| say(amount, k == 0)).collect()
    }

    fn stop(&self) -> String {
        let tells = metres(self.tolerance_m);
        let reached = if self.then.off_centre_m <= self.tolerance_m {
            format!("when left and right agree within {tells} at root, half-way and tip")
        } else {
            let [root, middle, tip] = [0.0, 0.5, 1.0].map(|share| {
                let s = share * self.sides.length_m;
                format!("{} and {}", metres(self.sides_then.left_m.at(s)), metres(self.sides_then.right_m.at(s)))
            });
            format!(
                "when left and right read, within {tells}, {root} at the root, {middle} half-way, {tip} at the tip (tongue or \
                 slot is bent: no move centres it all along)"
            )
        };
        let narrow = if self.then.touching == Touching::No {
            String::new()
        } else {
            format!(
                " Even then the closest place has {} when played, which the measurement cannot tell from touching: the slot \
                 is narrow for this tongue.",
                metres(self.then.played_m.max(0.0))
            )
        };
        format!("{reached}; or when a pass moves nothing or the pluck changes.{narrow}")
    }
}
