//! A reed as the newest values have it: the set's sheet with each round laid over it.

use super::csv_sheet::SheetRow;
use super::date::Date;
use super::keys::Table;
use super::layer::Layer;
use super::round::Round;
use super::row_error::RowError;
use super::value::Value;

/// What a tongue was measured to do; a new tongue does otherwise. Keys that begin with `measured_` too.
const OF_THE_TONGUE: [&str; 5] =
    ["ring_down_s", "quality_factor", "softest_blow_pa", "closing_force_g", "stiffness_n_m"];

/// A reed as the newest values have it.
pub(super) struct Newest {
    pub(super) row: SheetRow,
    /// The day its tongue came in, where it is not the first.
    pub(super) tongue_since: Option<Date>,
    /// What was known of the reed of which the player's word was said, where it was worked on since.
    pub(super) said_of: Option<Layer>,
    /// What a reader should know.
    pub(super) notes: Vec<String>,
}

/// A row of the set's sheet with each round laid over it in turn.
///
/// # Errors
/// A round's row of this reed that is wrong: what is newest is not known.
pub(super) fn newest(row: SheetRow, rounds: &[Round]) -> Result<Newest, RowError> {
    let (id, line) = (row.id(), row.place.line());
    let mut newest = Newest { row, tongue_since: None, said_of: None, notes: Vec::new() };
    let mut of_the_old: Vec<&'static str> = Vec::new();
    for round in rounds {
        let Some(measured) = round.row(&id) else { continue };
        let measured = measured.as_ref().map_err(|error| RowError { line, ..error.clone() })?;
        let row = &mut newest.row;
        if measured.replaced {
            newest.tongue_since = Some(round.date);
            forget_the_tongue(&mut row.layer);
            row.feel = None;
            newest.said_of = None;
            of_the_old = row.layer.of(Table::Reed).map(|entry| entry.key.name).collect();
        }
        if row.feel.is_some() && newest.said_of.is_none() && measured.is_after_work() {
            newest.said_of = Some(row.layer.clone());
        }
        weighed_before(&mut row.layer, &measured.layer);
        row.layer = measured.layer.over(&row.layer);
        let is_old = |key: &&str| row.layer.of(Table::Reed).any(|entry| entry.key.name == *key);
        of_the_old.retain(|key| is_old(key) && measured.layer.get(Table::Reed, key).is_none());
        if measured.feel.is_some() {
            (row.feel, newest.said_of) = (measured.feel, None);
        }
        row.valve = measured.valve.clone().or(row.valve.take());
        row.remark = measured.remark.clone().or(row.remark.take());
    }
    if let (Some(date), false) = (newest.tongue_since, of_the_old.is_empty()) {
        let old = of_the_old.join(", ");
        newest.notes.push(format!("{id} has a new tongue since {date}, and still the old one's {old}: measure it"));
    }
    Ok(newest)
}

fn forget_the_tongue(layer: &mut Layer) {
    let gone = |name: &str| name.starts_with("measured_") || OF_THE_TONGUE.contains(&name);
    let keys: Vec<_> = layer.of(Table::Reed).map(|entry| entry.key).filter(|key| gone(key.name)).collect();
    keys.into_iter().for_each(|key| layer.remove(key));
}

/// The force that closed the gap was weighed at the gap of its day: what it says outlives a bend as a stiffness.
fn weighed_before(layer: &mut Layer, measured: &Layer) {
    let number = |name: &str| match layer.get(Table::Reed, name).map(|entry| (entry.key, &entry.value)) {
        Some((key, Value::Number(number))) => Some(key.si(*number)),
        _ => None,
    };
    let bent = ["tip_gap_mm", "rest_stations_mm"].iter().any(|name| measured.get(Table::Reed, name).is_some());
    let weighed = measured.get(Table::Reed, "closing_force_g").is_some();
    if let (true, false, Some(force_n), Some(gap_m)) = (bent, weighed, number("closing_force_g"), number("tip_gap_mm"))
    {
        layer.weighed_at(force_n / gap_m);
    }
}
