//! One row of a sheet, cell by cell.

use super::cell::{self, Decimal};
use super::csv_cells::{Cell, cells};
use super::csv_columns::{Column, Form, columns};
use super::csv_sheet::{Breath, MOST_HOLES, Slide, id};
use super::error::{Problem, SheetError};
use super::feel::{Feel, one_of};
use super::keys::{Key, find};
use super::layer::{Entry, Layer, problem};
use super::notes::Note;
use super::operation::Operation;
use super::row_error::RowError;
use super::source::{Place, Source};
use super::tuner;
use super::value::{Fault, Value, rounded};

/// More rows than every hole has reeds are no sheet.
const MOST_ROWS: usize = 4 * MOST_HOLES as usize;
/// A day and a night of work on one reed.
const MOST_MINUTES: f64 = 1440.0;

/// A row that is good, of a sheet of either form.
#[derive(Debug, Clone)]
pub(super) struct Row {
    pub(super) hole: u32,
    pub(super) breath: Breath,
    pub(super) slide: Slide,
    pub(super) words: Words,
    /// The values of its key columns.
    pub(super) layer: Layer,
    /// Key columns in which it has nothing.
    pub(super) blank: Vec<&'static str>,
    pub(super) place: Place,
}

/// What the columns say that are no keys; none where they are blank.
#[derive(Debug, Clone, Default)]
pub(super) struct Words {
    pub(super) note: Option<Note>,
    pub(super) valve: Option<String>,
    pub(super) feel: Option<Feel>,
    pub(super) remark: Option<String>,
    pub(super) minutes: Option<f64>,
    pub(super) operation: Option<Operation>,
    pub(super) replaced: Option<bool>,
    pub(super) aimed: Layer,
}

/// Reads the rows of a sheet, each by itself, good or bad; pitches as a tuner at the concert pitch (Hz) shows them, too.
///
/// # Errors
/// What is wrong with the sheet as a whole: its quotes, its heading, no row at all, too many.
pub(super) fn rows(
    source: &Source,
    form: &Form,
    concert_pitch_hz: f64,
) -> Result<Vec<Result<Row, RowError>>, SheetError> {
    let whole = |problem: Problem| SheetError::new(source, vec![problem]);
    let cells = cells(source)?;
    let Some((heading, rows)) = cells.rows.split_first() else {
        return Err(whole(Problem::of_file(source.name(), "is empty")));
    };
    let columns = columns(source, heading, form).map_err(|problems| SheetError::new(source, problems))?;
    if rows.is_empty() {
        let problem = Problem::of_file(source.name(), "has a heading but no reed below it");
        return Err(whole(problem.cure("write one row for each reed")));
    }
    if rows.len() > MOST_ROWS {
        let message = format!("has {} rows; no sheet of reeds has more than {MOST_ROWS}", rows.len());
        return Err(whole(Problem::of_file(source.name(), message).cure("is it the right file?")));
    }
    let reader = RowReader { source, columns, form, separator: cells.separator, concert_pitch_hz };
    Ok(rows.iter().map(|row| reader.row(row)).collect())
}

struct RowReader<'s> {
    source: &'s Source,
    columns: Vec<Column>,
    form: &'s Form,
    separator: char,
    concert_pitch_hz: f64,
}

/// What a row holds as far as it has been read.
#[derive(Default)]
struct SoFar {
    hole: Option<u32>,
    breath: Option<Breath>,
    slide: Option<Slide>,
    words: Words,
    layer: Layer,
    problems: Vec<Problem>,
}

impl RowReader<'_> {
    fn row(&self, cells: &[Cell]) -> Result<Row, RowError> {
        let place = self.source.place(cells[0].span.clone());
        let mut row = SoFar::default();
        match self.wrong_width(cells) {
            Some(fault) => row.problems.push(problem(&place, "", fault).without_value()),
            None => self.fill(&mut row, cells, &place),
        }
        let SoFar { hole, breath, slide, words, layer, problems } = row;
        match (hole, breath, slide) {
            (Some(hole), Some(breath), Some(slide)) if problems.is_empty() => {
                let blank = self.blank(cells);
                Ok(Row { hole, breath, slide, words, layer, blank, place })
            }
            _ => {
                let id = (|| Some(id(hole?, breath?, slide?)))();
                Err(RowError { line: place.line(), id, error: SheetError::new(self.source, problems) })
            }
        }
    }

    /// Key columns in which a row has nothing.
    fn blank(&self, cells: &[Cell]) -> Vec<&'static str> {
        let is_blank = |k: usize| cells.get(k).is_none_or(|cell| cell.text.is_empty());
        let columns = self.columns.iter().enumerate();
        let key = |(k, column): (usize, &Column)| match column {
            Column::Key(key) if is_blank(k) => Some(key.name),
            _ => None,
        };
        columns.filter_map(key).collect()
    }

    fn fill(&self, row: &mut SoFar, cells: &[Cell], place: &Place) {
        for (column, cell) in self.columns.iter().zip(cells).filter(|(_, cell)| !cell.text.is_empty()) {
            if let Err((key, fault)) = self.read(*column, cell, row) {
                row.problems.push(problem(&self.source.place(cell.span.clone()), key, fault));
            }
        }
        for &(name, column) in self.form.needed {
            let at = self.columns.iter().position(|known| *known == column);
            let blank = at.and_then(|at| cells.get(at)).is_none_or(|cell| cell.text.is_empty());
            if blank {
                row.problems.push(problem(place, name, Fault::new("is blank").cure("fill the cell")).without_value());
            }
        }
    }

    /// Reads one cell that is not blank.
    fn read(&self, column: Column, cell: &Cell, row: &mut SoFar) -> Result<(), (&'static str, Fault)> {
        let text = cell.text.as_str();
        match column {
            Column::Hole => row.hole = Some(hole(text).map_err(|fault| ("hole", fault))?),
            Column::Breath => {
                let words = [("blow", Breath::Blow), ("draw", Breath::Draw)];
                row.breath = Some(one_of(text, &words).map_err(|fault| ("breath", fault))?);
            }
            Column::Slide => {
                let words = [("out", Slide::Out), ("in", Slide::In)];
                row.slide = Some(one_of(text, &words).map_err(|fault| ("slide", fault))?);
            }
            Column::Note => {
                let fault = || Fault::new("is no note").cure("write letter, sharp or flat, octave: C4, F#5, Bb3");
                row.words.note = Some(Note::parse(text).ok_or_else(|| ("note", fault()))?);
            }
            Column::Valve => row.words.valve = Some(text.to_owned()),
            Column::Feel => row.words.feel = Some(one_of(text, &Feel::WORDS).map_err(|fault| ("feel", fault))?),
            Column::Remark => row.words.remark = Some(text.to_owned()),
            Column::Minutes => {
                row.words.minutes = Some(minutes(text, self.decimal(cell)).map_err(|fault| ("minutes", fault))?);
            }
            Column::Operation => {
                let words = Operation::ALL.map(|row| (row.name, row.operation));
                row.words.operation = Some(one_of(text, &words).map_err(|fault| ("operation", fault))?);
            }
            Column::Replaced => {
                let words = [("yes", true), ("no", false)];
                row.words.replaced = Some(one_of(text, &words).map_err(|fault| ("replaced", fault))?);
            }
            Column::Aimed(name) => {
                let Some(key) = find(name) else { return Ok(()) };
                let value = self.value(key, cell).map_err(|fault| (name, fault))?;
                row.words.aimed.set(Entry { key, value, place: self.source.place(cell.span.clone()) });
            }
            Column::Key(key) => {
                let value = self.value(key, cell).map_err(|fault| (key.name, fault))?;
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

    /// The value of a key, in its unit; a frequency also as a tuner shows it.
    fn value(&self, key: &Key, cell: &Cell) -> Result<Value, Fault> {
        let decimal = self.decimal(cell);
        let of_tuner = || tuner::reading(&cell.text, decimal, self.concert_pitch_hz);
        let Some(hz) = (key.unit == "Hz").then(of_tuner).flatten() else { return cell::read(key, &cell.text, decimal) };
        let value = Value::Number(rounded(hz?));
        key.check(&value)?;
        Ok(value)
    }

    /// A comma is a decimal mark where it separates no cells, and in quotes.
    fn decimal(&self, cell: &Cell) -> Decimal {
        let comma = self.separator != ',' || (cell.quoted && cell.text.contains(','));
        if comma { Decimal::PointOrComma } else { Decimal::Point }
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
        let cut_short = width < needed && comma && pointless && width > self.form.needed.len();
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

fn minutes(text: &str, decimal: Decimal) -> Result<f64, Fault> {
    let minutes = cell::number(text, decimal)?;
    let fault = || Fault::new("is outside the range").allowed(format!("0 to {MOST_MINUTES} (minutes, up to a day)"));
    if (0.0..=MOST_MINUTES).contains(&minutes) { Ok(minutes) } else { Err(fault()) }
}
