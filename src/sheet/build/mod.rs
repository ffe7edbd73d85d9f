//! From typed values to a checked reed: each part of the reed in a file of its own.

mod air;
mod loss;
mod metal;
mod place;
mod slot;
mod stiffness;
mod temperature;
mod thickness;
mod tip;
mod tongue;

pub(super) use air::room_air_to_write;
pub(super) use tip::PROFILE;

use super::checked::{Assumed, CheckedReed, Measured};
use super::error::{Problem, SheetError};
use super::keys::{Key, Table, WhenLeftOut, find_in};
use super::layer::Entry;
use super::reed_spec::ReedSpec;
use super::value::{Fault, Value, rounded};
use crate::physics::Reed;

/// What building a reed has gathered so far.
struct Build<'a> {
    spec: &'a ReedSpec,
    assumed: Vec<Assumed>,
    /// Those of them that are numbers, in their keys' units.
    assumed_numbers: Vec<(&'static Key, f64)>,
    notes: Vec<String>,
    problems: Vec<Problem>,
}

/// Checks a spec as a whole.
pub(super) fn checked(spec: &ReedSpec) -> Result<CheckedReed, SheetError> {
    let (assumed, assumed_numbers, notes) = (Vec::new(), Vec::new(), Vec::new());
    let mut build = Build { spec, assumed, assumed_numbers, notes, problems: spec.problems.clone() };
    build.refuse_said_twice();
    let metal = build.metal();
    let tongue = build.tongue(metal.as_ref());
    let length_m = build.length_m();
    let rest = build.rest(length_m);
    let slot = build.slot(length_m);
    let quality_factor = build.quality_factor(tongue.as_ref().map(|tongue| &tongue.beam), metal.as_ref());
    let (chamber, air, player) = (build.chamber(), build.air(), build.player());
    let coefficients = build.coefficients();
    let measured = build.measured();
    let temperature_c = build.temperature_c();
    let parts = (|| {
        let (metal, tongue) = (metal?, tongue?);
        let reed = Reed {
            beam: tongue.beam,
            quality_factor: quality_factor?,
            rest: rest?,
            slot: slot?,
            chamber: chamber?,
            air: air?,
            player: player?,
            coefficients: coefficients?,
        };
        Some((metal, tongue.thickness, reed))
    })();
    let Some((metal, thickness, mut reed)) = parts.filter(|_| build.problems.is_empty()) else {
        return Err(build.error());
    };
    if let Some(temperature_c) = temperature_c {
        build.follow_temperature(&mut reed, &metal, temperature_c);
    }
    if let Err(error) = reed.check() {
        build.problems.push(Problem::at(&build.heading(Table::Reed), "reed", error.to_string()).without_value());
    }
    if !build.problems.is_empty() {
        return Err(build.error());
    }
    let Build { assumed, assumed_numbers, notes, .. } = build;
    Ok(CheckedReed {
        reed,
        assumed,
        assumed_numbers,
        notes,
        measured,
        thickness,
        metal,
        temperature_c,
        spec: spec.clone(),
    })
}

impl<'a> Build<'a> {
    fn error(&mut self) -> SheetError {
        SheetError::new(&self.spec.source, std::mem::take(&mut self.problems))
    }

    fn given(&self, table: Table, name: &str) -> Option<&'a Entry> {
        self.spec.layer.get(table, name)
    }

    /// Whether a key was typed with a value that is wrong: that has been reported.
    fn is_wrong(&self, table: Table, name: &str) -> bool {
        self.spec.wrong.iter().any(|key| key.table == table && key.name == name)
    }

    /// Whether any key of the table was typed, right or wrong.
    fn any_typed(&self, table: Table) -> bool {
        self.spec.layer.of(table).next().is_some() || self.spec.wrong.iter().any(|key| key.table == table)
    }

    fn heading(&self, table: Table) -> super::source::Place {
        let headings = &self.spec.headings;
        let own = headings.iter().find(|(of, _)| *of == Some(table));
        own.unwrap_or(&headings[0]).1.clone()
    }

    fn fault(&mut self, entry: &Entry, fault: Fault) {
        self.problems.push(entry.problem(fault));
    }

    fn missing(&mut self, key: &Key, cure: impl Into<String>) {
        self.problems.push(Problem::missing(&self.heading(key.table), key.name).cure(cure));
    }

    fn assume(&mut self, key: impl Into<String>, value: impl Into<String>, why: impl Into<String>) {
        self.assumed.push(Assumed { key: key.into(), value: value.into(), why: why.into() });
    }

    /// Assumes a number, in its key's unit, and gives it in SI units.
    fn assume_number(&mut self, key: &'static Key, value: f64, why: impl Into<String>) -> f64 {
        self.assume(shown_name(key), key.with_unit(value), why);
        self.assumed_numbers.push((key, value));
        key.si(value)
    }

    /// The same, in place of which what was measured of the set may say another, `most` at the most.
    fn assume_told(&mut self, key: &'static Key, value: f64, most: f64, why: &str) -> f64 {
        match self.spec.of_evidence.of(key) {
            Some(told) => self.assume_number(key, rounded((told.times * value).min(most)), self.spec.of_evidence.why()),
            None => self.assume_number(key, value, why),
        }
    }

    /// Whether a key was typed, right or wrong.
    fn is_typed(&self, table: Table, name: &str) -> bool {
        self.given(table, name).is_some() || self.is_wrong(table, name)
    }

    /// A number in SI units: as typed, else as the key table assumes. None when there is no value; a required one that
    /// is missing is reported.
    fn number(&mut self, table: Table, name: &str) -> Option<f64> {
        if let Some(number) = self.given_si(table, name) {
            return Some(number);
        }
        if self.is_wrong(table, name) {
            return None;
        }
        let key = find_in(table, name)?;
        match key.left_out {
            WhenLeftOut::Assumed { value, why } => Some(self.assume_told(key, value, key.most, why)),
            WhenLeftOut::AssumedText { value, why } => {
                self.assume(shown_name(key), value, why);
                None
            }
            WhenLeftOut::Optional(_) => None,
            WhenLeftOut::Required(_) | WhenLeftOut::RequiredWithTable(_) => match self.spec.of_run.of(key) {
                Some(value) => Some(self.assume_number(key, value, "not measured; the run of its neighbours in pitch")),
                None => {
                    self.missing(key, how_to_give(key));
                    None
                }
            },
        }
    }

    /// A number in SI units, only if it was typed.
    fn given_si(&self, table: Table, name: &str) -> Option<f64> {
        let entry = self.given(table, name)?;
        match entry.value {
            Value::Number(number) => Some(entry.key.si(number)),
            _ => None,
        }
    }

    fn given_text(&self, table: Table, name: &str) -> Option<(&'a Entry, &'a str)> {
        let entry = self.given(table, name)?;
        match &entry.value {
            Value::Text(text) => Some((entry, text)),
            _ => None,
        }
    }

    fn refuse_said_twice(&mut self) {
        for (first, second) in self.spec.layer.said_twice() {
            if place::same_tip_gap(first, second) {
                continue;
            }
            let fault = Fault::new(format!("is given, and so is {}, which says the same another way", first.key.name));
            self.problems.push(second.problem(fault.cure("keep one of the two")));
        }
    }

    fn measured(&mut self) -> Measured {
        let given = |name: &str| self.given_si(Table::Reed, name);
        let measured = Measured {
            pluck_hz: given("measured_pluck_hz"),
            stiffness_n_m: self.stiffness_given().map(|(stiffness_n_m, _)| stiffness_n_m),
            sounding_hz: given("measured_sounding_hz"),
            at_pa: given("measured_at_pa"),
            swing_m: given("measured_swing_mm"),
            softest_blow_pa: given("softest_blow_pa"),
        };
        let mut unused = |what: &str, why: &str| self.notes.push(format!("{what} is not used: {why}"));
        match (measured.sounding_hz.is_some(), measured.swing_m.is_some(), measured.at_pa) {
            (false, false, Some(_)) => {
                unused("measured_at_pa", "neither measured_sounding_hz nor measured_swing_mm is given")
            }
            (sounding, swing, None) => {
                for (given, what) in [(sounding, "measured_sounding_hz"), (swing, "measured_swing_mm")] {
                    if given {
                        unused(what, "measured_at_pa is not given");
                    }
                }
            }
            _ => {}
        }
        measured
    }
}

fn how_to_give(key: &Key) -> String {
    let other = match key.left_out {
        WhenLeftOut::Required(others) => others.iter().map(|other| format!(" or {other}")).collect(),
        WhenLeftOut::RequiredWithTable(_) => format!(", or leave [{}] out whole", key.table.name()),
        _ => String::new(),
    };
    format!("give {}{other}. {}", key.name, key.measure)
}

/// The bare name of what is the reed's or the slot's, else with its table.
fn shown_name(key: &Key) -> String {
    if matches!(key.table, Table::Reed | Table::Slot) { key.name.to_owned() } else { key.full_name() }
}
