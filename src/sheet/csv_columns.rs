//! The heading of a sheet: which column holds what.

use super::csv_cells::Cell;
use super::error::Problem;
use super::keys::{KEYS, Key, Table, find};
use super::layer::problem;
use super::names;
use super::source::Source;
use super::value::Fault;

/// Tables whose keys may be columns.
const TABLES: [Table; 4] = [Table::Reed, Table::Slot, Table::Chamber, Table::Air];
/// A name and the column it stands for.
type Named = (&'static str, Column);

const ID: [Named; 3] = [("hole", Column::Hole), ("breath", Column::Breath), ("slide", Column::Slide)];
const NOTE: Named = ("note", Column::Note);
const VALVE: Named = ("valve", Column::Valve);
const FEEL: Named = ("feel", Column::Feel);
const REMARK: Named = ("remark", Column::Remark);
const DONE: [Named; 5] = [
    ("operation", Column::Operation),
    ("minutes", Column::Minutes),
    ("replaced", Column::Replaced),
    ("aimed_gap_mm", Column::Aimed("tip_gap_mm")),
    ("aimed_pluck_hz", Column::Aimed("measured_pluck_hz")),
];

/// Which columns a sheet has besides those of the key table.
pub(super) struct Form {
    /// Columns that are there and filled in every row.
    pub(super) needed: &'static [Named],
    /// Columns that may be there.
    pub(super) free: &'static [Named],
}

impl Form {
    /// The sheet of a set.
    pub(super) const SET: Self = Self { needed: &[ID[0], ID[1], ID[2], NOTE], free: &[VALVE, FEEL, REMARK] };
    /// The sheet of a round of measuring.
    pub(super) const ROUND: Self =
        Self { needed: &ID, free: &[NOTE, DONE[0], DONE[1], DONE[2], DONE[3], DONE[4], VALVE, FEEL, REMARK] };
}

/// More columns than there are keys are no sheet.
const MOST_COLUMNS: usize = 200;

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Column {
    Hole,
    Breath,
    Slide,
    Note,
    Valve,
    /// The player's word.
    Feel,
    Remark,
    /// Minutes spent.
    Minutes,
    /// What was done.
    Operation,
    /// A new tongue.
    Replaced,
    /// What the work aimed at, for the key of this name.
    Aimed(&'static str),
    Key(&'static Key),
    /// No heading: nothing may stand below.
    Nameless,
}

/// The column each cell of the heading names.
pub(super) fn columns(source: &Source, heading: &[Cell], form: &Form) -> Result<Vec<Column>, Vec<Problem>> {
    let place = |cell: &Cell| source.place(cell.span.clone());
    if heading.len() > MOST_COLUMNS {
        let message = format!("has {} columns; no sheet of reeds has more than {MOST_COLUMNS}", heading.len());
        return Err(vec![Problem::at(&place(&heading[0]), "", message).without_value().cure("is it the right file?")]);
    }
    let mut named = heading.iter().filter(|cell| !cell.text.is_empty());
    if named.all(|cell| column(&cell.text, form).is_err_and(|unknown| unknown.meant.is_none())) {
        let names = form.needed.iter().map(|(name, _)| *name).collect::<Vec<_>>().join(", ");
        let cure = format!(
            "begin with a line that names the columns: {names}, length_mm, ..., kept apart by comma, semicolon or tab"
        );
        let message = "is no heading: it names no column of a sheet";
        return Err(vec![Problem::at(&place(&heading[0]), "", message).without_value().cure(cure)]);
    }
    let (mut columns, mut problems, mut meant) = (Vec::new(), Vec::new(), Vec::new());
    for cell in heading {
        let column = column(&cell.text, form).unwrap_or_else(|unknown| {
            problems.push(problem(&place(cell), &cell.text, unknown.fault).without_value());
            meant.extend(unknown.meant);
            Column::Nameless
        });
        if column != Column::Nameless && columns.contains(&column) {
            let twice = Fault::new("is a column that stands twice").cure("keep one of the two");
            problems.push(problem(&place(cell), &cell.text, twice).without_value());
        }
        columns.push(column);
    }
    for (name, _) in
        form.needed.iter().filter(|(name, column)| !columns.contains(column) && !meant.iter().any(|m| m == name))
    {
        let cure = "the heading is the first line, its columns kept apart by comma, semicolon or tab";
        let at = source.place(heading[0].span.start..heading[0].span.start);
        problems.push(Problem::at(&at, *name, "is a column that is missing").cure(cure));
    }
    if problems.is_empty() { Ok(columns) } else { Err(problems) }
}

fn column(heading: &str, form: &Form) -> Result<Column, names::Unknown> {
    if heading.is_empty() {
        return Ok(Column::Nameless);
    }
    let fixed = || form.needed.iter().chain(form.free);
    if let Some((_, column)) = fixed().find(|(name, _)| name.eq_ignore_ascii_case(heading)) {
        return Ok(*column);
    }
    match find(heading) {
        Some(key) if TABLES.contains(&key.table) => Ok(Column::Key(key)),
        _ => {
            let keys = KEYS.iter().filter(|key| TABLES.contains(&key.table)).map(|key| key.name);
            Err(names::unknown(heading, &fixed().map(|(name, _)| *name).chain(keys).collect::<Vec<_>>()))
        }
    }
}
