//! Rounds of measuring: what was done to each reed, what was expected of it, what was measured, and what all of it says of
//! the set.

mod blow;
mod change;
mod evidence;
mod fit;
mod minutes;
mod outcome;
mod solve;
mod spread;
mod words;

pub use change::Changed;
pub use fit::{Apart, Estimate, ExpectedOnset, Fit, ReedFit, Same, Work};
pub use minutes::{Minutes, minutes};
pub use outcome::{Basis, Outcome, Quantity, Reach};
pub use solve::{LEAK_DOUBT_M2, SCATTER, SCATTER_WEIGHT};
pub use spread::Spread;
pub use words::legend;

use rayon::prelude::*;

use crate::sheet::{Job, Operation, RoundRow, RowError};

/// One reed in one round.
#[derive(Debug, Clone)]
pub struct ReedRound {
    /// Name of the round: its day.
    pub round: String,
    /// Which reed.
    pub id: String,
    /// What was done.
    pub operation: Option<Operation>,
    /// Whether its tongue is new.
    pub replaced: bool,
    /// Minutes that were written down.
    pub minutes: Option<f64>,
    /// Sizes and other inputs that the round changed.
    pub changed: Vec<Changed>,
    /// What was expected and what was measured.
    pub outcomes: Vec<Outcome>,
    /// Columns of the round that were left blank for it.
    pub blank: Vec<&'static str>,
}

/// All rounds of a job.
#[derive(Debug, Clone)]
pub struct Rounds {
    /// Every good row of every round, the oldest first.
    pub rows: Vec<ReedRound>,
    /// Rows that are wrong, with the round's name.
    pub bad: Vec<(String, RowError)>,
    /// The set by all that was measured; nothing where nothing tells of loss or leak.
    pub fit: Option<Fit>,
    /// Minutes by operation.
    pub minutes: Vec<Minutes>,
}

impl Rounds {
    /// Reads the rounds of a set, given as [`Job::stages`] has it. What is expected in a round is computed from what was
    /// known before it: the fit to earlier rounds, the reed as it was, and what the round says was changed.
    pub fn of(stages: &[Job]) -> Self {
        let Some(newest) = stages.last() else {
            return Self { rows: Vec::new(), bad: Vec::new(), fit: None, minutes: Vec::new() };
        };
        let fits: Vec<Option<Fit>> = (1..=stages.len()).map(|count| Fit::of(&stages[..count])).collect();
        let mut rows = Vec::new();
        for (k, round) in newest.rounds.iter().enumerate() {
            let (before, after) = (&stages[k], &stages[k + 1]);
            let good: Vec<&RoundRow> = round.rows.iter().flatten().collect();
            let one = |row: &&RoundRow| reed_round(&round.name(), row, before, after, fits[k].as_ref());
            rows.extend(good.par_iter().map(one).collect::<Vec<_>>());
        }
        let bad_of = |round: &crate::sheet::Round| {
            let name = round.name();
            round
                .rows
                .iter()
                .filter_map(|row| row.as_ref().err())
                .map(move |row| (name.clone(), row.clone()))
                .collect::<Vec<_>>()
        };
        let bad = newest.rounds.iter().flat_map(bad_of).collect();
        Self { rows, bad, fit: fits.into_iter().next_back().flatten(), minutes: minutes(newest) }
    }
}

fn reed_round(round: &str, row: &RoundRow, before: &Job, after: &Job, fit: Option<&Fit>) -> ReedRound {
    let find = |job: &Job| job.reeds.iter().flatten().find(|reed| reed.id == row.id).cloned();
    let (before, after) = (find(before), find(after));
    ReedRound {
        round: round.to_owned(),
        id: row.id.clone(),
        operation: row.operation,
        replaced: row.replaced,
        minutes: row.minutes,
        changed: change::changed(row, before.as_ref()),
        outcomes: outcome::outcomes(row, before.as_ref(), after.as_ref(), fit),
        blank: row.blank.clone(),
    }
}
