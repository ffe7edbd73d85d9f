//! The files of a job as they lie on disk, read together.

use std::path::Path;

use super::error::SheetError;
use super::job::{Job, JobSources};
use super::job_file::JobFile;
use super::read::{csv_files, read};
use super::round::note_on_others;
use super::source::{Place, Source};

/// The texts that a job consists of: its file, its sheet, the target's sheet, the rounds of measuring.
#[derive(Debug, Clone)]
pub struct JobFiles {
    /// The job.
    pub job: JobFile,
    /// The sheet it names.
    pub sheet: Source,
    /// The sheet of the target it names.
    pub target: Option<Source>,
    /// Rounds of measuring, in the order of their names.
    pub rounds: Vec<Source>,
    /// On what was not read.
    note: Option<String>,
}

impl JobFiles {
    /// Reads a job, the sheets it names, and the rounds in the folder [`Job::ROUNDS`] beside it.
    ///
    /// # Errors
    /// A file that cannot be read, or all that is wrong with the job itself.
    pub fn read(path: &Path) -> Result<Self, SheetError> {
        let folder = path.parent().unwrap_or(Path::new(""));
        let job = JobFile::from_source(&read(path)?)?;
        let sheet = named_sheet(folder, &job.sheet)?;
        let target = job.target.as_ref().map(|target| named_sheet(folder, &target.sheet)).transpose()?;
        let (rounds, others) = csv_files(&folder.join(Job::ROUNDS))?;
        let rounds = rounds.iter().map(|path| read(path)).collect::<Result<Vec<_>, _>>()?;
        Ok(Self { job, sheet, target, rounds, note: note_on_others(&others) })
    }

    /// The set, by its newest values.
    ///
    /// # Errors
    /// As [`Job::of`].
    pub fn job(&self) -> Result<Job, SheetError> {
        let mut job = Job::of(&self.job, &self.sources())?;
        job.notes.extend(self.note.clone());
        Ok(job)
    }

    /// The set before any round, after the first, and so on.
    ///
    /// # Errors
    /// As [`Job::of`].
    pub fn stages(&self) -> Result<Vec<Job>, SheetError> {
        let mut stages = Job::stages(&self.job, &self.sources())?;
        if let Some(newest) = stages.last_mut() {
            newest.notes.extend(self.note.clone());
        }
        Ok(stages)
    }

    /// The same files with a round in place of the one of its name, or beside the others.
    #[must_use]
    pub fn with_round(&self, round: Source) -> Self {
        let mut files = self.without_round(round.name());
        let place = files.rounds.partition_point(|other| other.name() < round.name());
        files.rounds.insert(place, round);
        files
    }

    /// The same files without the round of this name.
    #[must_use]
    pub fn without_round(&self, name: &str) -> Self {
        let mut files = self.clone();
        files.rounds.retain(|other| other.name() != name);
        files
    }

    /// Whether every text is the same.
    pub fn says_as(&self, other: &Self) -> bool {
        self.texts().eq(other.texts())
    }

    /// Whether all that holds for the whole set is the same: the job itself and its target.
    pub fn surrounds_as(&self, other: &Self) -> bool {
        let around =
            |files: &Self| (files.job.source.text().clone(), files.target.as_ref().map(|it| it.text().clone()));
        around(self) == around(other)
    }

    fn texts(&self) -> impl Iterator<Item = (&str, &str)> {
        let all = [&self.job.source, &self.sheet].into_iter().chain(&self.target).chain(&self.rounds);
        all.map(|source| (source.name(), &**source.text()))
    }

    fn sources(&self) -> JobSources<'_> {
        JobSources { sheet: &self.sheet, target: self.target.as_ref(), rounds: &self.rounds }
    }
}

/// Reads a sheet that a job names.
fn named_sheet(folder: &Path, (sheet, place): &(String, Place)) -> Result<Source, SheetError> {
    read(&folder.join(sheet)).map_err(|mut error| {
        for problem in &mut error.problems {
            problem.message = format!("{} (the sheet named in {}:{})", problem.message, place.file(), place.line());
        }
        error
    })
}
