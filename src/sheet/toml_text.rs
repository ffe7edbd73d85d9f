//! A TOML text taken apart, every key and value with its place.

use toml::Spanned;
use toml::de::{DeString, DeTable, DeValue};

use super::error::Problem;
use super::keys::{KEYS, Key, Table, find_in};
use super::layer::{Entry, Layer, problem};
use super::names;
use super::read::OBEYED;
use super::source::{Place, Source};
use super::value::{Fault, toml_kind};

/// A key of a TOML table as written.
pub(super) type Name<'t> = Spanned<DeString<'t>>;
/// A value as written.
pub(super) type Item<'t> = Spanned<DeValue<'t>>;

/// Most syntax errors that are listed: after the first few the rest mostly follow from them.
const SYNTAX_ERRORS: usize = 10;

/// Parses a text.
///
/// # Errors
/// What is wrong with its syntax, duplicate keys included.
pub(super) fn parse(source: &Source) -> Result<DeTable<'_>, Vec<Problem>> {
    let (table, errors) = DeTable::parse_recoverable(source.text());
    if errors.is_empty() {
        return Ok(table.into_inner());
    }
    let describe = |error: &toml::de::Error| {
        let span = error.span().unwrap_or(0..0);
        let place = source.place(span.clone());
        let line = source.text().lines().nth(place.line() - 1).unwrap_or_default();
        let shown: String = line.trim().chars().take(60).collect();
        let message = format!("cannot be read as TOML: {} in `{shown}`", error.message());
        let cure = match error.message() {
            "duplicate key" => "keep one of the two",
            _ => "every line is [table], key = value, or # a remark; text stands in quotes, decimals have a point",
        };
        let key = if error.message() == "duplicate key" { place.typed() } else { String::new() };
        Problem::at(&place, key, message).cure(cure).without_value()
    };
    Err(errors.iter().take(SYNTAX_ERRORS).map(describe).collect())
}

/// A key of a table and its value, if it is there.
pub(super) fn part<'a, 't>(table: &'a DeTable<'t>, key: &str) -> Option<(&'a Name<'t>, &'a Item<'t>)> {
    table.iter().find(|(name, _)| name.get_ref() == key)
}

/// What reading a text has gathered so far.
#[derive(Debug)]
pub(super) struct Reading<'s> {
    pub(super) source: &'s Source,
    pub(super) problems: Vec<Problem>,
}

impl<'s> Reading<'s> {
    pub(super) fn new(source: &'s Source) -> Self {
        Self { source, problems: Vec::new() }
    }

    pub(super) fn place_of(&self, name: &Name<'_>) -> Place {
        self.source.place(name.span())
    }

    pub(super) fn value_place(&self, item: &Item<'_>) -> Place {
        self.source.place(item.span())
    }

    /// Reports a value.
    pub(super) fn fault(&mut self, name: &Name<'_>, item: &Item<'_>, fault: Fault) {
        self.problems.push(problem(&self.value_place(item), name.get_ref(), fault));
    }

    /// Reports a key or table whose name is none of `known`; returns the known name that was probably meant.
    pub(super) fn unknown(&mut self, name: &Name<'_>, known: &[&str]) -> Option<String> {
        let unknown = names::unknown(name.get_ref(), known);
        self.problems.push(problem(&self.place_of(name), name.get_ref(), unknown.fault).without_value());
        unknown.meant
    }

    /// The table that a value must be.
    pub(super) fn table<'a, 't>(&mut self, name: &Name<'_>, item: &'a Item<'t>) -> Option<&'a DeTable<'t>> {
        let table = item.get_ref().as_table();
        if table.is_none() {
            let fault = Fault::new(format!("is {}; a table is needed", toml_kind(item.get_ref())));
            self.fault(
                name,
                item,
                fault.cure(format!("write [{}] on a line of its own, its keys below", name.get_ref())),
            );
        }
        table
    }

    /// The text that a value must be.
    pub(super) fn text(&mut self, name: &Name<'_>, item: &Item<'_>) -> Option<String> {
        let text = item.get_ref().as_str().map(|text| text.trim().to_owned());
        if text.is_none() {
            let fault = Fault::new(format!("is {}; text is needed", toml_kind(item.get_ref())));
            self.fault(name, item, fault.cure(format!("write {} = \"...\"", name.get_ref())));
        }
        if text.as_ref().is_some_and(|text| text.chars().any(|c| c.is_control() && c != '\n')) {
            self.fault(name, item, Fault::new("holds a control character").cure(OBEYED));
            return None;
        }
        text
    }

    /// The number that a value must be, within a range.
    pub(super) fn number(
        &mut self,
        name: &Name<'_>,
        item: &Item<'_>,
        least: f64,
        most: f64,
        reason: &str,
    ) -> Option<f64> {
        let allowed = || format!("{least} to {most} ({reason})");
        let Some(number) = super::value::toml_number(item.get_ref()) else {
            let fault = Fault::new(format!("is {}; a number is needed", toml_kind(item.get_ref())));
            self.fault(name, item, fault.allowed(allowed()));
            return None;
        };
        if !(least..=most).contains(&number) {
            let what = if number.is_finite() { "is outside the range" } else { "is not a finite number" };
            self.fault(name, item, Fault::new(what).allowed(allowed()));
            return None;
        }
        Some(number)
    }

    /// Reads one key of the key table into a layer. A value that is wrong is reported and its key returned.
    pub(super) fn entry(&mut self, key: &'static Key, item: &Item<'_>, layer: &mut Layer) -> Option<&'static Key> {
        let place = self.value_place(item);
        match key.read_toml(item.get_ref()) {
            Ok(value) => {
                layer.set(Entry { key, value, place });
                None
            }
            Err(fault) => {
                self.problems.push(problem(&place, key.name, fault));
                Some(key)
            }
        }
    }

    /// Reads entries whose keys are all of `tables` in the key table. Returns the keys that were meant but are wrong, in
    /// name or value: they are not missing.
    pub(super) fn entries<'a, 't: 'a>(
        &mut self,
        entries: impl IntoIterator<Item = (&'a Name<'t>, &'a Item<'t>)>,
        tables: &[Table],
        layer: &mut Layer,
    ) -> Vec<&'static Key> {
        let mut wrong = Vec::new();
        let find = |name: &str| tables.iter().find_map(|&table| find_in(table, name));
        for (name, item) in entries {
            match find(name.get_ref()) {
                Some(key) => wrong.extend(self.entry(key, item, layer)),
                None => {
                    let known: Vec<&str> =
                        KEYS.iter().filter(|key| tables.contains(&key.table)).map(|key| key.name).collect();
                    wrong.extend(self.unknown(name, &known).and_then(|meant| find(&meant)));
                }
            }
        }
        wrong
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn syntax_errors_show_their_line() {
        let source = Source::new("x", "[reed]\nlength_mm = 12,5\ntip_gap_mm = 0.2\n");
        let problems = parse(&source).unwrap_err();
        assert_eq!(problems[0].line, Some(2));
        assert!(problems[0].message.contains("`length_mm = 12,5`"), "{}", problems[0]);
    }

    #[test]
    fn duplicate_keys_are_named() {
        let source = Source::new("x", "[reed]\nlength_mm = 12\nlength_mm = 13\n");
        let problems = parse(&source).unwrap_err();
        assert_eq!((problems.len(), problems[0].line, problems[0].key.as_str()), (1, Some(3), "length_mm"));
    }
}
