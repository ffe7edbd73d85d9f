//! The round of a day as a table of texts: what the page writes.

use std::collections::BTreeMap;

use crate::sheet::SheetRow;

/// Columns of a round in the order in which they are written; those that nothing fills are left out.
pub(super) const COLUMNS: [&str; 19] = [
    "operation",
    "minutes",
    "replaced",
    "aimed_gap_mm",
    "aimed_pluck_hz",
    "length_mm",
    "width_mm",
    "thickness_mm",
    "closing_force_g",
    "tip_gap_mm",
    "measured_pluck_hz",
    "side_clearance_mm",
    "ring_down_s",
    "leak_mm2",
    "softest_blow_pa",
    "measured_sounding_hz",
    "measured_at_pa",
    "feel",
    "remark",
];
/// The columns that name a reed.
const ID: [&str; 3] = ["hole", "breath", "slide"];

/// A round: what stands in the cells of each reed, as typed.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Table {
    rows: BTreeMap<String, BTreeMap<String, String>>,
}

impl Table {
    /// Reads a table that was written by [`Table::to_text`]; none for any other text.
    pub(super) fn parse(text: &str) -> Option<Self> {
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let heads = reader.headers().ok()?.clone();
        let mut table = Self::default();
        for record in reader.records() {
            let record = record.ok()?;
            let of = |name: &str| heads.iter().position(|head| head == name).and_then(|k| record.get(k));
            let id = ID.map(of);
            let [Some(hole), Some(breath), Some(slide)] = id else { return None };
            let cells = heads.iter().zip(&record).filter(|(head, text)| !ID.contains(head) && !text.is_empty());
            let cells = cells.map(|(head, text)| (head.to_owned(), text.to_owned())).collect();
            table.rows.insert(format!("{hole}-{breath}-{slide}"), cells);
        }
        Some(table)
    }

    /// The file, its rows in the order of the set's sheet; nothing where no cell is filled.
    ///
    /// # Panics
    /// Never: the table is written to memory.
    pub(super) fn to_text(&self, set: &[SheetRow]) -> Option<String> {
        let is_filled = |name: &&str| self.rows.values().any(|cells| cells.contains_key(*name));
        let columns: Vec<&str> = COLUMNS.into_iter().filter(is_filled).collect();
        let mut writer = csv::Writer::from_writer(Vec::new());
        writer.write_record(ID.iter().chain(&columns)).expect("memory takes all");
        for row in set {
            let Some(cells) = self.rows.get(&row.id()).filter(|cells| !cells.is_empty()) else { continue };
            let id = [row.hole.to_string(), row.breath.name().to_owned(), row.slide.name().to_owned()];
            let values = columns.iter().map(|name| cells.get(*name).cloned().unwrap_or_default());
            writer.write_record(id.into_iter().chain(values)).expect("memory takes all");
        }
        let bytes = writer.into_inner().expect("memory takes all");
        (!columns.is_empty()).then(|| String::from_utf8(bytes).expect("text of texts"))
    }

    /// What stands in a cell; nothing where it is blank.
    pub(super) fn get(&self, id: &str, column: &str) -> Option<&str> {
        self.rows.get(id)?.get(column).map(String::as_str)
    }

    /// Fills a cell; a blank text empties it.
    pub(super) fn set(&mut self, id: &str, column: &str, text: &str) {
        let cells = self.rows.entry(id.to_owned()).or_default();
        match text.trim() {
            "" => drop(cells.remove(column)),
            text => drop(cells.insert(column.to_owned(), text.to_owned())),
        }
    }

    /// Whether something was measured of a reed, besides what was done to it and aimed at.
    pub(super) fn is_measured(&self, id: &str) -> bool {
        let of_work = |column: &str| COLUMNS[..5].contains(&column) || column == "remark";
        self.rows.get(id).is_some_and(|cells| cells.keys().any(|column| !of_work(column)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::{Source, read_sheet};

    fn set() -> Vec<SheetRow> {
        let text = "hole,breath,slide,note\n2,blow,out,C4\n1,draw,in,D4\n";
        read_sheet(&Source::new("s", text), 440.0).unwrap().into_iter().flatten().collect()
    }

    #[test]
    fn a_round_is_read_as_it_was_written() {
        let mut table = Table::default();
        table.set("1-draw-in", "remark", "a comma, a \"quote\"");
        table.set("2-blow-out", "tip_gap_mm", " 0,25 ");
        table.set("2-blow-out", "feel", "late");
        table.set("2-blow-out", "feel", "");
        let text = table.to_text(&set()).unwrap();
        assert_eq!(
            text,
            "hole,breath,slide,tip_gap_mm,remark\n2,blow,out,\"0,25\",\n1,draw,in,,\"a comma, a \"\"quote\"\"\"\n"
        );
        let again = Table::parse(&text).unwrap();
        assert_eq!((again.get("2-blow-out", "tip_gap_mm"), again.get("2-blow-out", "feel")), (Some("0,25"), None));
        assert!(again.is_measured("2-blow-out") && !again.is_measured("1-draw-in"));
    }

    #[test]
    fn a_round_that_says_nothing_is_no_file() {
        let mut table = Table::default();
        table.set("2-blow-out", "feel", "late");
        table.set("2-blow-out", "feel", "");
        assert_eq!(table.to_text(&set()), None);
        assert_eq!(Table::parse("a,b\n1,2\n"), None);
    }
}
