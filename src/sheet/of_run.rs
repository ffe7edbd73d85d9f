//! Length and width of a tongue that were not measured, read off the run of its neighbours in pitch.

use super::csv_sheet::SheetRow;
use super::keys::{Key, Table, find};
use super::notes::Note;
use super::reed_spec::ReedSpec;
use super::value::{Value, rounded};
use crate::trend::Trend;

/// Reeds within so many semitones are neighbours (common practice, no source: over more a maker's sizes bend away from a line).
pub(crate) const NEAR_SEMITONES: i32 = 7;

/// What is read off the run.
const SIZES: [&str; 2] = ["length_mm", "width_mm"];

/// Whether a key that was left out is read off the run.
pub(super) fn is_read_off(key: &Key) -> bool {
    key.table == Table::Reed && SIZES.contains(&key.name)
}

/// What the run of a set has at one note, in mm; nothing where it has too few neighbours there.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct OfRun([Option<f64>; SIZES.len()]);

impl OfRun {
    /// What is assumed for a key, in its unit.
    pub(super) fn of(&self, key: &Key) -> Option<f64> {
        let place = SIZES.iter().position(|name| key.name == *name).filter(|_| is_read_off(key))?;
        self.0[place]
    }
}

/// The sizes that were measured in a set, over pitch.
#[derive(Debug, Clone)]
pub(super) struct Run([Vec<(i32, f64)>; SIZES.len()]);

impl Run {
    /// Of the rows of a set.
    pub(super) fn of<'a>(rows: impl Iterator<Item = &'a SheetRow> + Clone) -> Self {
        let point = |row: &SheetRow, name: &str| match row.layer.get(Table::Reed, name)?.value {
            Value::Number(size_mm) => Some((row.note.midi(), size_mm.ln())),
            _ => None,
        };
        Self(SIZES.map(|name| rows.clone().filter_map(|row| point(row, name)).collect()))
    }

    /// At a note: a straight line through the logarithms of what its neighbours measure, robust against odd ones.
    pub(super) fn at(&self, note: Note) -> OfRun {
        let midi = note.midi();
        OfRun(std::array::from_fn(|k| {
            let near = self.0[k].iter().filter(|(other, _)| (other - midi).abs() <= NEAR_SEMITONES);
            let points: Vec<(f64, f64)> = near.map(|(other, ln)| (f64::from(*other), *ln)).collect();
            Some(rounded(Trend::through(&points)?.at(f64::from(midi)).exp()))
        }))
    }
}

/// What a reed file would not know of the set: the sizes that were read off its run.
pub(super) fn to_write(spec: &ReedSpec) -> Vec<(&'static Key, Value)> {
    let said = |name: &&str| spec.typed(name).is_some();
    let keys = SIZES.into_iter().filter_map(find).filter(|key| !key.instead_of.iter().any(said));
    keys.filter_map(|key| Some((key, Value::Number(spec.of_run.of(key)?)))).collect()
}
