//! Minutes spent beside the estimate.

use serde::Serialize;

use crate::sheet::{Job, Operation, RoundRow};

/// Work of one kind over all rounds.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Minutes {
    /// The operation.
    pub operation: Operation,
    /// How often it was done with the minutes written down.
    pub timed: usize,
    /// Minutes spent on those.
    pub spent_minutes: f64,
    /// Minutes by the job's rates for as many.
    pub estimated_minutes: f64,
    /// How often it was done with no minutes written down.
    pub untimed: usize,
}

/// Minutes by operation, in the order of [`Operation::ALL`]; only of operations that were done.
pub fn minutes(job: &Job) -> Vec<Minutes> {
    let done = |operation: Operation| {
        let rows: Vec<&RoundRow> = job
            .rounds
            .iter()
            .flat_map(|round| round.rows.iter().flatten())
            .filter(|row| row.operation == Some(operation))
            .collect();
        let timed: Vec<f64> = rows.iter().filter_map(|row| row.minutes).collect();
        (!rows.is_empty()).then(|| Minutes {
            operation,
            timed: timed.len(),
            spent_minutes: timed.iter().fold(0.0, |sum, minutes| sum + minutes),
            estimated_minutes: timed.len() as f64 * job.rates.minutes(operation),
            untimed: rows.len() - timed.len(),
        })
    };
    Operation::ALL.iter().filter_map(|row| done(row.operation)).collect()
}
