//! What stands in the cells of a reed: the newest value of each, where it stands, and how a bench shows it.

use serde::Serialize;

use crate::sheet::keys::{self, Key};
use crate::sheet::{Job, SheetRow, Tuning, Value, tuner};

/// What is measured again and again.
const READINGS: [&str; 4] = ["measured_pluck_hz", "tip_gap_mm", "softest_blow_pa", "ring_down_s"];
/// What is measured once, or seldom.
const SIZES: [&str; 8] = [
    "length_mm",
    "width_mm",
    "thickness_mm",
    "closing_force_g",
    "side_clearance_mm",
    "leak_mm2",
    "measured_sounding_hz",
    "measured_at_pa",
];

/// A column of the page.
#[derive(Debug, Clone, Serialize)]
pub(super) struct Column {
    key: &'static str,
    label: String,
    unit: &'static str,
    meaning: &'static str,
    measure: &'static str,
    range: String,
    /// Whether it is asked for in large cells.
    large: bool,
}

/// Every column that the page can fill with a value.
pub(super) fn columns() -> Vec<Column> {
    let column = |name: &'static str, large: bool| {
        let key = keys::find(name)?;
        Some(Column {
            key: key.name,
            label: label(key),
            unit: if key.unit == "Hz" { "C4 -3 or Hz" } else { key.unit },
            meaning: key.meaning,
            measure: key.measure,
            range: key.range_text(),
            large,
        })
    };
    let readings = READINGS.iter().filter_map(|name| column(name, true));
    readings.chain(SIZES.iter().filter_map(|name| column(name, false))).collect()
}

/// Whether the page fills this column.
pub(super) fn is_column(name: &str) -> bool {
    READINGS.contains(&name) || SIZES.contains(&name) || name == "feel"
}

/// Its name at the bench.
fn label(key: &Key) -> String {
    match key.name {
        "measured_pluck_hz" => "plucked pitch".to_owned(),
        "measured_sounding_hz" => "blown pitch".to_owned(),
        "measured_at_pa" => "blown at".to_owned(),
        _ => key.words(),
    }
}

/// What stands in a cell.
#[derive(Debug, Clone, PartialEq, Serialize, Default)]
pub(super) struct Cell {
    /// As it was typed; what a change is held against.
    pub(super) text: String,
    /// As the page shows it for typing over.
    shown: String,
    /// The same in full, where that says more.
    also: String,
    /// The file it stands in.
    file: String,
}

/// The cells of a reed, by their columns; blank ones are left out.
pub(super) fn cells(job: &Job, row: &SheetRow) -> Vec<(&'static str, Cell)> {
    let names = READINGS.into_iter().chain(SIZES);
    let mut cells: Vec<(&'static str, Cell)> =
        names.filter_map(|name| Some((name, cell(&job.instrument.tuning, row, name)?))).collect();
    if let Some(feel) = row.feel {
        let word = feel.word().to_owned();
        cells.push(("feel", Cell { text: word.clone(), shown: word, ..Cell::default() }));
    }
    cells
}

/// One of them, as typed; blank where nothing stands there.
pub(super) fn typed(job: &Job, row: &SheetRow, name: &str) -> String {
    cells(job, row).into_iter().find(|(column, _)| *column == name).map_or(String::new(), |(_, cell)| cell.text)
}

fn cell(tuning: &Tuning, row: &SheetRow, name: &str) -> Option<Cell> {
    let key = keys::find(name)?;
    let entry = row.layer.get(key.table, key.name)?;
    let text = match &entry.value {
        Value::Number(_) if !entry.place.typed().is_empty() => unquoted(&entry.place.typed()),
        value => value.to_string(),
    };
    let file = entry.place.file().rsplit(['/', '\\']).next().unwrap_or_default().to_owned();
    let (shown, also) = match (&entry.value, key.unit) {
        (Value::Number(hz), "Hz") => {
            (tuner::shown(*hz, tuning.concert_pitch_hz).unwrap_or_else(|| text.clone()), key.with_unit(*hz))
        }
        _ => (text.clone(), String::new()),
    };
    Some(Cell { text, shown, also, file })
}

/// A cell of a CSV file without the quotes that keep a decimal comma in it.
pub(super) fn unquoted(cell: &str) -> String {
    let inside = cell.trim().strip_prefix('"').and_then(|rest| rest.strip_suffix('"'));
    inside.map_or_else(|| cell.to_owned(), |inside| inside.replace("\"\"", "\"").trim().to_owned())
}
