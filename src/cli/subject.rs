//! The one reed that a command is about: a reed file, or a reed of a job, which brings its player and its tuning.

use std::path::{Path, PathBuf};

use clap::Args;
use freereed::answer::Conditions;
use freereed::instrument::Pressures;
use freereed::print::json::object;
use freereed::sheet::{CheckedReed, Job, JobReed, Note, ReedFile, Tuning, nearest_name};
use freereed::units;
use serde_json::{Map, Value, json};

use super::failure::{Failure, show_problems};

#[derive(Args)]
pub struct ReedArguments {
    /// The reed, a TOML file (`freereed keys` lists what it can say); or --job and --reed
    #[arg(required_unless_present = "job", conflicts_with = "job")]
    file: Option<PathBuf>,
    /// A job, of which one reed is taken, with its player and its tuning
    #[arg(long, value_name = "JOB.toml", requires = "reed")]
    job: Option<PathBuf>,
    /// That reed: 5-blow-in
    #[arg(long, value_name = "ID", requires = "job")]
    reed: Option<String>,
}

/// The reed a command is about.
pub struct Subject {
    /// The reed.
    pub checked: CheckedReed,
    /// Its file, or which reed of which job it is.
    pub name: String,
    /// The same without folders: pictures are looked at elsewhere.
    pub short_name: String,
    /// How it is asked: as the player of the job does, else the usual conditions.
    pub conditions: Conditions,
    /// By what its notes are named: the job's tuning, else equal temperament at A4 = 440 Hz.
    pub tuning: Tuning,
    /// What a job says of it.
    pub of_job: Option<OfJob>,
}

/// What a job says of one of its reeds.
pub struct OfJob {
    /// The file of the job.
    job: String,
    /// The reed's name in it.
    id: String,
    /// The note it should sound.
    note: Note,
    /// The frequency it should sound (Hz).
    pub target_hz: f64,
    /// The player's soft, normal and hard pressure (Pa) at its note.
    pub pressures_pa: [f64; 3],
}

impl ReedArguments {
    /// Reads the reed.
    pub fn subject(&self) -> Result<Subject, Failure> {
        subject(self.file.as_deref(), self.job.as_deref(), self.reed.as_deref())
    }

    /// Whether a reed is named at all.
    pub fn is_given(&self) -> bool {
        self.file.is_some() || self.job.is_some()
    }

    /// The job of the reed and the reed's name in it.
    pub fn job(&self) -> Result<Option<(Job, &str)>, Failure> {
        let Some((job, id)) = self.job.as_ref().zip(self.reed.as_deref()) else { return Ok(None) };
        Ok(Some((Job::load(job)?, id)))
    }
}

impl Subject {
    /// A reed by itself.
    pub fn by_itself(checked: CheckedReed, name: String, short_name: String) -> Self {
        let (conditions, tuning) = (Conditions::default(), Tuning::default());
        Self { checked, name, short_name, conditions, tuning, of_job: None }
    }

    /// The frequency it should sound (Hz), where a job says so.
    pub fn target_hz(&self) -> Option<f64> {
        self.of_job.as_ref().map(|of| of.target_hz)
    }

    /// The pressure of the player's hard playing (Pa), where a job says so.
    pub fn hard_pa(&self) -> Option<f64> {
        self.of_job.as_ref().map(|of| of.pressures_pa[2])
    }

    /// Which reed of which job it is and what it should sound, in a line; nothing for a reed by itself.
    pub fn heading(&self) -> Option<String> {
        let target_hz = self.target_hz()?;
        Some(format!("{}, to sound at {}", self.name, units::hertz(target_hz)))
    }

    /// The same for a program: the reed's name, and what its job says of it.
    pub fn to_json(&self) -> Map<String, Value> {
        let mut all = object(json!({ "reed": self.name }));
        if let Some(of) = &self.of_job {
            let of_job = json!({
                "file": of.job,
                "reed": of.id,
                "note": of.note.to_string(),
                "target_hz": of.target_hz,
                "concert_pitch_hz": self.tuning.concert_pitch_hz,
                "soft_pa": of.pressures_pa[0],
                "normal_pa": of.pressures_pa[1],
                "hard_pa": of.pressures_pa[2],
            });
            all.insert("job".to_owned(), of_job);
        }
        all
    }
}

/// The reed of a file, or one of a job.
pub fn subject(file: Option<&Path>, job: Option<&Path>, id: Option<&str>) -> Result<Subject, Failure> {
    match (file, job, id) {
        (Some(file), ..) => {
            Ok(Subject::by_itself(ReedFile::load(file)?, file.display().to_string(), without_folders(file)))
        }
        (None, Some(path), Some(id)) => of_job(path, &Job::load(path)?, id),
        _ => Err(Failure::Call("name a reed file, or a job with --job and one of its reeds with --reed".to_owned())),
    }
}

fn without_folders(path: &Path) -> String {
    path.file_name().map_or_else(|| path.display().to_string(), |name| name.to_string_lossy().into_owned())
}

fn of_job(path: &Path, job: &Job, id: &str) -> Result<Subject, Failure> {
    let reed = find(job, id)?;
    let named = |job: &str| format!("{} ({}) of {job}", reed.id, reed.note);
    Ok(Subject {
        checked: reed.checked.clone(),
        name: named(&path.display().to_string()),
        short_name: named(&without_folders(path)),
        conditions: Conditions::of(&job.player, reed.note),
        tuning: job.instrument.tuning.clone(),
        of_job: Some(OfJob {
            job: path.display().to_string(),
            id: reed.id.clone(),
            note: reed.note,
            target_hz: reed.target_hz,
            pressures_pa: Pressures::of(&job.player, reed.note).all(),
        }),
    })
}

/// A good reed of a job.
fn find<'a>(job: &'a Job, id: &str) -> Result<&'a JobReed, Failure> {
    if let Some(reed) = job.reeds.iter().flatten().find(|reed| reed.id == id) {
        return Ok(reed);
    }
    if let Some(row) = job.reeds.iter().filter_map(|reed| reed.as_ref().err()).find(|row| row.id.as_deref() == Some(id))
    {
        show_problems([&row.error]);
        return Err(Failure::Call(format!("the row of {id} has a problem; mend it first")));
    }
    let known: Vec<&str> = job.reeds.iter().flatten().map(|reed| reed.id.as_str()).collect();
    let near = nearest_name(id, &known).map_or(String::new(), |near| format!("; did you mean {near}?"));
    Err(Failure::Call(format!("--reed {id}: {} has no such reed{near}", job.sheet_name)))
}
