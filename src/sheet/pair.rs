//! `[[pair]]` of a job: two notes that are to sound together.

use std::fmt;

use toml::de::DeTable;

use super::csv_sheet::SheetRow;
use super::error::Problem;
use super::layer::problem;
use super::notes::Note;
use super::row_error::RowError;
use super::source::Place;
use super::toml_text::{Item, Name, Reading, part};
use super::value::{Fault, toml_kind};

const ENDS: [&str; 2] = ["lower", "upper"];

/// One of two: a note, of whichever reeds sound it, or one reed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PairEnd {
    /// Every reed of this note.
    Note(Note),
    /// The reed of this id.
    Reed(String),
}

impl fmt::Display for PairEnd {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Note(note) => note.fmt(f),
            Self::Reed(id) => id.fmt(f),
        }
    }
}

/// Two notes that are to sound together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pair {
    /// The lower.
    pub lower: PairEnd,
    /// The upper.
    pub upper: PairEnd,
}

/// A pair as typed, each end with its place.
#[derive(Debug, Clone)]
pub(super) struct TypedPair {
    ends: [(PairEnd, Place); 2],
}

impl TypedPair {
    /// The pair, compared with the rows of the sheet.
    pub(super) fn checked(&self, rows: &[Result<SheetRow, RowError>]) -> Result<Pair, Vec<Problem>> {
        let notes = [0, 1].map(|k| note_of(&self.ends[k].0, rows));
        let mut problems = Vec::new();
        for (k, (end, place)) in self.ends.iter().enumerate() {
            let bad_row = |row: &Result<SheetRow, RowError>| row.as_ref().is_err_and(|e| e.id == Some(end.to_string()));
            if notes[k].is_none() && !rows.iter().any(bad_row) {
                let fault = Fault::new("is no reed of the sheet and no note of any").cure("look it up in the sheet");
                problems.push(problem(place, ENDS[k], fault));
            }
        }
        let [lower, upper] = &self.ends;
        if let [Some(low), Some(high)] = notes
            && (high < low || lower.0 == upper.0)
        {
            let fault = Fault::new(format!("is not above {} ({low})", lower.0)).cure("exchange the two");
            problems.push(problem(&upper.1, ENDS[1], fault));
        }
        let pair = || Pair { lower: lower.0.clone(), upper: upper.0.clone() };
        if problems.is_empty() { Ok(pair()) } else { Err(problems) }
    }
}

/// The note of an end, where a row of the sheet sounds it.
fn note_of(end: &PairEnd, rows: &[Result<SheetRow, RowError>]) -> Option<Note> {
    let fits = |row: &&SheetRow| match end {
        PairEnd::Note(note) => row.note == *note,
        PairEnd::Reed(id) => row.id() == *id,
    };
    rows.iter().flatten().find(fits).map(|row| row.note)
}

impl Reading<'_> {
    pub(super) fn pairs(&mut self, name: &Name<'_>, item: &Item<'_>) -> Vec<TypedPair> {
        let Some(list) = item.get_ref().as_array() else {
            let fault = Fault::new(format!("is {}; a list of tables is needed", toml_kind(item.get_ref())));
            self.fault(name, item, fault.cure("write [[pair]] with two brackets, once for each pair"));
            return Vec::new();
        };
        let mut pairs = Vec::new();
        for item in list {
            match item.get_ref().as_table() {
                Some(table) => pairs.extend(self.pair(item, table)),
                None => self.fault(name, item, Fault::new("is no table").cure("write [[pair]] with its keys below")),
            }
        }
        pairs
    }

    fn pair(&mut self, item: &Item<'_>, table: &DeTable<'_>) -> Option<TypedPair> {
        for (name, _) in table.iter().filter(|(name, _)| !ENDS.contains(&name.get_ref().as_ref())) {
            self.unknown(name, &ENDS);
        }
        let [lower, upper] = ENDS.map(|key| self.pair_end(item, table, key));
        Some(TypedPair { ends: [lower?, upper?] })
    }

    fn pair_end(&mut self, pair: &Item<'_>, table: &DeTable<'_>, key: &str) -> Option<(PairEnd, Place)> {
        let Some((name, item)) = part(table, key) else {
            let fault =
                Fault::new("is missing in this [[pair]]").cure(format!("write {key} = \"C4\" or \"1-blow-out\""));
            self.problems.push(problem(&self.value_place(pair), key, fault).without_value());
            return None;
        };
        let text = self.text(name, item)?;
        let end = Note::parse(&text).map(PairEnd::Note).or_else(|| reed_id(&text).map(PairEnd::Reed));
        if end.is_none() {
            let fault = Fault::new("is neither a note nor a reed").cure("write \"C4\" or \"1-blow-out\"");
            self.fault(name, item, fault);
        }
        Some((end?, self.value_place(item)))
    }
}

/// The id of a reed in its usual letters: "1-blow-out".
fn reed_id(text: &str) -> Option<String> {
    let lower = text.to_lowercase();
    let parts: Vec<&str> = lower.split('-').collect();
    let [hole, breath, slide] = parts[..] else { return None };
    let plain = hole.parse::<u32>().is_ok() && ["blow", "draw"].contains(&breath) && ["out", "in"].contains(&slide);
    plain.then_some(lower.clone())
}
