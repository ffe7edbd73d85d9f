//! What an operation does to everything else: results before and after.

use crate::answer::{Answer, Conditions, Line, Neighbour, Quantity, Solved, SwingScale};
use crate::physics::{InputError, ReedModel};
use crate::sheet::CheckedReed;

/// The results every plan shows.
pub const EFFECTS: [Quantity; 8] = [
    Quantity::Plucked,
    Quantity::Onset,
    Quantity::Choke,
    Quantity::HalfTime,
    Quantity::PlayableLow,
    Quantity::PlayableHigh,
    Quantity::Level,
    Quantity::Stress,
];

/// Results before and after an operation.
#[derive(Debug, Clone, PartialEq)]
pub struct Effect {
    /// One line for each of [`EFFECTS`]; without uncertainties, which `whatif` gives.
    pub lines: Vec<Line>,
    /// Under which conditions.
    pub conditions: Conditions,
}

impl Effect {
    /// Solves a reed before and after.
    ///
    /// # Errors
    /// A value for which the equations have no meaning; a reed from a sheet has none.
    pub fn of(before: &CheckedReed, after: &CheckedReed, conditions: &Conditions) -> Result<Self, InputError> {
        // A measured swing that fits nothing scales nothing here; the commands that show it refuse it.
        let scale = SwingScale::of(before, &ReedModel::new(before.reed.clone())?).ok().flatten();
        let swing_scale = scale.map_or(1.0, |scale| scale.factor);
        let solve =
            |reed: &CheckedReed| Solved::of(&reed.reed, &EFFECTS, conditions, swing_scale, &mut Neighbour::default());
        let (before, after) = rayon::join(|| solve(before), || solve(after));
        let (before, after) = (before?, after?);
        let line = |quantity| Line {
            before: before.answer(quantity),
            after: after.answer(quantity),
            uncertainty: None,
            mostly: None,
            or_more: false,
        };
        Ok(Self { lines: EFFECTS.into_iter().map(line).collect(), conditions: *conditions })
    }

    /// One of the results, before and after.
    pub fn line(&self, quantity: Quantity) -> Option<&Line> {
        self.lines.iter().find(|line| line.before.quantity == quantity)
    }

    /// One of the results before the operation.
    pub fn before(&self, quantity: Quantity) -> Option<Answer> {
        self.line(quantity).map(|line| line.before)
    }
}
