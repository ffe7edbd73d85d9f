//! A row of a sheet that cannot be used: wrong, half filled or blank.

use super::error::{Problem, ProblemKind, SheetError};
use super::source::Source;

/// A row that is wrong; the others are still good.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{error}")]
pub struct RowError {
    /// Its line, counted from 1.
    pub line: usize,
    /// The reed's id, where it can be read.
    pub id: Option<String>,
    /// What is wrong.
    pub error: SheetError,
}

impl RowError {
    /// A row with no measurement of its own: no mistake, only not done yet.
    pub(super) fn of_blank(source: &Source, line: usize, id: String) -> Self {
        let cure = "fill its cells, or leave it blank until it is measured";
        let place = source.line_place(line);
        let blank = Problem::at(&place, &id, "is not measured yet").without_value().cure(cure);
        let problem = Problem { kind: ProblemKind::NotMeasured, ..blank };
        Self { line, id: Some(id), error: SheetError::new(source, vec![problem]) }
    }

    /// Whether the row has no measurement of its own.
    pub fn not_measured(&self) -> bool {
        self.error.problems.iter().any(|problem| problem.kind == ProblemKind::NotMeasured)
    }

    /// The keys that a row begun still needs, where nothing else is wrong with it; none otherwise.
    pub fn still_needs(&self) -> Option<Vec<&str>> {
        let missing = self.error.problems.iter().map(|problem| problem.is_missing().then_some(problem.key.as_str()));
        missing.collect()
    }

    /// The reed's id, or its line where the id cannot be read.
    pub fn name(&self) -> String {
        self.id.clone().unwrap_or_else(|| format!("line {}", self.line))
    }
}
