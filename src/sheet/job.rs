//! A whole set: the job and its sheet, every reed checked.

use std::collections::BTreeSet;
use std::path::Path;

use super::checked::Assumed;
use super::csv_sheet::{SheetRow, read_sheet};
use super::error::{Problem, SheetError};
use super::evidence::Evidence;
use super::instrument::{Instrument, Wind};
use super::job_file::JobFile;
use super::job_files::JobFiles;
use super::job_reed::{JobReed, OfSet};
use super::newest::{Newest, newest};
use super::of_layout::Layout;
use super::of_run::Run;
use super::pair::{Pair, PairEnd};
use super::player::PlayerProfile;
use super::rates::Rates;
use super::round::{Round, day};
use super::row_error::RowError;
use super::source::Source;
use super::target::{Target, id_of};
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
    /// The same rows as typed, each with the newest value of every cell; none where that is not known. What a row begun has
    /// stands here too.
    pub newest_rows: Vec<Option<SheetRow>>,
    /// What was left out and assumed for the whole set; what single reeds lean on is listed with them.
    pub assumed: Vec<Assumed>,
    /// What a reader of the results should know.
    pub notes: Vec<String>,
    /// Name of the sheet's file.
    pub sheet_name: String,
    /// Rounds of measuring, the oldest first. Their newest values are in [`Job::reeds`].
    pub rounds: Vec<Round>,
    /// A set that the player loves, where one was measured.
    pub target: Option<Target>,
    /// Pairs of notes that are to sound together.
    pub pairs: Vec<Pair>,
    /// Minutes for each operation.
    pub rates: Rates,
}

/// The sheets of a job.
#[derive(Debug, Clone, Copy)]
pub struct JobSources<'a> {
    /// The sheet of the set.
    pub sheet: &'a Source,
    /// The sheet of the target, needed where the job names one.
    pub target: Option<&'a Source>,
    /// Rounds of measuring, in any order.
    pub rounds: &'a [Source],
}

impl Job {
    /// The folder beside the job in which rounds of measuring are kept.
    pub const ROUNDS: &str = "rounds";

    /// Reads a job, the sheets it names, and the rounds of measuring in the folder `rounds` beside it.
    ///
    /// # Errors
    /// A file that cannot be read, all that is wrong with the job, or what is wrong with a sheet as a whole. A row that
    /// is wrong is an error in [`Job::reeds`].
    pub fn load(path: impl AsRef<Path>) -> Result<Self, SheetError> {
        JobFiles::read(path.as_ref())?.job()
    }

    /// The same set as it was known before any round, after the first, after the second, and so on: the last is what
    /// [`Job::load`] gives.
    ///
    /// # Errors
    /// As [`Job::load`].
    pub fn load_stages(path: impl AsRef<Path>) -> Result<Vec<Self>, SheetError> {
        JobFiles::read(path.as_ref())?.stages()
    }

    /// As [`Job::load_stages`], of sheets that were read.
    ///
    /// # Errors
    /// As [`Job::of`].
    pub fn stages(file: &JobFile, sources: &JobSources<'_>) -> Result<Vec<Self>, SheetError> {
        let mut rounds = sources.rounds.to_vec();
        rounds.sort_by_key(|source| day(source.name()));
        (0..=rounds.len()).map(|count| Self::of(file, &JobSources { rounds: &rounds[..count], ..*sources })).collect()
    }

    /// Checks every row of a sheet under a job, without rounds and target.
    ///
    /// # Errors
    /// What is wrong with the sheet as a whole.
    pub fn new(file: &JobFile, sheet: &Source) -> Result<Self, SheetError> {
        Self::of(file, &JobSources { sheet, target: None, rounds: &[] })
    }

    /// Checks every row of a sheet under a job: the newest value of each reed, round over round.
    ///
    /// # Errors
    /// What is wrong with a sheet as a whole, or with a pair.
    pub fn of(file: &JobFile, sources: &JobSources<'_>) -> Result<Self, SheetError> {
        let sheet = sources.sheet;
        let concert_pitch_hz = file.instrument.tuning.concert_pitch_hz;
        let rows = read_sheet(sheet, concert_pitch_hz)?;
        let texts = [&file.source, sheet].into_iter().chain(sources.target).chain(sources.rounds);
        let mut notes: Vec<String> = texts.filter_map(Source::note_on_its_end).collect();
        notes.extend(odd(file, &rows));
        let pairs = pairs(file, &rows)?;
        let rounds = sources.rounds.iter().map(|source| Round::read(source, &rows, concert_pitch_hz));
        let mut rounds = rounds.collect::<Result<Vec<_>, _>>()?;
        rounds.sort_by_key(|round| (round.date, round.suffix));
        if let Some(pair) =
            rounds.windows(2).find(|pair| (pair[0].date, pair[0].suffix) == (pair[1].date, pair[1].suffix))
        {
            let problem = Problem::of_file(&pair[1].file, format!("is of the same day as {}", pair[0].file));
            return Err(SheetError::unreadable(
                problem.cure("tell them apart by a letter after the day: 2026-03-01b.csv"),
            ));
        }
        notes.extend(rounds.iter().flat_map(Round::notes));
        let mut target = target(file, sources.target, &rows)?;
        notes.extend(target.iter().flat_map(|target| target.notes(&rows)));
        let layout = Layout::of(file.instrument.wind, &rows);
        let all: Vec<Result<Newest, RowError>> =
            rows.into_iter().map(|row| row.and_then(|row| newest(row, &rounds))).collect();
        let newest_rows: Vec<Option<SheetRow>> =
            all.iter().map(|newest| newest.as_ref().ok().map(|newest| newest.row.clone())).collect();
        notes.extend(all.iter().flatten().flat_map(|newest| newest.notes.clone()));
        let set = OfSet { layout, run: Run::of(newest_rows.iter().flatten()) };
        let reed = |newest| JobReed::new(file, &file.surroundings, &set, sheet, newest);
        let mut reeds: Vec<Result<JobReed, RowError>> = all.into_iter().map(|newest| newest.and_then(reed)).collect();
        let evidence = Evidence::of(&reeds.iter().flatten().map(|reed| &reed.checked).collect::<Vec<_>>());
        if let Some(evidence) = &evidence {
            let of_target = target.iter_mut().flat_map(|target: &mut Target| &mut target.reeds);
            reeds.iter_mut().chain(of_target).flatten().for_each(|reed| reed.told_by(evidence));
        }
        Ok(Self {
            instrument: file.instrument.clone(),
            player: file.player.clone(),
            tolerances: file.tolerances.clone(),
            reeds,
            newest_rows,
            assumed: file.assumed.clone(),
            notes,
            sheet_name: sheet.name().to_owned(),
            rounds,
            target,
            pairs,
            rates: file.rates.clone(),
        })
    }

    /// The reeds that an end of a pair means.
    pub fn sounding<'a>(&'a self, end: &'a PairEnd) -> impl Iterator<Item = &'a JobReed> {
        self.reeds.iter().flatten().filter(move |reed| match end {
            PairEnd::Note(note) => reed.note == *note,
            PairEnd::Reed(id) => reed.id == *id,
        })
    }

    /// Every row that is wrong, of the set, its target and its rounds; those apart that are not measured yet.
    pub fn bad_rows(&self) -> impl Iterator<Item = &RowError> {
        let own = self.reeds.iter().filter_map(|row| row.as_ref().err());
        own.filter(|row| !row.not_measured()).chain(self.bad_rows_elsewhere())
    }

    /// Rows of the target, and rows of rounds that belong to no reed of the set, that are wrong: they stand in no entry
    /// of [`Job::reeds`].
    pub fn bad_rows_elsewhere(&self) -> impl Iterator<Item = &RowError> {
        let target = self.target.iter().flat_map(|target| &target.reeds).filter_map(|row| row.as_ref().err());
        let known =
            |id: &str| self.reeds.iter().any(|row| id_of(row, |reed: &JobReed| reed.id.clone()).as_deref() == Some(id));
        let rounds = self.rounds.iter().flat_map(|round| &round.rows).filter_map(|row| row.as_ref().err());
        let strays = rounds.filter(move |row| !row.id.as_deref().is_some_and(known));
        target.filter(|row| !row.not_measured()).chain(strays)
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

    /// As [`Job::parse`], with the target's sheet and rounds of measuring, named by their days.
    ///
    /// # Errors
    /// As [`Job::of`].
    pub fn parse_with(
        job: (&str, &str),
        sheet: (&str, &str),
        target: Option<(&str, &str)>,
        rounds: &[(&str, &str)],
    ) -> Result<Self, SheetError> {
        let source = |(name, text): (&str, &str)| Source::new(name, text);
        let (sheet, target) = (source(sheet), target.map(source));
        let rounds: Vec<Source> = rounds.iter().copied().map(source).collect();
        let sources = JobSources { sheet: &sheet, target: target.as_ref(), rounds: &rounds };
        Self::of(&JobFile::from_source(&source(job))?, &sources)
    }
}

fn pairs(file: &JobFile, rows: &[Result<SheetRow, RowError>]) -> Result<Vec<Pair>, SheetError> {
    let (mut pairs, mut problems) = (Vec::new(), Vec::new());
    for pair in &file.pairs {
        match pair.checked(rows) {
            Ok(pair) => pairs.push(pair),
            Err(found) => problems.extend(found),
        }
    }
    if problems.is_empty() { Ok(pairs) } else { Err(SheetError::new(&file.source, problems)) }
}

fn target(
    file: &JobFile,
    source: Option<&Source>,
    set: &[Result<SheetRow, RowError>],
) -> Result<Option<Target>, SheetError> {
    let Some(target) = &file.target else { return Ok(None) };
    let Some(source) = source else {
        let problem = Problem::at(&target.sheet.1, "target.sheet", "was not read: the job was given without it");
        return Err(SheetError::new(&file.source, vec![problem.cure("read the job from its file")]));
    };
    let surroundings = target.surroundings.over(&file.surroundings);
    let rows = read_sheet(source, file.instrument.tuning.concert_pitch_hz)?;
    let of = OfSet { layout: Layout::of(file.instrument.wind, &rows), run: Run::of(rows.iter().flatten()) };
    let one = |row: SheetRow| {
        let newest = Newest { row, tongue_since: None, said_of: None, notes: Vec::new() };
        JobReed::new(file, &surroundings, &of, source, newest)
    };
    let reeds = rows.into_iter().map(|row| row.and_then(one)).collect();
    Ok(Some(Target::new(source.name().to_owned(), reeds, set)))
}

/// What is odd about the set as a whole.
fn odd(file: &JobFile, rows: &[Result<SheetRow, RowError>]) -> Vec<String> {
    let rows: Vec<&SheetRow> = rows.iter().flatten().collect();
    let highest_hole = rows.iter().map(|row| row.hole).max().unwrap_or(0);
    let mut notes: Vec<String> = rows.iter().filter_map(|row| file.instrument.oddity(row, highest_hole)).collect();
    let played: BTreeSet<u32> = rows.iter().map(|row| row.hole).collect();
    let with_chamber: BTreeSet<u32> = file.surroundings.chamber_holes().collect();
    let list = |holes: Vec<&u32>| holes.into_iter().map(u32::to_string).collect::<Vec<_>>().join(", ");
    let idle: Vec<&u32> = with_chamber.difference(&played).collect();
    if !idle.is_empty() {
        notes.push(format!("chambers are given for holes with no good row in the sheet: {}", list(idle)));
    }
    let bare: Vec<&u32> = played.difference(&with_chamber).collect();
    if !with_chamber.is_empty() && !bare.is_empty() {
        let theirs = match file.instrument.wind {
            Wind::Mouth => "is assumed from the layout",
            Wind::Bellows => "is a large windchest",
        };
        let holes = list(bare);
        notes.push(format!(
            "no [[chamber]] is given for holes {holes}: theirs {theirs} unless their rows say otherwise"
        ));
    }
    notes
}
