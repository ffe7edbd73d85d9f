//! What is open: a job with all that is known of it so far, one reed, or nothing yet.

use std::collections::{HashMap, HashSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::journal::Journal;
use crate::instrument::{Assessment, Depth, ReedAssessment};
use crate::sheet::{CheckedReed, Job, JobFiles, JobReed, Problem, ReedFile, RowError, SheetError, Starter, read};

/// What is open, and where it lies.
#[derive(Debug)]
pub struct Opened {
    /// What it is.
    pub what: WhatIsOpen,
}

/// The kinds of what can be open.
#[derive(Debug)]
pub enum WhatIsOpen {
    /// Nothing: a new job is made in this folder.
    Nothing {
        /// The folder.
        folder: PathBuf,
    },
    /// One reed by itself.
    Reed {
        /// Its file.
        path: PathBuf,
        /// The reed.
        reed: Box<CheckedReed>,
    },
    /// A job.
    Job(Box<OpenJob>),
}

/// A job and all that is known of it so far.
#[derive(Debug)]
pub struct OpenJob {
    pub(super) path: PathBuf,
    pub(super) files: JobFiles,
    pub(super) job: Arc<Job>,
    /// Why the files as they now lie cannot be read; what was read before is still shown.
    pub(super) trouble: Option<SheetError>,
    /// Counts the changes of what is typed.
    pub(super) revision: u64,
    pub(super) journal: Journal,
    solved: HashMap<String, (ReedAssessment, Depth)>,
    /// Changed last: solved before the others.
    hot: Vec<String>,
    /// The set as judged, of which these have changed since.
    pub(super) set: Option<Arc<Assessment>>,
    stale: HashSet<String>,
    /// Whether something was solved that the set does not know.
    unjudged: bool,
}

impl Opened {
    /// Opens a job, the folder of one, or a reed; without a name, or with an empty folder, what is to become a job.
    ///
    /// # Errors
    /// What is wrong with the file, or that it is not told which file is meant.
    pub fn of(named: Option<&Path>) -> Result<Self, SheetError> {
        let Some(path) = named else { return Ok(Self::nothing(PathBuf::from("."))) };
        if path.is_dir() {
            let inside = path.join(Starter::FILES[0]);
            let is_empty = std::fs::read_dir(path).is_ok_and(|mut entries| entries.next().is_none());
            return match (inside.is_file(), is_empty) {
                (true, _) => Self::of(Some(&inside)),
                (false, true) => Ok(Self::nothing(path.to_owned())),
                (false, false) => {
                    let problem = Problem::of_file(path.display().to_string(), "has no job.toml");
                    Err(SheetError::unreadable(problem.cure("name the file of the job, or a folder that is empty")))
                }
            };
        }
        let source = read(path)?;
        let is_reed = source.text().parse::<toml::Table>().is_ok_and(|table| table.contains_key("reed"));
        let path = path.to_owned();
        let what = if is_reed {
            WhatIsOpen::Reed { reed: Box::new(ReedFile::load(&path)?), path }
        } else {
            WhatIsOpen::Job(Box::new(OpenJob::read(path)?))
        };
        Ok(Self { what })
    }

    fn nothing(folder: PathBuf) -> Self {
        Self { what: WhatIsOpen::Nothing { folder } }
    }

    /// By what its address is kept.
    pub(super) fn name(&self) -> String {
        let path = match &self.what {
            WhatIsOpen::Nothing { folder } => folder,
            WhatIsOpen::Reed { path, .. } => path,
            WhatIsOpen::Job(open) => &open.path,
        };
        std::fs::canonicalize(path).unwrap_or_else(|_| path.clone()).display().to_string()
    }

    /// The job, where one is open.
    pub(super) fn job(&self) -> Option<&OpenJob> {
        if let WhatIsOpen::Job(open) = &self.what { Some(open) } else { None }
    }

    /// The job, where one is open.
    pub(super) fn job_mut(&mut self) -> Option<&mut OpenJob> {
        if let WhatIsOpen::Job(open) = &mut self.what { Some(open) } else { None }
    }
}

impl OpenJob {
    pub(super) fn read(path: PathBuf) -> Result<Self, SheetError> {
        let files = JobFiles::read(&path)?;
        let job = Arc::new(files.job()?);
        let journal = Journal::read(&rounds_of(&path));
        Ok(Self {
            path,
            files,
            job,
            trouble: None,
            revision: 1,
            journal,
            solved: HashMap::new(),
            hot: Vec::new(),
            set: None,
            stale: HashSet::new(),
            unjudged: true,
        })
    }

    /// The folder of its rounds.
    pub(super) fn rounds(&self) -> PathBuf {
        rounds_of(&self.path)
    }

    /// Reads it again where its files say something else; whether anything changed.
    pub(super) fn reload(&mut self) -> bool {
        let read = JobFiles::read(&self.path);
        match read.and_then(|files| if files.says_as(&self.files) { Ok(None) } else { Ok(Some((files.job()?, files))) })
        {
            Ok(None) => self.trouble.take().is_some(),
            Ok(Some((job, files))) => {
                self.take(job, files);
                true
            }
            Err(error) => {
                let is_new = self.trouble.as_ref() != Some(&error);
                self.trouble = Some(error);
                is_new
            }
        }
    }

    /// Takes what the files say now, and forgets what no longer holds.
    pub(super) fn take(&mut self, job: Job, files: JobFiles) {
        let same_around = files.surrounds_as(&self.files);
        let mut kept = HashMap::new();
        for reed in job.reeds.iter().flatten() {
            match self.solved.remove(&reed.id) {
                Some((mut assessed, depth)) if same_around && assessed.reed.says_as(reed) => {
                    assessed.reed = reed.clone();
                    kept.insert(reed.id.clone(), (assessed, depth));
                }
                _ => {
                    self.stale.insert(reed.id.clone());
                    self.hot.retain(|id| *id != reed.id);
                    self.hot.push(reed.id.clone());
                }
            }
        }
        (self.solved, self.unjudged, self.trouble) = (kept, true, None);
        (self.job, self.files) = (Arc::new(job), files);
        self.revision += 1;
    }

    /// Whether the set is to be judged anew.
    pub(super) fn is_unjudged(&self) -> bool {
        self.unjudged
    }

    /// The next reed to solve, those that changed first, all quickly before any with how sure it is.
    pub(super) fn to_solve(&self) -> Option<(JobReed, Depth)> {
        let known = |reed: &JobReed| self.solved.get(&reed.id).map(|(_, depth)| *depth);
        let hot = self.hot.iter().rev().filter_map(|id| self.job.reeds.iter().flatten().find(|reed| reed.id == *id));
        let mut all = hot.chain(self.job.reeds.iter().flatten());
        let quick = all.clone().find(|reed| known(reed).is_none()).map(|reed| (reed.clone(), Depth::Quick));
        quick.or_else(|| all.find(|reed| known(reed) != Some(Depth::Sure)).map(|reed| (reed.clone(), Depth::Sure)))
    }

    /// Keeps what was solved, unless the reed has changed meanwhile.
    pub(super) fn keep(&mut self, assessed: ReedAssessment, depth: Depth, job: &Arc<Job>) {
        let id = assessed.reed.id.clone();
        let still =
            self.job.reeds.iter().flatten().find(|reed| reed.id == id).is_some_and(|reed| reed.says_as(&assessed.reed));
        if still && Arc::ptr_eq(job, &self.job) {
            if depth == Depth::Sure {
                self.hot.retain(|hot| *hot != id);
            }
            self.solved.insert(id, (assessed, depth));
            self.unjudged = true;
        }
    }

    /// Every row as solved, where all are.
    pub(super) fn all_solved(&self) -> Option<Vec<Result<ReedAssessment, RowError>>> {
        let row = |row: &Result<JobReed, RowError>| match row {
            Ok(reed) => self.solved.get(&reed.id).map(|(assessed, _)| Ok(assessed.clone())),
            Err(error) => Some(Err(error.clone())),
        };
        self.job.reeds.iter().map(row).collect()
    }

    /// Keeps the judged set, unless what is typed has changed meanwhile.
    pub(super) fn keep_set(&mut self, set: Assessment, job: &Arc<Job>) {
        if Arc::ptr_eq(job, &self.job) {
            self.set = Some(Arc::new(set));
            self.unjudged = false;
            self.stale.clear();
        }
    }

    /// A reed as judged in its set, else by itself; and whether how sure it is has been looked at.
    pub(super) fn assessed(&self, id: &str) -> Option<(&ReedAssessment, bool)> {
        let (own, depth) = self.solved.get(id)?;
        let set = self.set.as_ref().filter(|_| !self.stale.contains(id));
        let judged = set.and_then(|set| set.good_rows().find(|reed| reed.reed.id == id));
        Some((judged.unwrap_or(own), *depth == Depth::Sure))
    }

    /// How many reeds are solved as far as that, of how many that can be.
    pub(super) fn progress(&self) -> [usize; 3] {
        let sure = self.solved.values().filter(|(_, depth)| *depth == Depth::Sure).count();
        [self.solved.len(), sure, self.job.reeds.iter().flatten().count()]
    }

    /// The set with how sure every reed is, where nothing is left to solve.
    pub(super) fn whole_set(&self) -> Option<Arc<Assessment>> {
        let done = !self.unjudged && self.to_solve().is_none();
        self.set.clone().filter(|_| done)
    }
}

fn rounds_of(job: &Path) -> PathBuf {
    job.parent().unwrap_or(Path::new("")).join(Job::ROUNDS)
}
