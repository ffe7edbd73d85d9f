//! A reed as typed, not yet checked as a whole.

use std::path::Path;

use super::alloys::Alloy;
use super::build;
use super::checked::{CheckedReed, ThicknessFinding};
use super::error::{Problem, SheetError};
use super::evidence::{self, OfEvidence};
use super::keys::{KEYS, Key, Kind, Table, find};
use super::layer::{Entry, Layer, problem};
use super::names;
use super::of_layout::{self, OfLayout};
use super::of_run::{self, OfRun};
use super::own_alloys;
use super::read::read;
use super::source::{Place, Source};
use super::spread::Spread;
use super::tolerances::Tolerances;
use super::toml_text::{Reading, parse};
use super::value::Value;

/// Where a value stands that was fitted.
const FITTED: &str = "fit of the rounds";

/// Which air is assumed where none is given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum UsualAir {
    /// Breath: a blow reed, or nothing said.
    #[default]
    Breath,
    /// Room air: a draw reed.
    Room,
}

/// A reed as typed: values with the places they came from.
#[derive(Debug, Clone)]
pub struct ReedSpec {
    pub(super) source: Source,
    pub(super) layer: Layer,
    /// Keys that were typed with a value that is wrong: reported once, not as missing again.
    pub(super) wrong: Vec<&'static Key>,
    /// Where to point for a key that is missing: a table's heading; the first is for tables that are not there.
    pub(super) headings: Vec<(Option<Table>, Place)>,
    pub(super) own_alloys: Vec<Alloy>,
    pub(super) tolerances: Tolerances,
    pub(super) usual_air: UsualAir,
    /// What its place in a mouth-blown set suggests.
    pub(super) of_layout: Option<OfLayout>,
    /// What the run of its neighbours suggests.
    pub(super) of_run: OfRun,
    /// What was measured of the others says of it.
    pub(super) of_evidence: OfEvidence,
    /// Problems found in reading.
    pub(super) problems: Vec<Problem>,
    /// What the pluck said about the thickness before a change.
    pub(super) kept: Option<ThicknessFinding>,
}

impl ReedSpec {
    /// A spec from one layer, as a row of a sheet gives it.
    pub(super) fn from_layer(source: &Source, layer: Layer, heading: Place) -> Self {
        Self {
            source: source.clone(),
            layer,
            wrong: Vec::new(),
            headings: vec![(None, heading)],
            own_alloys: Vec::new(),
            tolerances: Tolerances::default(),
            usual_air: UsualAir::Breath,
            of_layout: None,
            of_run: OfRun::default(),
            of_evidence: OfEvidence::default(),
            problems: Vec::new(),
            kept: None,
        }
    }

    /// Reads a reed file's text. Wrong values are kept as problems for [`ReedSpec::checked`].
    ///
    /// # Errors
    /// Text that is not TOML.
    pub fn parse(name: &str, text: &str) -> Result<Self, SheetError> {
        Self::from_source(&Source::new(name, text))
    }

    /// As [`ReedSpec::parse`].
    ///
    /// # Errors
    /// Text that is not TOML.
    pub fn from_source(source: &Source) -> Result<Self, SheetError> {
        let document = parse(source).map_err(|problems| SheetError::new(source, problems))?;
        let mut reading = Reading::new(source);
        let mut spec = Self::from_layer(source, Layer::default(), source.line_place(1));
        for (name, item) in &document {
            if name.get_ref() == "alloys" {
                spec.own_alloys = reading.own_alloys(name, item);
            } else if let Some(table) = Table::ALL.into_iter().find(|table| table.name() == name.get_ref()) {
                spec.headings.push((Some(table), reading.place_of(name)));
                let Some(entries) = reading.table(name, item) else {
                    // Its keys are not missing: the table itself is wrong.
                    spec.wrong.extend(KEYS.iter().filter(|key| key.table == table));
                    continue;
                };
                let wrong = reading.entries(entries, &[table], &mut spec.layer);
                spec.wrong.extend(wrong);
            } else {
                let known: Vec<&str> = Table::ALL.into_iter().map(Table::name).chain(["alloys"]).collect();
                reading.unknown(name, &known);
            }
        }
        spec.problems = reading.problems;
        Ok(spec)
    }

    /// The same reed with one key changed, in the key's own unit; another way of saying it that was typed is dropped
    /// (`width_mm` in place of `width_stations_mm`). A key that does not exist, or a value it does not take, is reported
    /// by [`ReedSpec::checked`].
    ///
    /// ```
    /// use freereed::sheet::ReedSpec;
    /// let text = "[reed]\nlength_mm = 15\nwidth_mm = 2\nthickness_mm = 0.2\ntip_gap_mm = 0.25\n";
    /// let spec = ReedSpec::parse("reed.toml", text).unwrap();
    /// let wider = spec.with("tip_gap_mm", 0.3).checked().unwrap();
    /// assert_eq!(wider.reed.rest.height_m(0.015, 0.015), 0.3e-3);
    /// ```
    #[must_use]
    pub fn with(&self, key: &str, value: impl Into<Value>) -> Self {
        let value = value.into();
        self.changed(key, &value.to_string(), |found| found.check(&value).map(|()| value.clone()))
    }

    /// As [`ReedSpec::with`], for a number that was neither measured nor assumed but fitted to what was measured.
    #[must_use]
    pub(crate) fn with_fitted(&self, key: &str, number: f64) -> Self {
        let mut spec = self.with(key, number);
        let source = Source::new(FITTED, format!("{number}"));
        let found = find(key).and_then(|key| spec.layer.get(key.table, key.name)).cloned();
        found.into_iter().for_each(|entry| spec.layer.set(Entry { place: source.line_place(1), ..entry }));
        spec
    }

    /// Whether the value of a key was fitted to rounds of measuring.
    pub fn is_fitted(&self, key: &str) -> bool {
        self.typed(key).is_some_and(|(_, place)| place.file() == FITTED)
    }

    /// As [`ReedSpec::with`], from text as a command line gives it: `0.3`, `0:0.16 12.5:0.2`, `C51000`.
    #[must_use]
    pub fn with_text(&self, key: &str, typed: &str) -> Self {
        self.changed(key, typed, |found| super::cell::read(found, typed, super::cell::Decimal::Point))
    }

    /// The same reed with these keys left out; names that are no keys are passed over.
    #[must_use]
    pub fn without(&self, keys: &[&str]) -> Self {
        let mut spec = self.clone();
        keys.iter().filter_map(|name| find(name)).for_each(|key| spec.layer.remove(key));
        spec
    }

    fn changed(
        &self,
        key: &str,
        typed: &str,
        read: impl Fn(&'static Key) -> Result<Value, super::value::Fault>,
    ) -> Self {
        let text = format!("{key} = {typed}");
        let change = Source::new("change", text.as_str());
        let place = change.place(key.len() + 3..text.len());
        let mut spec = self.clone();
        let Some(found) = find(key) else {
            let known: Vec<&str> = KEYS.iter().map(|key| key.name).collect();
            spec.problems.push(problem(&place, key, names::unknown(key, &known).fault));
            return spec;
        };
        match read(found) {
            Ok(value) => {
                let mut upper = Layer::default();
                upper.set(Entry { key: found, value, place });
                spec.layer = upper.over(&spec.layer);
            }
            Err(fault) => spec.problems.push(problem(&place, found.name, fault)),
        }
        spec
    }

    /// Checks everything and builds the reed.
    ///
    /// # Errors
    /// All that is wrong, each with its place and its cure.
    pub fn checked(&self) -> Result<CheckedReed, SheetError> {
        build::checked(self)
    }

    /// The name of the file or sheet.
    pub fn source_name(&self) -> &str {
        self.source.name()
    }

    /// How far the value typed for a key, or assumed, may be off, in the key's unit; nothing for keys without a tolerance.
    pub fn tolerance(&self, key: &Key) -> Option<f64> {
        match self.typed(&key.full_name()) {
            Some((Value::Number(hz), _)) if key.name == "measured_pluck_hz" => {
                Some(hz * ((self.tolerances.pluck_cents(*hz) / 1200.0).exp2() - 1.0))
            }
            _ => self.tolerances.of(&key.full_name()),
        }
    }

    /// How the value assumed for a key is spread, by what was measured of the set where that says something.
    pub fn spread(&self, key: &Key) -> Option<Spread> {
        self.of_evidence.of(key).map(|told| told.spread).or(key.spread)
    }

    /// By how many times the softest blows of its set are off what is computed, all alike; 1 where nothing tells.
    pub fn blown_times(&self) -> f64 {
        self.of_evidence.blown_times.unwrap_or(1.0)
    }

    /// The tolerance that was stated for a key, in its unit.
    pub fn stated_tolerance(&self, key: &Key) -> Option<f64> {
        self.tolerances.stated_for(key)
    }

    /// The tolerance of a number that was typed, as a share of it; nothing for a key left out.
    pub fn relative_tolerance(&self, key: &str) -> Option<f64> {
        match self.typed(key) {
            Some((Value::Number(value), _)) => Some(self.tolerances.of(key).unwrap_or(0.0) / value),
            _ => None,
        }
    }

    /// How well things were measured.
    pub fn tolerances(&self) -> &Tolerances {
        &self.tolerances
    }

    /// The text of the file or sheet.
    pub fn source_text(&self) -> &str {
        self.source.text()
    }

    /// The value typed for a key, in its unit, and where it was typed.
    pub fn typed(&self, key: &str) -> Option<(&Value, &Place)> {
        let key = find(key)?;
        self.layer.get(key.table, key.name).map(|entry| (&entry.value, &entry.place))
    }

    /// Every value that was typed, with its key.
    pub(super) fn typed_values(&self) -> impl Iterator<Item = (&'static Key, &Value)> {
        self.layer.entries().iter().map(|entry| (entry.key, &entry.value))
    }

    /// The same reed written as a TOML file, own alloys included; the air of a draw reed, which a reed file would take for
    /// breath, and what layout and run suggested are written down.
    pub fn to_toml(&self) -> String {
        let mut text = String::new();
        let mut air = build::room_air_to_write(self);
        air.extend(of_layout::to_write(self));
        air.extend(of_run::to_write(self));
        air.extend(evidence::to_write(self));
        for table in Table::ALL {
            let of_table = KEYS.iter().filter(|key| key.table == table);
            let lines: Vec<String> = of_table
                .filter_map(|key| {
                    let entry = self.layer.get(table, key.name).map(|entry| entry.value.clone());
                    let value = entry.or_else(|| Some(air.iter().find(|(of, _)| *of == key)?.1.clone()))?;
                    Some(format!("{} = {}\n", key.name, toml_value(key, &value)))
                })
                .collect();
            if !lines.is_empty() {
                text += &format!("[{}]\n{}", table.name(), lines.concat());
            }
        }
        text += &self.own_alloys.iter().map(own_alloys::to_toml).collect::<String>();
        text
    }
}

fn toml_value(key: &Key, value: &Value) -> String {
    match (key.kind, value) {
        (Kind::Text, Value::Text(text)) => toml::Value::String(text.clone()).to_string(),
        _ => value.to_string(),
    }
}

/// A file that describes one reed.
#[derive(Debug, Clone, Copy)]
pub struct ReedFile;

impl ReedFile {
    /// Reads and checks a reed file.
    ///
    /// # Errors
    /// The file cannot be read, or what is wrong in it.
    pub fn load(path: impl AsRef<Path>) -> Result<CheckedReed, SheetError> {
        ReedSpec::from_source(&read(path.as_ref())?)?.checked()
    }

    /// Checks the text of a reed file.
    ///
    /// # Errors
    /// What is wrong in it.
    ///
    /// ```
    /// use freereed::sheet::ReedFile;
    /// let error = ReedFile::parse("reed.toml", "[reed]\nlength_cm = 1.5\n").unwrap_err();
    /// assert!(error.to_string().contains("reed.toml:2: length_cm: is in the wrong unit; try: give length_mm instead"));
    /// ```
    pub fn parse(name: &str, text: &str) -> Result<CheckedReed, SheetError> {
        ReedSpec::parse(name, text)?.checked()
    }
}
