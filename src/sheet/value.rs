//! A value as typed, in workshop units, and how it is read from TOML and checked against its key.

use std::fmt;

use toml::de::DeValue;

use super::keys::{Key, Kind};

/// What was typed for a key, in the key's own unit.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// A number.
    Number(f64),
    /// Pairs of a place along the reed (mm) and the value there.
    Stations(Vec<(f64, f64)>),
    /// Text.
    Text(String),
}

impl From<f64> for Value {
    fn from(number: f64) -> Self {
        Self::Number(number)
    }
}

impl From<Vec<(f64, f64)>> for Value {
    fn from(stations: Vec<(f64, f64)>) -> Self {
        Self::Stations(stations)
    }
}

impl From<&str> for Value {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

impl fmt::Display for Value {
    /// As it is written in a TOML file.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Number(number) => write!(f, "{number}"),
            Self::Text(text) => write!(f, "{text:?}"),
            Self::Stations(stations) => {
                let pairs: Vec<String> = stations.iter().map(|(s, value)| format!("[{s}, {value}]")).collect();
                write!(f, "[{}]", pairs.join(", "))
            }
        }
    }
}

/// What is wrong with a value, apart from where it stands.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Fault {
    /// What is wrong.
    pub message: String,
    /// What would be allowed.
    pub allowed: Option<String>,
    /// What to try.
    pub cure: Option<String>,
}

impl Fault {
    /// A fault that only needs saying.
    pub fn new(message: impl Into<String>) -> Self {
        Self { message: message.into(), ..Self::default() }
    }

    /// The same fault with what to try.
    #[must_use]
    pub fn cure(self, cure: impl Into<String>) -> Self {
        Self { cure: Some(cure.into()), ..self }
    }

    /// The same fault with what would be allowed.
    #[must_use]
    pub fn allowed(self, allowed: impl Into<String>) -> Self {
        Self { allowed: Some(allowed.into()), ..self }
    }
}

impl Key {
    /// Checks kind and range of a value; the order of stations and their fit to the length come later.
    ///
    /// # Errors
    /// What is wrong, with the allowed range and its reason.
    pub fn check(&self, value: &Value) -> Result<(), Fault> {
        if !self.takes(value) {
            return Err(self.wrong_kind(kind_name(value)));
        }
        match value {
            Value::Number(number) => self.check_number(*number),
            Value::Stations(stations) => stations.iter().try_for_each(|&(place, number)| {
                let at = |fault: Fault| Fault { message: format!("at {place} mm {}", fault.message), ..fault };
                self.check_number(number).map_err(at)
            }),
            Value::Text(text) if text.trim().is_empty() => Err(Fault::new("is empty").cure("leave the key out")),
            Value::Text(_) => Ok(()),
        }
    }

    fn check_number(&self, number: f64) -> Result<(), Fault> {
        if (self.least..=self.most).contains(&number) {
            return Ok(());
        }
        let fault = if number.is_finite() {
            let message = if number < self.least { "is too small" } else { "is too large" };
            let unit = if self.unit.is_empty() { "none" } else { self.unit };
            Fault::new(message).cure(format!("check the unit ({unit}) and the decimal point"))
        } else {
            Fault::new("is not a finite number").cure("measure it, or leave the key out")
        };
        Err(fault.allowed(self.range_text()))
    }

    fn wrong_kind(&self, found: &str) -> Fault {
        let example = match self.kind {
            Kind::Number => format!("{} = {}", self.name, rounded(0.5 * (self.least.max(-1.0) + self.most.min(10.0)))),
            Kind::Stations => format!("{} = [[0, 0.1], [12.5, 0.2]], from the clamp to the tip", self.name),
            Kind::Text => format!("{} = \"...\"", self.name),
        };
        Fault::new(format!("is {found}; {} is needed", self.needs())).cure(format!("write it like {example}"))
    }

    /// Reads a TOML value and checks it.
    ///
    /// # Errors
    /// What is wrong with it.
    pub fn read_toml(&self, value: &DeValue<'_>) -> Result<Value, Fault> {
        let read = match (self.kind, value) {
            (Kind::Text, DeValue::String(text)) => Some(Value::Text(text.trim().to_owned())),
            (Kind::Stations, DeValue::Array(_)) => toml_stations(value).map(Value::Stations),
            (Kind::Number, _) => toml_number(value).map(Value::Number),
            _ => None,
        };
        let read = read.ok_or_else(|| self.wrong_kind(toml_kind(value)))?;
        self.check(&read)?;
        Ok(read)
    }
}

/// A TOML integer or float as a number; a whole number stands for a decimal.
pub(super) fn toml_number(value: &DeValue<'_>) -> Option<f64> {
    match value {
        DeValue::Float(float) => float.as_str().replace('_', "").parse().ok(),
        DeValue::Integer(integer) if integer.radix() == 10 => integer.as_str().replace('_', "").parse().ok(),
        DeValue::Integer(integer) => {
            i64::from_str_radix(&integer.as_str().replace('_', ""), integer.radix()).ok().map(|whole| whole as f64)
        }
        _ => None,
    }
}

fn toml_stations(value: &DeValue<'_>) -> Option<Vec<(f64, f64)>> {
    let pair = |item: &DeValue<'_>| match item
        .as_array()?
        .iter()
        .map(|number| toml_number(number.get_ref()))
        .collect::<Vec<_>>()[..]
    {
        [Some(place), Some(value)] => Some((place, value)),
        _ => None,
    };
    value.as_array()?.iter().map(|item| pair(item.get_ref())).collect()
}

/// What a TOML value is, in plain words.
pub(super) fn toml_kind(value: &DeValue<'_>) -> &'static str {
    match value {
        DeValue::String(_) => "text in quotes",
        DeValue::Integer(_) | DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}

fn kind_name(value: &Value) -> &'static str {
    match value {
        Value::Number(_) => "a number",
        Value::Stations(_) => "a list of stations",
        Value::Text(_) => "text",
    }
}

/// A number to six significant digits: what a person wants to read.
pub(super) fn rounded(number: f64) -> f64 {
    format!("{number:.5e}").parse().unwrap_or(number)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::keys::find;

    fn read(key: &str, typed: &str) -> Result<Value, Fault> {
        find(key).unwrap().read_toml(toml::de::DeValue::parse(typed).unwrap().get_ref())
    }

    #[test]
    fn numbers_may_be_whole() {
        assert_eq!(read("length_mm", "12").unwrap(), Value::Number(12.0));
        assert_eq!(read("length_mm", "1_2.5").unwrap(), Value::Number(12.5));
        assert_eq!(read("length_mm", "0x10").unwrap(), Value::Number(16.0));
        let stations = vec![(0.0, 2.2), (12.5, 2.0)];
        assert_eq!(read("width_stations_mm", "[[0, 2.2], [12.5, 2]]").unwrap(), Value::Stations(stations));
    }

    #[test]
    fn what_is_not_a_measurement_is_refused() {
        for typed in ["nan", "inf", "-inf", "1e999"] {
            assert!(read("tip_gap_mm", typed).unwrap_err().message.contains("finite"), "{typed}");
        }
        assert!(read("tip_gap_mm", "\"0.25\"").unwrap_err().message.contains("text in quotes"));
        assert!(read("tip_gap_mm", "true").is_err());
        assert!(read("tip_gap_mm", "[[0, 1]]").is_err());
        assert!(read("width_stations_mm", "[[0, 2.2, 1], [1, 2]]").is_err());
        assert!(read("width_stations_mm", "[0, 2.2]").is_err());
        assert!(read("alloy", "3").is_err());
        assert!(read("alloy", "\" \"").is_err());
    }

    #[test]
    fn a_range_is_refused_with_its_reason() {
        let fault = read("length_mm", "-3").unwrap_err();
        assert_eq!(fault.message, "is too small");
        assert_eq!(fault.allowed.unwrap(), "3 to 80 mm (free reeds of harmonicas, accordions and reed organs)");
        assert_eq!(read("side_clearance_mm", "0").unwrap_err().message, "is too small");
        assert_eq!(read("rest_stations_mm", "[[0, 0], [12, 40]]").unwrap_err().message, "at 12 mm is too large");
        assert_eq!(
            read("quality_factor", "2001").unwrap_err().cure.unwrap(),
            "check the unit (none) and the decimal point"
        );
    }

    #[test]
    fn numbers_are_shown_short() {
        assert_eq!(rounded(0.1 + 0.2).to_string(), "0.3");
        assert_eq!(rounded(353.0).to_string(), "353");
        assert_eq!(Value::Stations(vec![(0.0, 0.1), (12.5, 0.2)]).to_string(), "[[0, 0.1], [12.5, 0.2]]");
    }
}
