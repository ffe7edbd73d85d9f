//! `job.toml`: what holds for a whole set.

use toml::de::{DeTable, DeValue};

use super::alloys::Alloy;
use super::checked::Assumed;
use super::csv_sheet::Breath;
use super::error::{Problem, SheetError};
use super::holes::holes;
use super::instrument::Instrument;
use super::keys::{KEYS, Kind, Table, find};
use super::layer::{Layer, problem};
use super::player::PlayerProfile;
use super::source::{Place, Source};
use super::tolerances::Tolerances;
use super::toml_text::{Item, Name, Reading, parse};
use super::value::{Fault, toml_kind};

const TOP: [&str; 9] = ["instrument", "sheet", "plate", "defaults", "chamber", "air", "tolerances", "player", "alloys"];

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
    /// `[plate]` over `[defaults]`, and what `[player]` says of lungs and mouth.
    defaults: Layer,
    chambers: Vec<(u32, Layer)>,
    blow: Layer,
    draw: Layer,
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

    /// What lies below a row of the sheet: its chamber over the plate over the defaults, and its air.
    pub(super) fn below(&self, hole: u32, breath: Breath) -> Layer {
        let air = if breath == Breath::Blow { &self.blow } else { &self.draw };
        let below = air.over(&self.defaults);
        match self.chambers.iter().find(|(of, _)| *of == hole) {
            Some((_, chamber)) => chamber.over(&below),
            None => below,
        }
    }

    /// Holes that have a chamber of their own.
    pub(super) fn chamber_holes(&self) -> impl Iterator<Item = u32> {
        self.chambers.iter().map(|(hole, _)| *hole)
    }
}

impl Reading<'_> {
    fn job(&mut self, document: &DeTable<'_>) -> Option<JobFile> {
        for (name, _) in document.iter().filter(|(name, _)| !TOP.contains(&name.get_ref().as_ref())) {
            self.unknown(name, &TOP);
        }
        let (instrument, mut assumed) = self.instrument(part(document, "instrument"));
        let sheet = self.sheet(document);
        let plate = self.layer(part(document, "plate"), &[Table::Slot]);
        let defaults = self.layer(part(document, "defaults"), &[Table::Reed, Table::Slot]);
        let chambers = part(document, "chamber").map(|(name, item)| self.chambers(name, item)).unwrap_or_default();
        let [blow, draw] = self.airs(part(document, "air"));
        let tolerances = self.tolerances(part(document, "tolerances"));
        let player = self.player(part(document, "player"));
        let own_alloys = part(document, "alloys").map(|(name, item)| self.own_alloys(name, item)).unwrap_or_default();
        assumed.extend(player.assumed);
        Some(JobFile {
            source: self.source.clone(),
            sheet: sheet?,
            instrument,
            player: player.profile?,
            tolerances,
            own_alloys,
            assumed,
            defaults: plate.over(&defaults).over(&player.lungs),
            chambers,
            blow,
            draw,
        })
    }

    fn sheet(&mut self, document: &DeTable<'_>) -> Option<(String, Place)> {
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

    /// A table of keys that holds for all reeds.
    fn layer(&mut self, table: Option<(&Name<'_>, &Item<'_>)>, tables: &[Table]) -> Layer {
        let mut layer = Layer::default();
        if let Some(entries) = table.and_then(|(name, item)| self.table(name, item)) {
            self.entries(entries, tables, &mut layer);
        }
        for (first, second) in layer.said_twice() {
            let fault = Fault::new(format!("is given, and so is {}, which says the same another way", first.key.name));
            self.problems.push(second.problem(fault.cure("keep one of the two")));
        }
        layer
    }

    fn airs(&mut self, table: Option<(&Name<'_>, &Item<'_>)>) -> [Layer; 2] {
        let Some(entries) = table.and_then(|(name, item)| self.table(name, item)) else { return Default::default() };
        for (name, _) in entries.iter().filter(|(name, _)| !["blow", "draw"].contains(&name.get_ref().as_ref())) {
            let fault = Fault::new("does not belong here").cure("write it under [air.blow] or [air.draw]");
            self.problems.push(problem(&self.place_of(name), name.get_ref(), fault).without_value());
        }
        ["blow", "draw"].map(|breath| self.layer(part(entries, breath), &[Table::Air]))
    }

    fn chambers(&mut self, name: &Name<'_>, item: &Item<'_>) -> Vec<(u32, Layer)> {
        let Some(list) = item.get_ref().as_array() else {
            let fault = Fault::new(format!("is {}; a list of tables is needed", toml_kind(item.get_ref())));
            self.fault(name, item, fault.cure("write [[chamber]] with two brackets, once for each kind of chamber"));
            return Vec::new();
        };
        let mut all: Vec<(u32, Layer)> = Vec::new();
        for item in list {
            let DeValue::Table(table) = item.get_ref() else {
                self.fault(name, item, Fault::new("is no table").cure("write [[chamber]] with its keys below"));
                continue;
            };
            let (holes, layer) = self.chamber(item, table);
            for hole in holes {
                if all.iter().any(|(known, _)| *known == hole) {
                    let fault = Fault::new(format!("hole {hole} has two chambers")).cure("name each hole once");
                    let at =
                        part(table, "holes").map_or_else(|| self.value_place(item), |(_, item)| self.value_place(item));
                    self.problems.push(problem(&at, "holes", fault));
                }
                all.push((hole, layer.clone()));
            }
        }
        all
    }

    /// One `[[chamber]]`: its holes, and its three sizes.
    fn chamber(&mut self, item: &Item<'_>, table: &DeTable<'_>) -> (Vec<u32>, Layer) {
        let mut layer = Layer::default();
        let sizes = table.iter().filter(|(name, _)| name.get_ref() != "holes");
        let wrong = self.entries(sizes, &[Table::Chamber], &mut layer);
        let given = |name: &str| layer.get(Table::Chamber, name).is_some() || wrong.iter().any(|key| key.name == name);
        let heading = self.value_place(item);
        for key in KEYS.iter().filter(|key| key.table == Table::Chamber && !given(key.name)) {
            let fault = Fault::new("is missing in this [[chamber]]").cure(format!("give it. {}", key.measure));
            self.problems.push(problem(&heading, key.name, fault).without_value());
        }
        let Some((name, item)) = part(table, "holes") else {
            let fault = Fault::new("is missing in this [[chamber]]").cure("write holes = \"1-4\"");
            self.problems.push(problem(&heading, "holes", fault).without_value());
            return (Vec::new(), layer);
        };
        let text = match item.get_ref() {
            DeValue::Integer(whole) => Some(whole.as_str().to_owned()),
            _ => self.text(name, item),
        };
        let Some(text) = text else { return (Vec::new(), layer) };
        let found = holes(&text);
        if found.is_none() {
            let fault = Fault::new("is no list of holes")
                .cure("write \"1-4\" or \"5\" or \"1,2,7-9\", each hole once, lowest first");
            self.fault(name, item, fault);
        }
        (found.unwrap_or_default(), layer)
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

/// A key of a table and its value, if it is there.
fn part<'a, 't>(table: &'a DeTable<'t>, key: &str) -> Option<(&'a Name<'t>, &'a Item<'t>)> {
    table.iter().find(|(name, _)| name.get_ref() == key)
}
