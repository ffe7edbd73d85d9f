//! The key table as a document.

use super::evidence;
use super::keys::{KEYS, Key, Kind, Table, WhenLeftOut};
use super::of_run;

/// All keys as Markdown, one table for each table of a reed file, straight from the key table.
///
/// ```
/// let text = freereed::sheet::key_reference();
/// assert!(text.contains("| `length_mm` | mm | 3 to 80 |"));
/// ```
pub fn key_reference() -> String {
    Table::ALL.into_iter().map(section).collect::<Vec<_>>().join("\n")
}

fn section(table: Table) -> String {
    let rows: String = KEYS.iter().filter(|key| key.table == table).map(row).collect();
    format!(
        "### `[{}]`\n\n| key | unit | range | left out | meaning | how to measure | usual tolerance | not measured, may be |\n|---|---|---|---|---|---|---|---|\n{rows}",
        table.name()
    )
}

fn row(key: &Key) -> String {
    let range = match key.kind {
        Kind::Text => "text".to_owned(),
        Kind::Number => format!("{} to {}", key.least, key.most),
        Kind::Stations => format!("stations, {} to {}", key.least, key.most),
    };
    let left_out = match key.left_out {
        WhenLeftOut::Required([]) => "needed".to_owned(),
        WhenLeftOut::Required(others) => format!("needed, or `{}`", others.join("`, `")),
        WhenLeftOut::RequiredWithTable(without) => format!("needed with its table; without: {without}"),
        WhenLeftOut::Assumed { value, why } => format!("{} assumed: {why}", key.with_unit(value)),
        WhenLeftOut::AssumedText { value, why } => format!("{value} assumed: {why}"),
        WhenLeftOut::Optional(then) => then.to_owned(),
    };
    let run = match key {
        key if of_run::is_read_off(key) => "; in a set the run of its neighbours in pitch is assumed",
        key if evidence::INFERRED.contains(&key.name) => "; in a set what its ring-downs and softest blows say",
        _ => "",
    };
    let tolerance = key.tolerance.map(|typed| key.with_unit(typed)).unwrap_or_default();
    let spread = key.spread.map(|spread| spread.words(key)).unwrap_or_default();
    let Key { name, unit, meaning, measure, .. } = key;
    format!("| `{name}` | {unit} | {range} | {left_out}{run} | {meaning} | {measure} | {tolerance} | {spread} |\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_has_a_row_of_eight_cells() {
        let text = key_reference();
        for key in KEYS {
            assert!(text.contains(&format!("| `{}` |", key.name)), "{}", key.name);
        }
        let rows = text.lines().filter(|line| line.starts_with("| `"));
        assert_eq!(rows.clone().count(), KEYS.len());
        assert!(rows.clone().all(|row| row.matches('|').count() == 9));
    }
}
