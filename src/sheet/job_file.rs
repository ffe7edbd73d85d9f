//! `job.toml`: what holds for a whole set.

use toml::de::DeTable;

use super::alloys::Alloy;
use super::checked::Assumed;
use super::error::{Problem, SheetError};
use super::instrument::Instrument;
use super::keys::{KEYS, Kind, find};
use super::pair::TypedPair;
use super::player::PlayerProfile;
use super::rates::Rates;
use super::source::{Place, Source};
use super::surroundings::Surroundings;
use super::target::TargetFile;
use super::tolerances::Tolerances;
use super::toml_text::{Item, Name, Reading, parse, part};
use super::value::Fault;

pub(super) const TOP: [&str; 12] = [
    "instrument",
    "sheet",
    "plate",
    "defaults",
    "chamber",
    "air",
    "tolerances",
    "player",
    "alloys",
    "rates",
    "pair",
    "target",
];

/// A job as typed, without its sheet.
#[derive(Debug, Clone)]
pub struct JobFile {
    /// The text.
    pub source: Source,
    /// Name of the sheet's file, from the folder of the job, and where it stands.
    pub sheet: (String, Place),
    /// The instrument.
    pub instrument: Instrument,
    /// The player.
    pub player: PlayerProfile,
    /// Tolerances of measurement.
    pub tolerances: Tolerances,
    /// The user's own alloys.
    pub own_alloys: Vec<Alloy>,
    /// What was left out and assumed for the whole set.
    pub assumed: Vec<Assumed>,
    /// Minutes for each operation.
    pub rates: Rates,
    /// Pairs of notes that are to sound together.
    pub(super) pairs: Vec<TypedPair>,
    /// A set that the player loves.
    pub(super) target: Option<TargetFile>,
    /// What lies below the rows, with what `[player]` says of lungs and mouth.
    pub(super) surroundings: Surroundings,
}

impl JobFile {
    /// Reads the text of a job.
    ///
    /// # Errors
    /// All that is wrong in it.
    pub fn from_source(source: &Source) -> Result<Self, SheetError> {
        let document = parse(source).map_err(|problems| SheetError::new(source, problems))?;
        let mut reading = Reading::new(source);
        let job = reading.job(&document);
        match job {
            Some(job) if reading.problems.is_empty() => Ok(job),
            _ => Err(SheetError::new(source, reading.problems)),
        }
    }
}

impl Reading<'_> {
    fn job(&mut self, document: &DeTable<'_>) -> Option<JobFile> {
        for (name, _) in document.iter().filter(|(name, _)| !TOP.contains(&name.get_ref().as_ref())) {
            self.unknown(name, &TOP);
        }
        let (instrument, mut assumed) = self.instrument(part(document, "instrument"));
        let sheet = self.sheet(document);
        let tolerances = self.tolerances(part(document, "tolerances"));
        let player = self.player(part(document, "player"));
        let own_alloys = part(document, "alloys").map(|(name, item)| self.own_alloys(name, item)).unwrap_or_default();
        let rates = self.rates(part(document, "rates"));
        let pairs = part(document, "pair").map(|(name, item)| self.pairs(name, item)).unwrap_or_default();
        let mut surroundings = self.surroundings(document);
        surroundings.defaults = surroundings.defaults.over(&player.lungs);
        let target = part(document, "target").and_then(|(name, item)| self.target(name, item));
        assumed.extend(player.assumed);
        Some(JobFile {
            source: self.source.clone(),
            sheet: sheet?,
            instrument,
            player: player.profile?,
            tolerances,
            own_alloys,
            assumed,
            rates,
            pairs,
            target,
            surroundings,
        })
    }

    /// The name of a sheet's file.
    pub(super) fn sheet(&mut self, document: &DeTable<'_>) -> Option<(String, Place)> {
        let Some((name, item)) = part(document, "sheet") else {
            let problem = Problem::missing(&self.source.line_place(1), "sheet");
            self.problems.push(problem.cure("name the CSV file above the first table: sheet = \"sheet.csv\""));
            return None;
        };
        let file = self.text(name, item)?;
        if file.is_empty() {
            self.fault(name, item, Fault::new("is empty").cure("name the CSV file: sheet = \"sheet.csv\""));
            return None;
        }
        Some((file, self.value_place(item)))
    }

    fn tolerances(&mut self, table: Option<(&Name<'_>, &Item<'_>)>) -> Tolerances {
        let mut tolerances = Tolerances::default();
        let Some(entries) = table.and_then(|(name, item)| self.table(name, item)) else { return tolerances };
        for (name, item) in entries {
            if name.get_ref() == "pluck_cents" {
                let cents = self.number(name, item, 0.0, 100.0, "cents");
                cents.into_iter().for_each(|cents| tolerances.state_pluck_cents(cents));
            } else if let Some(key) = find(name.get_ref()).filter(|key| key.kind == Kind::Number) {
                let reason = format!("{}, the width of the key's own range", key.unit);
                let tolerance = self.number(name, item, 0.0, key.most - key.least, &reason);
                tolerance.into_iter().for_each(|tolerance| tolerances.state(key, tolerance));
            } else {
                let numbers = KEYS.iter().filter(|key| key.kind == Kind::Number).map(|key| key.name);
                self.unknown(name, &numbers.chain(["pluck_cents"]).collect::<Vec<_>>());
            }
        }
        tolerances
    }
}
