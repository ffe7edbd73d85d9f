//! `[target]` of a job: a set the player loves, measured the same way.

use super::csv_sheet::SheetRow;
use super::job_reed::JobReed;
use super::layer::problem;
use super::row_error::RowError;
use super::source::Place;
use super::surroundings::Surroundings;
use super::toml_text::{Item, Name, Reading};
use super::value::Fault;

pub(super) const KEYS: [&str; 5] = ["sheet", "plate", "defaults", "chamber", "air"];

/// `[target]` as typed.
#[derive(Debug, Clone)]
pub(super) struct TargetFile {
    /// Name of its sheet's file, from the folder of the job, and where it stands.
    pub(super) sheet: (String, Place),
    /// What it says in place of the job's own tables.
    pub(super) surroundings: Surroundings,
}

/// A set the player loves.
#[derive(Debug, Clone)]
pub struct Target {
    /// Name of its sheet's file.
    pub sheet_name: String,
    /// One entry for each row of its sheet, in its order.
    pub reeds: Vec<Result<JobReed, RowError>>,
    /// Reeds of the set that have no good counterpart here, in the order of the set's sheet.
    pub missing: Vec<String>,
    /// Reeds here that the set does not have.
    pub strangers: Vec<String>,
}

impl Target {
    /// The counterpart of a reed, by its id: same hole, breath and slide.
    pub fn reed(&self, id: &str) -> Option<&JobReed> {
        self.reeds.iter().flatten().find(|reed| reed.id == id)
    }

    pub(super) fn new(
        sheet_name: String,
        reeds: Vec<Result<JobReed, RowError>>,
        set: &[Result<SheetRow, RowError>],
    ) -> Self {
        let ids: Vec<String> = set.iter().filter_map(|row| id_of(row, SheetRow::id)).collect();
        let mut target = Self { sheet_name, reeds, missing: Vec::new(), strangers: Vec::new() };
        target.missing = ids.iter().filter(|id| target.reed(id).is_none()).cloned().collect();
        let own = target.reeds.iter().filter_map(|reed| id_of(reed, |reed: &JobReed| reed.id.clone()));
        target.strangers = own.filter(|id| !ids.contains(id)).collect();
        target
    }

    /// What a reader should know: who has no counterpart, and whose counterpart sounds another note.
    pub(super) fn notes(&self, set: &[Result<SheetRow, RowError>]) -> Vec<String> {
        let name = &self.sheet_name;
        let mut notes = Vec::new();
        if !self.missing.is_empty() {
            notes.push(format!("the target {name} has no good row for {}", self.missing.join(", ")));
        }
        if !self.strangers.is_empty() {
            notes.push(format!("the target {name} has reeds that the set has not: {}", self.strangers.join(", ")));
        }
        let other = set.iter().flatten().filter_map(|row| {
            let there = self.reed(&row.id()).filter(|there| there.note != row.note)?;
            Some(format!("{} is {}, and {} in the target {name}", there.id, row.note, there.note))
        });
        notes.extend(other);
        notes
    }
}

/// The id of a row, good or bad, where it can be read.
pub(super) fn id_of<T>(row: &Result<T, RowError>, id: impl Fn(&T) -> String) -> Option<String> {
    match row {
        Ok(good) => Some(id(good)),
        Err(error) => error.id.clone(),
    }
}

impl Reading<'_> {
    pub(super) fn target(&mut self, name: &Name<'_>, item: &Item<'_>) -> Option<TargetFile> {
        let table = self.table(name, item)?;
        for (name, _) in table.iter().filter(|(name, _)| !KEYS.contains(&name.get_ref().as_ref())) {
            self.unknown(name, &KEYS);
        }
        let surroundings = self.surroundings(table);
        if !table.iter().any(|(name, _)| name.get_ref() == "sheet") {
            let fault = Fault::new("names no sheet").cure("name the measured set's CSV file: sheet = \"loved.csv\"");
            self.problems.push(problem(&self.place_of(name), "target", fault).without_value());
            return None;
        }
        Some(TargetFile { sheet: self.sheet(table)?, surroundings })
    }
}
