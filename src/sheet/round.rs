//! A round of measuring: a dated CSV in the job's folder `rounds`, with the reeds and columns that were measured then.

use std::path::Path;

use super::csv_columns::Form;
use super::csv_row::{Row, rows};
use super::csv_sheet::{Breath, SheetRow, Slide, duplicates, id};
use super::date::Date;
use super::error::{Problem, SheetError};
use super::feel::Feel;
use super::keys::Table;
use super::layer::{Layer, problem};
use super::operation::Operation;
use super::row_error::RowError;
use super::source::{Place, Source};
use super::target::id_of;
use super::value::Fault;

/// One round of measuring.
#[derive(Debug, Clone)]
pub struct Round {
    /// The day.
    pub date: Date,
    /// The letter after the day, where several rounds fell on one.
    pub suffix: Option<char>,
    /// Name of the file.
    pub file: String,
    /// Its rows, in their order.
    pub rows: Vec<Result<RoundRow, RowError>>,
}

/// One reed in a round.
#[derive(Debug, Clone)]
pub struct RoundRow {
    /// Which reed: `5-blow-in`.
    pub id: String,
    /// Number of the hole.
    pub hole: u32,
    /// Blow or draw.
    pub breath: Breath,
    /// Slide out or in.
    pub slide: Slide,
    /// What was done to it before it was measured.
    pub operation: Option<Operation>,
    /// Minutes that took.
    pub minutes: Option<f64>,
    /// Whether the tongue is a new one: the measurements of the old one end here.
    pub replaced: bool,
    /// What the player says of it now.
    pub feel: Option<Feel>,
    /// What the sheet says of its valve now.
    pub valve: Option<String>,
    /// What the sheet remarks.
    pub remark: Option<String>,
    /// What was measured this round.
    pub layer: Layer,
    /// What the work aimed at, by the keys of what was to be reached: tip gap, plucked pitch.
    pub aimed: Layer,
    /// Columns of the sheet that were left blank.
    pub blank: Vec<&'static str>,
    /// Where the row begins.
    pub place: Place,
}

/// The day and letter in a file's name: `2026-03-01.csv`, `2026-03-01b.csv`.
pub(super) fn day(file: &str) -> Option<(Date, Option<char>)> {
    let stem = Path::new(file).file_stem()?.to_str()?;
    match stem.chars().last().filter(char::is_ascii_lowercase) {
        Some(letter) => Some((Date::parse(&stem[..stem.len() - 1])?, Some(letter))),
        None => Some((Date::parse(stem)?, None)),
    }
}

/// A note on files among the rounds that are named by a day and are no CSV: perhaps a round that was saved otherwise.
pub(super) fn note_on_others(names: &[String]) -> Option<String> {
    let dated = |name: &&String| name.get(..10).is_some_and(|day| Date::parse(day).is_some());
    let dated: Vec<&str> = names.iter().filter(dated).map(String::as_str).collect();
    let are = if dated.len() == 1 {
        "is no CSV file and is not read; if it is a round"
    } else {
        "are no CSV files and are not read; if they are rounds"
    };
    (!dated.is_empty()).then(|| format!("in rounds, {} {are}, export as CSV", dated.join(", ")))
}

impl Round {
    /// Reads a round and compares it with the rows of the set's sheet, pitches as [`read_sheet`](super::read_sheet) does.
    ///
    /// # Errors
    /// A name without a date, or what is wrong with its sheet as a whole.
    pub(super) fn read(
        source: &Source,
        set: &[Result<SheetRow, RowError>],
        concert_pitch_hz: f64,
    ) -> Result<Self, SheetError> {
        let Some((date, suffix)) = day(source.name()) else {
            let problem = Problem::of_file(source.name(), "is no name of a round of measuring");
            let cure = "name it by its day, 2026-03-01.csv, a second one 2026-03-01b.csv, or move it out of rounds";
            return Err(SheetError::new(source, vec![problem.cure(cure)]));
        };
        let fitting = |row: Result<Row, RowError>| row.and_then(|row| RoundRow::new(source, row, set));
        let rows: Vec<_> = rows(source, &Form::ROUND, concert_pitch_hz)?.into_iter().map(fitting).collect();
        let twice = duplicates(rows.iter().flatten().map(|row| (row.id.clone(), &row.place)));
        if !twice.is_empty() {
            return Err(SheetError::new(source, twice));
        }
        Ok(Self { date, suffix, file: source.name().to_owned(), rows })
    }

    /// `2026-03-01b`.
    pub fn name(&self) -> String {
        format!("{}{}", self.date, self.suffix.map_or(String::new(), String::from))
    }

    /// The row of a reed, good or bad.
    pub fn row(&self, id: &str) -> Option<&Result<RoundRow, RowError>> {
        self.rows.iter().find(|row| id_of(row, |row: &RoundRow| row.id.clone()).as_deref() == Some(id))
    }

    /// What the round left open: reeds that stand in it with nothing measured, work whose outcome is not written down, and
    /// cells left blank in a column that two thirds of its reeds fill. A column for a few is no omission of the others.
    pub(super) fn notes(&self) -> Vec<String> {
        let good = || self.rows.iter().flatten();
        let nothing: Vec<&str> = good().filter(|row| row.says_nothing()).map(|row| row.id.as_str()).collect();
        let mut notes = Vec::new();
        if !nothing.is_empty() {
            notes.push(format!("round {}: nothing measured of {}", self.name(), nothing.join(", ")));
        }
        for row in good().filter(|row| !row.says_nothing()) {
            notes.extend(row.outcome_missing().map(|(done, key)| {
                format!(
                    "round {}: {} was {done}, and no {key} is written down; what was known before stands",
                    self.name(),
                    row.id
                )
            }));
        }
        let rows: Vec<&RoundRow> = good().filter(|row| !row.says_nothing()).collect();
        let filled = |key: &str| rows.iter().filter(|row| !row.blank.contains(&key)).count();
        let forgotten = |row: &RoundRow| -> Vec<&'static str> {
            row.blank.iter().copied().filter(|key| 3 * filled(key) >= 2 * rows.len()).collect()
        };
        let mut groups: Vec<(Vec<&str>, Vec<&str>)> = Vec::new();
        for row in &rows {
            let blank = forgotten(row);
            match groups.iter_mut().find(|(known, _)| *known == blank) {
                _ if blank.is_empty() => {}
                Some((_, ids)) => ids.push(&row.id),
                None => groups.push((blank, vec![&row.id])),
            }
        }
        let left = groups.iter().map(|(blank, ids)| {
            format!(
                "round {}: no {} of {}; what was known before stands",
                self.name(),
                blank.join(", "),
                ids.join(", ")
            )
        });
        notes.extend(left);
        notes
    }
}

impl RoundRow {
    fn new(source: &Source, row: Row, set: &[Result<SheetRow, RowError>]) -> Result<Self, RowError> {
        let Row { hole, breath, slide, words, layer, blank, place } = row;
        let id = id(hole, breath, slide);
        let refuse = |key: &str, fault: Fault| RowError {
            line: place.line(),
            id: Some(id.clone()),
            error: SheetError::new(source, vec![problem(&place, key, fault).without_value()]),
        };
        let known = set.iter().find(|row| id_of(row, SheetRow::id).as_ref() == Some(&id));
        let Some(known) = known else {
            let fault = Fault::new("is no reed of the set's sheet").cure("correct hole, breath or slide");
            return Err(refuse(&id, fault));
        };
        if let (Ok(known), Some(note)) = (known, words.note)
            && known.note != note
        {
            let fault = Fault::new(format!("is {note} here and {} in the set's sheet", known.note));
            return Err(refuse(&id, fault.cure("correct hole, breath or slide, or leave the note out")));
        }
        let by_operation = words.operation == Some(Operation::Replace);
        if by_operation && words.replaced == Some(false) {
            let fault = Fault::new("is no, and the operation is replace").cure("a replaced reed has a new tongue");
            return Err(refuse("replaced", fault));
        }
        Ok(Self {
            hole,
            breath,
            slide,
            operation: words.operation,
            minutes: words.minutes,
            replaced: words.replaced == Some(true) || by_operation,
            feel: words.feel,
            valve: words.valve,
            remark: words.remark,
            layer,
            aimed: words.aimed,
            blank,
            place: place.clone(),
            id,
        })
    }

    /// Whether the reed is another than before: by what was done to it, or as its gap was set anew.
    pub(super) fn is_after_work(&self) -> bool {
        let worked = self.operation.is_some_and(|operation| operation != Operation::Measure);
        worked || self.layer.get(Table::Reed, "tip_gap_mm").is_some()
    }

    /// What was done to it and which key would tell the outcome, where it is left out. A new tongue is told of with its
    /// reed.
    fn outcome_missing(&self) -> Option<(&'static str, &'static str)> {
        let has = |key: &str| self.layer.get(Table::Reed, key).is_some();
        match self.operation? {
            Operation::Regap if !has("tip_gap_mm") && !has("rest_stations_mm") => Some(("bent", "tip_gap_mm")),
            Operation::Retune if !has("measured_pluck_hz") => Some(("retuned", "measured_pluck_hz")),
            _ => None,
        }
    }

    /// Whether nothing but the reed's name was filled in.
    fn says_nothing(&self) -> bool {
        let words = self.feel.is_some() || self.valve.is_some() || self.remark.is_some();
        let done =
            self.operation.is_some() || self.minutes.is_some() || self.replaced || !self.aimed.entries().is_empty();
        self.layer.entries().is_empty() && !words && !done
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_named_by_its_day() {
        let name = |file: &str| day(file).map(|(date, letter)| (date.to_string(), letter));
        assert_eq!(name("job/rounds/2026-03-01.csv"), Some(("2026-03-01".to_owned(), None)));
        assert_eq!(name("2026-03-01b.csv"), Some(("2026-03-01".to_owned(), Some('b'))));
        for file in [
            "round-1.csv",
            "2026-02-30.csv",
            "2026-03-01bb.csv",
            "2026-03-01-b.csv",
            "2026-03-01\u{e9}.csv",
            "b.csv",
            ".csv",
        ] {
            assert_eq!(name(file), None, "{file}");
        }
        assert!(day("2026-03-01.csv") < day("2026-03-01b.csv") && day("2026-03-01c.csv") < day("2026-03-02.csv"));
    }
}
