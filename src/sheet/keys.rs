//! What a row of the key table holds, and how keys are found by name.
//!
//! The rows are in [`KEYS`]; they drive the reading of TOML and CSV, changes by name, error texts and documents.

use super::spread::Spread;
use super::value::Value;

pub use super::key_table::KEYS;

/// The table of a reed file that a key belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Table {
    /// `[reed]`: the tongue.
    Reed,
    /// `[slot]`: the slot around it and the plate.
    Slot,
    /// `[chamber]`: the air space behind it.
    Chamber,
    /// `[air]`: the air that passes it.
    Air,
    /// `[player]`: lungs and mouth in front of it.
    Player,
}

impl Table {
    /// All tables, in the order in which a name without its table is looked up.
    pub const ALL: [Self; 5] = [Self::Reed, Self::Slot, Self::Chamber, Self::Air, Self::Player];

    /// Its name in a file.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Reed => "reed",
            Self::Slot => "slot",
            Self::Chamber => "chamber",
            Self::Air => "air",
            Self::Player => "player",
        }
    }
}

/// What kind of value a key takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A number.
    Number,
    /// Numbers at places along the reed, `[[place, value], ...]`, places in mm from the clamp.
    Stations,
    /// Text in quotes.
    Text,
}

/// What happens when a key is left out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WhenLeftOut {
    /// It is an error, unless one of these keys serves instead.
    Required(&'static [&'static str]),
    /// This value is assumed, and listed as assumed.
    Assumed {
        /// The value, in the key's unit.
        value: f64,
        /// Why this value.
        why: &'static str,
    },
    /// As [`WhenLeftOut::Assumed`], for what is not a plain number.
    AssumedText {
        /// What is assumed.
        value: &'static str,
        /// Why.
        why: &'static str,
    },
    /// The keys of its table are given together or not at all. The text says what holds without them.
    RequiredWithTable(&'static str),
    /// Nothing: the key is not needed. The text says what then holds.
    Optional(&'static str),
}

/// One input: its name, unit, range, default, meaning, and how to measure it.
#[derive(Clone, Copy, PartialEq)]
pub struct Key {
    /// The table it belongs to.
    pub table: Table,
    /// Its name, ending in its unit.
    pub name: &'static str,
    /// Its unit as a person writes it; empty for a bare number.
    pub unit: &'static str,
    /// SI value = typed value times `factor` plus `offset`.
    pub factor: f64,
    /// See [`Key::factor`].
    pub offset: f64,
    /// What it takes.
    pub kind: Kind,
    /// Least allowed value, in its unit.
    pub least: f64,
    /// Largest allowed value, in its unit.
    pub most: f64,
    /// Why the range ends there.
    pub range_reason: &'static str,
    /// What holds when it is left out.
    pub left_out: WhenLeftOut,
    /// Keys of the same table that say the same thing another way: not both.
    pub instead_of: &'static [&'static str],
    /// What it means.
    pub meaning: &'static str,
    /// How to measure it with ordinary tools.
    pub measure: &'static str,
    /// The usual tolerance of that measurement, in its unit.
    pub tolerance: Option<f64>,
    /// How far it may be off where it was not measured.
    pub spread: Option<Spread>,
}

/// Only the name: the row is in the table.
impl std::fmt::Debug for Key {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Key({})", self.full_name())
    }
}

impl Key {
    /// The SI value of a typed number.
    pub fn si(&self, typed: f64) -> f64 {
        typed * self.factor + self.offset
    }

    /// The typed number of an SI value.
    pub fn typed(&self, si: f64) -> f64 {
        (si - self.offset) / self.factor
    }

    /// `reed.length_mm`: the name that is never ambiguous.
    pub fn full_name(&self) -> String {
        format!("{}.{}", self.table.name(), self.name)
    }

    /// Its name in words, without its unit: "tip gap", "air density".
    pub fn words(&self) -> String {
        let bare = |text: &str| text.to_lowercase().replace(|c: char| !c.is_ascii_alphanumeric(), "");
        let parts: Vec<&str> = self.name.split('_').collect();
        let unit = bare(self.unit);
        let is_unit = |tail: &[&str]| tail.iter().filter(|part| **part != "per").copied().collect::<String>() == unit;
        let end = (1..parts.len()).find(|&k| is_unit(&parts[k..])).unwrap_or(parts.len());
        let table = if self.table == Table::Air { "air " } else { "" };
        format!("{table}{}", parts[..end].join(" "))
    }

    /// The allowed range with its unit and reason.
    pub fn range_text(&self) -> String {
        format!("{} ({})", self.bounds_text(), self.range_reason)
    }

    /// The range without its reason: "-0.5 to 3 mm".
    pub fn bounds_text(&self) -> String {
        let unit = if self.unit.is_empty() { String::new() } else { format!(" {}", self.unit) };
        format!("{} to {}{unit}", self.least, self.most)
    }

    /// A typed number with the unit.
    pub fn with_unit(&self, typed: f64) -> String {
        let number = format!("{}", super::value::rounded(typed));
        if self.unit.is_empty() { number } else { format!("{number} {}", self.unit) }
    }

    /// What this key needs, as a phrase: "a number in mm".
    pub fn needs(&self) -> String {
        match self.kind {
            Kind::Text => "text".to_owned(),
            Kind::Number if self.unit.is_empty() => "a number".to_owned(),
            Kind::Number => format!("a number in {}", self.unit),
            Kind::Stations => format!("stations [[place in mm, value in {}], ...]", self.unit),
        }
    }

    /// Whether `value` is of this key's kind.
    pub fn takes(&self, value: &Value) -> bool {
        matches!(
            (self.kind, value),
            (Kind::Number, Value::Number(_)) | (Kind::Stations, Value::Stations(_)) | (Kind::Text, Value::Text(_))
        )
    }
}

/// The key of this name in one table.
pub fn find_in(table: Table, name: &str) -> Option<&'static Key> {
    KEYS.iter().find(|key| key.table == table && key.name == name)
}

/// The key of this name: `air.temperature_c`, or a bare name, which is looked up in the order of [`Table::ALL`]
/// (so `temperature_c` and `density_kg_m3` alone are the reed's).
///
/// ```
/// use freereed::sheet::keys::{find, Table};
/// assert_eq!(find("temperature_c").unwrap().table, Table::Reed);
/// assert_eq!(find("air.temperature_c").unwrap().table, Table::Air);
/// assert!(find("length_cm").is_none());
/// ```
pub fn find(name: &str) -> Option<&'static Key> {
    match name.split_once('.') {
        Some((table, name)) => {
            let table = Table::ALL.into_iter().find(|t| t.name() == table)?;
            find_in(table, name)
        }
        None => Table::ALL.into_iter().find_map(|table| find_in(table, name)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_whole() {
        for key in KEYS {
            let name = key.full_name();
            assert_eq!(find(&name), Some(key), "{name} stands twice");
            assert!(!key.meaning.is_empty() && !key.measure.is_empty(), "{name} is not explained");
            if key.kind == Kind::Text {
                continue;
            }
            assert!(key.least < key.most && !key.range_reason.is_empty(), "{name} has no range");
            assert!(key.factor > 0.0, "{name}");
            if let WhenLeftOut::Assumed { value, why } = key.left_out {
                assert!((key.least..=key.most).contains(&value) && !why.is_empty(), "{name}");
            }
            for other in key.instead_of {
                assert!(find_in(key.table, other).is_some(), "{name} names {other}");
            }
        }
    }

    #[test]
    fn ranges_admit_what_was_promised() {
        let admits = |name: &str, least: f64, most: f64| {
            let key = find(name).unwrap();
            assert!(key.least <= least && key.most >= most, "{name}");
        };
        admits("length_mm", 3.0, 80.0);
        admits("thickness_mm", 0.03, 1.5);
        admits("tip_gap_mm", -0.5, 3.0);
        admits("root_gap_mm", -0.5, 3.0);
        admits("rest_exponent", 1.0, 4.0);
        admits("side_clearance_mm", 0.003, 0.5);
        admits("tip_clearance_mm", 0.003, 0.5);
        admits("quality_factor", 5.0, 2000.0);
        admits("density_kg_m3", 1000.0, 23000.0);
        admits("youngs_modulus_gpa", 5.0, 450.0);
    }

    #[test]
    fn units_become_si_and_back() {
        let celsius = find("temperature_c").unwrap();
        assert_eq!(celsius.si(20.0), 293.15);
        for key in KEYS.iter().filter(|key| key.kind != Kind::Text) {
            let typed = 0.5 * (key.least + key.most);
            assert!((key.typed(key.si(typed)) - typed).abs() <= 1e-9 * typed.abs().max(1.0), "{}", key.name);
        }
        assert!((find("leak_mm2").unwrap().si(2.0) - 2e-6).abs() < 1e-18);
        assert!((find("humidity_percent").unwrap().si(50.0) - 0.5).abs() < 1e-15);
    }

    #[test]
    fn names_in_words_leave_the_unit_out() {
        let words = |name| find(name).unwrap().words();
        assert_eq!(words("tip_gap_mm"), "tip gap");
        assert_eq!(words("root_spring_n_m_per_rad"), "root spring");
        assert_eq!(words("air.density_kg_m3"), "air density");
        assert_eq!(words("air.sound_speed_m_s"), "air sound speed");
    }
}
