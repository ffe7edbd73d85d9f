//! What a half-filled sheet still needs, in few words.

use freereed::sheet::RowError;

use super::text::wrap;

/// What there is to say of a set of which nothing is measured.
pub const NOTHING_YET: &str = "No reed is measured yet: fill the sheet, in any order, and come back.";

/// Reeds that are not measured yet, and what those begun still need; none where all is measured.
pub fn words<T>(rows: &[Result<T, RowError>]) -> Option<String> {
    let errors = || rows.iter().filter_map(|row| row.as_ref().err());
    let mut groups: Vec<(Vec<&str>, Vec<String>)> = Vec::new();
    for row in errors().filter(|row| !row.not_measured()) {
        let Some(needs) = row.still_needs() else { continue };
        match groups.iter_mut().find(|(known, _)| *known == needs) {
            Some((_, reeds)) => reeds.push(row.name()),
            None => groups.push((needs, vec![row.name()])),
        }
    }
    let mut lines: Vec<String> = groups
        .into_iter()
        .map(|(needs, reeds)| format!("  still to measure {}: {}", needs.join(", "), runs(&reeds)))
        .collect();
    let blank: Vec<String> = errors().filter(|row| row.not_measured()).map(RowError::name).collect();
    if !blank.is_empty() {
        lines.push(format!("  not measured yet: {}", runs(&blank)));
    }
    let count = rows.iter().filter(|row| row.is_ok()).count();
    let head = format!("Measured so far: {count} of {} reeds", rows.len());
    let wrapped = lines.iter().map(|line| wrap(line, "    "));
    (!lines.is_empty()).then(|| std::iter::once(head).chain(wrapped).collect::<Vec<_>>().join("\n"))
}

/// Most reeds that are named one by one.
const MOST_NAMED: usize = 12;

/// The names, the first few of many.
fn runs(names: &[String]) -> String {
    match names.len().checked_sub(MOST_NAMED) {
        Some(more @ 1..) => format!("{} and {more} more", names[..MOST_NAMED].join(", ")),
        _ => names.join(", "),
    }
}
