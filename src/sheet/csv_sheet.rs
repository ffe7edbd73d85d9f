//! The sheet of a set: a CSV with one row for each reed, as a spreadsheet exports it.

use std::collections::HashMap;

use super::csv_columns::Form;
use super::csv_row::{Row, rows};
use super::error::{Problem, SheetError};
use super::feel::Feel;
use super::layer::{Layer, problem};
use super::notes::Note;
use super::row_error::RowError;
use super::source::{Place, Source};
use super::value::Fault;

/// Highest hole number.
pub(super) const MOST_HOLES: u32 = 999;

/// Which way the air goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Breath {
    /// The player blows.
    Blow,
    /// The player draws.
    Draw,
}

impl Breath {
    /// Its name in a sheet.
    pub fn name(self) -> &'static str {
        if self == Self::Blow { "blow" } else { "draw" }
    }
}

/// Where the slide is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Slide {
    /// At rest.
    Out,
    /// Pushed.
    In,
}

impl Slide {
    /// Its name in a sheet.
    pub fn name(self) -> &'static str {
        if self == Self::Out { "out" } else { "in" }
    }
}

/// A row as typed.
#[derive(Debug, Clone)]
pub struct SheetRow {
    /// Number of the hole.
    pub hole: u32,
    /// Blow or draw.
    pub breath: Breath,
    /// Slide out or in.
    pub slide: Slide,
    /// The note it should sound.
    pub note: Note,
    /// What the `valve` column says; none where it is blank.
    pub valve: Option<String>,
    /// What the player says of it; none where the `feel` column is blank.
    pub feel: Option<Feel>,
    /// What the `remark` column says; none where it is blank.
    pub remark: Option<String>,
    /// The values of its key columns.
    pub layer: Layer,
    /// Where the row begins.
    pub place: Place,
}

impl SheetRow {
    /// `5-blow-in`: hole, breath, slide.
    pub fn id(&self) -> String {
        id(self.hole, self.breath, self.slide)
    }
}

pub(crate) fn id(hole: u32, breath: Breath, slide: Slide) -> String {
    format!("{hole}-{}-{}", breath.name(), slide.name())
}

/// Reads a sheet: each row by itself, good or bad. A pitch may be typed as a tuner set to the concert pitch (Hz) shows it.
///
/// # Errors
/// What is wrong with the sheet as a whole: its quotes, its heading, no row at all, or two rows for one reed.
pub fn read_sheet(source: &Source, concert_pitch_hz: f64) -> Result<Vec<Result<SheetRow, RowError>>, SheetError> {
    let rows = rows(source, &Form::SET, concert_pitch_hz)?;
    let rows: Vec<_> = rows.into_iter().map(|row| row.map(SheetRow::new)).collect();
    let twice = duplicates(rows.iter().flatten().map(|row| (row.id(), &row.place)));
    if twice.is_empty() { Ok(rows) } else { Err(SheetError::new(source, twice)) }
}

impl SheetRow {
    fn new(row: Row) -> Self {
        let Row { hole, breath, slide, words, layer, place, .. } = row;
        let note = words.note.expect("a column that is needed is filled");
        let (valve, feel, remark) = (words.valve, words.feel, words.remark);
        Self { hole, breath, slide, note, valve, feel, remark, layer, place }
    }
}

/// A problem for each row whose reed stood in an earlier one. Which of the two is right only the maker can say.
pub(super) fn duplicates<'a>(rows: impl Iterator<Item = (String, &'a Place)>) -> Vec<Problem> {
    let mut first: HashMap<String, usize> = HashMap::new();
    let mut problems = Vec::new();
    for (id, place) in rows {
        let line = place.line();
        let before = *first.entry(id.clone()).or_insert(line);
        if before != line {
            let message = format!("is a reed that stands twice: in line {before} and here in line {line}");
            let fault = Fault::new(message).cure("keep one of the rows, or correct hole, breath or slide");
            problems.push(problem(place, &id, fault).without_value());
        }
    }
    problems
}
