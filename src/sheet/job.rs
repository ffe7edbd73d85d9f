//! A whole set: the job and its sheet, every reed checked.

use std::collections::BTreeSet;
use std::path::Path;

use super::checked::{Assumed, CheckedReed};
use super::csv_sheet::{Breath, RowError, SheetRow, Slide, read_sheet};
use super::error::SheetError;
use super::instrument::Instrument;
use super::job_file::JobFile;
use super::notes::Note;
use super::player::PlayerProfile;
use super::read::read;
use super::reed_spec::{ReedSpec, UsualAir};
use super::source::Source;
use super::tolerances::Tolerances;

/// A set of reeds with its instrument and its player.
#[derive(Debug, Clone)]
pub struct Job {
    /// The instrument.
    pub instrument: Instrument,
    /// The player.
    pub player: PlayerProfile,
    /// Tolerances of measurement.
    pub tolerances: Tolerances,
    /// One entry for each row of the sheet, in its order.
    pub reeds: Vec<Result<JobReed, RowError>>,
    /// What was left out and assumed for the whole set; what single reeds lean on is listed with them.
    pub assumed: Vec<Assumed>,
    /// What a reader of the results should know.
    pub notes: Vec<String>,
    /// Name of the sheet's file.
    pub sheet_name: String,
}

/// One reed of a set.
#[derive(Debug, Clone)]
pub struct JobReed {
    /// `5-blow-in`: hole, breath, slide.
    pub id: String,
    /// Number of the hole.
    pub hole: u32,
    /// Blow or draw.
    pub breath: Breath,
    /// Slide out or in.
    pub slide: Slide,
    /// The note it should sound.
    pub note: Note,
    /// The frequency it should sound (Hz), by the instrument's tuning.
    pub target_hz: f64,
    /// What the sheet says of its valve.
    pub valve: Option<String>,
    /// What the sheet remarks.
    pub remark: Option<String>,
    /// Its line in the sheet.
    pub line: usize,
    /// The reed.
    pub checked: CheckedReed,
}

impl Job {
    /// Reads a job and the sheet it names.
    ///
    /// # Errors
    /// A file that cannot be read, all that is wrong with the job, or what is wrong with the sheet as a whole. A row that
    /// is wrong is an error in [`Job::reeds`].
    pub fn load(path: impl AsRef<Path>) -> Result<Self, SheetError> {
        let path = path.as_ref();
        let file = JobFile::from_source(&read(path)?)?;
        let (sheet, place) = &file.sheet;
        let sheet_path = path.parent().unwrap_or(Path::new("")).join(sheet);
        let source = read(&sheet_path).map_err(|mut error| {
            for problem in &mut error.problems {
                problem.message = format!("{} (the sheet named in {}:{})", problem.message, place.file(), place.line());
            }
            error
        })?;
        Self::new(&file, &source)
    }

    /// Checks every row of a sheet under a job.
    ///
    /// # Errors
    /// What is wrong with the sheet as a whole.
    pub fn new(file: &JobFile, sheet: &Source) -> Result<Self, SheetError> {
        let rows = read_sheet(sheet)?;
        let notes = notes(file, &rows);
        let reeds = rows.into_iter().map(|row| row.and_then(|row| reed(file, sheet, row))).collect();
        Ok(Self {
            instrument: file.instrument.clone(),
            player: file.player.clone(),
            tolerances: file.tolerances.clone(),
            reeds,
            assumed: file.assumed.clone(),
            notes,
            sheet_name: sheet.name().to_owned(),
        })
    }

    /// The text of a job and of its sheet, each with its name.
    ///
    /// # Errors
    /// As [`Job::load`], reading apart.
    ///
    /// ```
    /// use freereed::sheet::Job;
    /// let sheet = "hole,breath,slide,note,length_mm,width_mm,thickness_mm,tip_gap_mm\n1,blow,out,C5,14,2,0.2,0.2\n";
    /// let job = Job::parse(("job.toml", "sheet = \"sheet.csv\"\n"), ("sheet.csv", sheet)).unwrap();
    /// let reed = job.reeds[0].as_ref().unwrap();
    /// assert_eq!(reed.id, "1-blow-out");
    /// assert!((reed.target_hz - 523.251).abs() < 1e-3);
    /// ```
    pub fn parse(job: (&str, &str), sheet: (&str, &str)) -> Result<Self, SheetError> {
        Self::new(&JobFile::from_source(&Source::new(job.0, job.1))?, &Source::new(sheet.0, sheet.1))
    }
}

fn reed(file: &JobFile, sheet: &Source, row: SheetRow) -> Result<JobReed, RowError> {
    let (id, line) = (row.id(), row.place.line());
    let blank = row.layer.entries().is_empty();
    let layer = row.layer.over(&file.below(row.hole, row.breath));
    let spec = ReedSpec {
        own_alloys: file.own_alloys.clone(),
        tolerances: file.tolerances.clone(),
        usual_air: if row.breath == Breath::Blow { UsualAir::Breath } else { UsualAir::Room },
        ..ReedSpec::from_layer(sheet, layer, sheet.line_place(line))
    };
    let checked = spec.checked().map_err(|error| match blank {
        true => RowError::of_blank(sheet, line, id.clone()),
        false => RowError { line, id: Some(id.clone()), error },
    })?;
    let target_hz = file.instrument.tuning.frequency_hz(row.note);
    let SheetRow { hole, breath, slide, note, valve, remark, .. } = row;
    Ok(JobReed { id, hole, breath, slide, note, target_hz, valve, remark, line, checked })
}

/// What is odd about the set as a whole.
fn notes(file: &JobFile, rows: &[Result<SheetRow, RowError>]) -> Vec<String> {
    let rows: Vec<&SheetRow> = rows.iter().flatten().collect();
    let highest_hole = rows.iter().map(|row| row.hole).max().unwrap_or(0);
    let mut notes: Vec<String> = rows.iter().filter_map(|row| file.instrument.oddity(row, highest_hole)).collect();
    let played: BTreeSet<u32> = rows.iter().map(|row| row.hole).collect();
    let with_chamber: BTreeSet<u32> = file.chamber_holes().collect();
    let list = |holes: Vec<&u32>| holes.into_iter().map(u32::to_string).collect::<Vec<_>>().join(", ");
    let idle: Vec<&u32> = with_chamber.difference(&played).collect();
    if !idle.is_empty() {
        notes.push(format!("chambers are given for holes with no good row in the sheet: {}", list(idle)));
    }
    let bare: Vec<&u32> = played.difference(&with_chamber).collect();
    if !with_chamber.is_empty() && !bare.is_empty() {
        notes.push(format!(
            "no [[chamber]] is given for holes {}: theirs is a large windchest unless their rows say otherwise",
            list(bare)
        ));
    }
    notes
}
