//! Entries and how they lie over one another: a row over the plate's values over the defaults.

use super::error::Problem;
use super::keys::{Key, Table, find_in};
use super::source::Place;
use super::value::{Fault, Value};

/// A value that was typed, for which key, and where.
#[derive(Debug, Clone)]
pub struct Entry {
    /// Its key.
    pub key: &'static Key,
    /// The value, in the key's unit.
    pub value: Value,
    /// Where it was typed: file, line and column.
    pub place: Place,
}

impl Entry {
    /// A problem with this entry.
    pub fn problem(&self, fault: Fault) -> Problem {
        problem(&self.place, self.key.name, fault)
    }
}

/// A fault made a problem: `fault` of `key`, standing at `place`.
pub(super) fn problem(place: &Place, key: &str, fault: Fault) -> Problem {
    let mut problem = Problem::at(place, key, fault.message);
    (problem.allowed, problem.cure) = (fault.allowed, fault.cure);
    problem
}

/// Entries from one place: a file, a row, a table of defaults. A key stands in it once at most.
#[derive(Debug, Clone, Default)]
pub struct Layer {
    entries: Vec<Entry>,
}

impl Layer {
    /// Adds an entry; one of the same key is replaced.
    pub fn set(&mut self, entry: Entry) {
        self.entries.retain(|old| old.key != entry.key);
        self.entries.push(entry);
    }

    /// Takes out the entry of a key, if there is one.
    pub fn remove(&mut self, key: &Key) {
        self.entries.retain(|old| old.key != key);
    }

    /// The entry of a key.
    pub fn get(&self, table: Table, name: &str) -> Option<&Entry> {
        let key = find_in(table, name)?;
        self.entries.iter().find(|entry| entry.key == key)
    }

    /// Puts the stiffness (N/m) that was found at an earlier tip gap in the place of the force that closed it.
    pub(super) fn weighed_at(&mut self, stiffness_n_m: f64) {
        let force = self.get(Table::Reed, "closing_force_g").cloned();
        if let (Some(force), Some(key)) = (force, find_in(Table::Reed, "stiffness_n_m")) {
            self.remove(force.key);
            self.set(Entry { key, value: Value::Number(super::value::rounded(stiffness_n_m)), place: force.place });
        }
    }

    /// All entries, in the order they were typed.
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// The entries of one table.
    pub fn of(&self, table: Table) -> impl Iterator<Item = &Entry> {
        self.entries.iter().filter(move |entry| entry.key.table == table)
    }

    /// This layer laid over `below`: of `below` only those entries show that this one neither has nor says another way
    /// (a row's `width_stations_mm` hides the defaults' `width_mm`).
    #[must_use]
    pub fn over(&self, below: &Self) -> Self {
        let hidden = |old: &Entry| self.entries.iter().any(|new| new.key == old.key || says_instead(new.key, old.key));
        let mut entries: Vec<Entry> = below.entries.iter().filter(|old| !hidden(old)).cloned().collect();
        entries.extend(self.entries.iter().cloned());
        Self { entries }
    }

    /// Pairs of entries that say the same thing in two ways.
    pub fn said_twice(&self) -> impl Iterator<Item = (&Entry, &Entry)> {
        let after = |k: usize| self.entries[k + 1..].iter();
        let pairs =
            self.entries.iter().enumerate().flat_map(move |(k, first)| after(k).map(move |second| (first, second)));
        pairs.filter(|(first, second)| says_instead(first.key, second.key) || says_instead(second.key, first.key))
    }
}

fn says_instead(new: &Key, old: &Key) -> bool {
    new.table == old.table && new.instead_of.contains(&old.name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::keys::find;
    use crate::sheet::source::Source;

    fn layer(entries: &[(&str, f64)]) -> Layer {
        let mut layer = Layer::default();
        for &(name, value) in entries {
            let place = Source::new("x", name).place(0..name.len());
            layer.set(Entry { key: find(name).unwrap(), value: Value::Number(value), place });
        }
        layer
    }

    fn shows(layer: &Layer) -> Vec<(&str, f64)> {
        let number = |entry: &Entry| if let Value::Number(number) = entry.value { number } else { f64::NAN };
        layer.entries().iter().map(|entry| (entry.key.name, number(entry))).collect()
    }

    #[test]
    fn the_upper_layer_wins() {
        let merged = layer(&[("tip_gap_mm", 0.2)]).over(&layer(&[("tip_gap_mm", 0.3), ("length_mm", 12.0)]));
        assert_eq!(shows(&merged), [("length_mm", 12.0), ("tip_gap_mm", 0.2)]);
    }

    #[test]
    fn another_way_of_saying_it_hides_what_is_below() {
        let upper = layer(&[("left_clearance_mm", 0.02), ("right_clearance_mm", 0.04)]);
        let merged = upper.over(&layer(&[("side_clearance_mm", 0.03), ("leak_mm2", 0.1)]));
        assert_eq!(shows(&merged), [("leak_mm2", 0.1), ("left_clearance_mm", 0.02), ("right_clearance_mm", 0.04)]);
        let merged = layer(&[("side_clearance_mm", 0.03)]).over(&upper);
        assert_eq!(shows(&merged), [("side_clearance_mm", 0.03)]);
    }

    #[test]
    fn tables_with_the_same_name_do_not_mix() {
        let merged = layer(&[("air.temperature_c", 30.0)]).over(&layer(&[("reed.temperature_c", 20.0)]));
        assert_eq!(merged.entries().len(), 2);
        assert_eq!(merged.of(Table::Air).count(), 1);
        let merged = layer(&[("air.temperature_c", 30.0)]).over(&layer(&[("reed.density_kg_m3", 8800.0)]));
        assert_eq!(merged.said_twice().count(), 0);
    }

    #[test]
    fn said_twice_is_seen_whichever_comes_first() {
        assert_eq!(layer(&[("quality_factor", 60.0), ("ring_down_s", 0.1)]).said_twice().count(), 1);
        assert_eq!(layer(&[("ring_down_s", 0.1), ("quality_factor", 60.0)]).said_twice().count(), 1);
        assert_eq!(layer(&[("left_clearance_mm", 0.1), ("right_clearance_mm", 0.1)]).said_twice().count(), 0);
    }
}
