//! What a half-filled sheet still needs, in few words.

use freereed::print::still_to_measure::StillToMeasure;
use freereed::sheet::RowError;

use super::text::wrap;

pub use freereed::print::still_to_measure::NOTHING_YET;

/// Most reeds that are named one by one.
const MOST_NAMED: usize = 12;

/// Reeds that are not measured yet, and what those begun still need; none where all is measured.
pub fn words<T>(rows: &[Result<T, RowError>]) -> Option<String> {
    words_by(rows, wrap)
}

/// The same, with another way to break lines.
pub fn words_by<T>(rows: &[Result<T, RowError>], wrap: fn(&str, &str) -> String) -> Option<String> {
    let still = StillToMeasure::of(rows)?;
    let lines = still.lines(MOST_NAMED).into_iter().map(|line| wrap(&format!("  {line}"), "    "));
    Some(std::iter::once(still.head()).chain(lines).collect::<Vec<_>>().join("\n"))
}
