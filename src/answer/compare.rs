//! A reed beside the same reed changed: every result before and after, the difference, and how sure it is.

use rayon::prelude::*;

use super::conditions::Conditions;
use super::doubt::Doubt;
use super::quantity::Quantity;
use super::solved::{Answer, Solved};
use crate::sheet::{CheckedReed, Key, SheetError};

/// Share of a value up to which a difference is round-off: results are computed to no more digits.
pub(super) const ROUND_OFF: f64 = 1e-9;

/// Changes of inputs: key and new value, as typed.
pub type Changes = [(String, String)];

/// One result before and after.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Before the change.
    pub before: Answer,
    /// After it.
    pub after: Answer,
    /// How far the difference may be off (SI); nothing where there is no difference.
    pub uncertainty: Option<f64>,
    /// The input that adds most to that.
    pub mostly: Option<&'static Key>,
    /// Whether the difference may be off by more: in part of the cases looked at the result does not exist.
    pub or_more: bool,
}

impl Line {
    /// After less before (SI), where both exist; zero where that is no more than round-off of the values.
    pub fn difference(&self) -> Option<f64> {
        self.off(self.after.value? - self.before.value?)
    }

    /// An amount beside the values before and after: zero where it is no more than round-off of the larger, nothing where a
    /// value is missing.
    pub fn off(&self, amount: f64) -> Option<f64> {
        let larger = self.before.value?.abs().max(self.after.value?.abs());
        Some(if amount.abs() <= ROUND_OFF * larger { 0.0 } else { amount })
    }

    /// Whether the direction of the change is beyond doubt.
    pub fn is_sure(&self) -> bool {
        match (self.difference(), self.uncertainty) {
            (Some(difference), Some(uncertainty)) => difference.abs() > uncertainty,
            _ => false,
        }
    }
}

/// A reed beside the same reed changed.
#[derive(Debug, Clone)]
pub struct Comparison {
    /// The reed before the change.
    pub before: Solved,
    /// The reed after it.
    pub after: Solved,
    /// The changed reed.
    pub changed: CheckedReed,
    /// The results, in the order asked.
    pub lines: Vec<Line>,
    /// What the uncertainty of the differences comes from.
    pub doubts: Vec<Doubt>,
}

/// What is compared, and how.
#[derive(Debug, Clone, Copy)]
pub struct Comparing<'a> {
    /// The reed as it is.
    pub reed: &'a CheckedReed,
    /// What is changed.
    pub changes: &'a Changes,
    /// The results.
    pub of: &'a [Quantity],
    /// Under which conditions.
    pub conditions: Conditions,
    /// What swing, stress and level are multiplied by.
    pub swing_scale: f64,
}

/// A reed and its change.
type Pair = (CheckedReed, CheckedReed);

impl Comparing<'_> {
    /// How many reeds have to be solved.
    pub fn count(&self) -> usize {
        2 + Doubt::all(self.reed).iter().map(|doubt| 2 * doubt.values.len()).sum::<usize>()
    }

    /// Solves the reed before and after; then once more for each input that may be off, since what is off is the same
    /// before and after and mostly cancels. Only an input that is itself changed is off twice, each time on its own. The
    /// parts are added as squares. `done` is told of each reed solved.
    ///
    /// # Errors
    /// What is wrong with the change.
    pub fn run(&self, done: &(dyn Fn() + Sync)) -> Result<Comparison, SheetError> {
        let changed = self.changed(self.reed)?;
        let solve = |reed: &CheckedReed| {
            let solved = Solved::of(&reed.reed, self.of, &self.conditions, self.swing_scale);
            done();
            solved.expect("a checked reed can be solved")
        };
        let (before, after) = rayon::join(|| solve(self.reed), || solve(&changed));
        let doubts = Doubt::all(self.reed);
        let answers = |solved: &Solved| self.of.iter().map(|&q| solved.answer(q)).collect::<Vec<_>>();
        let (first, second) = (answers(&before), answers(&after));
        let like = |reed: &CheckedReed, base: &Solved| {
            let solved = base.like(&reed.reed, self.of);
            done();
            solved.expect("a checked reed can be solved")
        };
        let differences = |(a, b): &Pair| {
            let (a, b) = (like(a, &before), like(b, &after));
            a.iter().zip(&b).map(|(a, b)| Some(b.as_ref()? - a.as_ref()?)).collect::<Vec<Option<f64>>>()
        };
        let groups = doubts.par_iter().flat_map(|doubt| {
            let pairs = self.pairs(doubt, &changed);
            pairs.into_par_iter().map(|group| (doubt.key, group))
        });
        let parts: Vec<Part> =
            groups.map(|(key, group)| Part { key, differences: group.iter().map(differences).collect() }).collect();
        let lines = (0..self.of.len()).map(|k| line(k, first[k], second[k], &parts));
        Ok(Comparison { lines: lines.collect(), before, after, changed, doubts })
    }

    fn changed(&self, reed: &CheckedReed) -> Result<CheckedReed, SheetError> {
        reed.with_texts(self.changes.iter().map(|(key, typed)| (key.as_str(), typed.as_str())))
    }

    /// Groups of pairs of reeds that are as likely: of each group the one that differs most counts. A value that makes no
    /// reed is left out.
    fn pairs(&self, doubt: &Doubt, changed: &CheckedReed) -> Vec<Vec<Pair>> {
        let name = doubt.key.full_name();
        let off = |reed: &CheckedReed, value: f64| reed.spec.with(&name, value).checked().ok();
        let is_changed = self.changes.iter().any(|(key, _)| *key == name || *key == doubt.key.name);
        if !is_changed {
            let pair = |&value: &f64| {
                let before = off(self.reed, value)?;
                Some((before.clone(), self.changed(&before).ok()?))
            };
            return vec![doubt.values.iter().filter_map(pair).collect()];
        }
        let before = doubt.values.iter().filter_map(|&value| Some((off(self.reed, value)?, changed.clone())));
        let after = Doubt::all(changed).into_iter().find(|other| other.key == doubt.key);
        let after = after.into_iter().flat_map(|other| other.values);
        let after = after.filter_map(|value| Some((self.reed.clone(), changed.with(&name, value).ok()?)));
        vec![before.collect(), after.collect()]
    }
}

/// What one input that may be off makes of the differences: one list for each value it may have.
struct Part {
    key: &'static Key,
    differences: Vec<Vec<Option<f64>>>,
}

fn line(k: usize, before: Answer, after: Answer, parts: &[Part]) -> Line {
    let mut line = Line { before, after, uncertainty: None, mostly: None, or_more: false };
    let Some(difference) = line.difference() else { return line };
    let (mut square, mut largest) = (0.0, 0.0);
    for part in parts {
        let others = || part.differences.iter().map(|values| values[k]);
        line.or_more |= others().any(|other| other.is_none());
        let off = others().flatten().map(|other| (other - difference).abs()).fold(0.0, f64::max);
        square += off * off;
        if off > largest {
            (largest, line.mostly) = (off, Some(part.key));
        }
    }
    Line { uncertainty: Some(square.sqrt()), ..line }
}
