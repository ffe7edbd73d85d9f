//! What a half-filled sheet still needs.

use crate::sheet::RowError;

/// What there is to say of a set of which nothing is measured.
pub const NOTHING_YET: &str = "No reed is measured yet: fill the sheet, in any order, and come back.";

/// Rows that are not measured yet, and those begun with what they lack.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StillToMeasure {
    measured: usize,
    rows: usize,
    /// What is needed, and which reeds need it.
    groups: Vec<(Vec<String>, Vec<String>)>,
    blank: Vec<String>,
}

impl StillToMeasure {
    /// Of the rows of a sheet; none where all is measured.
    pub fn of<T>(rows: &[Result<T, RowError>]) -> Option<Self> {
        let errors = || rows.iter().filter_map(|row| row.as_ref().err());
        let mut groups: Vec<(Vec<String>, Vec<String>)> = Vec::new();
        for row in errors().filter(|row| !row.not_measured()) {
            let Some(needs) = row.still_needs() else { continue };
            match groups.iter_mut().find(|(known, _)| *known == needs) {
                Some((_, reeds)) => reeds.push(row.name()),
                None => groups.push((needs.into_iter().map(str::to_owned).collect(), vec![row.name()])),
            }
        }
        let blank: Vec<String> = errors().filter(|row| row.not_measured()).map(RowError::name).collect();
        let measured = rows.iter().filter(|row| row.is_ok()).count();
        let some = !groups.is_empty() || !blank.is_empty();
        some.then_some(Self { measured, rows: rows.len(), groups, blank })
    }

    /// How many are measured.
    pub fn head(&self) -> String {
        format!("Measured so far: {} of {} reeds", self.measured, self.rows)
    }

    /// What is missing of which reeds, of many the first `most_named`.
    pub fn lines(&self, most_named: usize) -> Vec<String> {
        let of_group = |(needs, reeds): &(Vec<String>, Vec<String>)| {
            format!("still to measure {}: {}", needs.join(", "), runs(reeds, most_named))
        };
        let mut lines: Vec<String> = self.groups.iter().map(of_group).collect();
        if !self.blank.is_empty() {
            lines.push(format!("not measured yet: {}", runs(&self.blank, most_named)));
        }
        lines
    }
}

/// The names, the first few of many.
fn runs(names: &[String], most_named: usize) -> String {
    match names.len().checked_sub(most_named) {
        Some(more @ 1..) => format!("{} and {more} more", names[..most_named].join(", ")),
        _ => names.join(", "),
    }
}
