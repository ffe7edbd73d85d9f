//! The reeds of a job by name and note, and the round that is written beside it.

use std::fs;
use std::path::{Path, PathBuf};

use freereed::listen::{ReedHeard, Which};
use freereed::print::listen::to_round;
use freereed::sheet::{Date, Job, JobFile, SheetRow, Tuning, nearest_name, notes, read, read_sheet};

use super::says_something;
use crate::cli::failure::{Failure, show_problems};
use crate::cli::output;
use crate::cli::today::today;

/// The reeds of a job, measured or not.
pub struct Set {
    folder: PathBuf,
    rows: Vec<SheetRow>,
    pub tuning: Tuning,
}

impl Set {
    /// Reads a job and the rows of its sheet; rows that are wrong are told of and left out.
    pub fn load(job: &Path) -> Result<Self, Failure> {
        let folder = job.parent().unwrap_or(Path::new("")).to_owned();
        let file = JobFile::from_source(&read(job)?)?;
        let sheet = read(&folder.join(&file.sheet.0))?;
        let rows = read_sheet(&sheet, file.instrument.tuning.concert_pitch_hz)?;
        show_problems(rows.iter().filter_map(|row| row.as_ref().err()).map(|row| &row.error));
        let rows = rows.into_iter().flatten().collect();
        Ok(Self { folder, rows, tuning: file.instrument.tuning })
    }

    /// Each reed's label and the frequency it should sound (Hz).
    pub fn nominal(&self) -> Vec<(String, f64)> {
        self.rows.iter().map(|row| (row.id(), self.tuning.frequency_hz(row.note))).collect()
    }

    /// The reed that the call names for a note.
    pub fn named(&self, label: &str, hz: f64) -> Result<Which, Failure> {
        let reeds = self.nominal();
        if let Some((label, nominal)) = reeds.iter().find(|(id, _)| id == label) {
            return Ok(Which::One { label: label.clone(), off_cents: notes::cents(hz, *nominal) });
        }
        let ids: Vec<&str> = reeds.iter().map(|(id, _)| id.as_str()).collect();
        let meant = nearest_name(label, &ids).map_or(String::new(), |near| format!("; is {near} meant?"));
        Err(Failure::Call(format!("--reeds: {label} is no reed of the job's sheet{meant}")))
    }

    /// Writes a round of the day, under the first name that is free, and gives its name.
    pub fn save(&self, reeds: &[ReedHeard], date: Option<Date>, at_pa: Option<f64>) -> Result<String, Failure> {
        let rows: Vec<&SheetRow> = self.rows.iter().collect();
        let bytes = to_round(&rows, reeds, at_pa).filter(|_| says_something(reeds));
        let bytes = bytes.ok_or_else(|| {
            Failure::Call("nothing to save: no note could be told to be one reed's; name them with --reeds".to_owned())
        })?;
        let folder = self.folder.join(Job::ROUNDS);
        let failure = |why| Failure::Write { path: folder.clone(), why };
        fs::create_dir_all(&folder).map_err(failure)?;
        let date = date.unwrap_or_else(today);
        let letters = std::iter::once(String::new()).chain(('b'..='z').map(String::from));
        let free = letters.map(|letter| folder.join(format!("{date}{letter}.csv"))).find(|path| !path.exists());
        let path =
            free.ok_or_else(|| Failure::Call(format!("{date} has rounds up to the letter z; give another --date")))?;
        output::write_file(&path, &bytes, false)?;
        Ok(path.display().to_string())
    }
}
