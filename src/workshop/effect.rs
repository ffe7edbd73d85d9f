//! What an operation does to everything else: results before and after.

use crate::answer::{Answer, Conditions, Line, Quantity, Solved, SwingScale};
use crate::physics::{InputError, ReedModel};
use crate::sheet::CheckedReed;
use crate::workshop::Bounds;
use crate::workshop::life::{SnLine, Strength};

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
    /// Life after over life before, played so, where the strength of the metal is known.
    pub life_ratio: Option<Bounds>,
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
        let solve = |reed: &CheckedReed| Solved::of(&reed.reed, &EFFECTS, conditions, swing_scale);
        let (was, is) = rayon::join(|| solve(before), || solve(after));
        let solved = [was?, is?];
        let stresses = [solved[0].answer(Quantity::Stress).value, solved[1].answer(Quantity::Stress).value];
        let life_ratio = life_ratio([before, after], stresses);
        let [was, is] = solved;
        Ok(Self::between(|quantity| was.answer(quantity), &is, conditions, life_ratio))
    }

    /// Between what was before and a reed solved after.
    pub(super) fn between(
        before: impl Fn(Quantity) -> Answer,
        after: &Solved,
        conditions: &Conditions,
        life_ratio: Option<Bounds>,
    ) -> Self {
        let line = |quantity| Line {
            before: before(quantity),
            after: after.answer(quantity),
            uncertainty: None,
            mostly: None,
            or_more: false,
        };
        Self { lines: EFFECTS.into_iter().map(line).collect(), conditions: *conditions, life_ratio }
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

/// How many times as long a reed lasts after as before, `(S_before/A)^(1/b)` over the same of the metal after: cycles by
/// the S-N line of each metal at the largest stress, with the bounds of its fatigue strength. Surface, mean stress and the
/// stress that work leaves behind are taken as they were.
pub(super) fn life_ratio(reeds: [&CheckedReed; 2], stresses_pa: [Option<f64>; 2]) -> Option<Bounds> {
    let [before_pa, after_pa] = [stresses_pa[0]?, stresses_pa[1]?];
    let strengths = [Strength::of(&reeds[0].metal).ok()?, Strength::of(&reeds[1].metal).ok()?];
    let ratio = |fatigue_pa: fn(&Strength) -> f64| {
        let [before, after] = strengths.map(|it| SnLine::of(it.tensile_pa, fatigue_pa(&it), it.fatigue_cycles));
        after.cycles(after_pa) / before.cycles(before_pa)
    };
    let (weak, strong) = (ratio(|it| it.fatigue_pa.low), ratio(|it| it.fatigue_pa.high));
    (weak.is_finite() && strong.is_finite()).then(|| Bounds::new(weak.min(strong), weak.max(strong)))
}
