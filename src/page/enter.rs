//! Entering: a cell is checked as the whole job would be, and stands in the round of the day before it is answered.

use std::io;

use serde::{Deserialize, Serialize};

use super::cells::{is_column, typed};
use super::journal::Entry;
use super::opened::OpenJob;
use super::table::{COLUMNS, Table};
use crate::sheet::{Date, Job, JobFiles, Operation, Problem, RowError, SheetError, SheetRow, Source};

/// Longest text of a cell.
const LONGEST: usize = 200;

/// A reading as it is sent.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Reading {
    id: String,
    column: String,
    text: String,
    /// What the cell said when it was typed over.
    was: String,
}

/// Work that was done.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Work {
    id: String,
    /// Nothing where the reed is only aimed at something.
    operation: String,
    minutes: String,
    aimed_gap_mm: String,
    aimed_pluck_hz: String,
}

/// Why something is not written.
#[derive(Debug, Serialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Refusal {
    /// It is wrong.
    Wrong(Vec<Reason>),
    /// Somebody else has changed the cell meanwhile.
    Changed {
        /// What it says now.
        now: String,
        /// What was typed.
        typed: String,
    },
    /// Files cannot be read or written, or this cannot be done just now.
    Cannot(String),
}

/// What is wrong with a value.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Reason {
    key: String,
    reason: String,
    allowed: Option<String>,
    cure: Option<String>,
}

impl From<&Problem> for Reason {
    fn from(problem: &Problem) -> Self {
        let Problem { key, message, allowed, cure, .. } = problem;
        Self { key: key.clone(), reason: message.clone(), allowed: allowed.clone(), cure: cure.clone() }
    }
}

impl From<&SheetError> for Refusal {
    fn from(error: &SheetError) -> Self {
        Self::Wrong(error.problems.iter().map(Reason::from).collect())
    }
}

impl From<io::Error> for Refusal {
    fn from(error: io::Error) -> Self {
        Self::Cannot(format!("the round cannot be written: {error}"))
    }
}

/// A round under way: the file, and what the page has in it.
struct Page {
    file: String,
    table: Table,
}

impl OpenJob {
    /// Writes a reading into the round of the day.
    ///
    /// # Errors
    /// What is wrong with it, or that the cell says otherwise by now.
    pub(super) fn enter(&mut self, today: Date, reading: &Reading) -> Result<(), Refusal> {
        let Reading { id, column, text, was } = reading;
        if !is_column(column) {
            return Err(wrong(column, "is no column of the page"));
        }
        self.look_again()?;
        let row = self.row(id)?;
        let now = typed(&self.job, row, column);
        if now != *was && now != text.trim() {
            return Err(Refusal::Changed { now, typed: text.clone() });
        }
        if now == text.trim() {
            return Ok(());
        }
        let page = self.page(today, false)?;
        if text.trim().is_empty() && page.table.get(id, column).is_none() {
            return Err(Refusal::Cannot(format!(
                "{now} stands in a file of yours, which is not changed; type what is right"
            )));
        }
        self.put(page, id, &[(column, text)])
    }

    /// Writes what was done to a reed; where it was measured today before, into a round of its own, since what was measured
    /// after work counts.
    ///
    /// # Errors
    /// What is wrong with it.
    pub(super) fn work_done(&mut self, today: Date, work: &Work) -> Result<(), Refusal> {
        self.look_again()?;
        self.row(&work.id)?;
        let cells = [
            ("operation", &work.operation),
            ("minutes", &work.minutes),
            ("aimed_gap_mm", &work.aimed_gap_mm),
            ("aimed_pluck_hz", &work.aimed_pluck_hz),
        ];
        let cells: Vec<(&str, &String)> = cells.into_iter().filter(|(_, text)| !text.trim().is_empty()).collect();
        if cells.is_empty() {
            return Err(wrong("operation", "is blank: nothing to write"));
        }
        let done = !work.operation.is_empty() && work.operation != Operation::Measure.name();
        let page = self.page(today, false)?;
        let afresh = done && (page.table.is_measured(&work.id) || page.table.get(&work.id, "operation").is_some());
        let page = if afresh { self.page(today, true)? } else { page };
        self.put(page, &work.id, &cells)
    }

    /// Takes the newest entry back, if it still is the one of this number.
    ///
    /// # Errors
    /// There is none, another was made meanwhile, or its round is no longer the page's own.
    pub(super) fn undo(&mut self, number: u64) -> Result<(), Refusal> {
        self.look_again()?;
        let cannot = |why: &str| Err(Refusal::Cannot(why.to_owned()));
        let Some((newest, entry)) = self.journal.newest() else { return cannot("there is nothing to undo") };
        if newest != number {
            return cannot("something else was entered meanwhile; look again at what would be undone");
        }
        let entry = entry.clone();
        let Some(mut page) = self.own(&entry.file) else {
            return cannot("that round was changed by another program since, and is not touched");
        };
        entry.cells.iter().for_each(|(column, before, _)| page.table.set(&entry.id, column, before));
        let text = page.table.to_text(&self.rows());
        let (job, files) = self.as_it_would_be(&page.file, text.as_deref())?;
        let journal = self.journal.without_newest(text.as_deref());
        journal.write(&self.rounds(), &page.file, text.as_deref())?;
        self.journal = journal;
        self.take(job, files);
        Ok(())
    }

    /// What another program changed meanwhile is seen first.
    fn look_again(&mut self) -> Result<(), Refusal> {
        self.reload();
        self.trouble.as_ref().map_or(Ok(()), |trouble| {
            Err(Refusal::Cannot(format!("the files of the job cannot be read; mend them first: {trouble}")))
        })
    }

    /// The rows of the set, by their newest values.
    fn rows(&self) -> Vec<SheetRow> {
        self.job.newest_rows.iter().flatten().cloned().collect()
    }

    fn row(&self, id: &str) -> Result<&SheetRow, Refusal> {
        let found = self.job.newest_rows.iter().flatten().find(|row| row.id() == id);
        found.ok_or_else(|| wrong("reed", "is no reed of the set, or its row is wrong"))
    }

    /// A round that is as the page wrote it.
    fn own(&self, file: &str) -> Option<Page> {
        let path = self.rounds().join(file).display().to_string();
        let text = self.files.rounds.iter().find(|source| source.name() == path).map(Source::text);
        let text = match text {
            Some(text) if self.journal.is_own(file, text) => text,
            // A round that was undone to nothing is no file any more.
            None if !self.rounds().join(file).exists() => {
                return Some(Page { file: file.to_owned(), table: Table::default() });
            }
            _ => return None,
        };
        Some(Page { file: file.to_owned(), table: Table::parse(text)? })
    }

    /// The round to write into: the last of the day where it is the page's own, else (or where a new one is asked for) one
    /// under the next name that is free.
    fn page(&self, today: Date, afresh: bool) -> Result<Page, Refusal> {
        let name = |letter: Option<char>| format!("{today}{}.csv", letter.map_or(String::new(), String::from));
        let letters: Vec<Option<char>> = std::iter::once(None).chain(('b'..='z').map(Some)).collect();
        let last = letters.iter().rposition(|letter| self.rounds().join(name(*letter)).exists());
        let own = last.filter(|_| !afresh).and_then(|last| self.own(&name(letters[last])));
        if let Some(page) = own {
            return Ok(page);
        }
        let next = last.map_or(0, |last| last + 1);
        let letter =
            letters.get(next).ok_or_else(|| Refusal::Cannot(format!("{today} has rounds up to the letter z")))?;
        Ok(Page { file: name(*letter), table: Table::default() })
    }

    /// Fills cells of a round, checks the job as it then would be, and writes the round.
    fn put(&mut self, page: Page, id: &str, cells: &[(&str, &String)]) -> Result<(), Refusal> {
        let Page { file, mut table } = page;
        let mut changes = Vec::new();
        for (column, text) in cells {
            if text.len() > LONGEST || text.chars().any(char::is_control) || !COLUMNS.contains(column) {
                return Err(wrong(column, "is no text for a cell"));
            }
            let before = table.get(id, column).unwrap_or_default().to_owned();
            table.set(id, column, text);
            changes.push(((*column).to_owned(), before, text.trim().to_owned()));
        }
        let text = table.to_text(&self.rows());
        let (job, files) = self.as_it_would_be(&file, text.as_deref())?;
        self.check(&job, &file, id, cells)?;
        let entry = Entry { file: file.clone(), id: id.to_owned(), cells: changes };
        let journal = self.journal.with(entry, text.as_deref());
        journal.write(&self.rounds(), &file, text.as_deref())?;
        self.journal = journal;
        self.take(job, files);
        Ok(())
    }

    /// The job with a round that says this, or without it.
    fn as_it_would_be(&self, file: &str, text: Option<&str>) -> Result<(Job, JobFiles), Refusal> {
        let name = self.rounds().join(file).display().to_string();
        let files = match text {
            Some(text) => self.files.with_round(Source::new(name, text)),
            None => self.files.without_round(&name),
        };
        let job = files.job().map_err(|error| Refusal::from(&error))?;
        Ok((job, files))
    }

    /// Refuses what makes a row wrong that was not, and what a newer round hides.
    fn check(&self, job: &Job, file: &str, id: &str, cells: &[(&str, &String)]) -> Result<(), Refusal> {
        let is_it = |row: &RowError| row.id.as_deref() == Some(id);
        let of = |job: &Job| -> Vec<Reason> {
            let own =
                job.reeds.iter().filter_map(|row| row.as_ref().err()).filter(|row| is_it(row) && !row.not_measured());
            let problems = own.flat_map(|row| &row.error.problems);
            problems.filter(|problem| !problem.is_missing()).map(Reason::from).collect()
        };
        let (before, after) = (of(&self.job), of(job));
        let new: Vec<Reason> = after.into_iter().filter(|reason| !before.contains(reason)).collect();
        if !new.is_empty() {
            return Err(Refusal::Wrong(new));
        }
        let newer = job.rounds.iter().rev().map(|round| round.file.rsplit(['/', '\\']).next().unwrap_or_default());
        let newer: Vec<&str> = newer.take_while(|name| *name != file).collect();
        let row = job.newest_rows.iter().flatten().find(|row| row.id() == id);
        for (column, text) in cells.iter().filter(|(column, text)| is_column(column) && !text.trim().is_empty()) {
            let stands = row.map(|row| typed(job, row, column)).unwrap_or_default();
            if !newer.is_empty() && stands != text.trim() {
                let files = newer.join(", ");
                return Err(Refusal::Cannot(format!("a newer round ({files}) says {stands}, and the newest counts")));
            }
        }
        Ok(())
    }
}

fn wrong(key: &str, reason: &str) -> Refusal {
    Refusal::Wrong(vec![Reason { key: key.to_owned(), reason: reason.to_owned(), allowed: None, cure: None }])
}
