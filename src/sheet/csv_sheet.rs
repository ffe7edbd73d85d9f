//! The sheet of a set: a CSV with one row for each reed, as a spreadsheet exports it.

use std::collections::HashMap;

use super::cell::{self, Decimal};
use super::csv_cells::{Cell, cells};
use super::csv_columns::{Column, NEEDED, columns};
use super::error::{Problem, SheetError};
use super::layer::{Entry, Layer, problem};
use super::notes::Note;
use super::source::{Place, Source};
use super::value::Fault;

/// Highest hole number.
pub(super) const MOST_HOLES: u32 = 999;
/// More rows than every hole has reeds are no sheet.
const MOST_ROWS: usize = 4 * MOST_HOLES as usize;
/// Which way the air goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Breath {
    /// The player blows.
    Blow,
    /// The player draws.
    Draw,
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

pub(super) fn id(hole: u32, breath: Breath, slide: Slide) -> String {
    let breath = if breath == Breath::Blow { "blow" } else { "draw" };
    let slide = if slide == Slide::Out { "out" } else { "in" };
    format!("{hole}-{breath}-{slide}")
}

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

/// What is said of a row that has no measurement.
const NOT_MEASURED: &str = "is not measured yet";

impl RowError {
    /// A row with no measurement of its own: no mistake, only not done yet.
    pub(super) fn of_blank(source: &Source, line: usize, id: String) -> Self {
        let cure = "fill its cells, or leave it blank until it is measured";
        let problem = Problem::at(&source.line_place(line), &id, NOT_MEASURED).without_value().cure(cure);
        Self { line, id: Some(id), error: SheetError::new(source, vec![problem]) }
    }

    /// Whether the row has no measurement of its own.
    pub fn not_measured(&self) -> bool {
        self.error.problems.iter().any(|problem| problem.message == NOT_MEASURED)
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

/// Reads a sheet: each row by itself, good or bad.
///
/// # Errors
/// What is wrong with the sheet as a whole: its quotes, its heading, no row at all, or two rows for one reed.
pub fn read_sheet(source: &Source) -> Result<Vec<Result<SheetRow, RowError>>, SheetError> {
    let whole = |problems: Vec<Problem>| SheetError::new(source, problems);
    let cells = cells(source)?;
    let Some((heading, rows)) = cells.rows.split_first() else {
        return Err(whole(vec![Problem::of_file(source.name(), "is empty")]));
    };
    let columns = columns(source, heading).map_err(whole)?;
    if rows.is_empty() {
        let problem = Problem::of_file(source.name(), "has a heading but no reed below it");
        return Err(whole(vec![problem.cure("write one row for each reed")]));
    }
    if rows.len() > MOST_ROWS {
        let message = format!("has {} rows; no sheet of reeds has more than {MOST_ROWS}", rows.len());
        return Err(whole(vec![Problem::of_file(source.name(), message).cure("is it the right file?")]));
    }
    let reader = RowReader { source, columns, separator: cells.separator };
    let rows: Vec<_> = rows.iter().map(|row| reader.row(row)).collect();
    let twice = duplicates(&rows);
    if twice.is_empty() { Ok(rows) } else { Err(whole(twice)) }
}

/// A problem for each row whose reed stood in an earlier one. Which of the two is right only the maker can say.
fn duplicates(rows: &[Result<SheetRow, RowError>]) -> Vec<Problem> {
    let mut first: HashMap<String, usize> = HashMap::new();
    let mut problems = Vec::new();
    for row in rows.iter().flatten() {
        let line = row.place.line();
        let before = *first.entry(row.id()).or_insert(line);
        if before != line {
            let message = format!("is a reed that stands twice: in line {before} and here in line {line}");
            let fault = Fault::new(message).cure("keep one of the rows, or correct hole, breath or slide");
            problems.push(problem(&row.place, &row.id(), fault).without_value());
        }
    }
    problems
}

struct RowReader<'s> {
    source: &'s Source,
    columns: Vec<Column>,
    separator: char,
}

/// What a row holds as far as it has been read.
#[derive(Default)]
struct Row {
    hole: Option<u32>,
    breath: Option<Breath>,
    slide: Option<Slide>,
    note: Option<Note>,
    valve: Option<String>,
    remark: Option<String>,
    layer: Layer,
    problems: Vec<Problem>,
}

impl RowReader<'_> {
    fn row(&self, cells: &[Cell]) -> Result<SheetRow, RowError> {
        let place = self.source.place(cells[0].span.clone());
        let mut row = Row::default();
        match self.wrong_width(cells) {
            Some(fault) => row.problems.push(problem(&place, "", fault).without_value()),
            None => self.fill(&mut row, cells, &place),
        }
        let id = || Some(id(row.hole?, row.breath?, row.slide?));
        match (row.hole, row.breath, row.slide, row.note) {
            (Some(hole), Some(breath), Some(slide), Some(note)) if row.problems.is_empty() => {
                let Row { valve, remark, layer, .. } = row;
                Ok(SheetRow { hole, breath, slide, note, valve, remark, layer, place })
            }
            _ => Err(RowError { line: place.line(), id: id(), error: SheetError::new(self.source, row.problems) }),
        }
    }

    fn fill(&self, row: &mut Row, cells: &[Cell], place: &Place) {
        for (column, cell) in self.columns.iter().zip(cells).filter(|(_, cell)| !cell.text.is_empty()) {
            if let Err((key, fault)) = self.read(*column, cell, row) {
                row.problems.push(problem(&self.source.place(cell.span.clone()), key, fault));
            }
        }
        for (name, column) in NEEDED {
            let at = self.columns.iter().position(|known| *known == column);
            let blank = at.and_then(|at| cells.get(at)).is_none_or(|cell| cell.text.is_empty());
            if blank {
                row.problems.push(problem(place, name, Fault::new("is blank").cure("fill the cell")).without_value());
            }
        }
    }

    /// Reads one cell that is not blank.
    fn read(&self, column: Column, cell: &Cell, row: &mut Row) -> Result<(), (&'static str, Fault)> {
        let text = cell.text.as_str();
        match column {
            Column::Hole => row.hole = Some(hole(text).map_err(|fault| ("hole", fault))?),
            Column::Breath => {
                row.breath = Some(
                    one_of(text, [("blow", Breath::Blow), ("draw", Breath::Draw)])
                        .map_err(|fault| ("breath", fault))?,
                );
            }
            Column::Slide => {
                row.slide =
                    Some(one_of(text, [("out", Slide::Out), ("in", Slide::In)]).map_err(|fault| ("slide", fault))?);
            }
            Column::Note => {
                let fault = || Fault::new("is no note").cure("write letter, sharp or flat, octave: C4, F#5, Bb3");
                row.note = Some(Note::parse(text).ok_or_else(|| ("note", fault()))?);
            }
            Column::Valve => row.valve = Some(text.to_owned()),
            Column::Remark => row.remark = Some(text.to_owned()),
            Column::Key(key) => {
                let comma = self.separator != ',' || (cell.quoted && text.contains(','));
                let decimal = if comma { Decimal::PointOrComma } else { Decimal::Point };
                let value = cell::read(key, text, decimal).map_err(|fault| (key.name, fault))?;
                row.layer.set(Entry { key, value, place: self.source.place(cell.span.clone()) });
            }
            Column::Nameless => {
                return Err((
                    "(no heading)",
                    Fault::new("stands in a column without a heading").cure("name the column, or empty it"),
                ));
            }
        }
        Ok(())
    }

    /// What is wrong with the number of cells. Only decimal commas among commas make it dangerous: they shift all that
    /// follows, so nothing of such a row is read.
    fn wrong_width(&self, cells: &[Cell]) -> Option<Fault> {
        const CURE: &str =
            "write decimals with a point, or put decimal commas in quotes, or separate the cells with semicolons";
        let (width, needed) = (cells.len(), self.columns.len());
        let comma = self.separator == ',';
        let stray = cells.iter().skip(needed).any(|cell| !cell.text.is_empty());
        // A comma too many may be a decimal one even where the last cells are blank.
        if width > needed && (comma || stray) {
            let message = format!("has {width} cells under {needed} headings");
            let last = if stray { "" } else { "; or take the last comma away" };
            return Some(if comma {
                Fault::new(format!("{message}: decimal commas between commas?")).cure(format!("{CURE}{last}"))
            } else {
                Fault::new(message).cure("take the separators away that are too many, or put the cell in quotes")
            });
        }
        let pointless = !cells.iter().any(|cell| cell.text.contains('.'));
        let cut_short = width < needed && comma && pointless && width > NEEDED.len();
        cut_short.then(|| {
            let message = format!(
                "has {width} cells under {needed} headings and no decimal point: decimal commas between commas?"
            );
            Fault::new(message).cure(CURE)
        })
    }
}

fn hole(text: &str) -> Result<u32, Fault> {
    let whole = text.strip_suffix(".0").or(text.strip_suffix(",0")).unwrap_or(text);
    let number = whole.parse().ok().filter(|hole| (1..=MOST_HOLES).contains(hole));
    number.ok_or_else(|| {
        Fault::new("is no number of a hole")
            .allowed(format!("1 to {MOST_HOLES}"))
            .cure("count the holes from the lowest")
    })
}

fn one_of<T: Copy, const N: usize>(text: &str, known: [(&str, T); N]) -> Result<T, Fault> {
    let found = known.iter().find(|(name, _)| name.eq_ignore_ascii_case(text)).map(|(_, value)| *value);
    found.ok_or_else(|| {
        let allowed = known.map(|(name, _)| name).join(" or ");
        Fault::new("is not one of the words for it").cure(format!("write {allowed}")).allowed(allowed)
    })
}
