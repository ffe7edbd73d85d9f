//! A job to start from: a commented `job.toml`, an empty sheet, and how to measure what goes into it. All of it comes from
//! the key table, so that it can say nothing the program does not read.

mod how_to;
mod job_text;

use super::key_table::KEYS;
use super::keys::{Key, Table, find_in};
use super::layout::{ReedPlace, solo_layout};
use super::notes::Note;
use super::player::Start;

/// Columns of the empty sheet for what is measured, after the four that name the reed.
const MEASURED: [&str; 11] = [
    "length_mm",
    "width_mm",
    "thickness_mm",
    "measured_pluck_hz",
    "closing_force_g",
    "ring_down_s",
    "tip_gap_mm",
    "side_clearance_mm",
    "left_clearance_mm",
    "right_clearance_mm",
    "leak_mm2",
];
/// Columns for words.
const WORDS: [&str; 3] = ["valve", "feel", "remark"];
/// Keys that mostly hold for all reeds of a set.
const DEFAULTS: [&str; 5] = ["alloy", "temper", "root_gap_mm", "rest_exponent", "tip_clearance_mm"];

/// A job to start from.
#[derive(Debug, Clone, PartialEq)]
pub struct Starter {
    reeds: Vec<ReedPlace>,
    /// Pitch class of the key, where the layout is solo.
    solo_in: Option<i32>,
    start: Start,
}

impl Starter {
    /// Names of the files it consists of.
    pub const FILES: [&str; 3] = ["job.toml", "sheet.csv", "HOW-TO-MEASURE.md"];

    /// A solo layout of so many holes from its lowest note up, which names the key. None where it runs out of notes.
    pub fn solo(holes: u32, lowest: Note, start: Start) -> Option<Self> {
        let reeds = solo_layout(holes, lowest)?;
        Some(Self { reeds, solo_in: Some(lowest.pitch_class()), start })
    }

    /// Any reeds, in the order of the sheet.
    ///
    /// ```
    /// use freereed::sheet::{Note, Start, Starter, diatonic_layout};
    /// let reeds = diatonic_layout(Note::parse("C4").unwrap()).unwrap();
    /// let [(_, job), (_, sheet), _] = Starter::of_reeds(reeds, Start::USUAL).files();
    /// assert!(job.contains("sheet = \"sheet.csv\""));
    /// assert!(sheet.lines().nth(20).unwrap().starts_with("10,draw,out,A6,,"));
    /// ```
    pub fn of_reeds(reeds: Vec<ReedPlace>, start: Start) -> Self {
        Self { reeds, solo_in: None, start }
    }

    /// Its reeds, in the order of the sheet.
    pub fn reeds(&self) -> &[ReedPlace] {
        &self.reeds
    }

    /// Name and text of each file.
    pub fn files(&self) -> [(&'static str, String); 3] {
        let [job, sheet, how_to] = Self::FILES;
        [(job, job_text::job(self)), (sheet, self.sheet()), (how_to, how_to::how_to())]
    }

    /// One row for each reed, with nothing measured.
    fn sheet(&self) -> String {
        let columns: Vec<&str> = MEASURED.into_iter().chain(WORDS).collect();
        let blank = ",".repeat(columns.len());
        let mut text = format!("hole,breath,slide,note,{}\n", columns.join(","));
        for reed in &self.reeds {
            // The id is the first three cells, kept apart by hyphens.
            text += &format!("{},{}{blank}\n", reed.id().replace('-', ","), reed.note);
        }
        text
    }
}

/// The rows of the key table for some names of the tongue or the slot.
fn keys(names: &[&str]) -> impl Iterator<Item = &'static Key> {
    let find = |name: &&str| find_in(Table::Reed, name).or_else(|| find_in(Table::Slot, name));
    names.iter().filter_map(find).collect::<Vec<_>>().into_iter()
}

fn of_table(table: Table) -> impl Iterator<Item = &'static Key> {
    KEYS.iter().filter(move |key| key.table == table)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_name_is_a_key() {
        assert_eq!(keys(&MEASURED).count(), MEASURED.len());
        assert_eq!(keys(&DEFAULTS).count(), DEFAULTS.len());
    }

    #[test]
    fn the_sheet_has_a_row_for_each_reed_and_a_cell_for_each_heading() {
        let starter = Starter::solo(12, Note::parse("C4").unwrap(), Start::USUAL).unwrap();
        let sheet = starter.sheet();
        let cells: Vec<usize> = sheet.lines().map(|line| line.split(',').count()).collect();
        assert_eq!(cells, vec![4 + MEASURED.len() + WORDS.len(); 49]);
        assert!(sheet.lines().nth(48).unwrap().starts_with("12,draw,in,D7,,"), "{sheet}");
    }
}
