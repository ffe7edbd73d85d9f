//! What was heard, as JSON, and as a round of measuring.

use serde_json::{Map, Value, json};

use super::json;
use crate::listen::{Heard, ReedHeard, Which};
use crate::sheet::{Operation, SheetRow};

/// What was heard in each file, which reed each note may be where a job was named, and what that says reed by reed. Intervals
/// hold the true value four times in five.
pub fn to_json(files: &[(Heard, Vec<Option<Which>>)], reeds: &[ReedHeard], round: Option<&str>) -> Map<String, Value> {
    let one = |(heard, which): &(Heard, Vec<Option<Which>>)| {
        let mut file = serde_json::to_value(heard).expect("numbers, text and lists");
        let notes = file["notes"].as_array_mut().into_iter().flatten();
        for (note, which) in notes.zip(which).filter(|(_, which)| which.is_some()) {
            note["reed"] = json!(which);
        }
        file
    };
    json::object(json!({
        "files": files.iter().map(one).collect::<Vec<_>>(),
        "reeds": reeds,
        "round": round,
    }))
}

/// Digits after the point with which a pitch (Hz) is written: far finer than it is known.
const PITCH_DIGITS: usize = 3;

/// The sheet of a round: what was heard of each reed, in the order of the set's sheet. A column that nothing fills is left out;
/// none where nothing was heard of any reed of the set.
///
/// # Panics
/// Never: the table is written to memory.
pub fn to_round(set: &[&SheetRow], reeds: &[ReedHeard], blown_at_pa: Option<f64>) -> Option<Vec<u8>> {
    let rows: Vec<(&SheetRow, &ReedHeard)> = set
        .iter()
        .filter_map(|row| reeds.iter().find(|heard| heard.label == row.id()).map(|heard| (*row, heard)))
        .collect();
    let pitch = |hz: f64| format!("{hz:.PITCH_DIGITS$}");
    type Column<'a> = (&'a str, Box<dyn Fn(&ReedHeard) -> Option<String> + 'a>);
    let columns: [Column<'_>; 5] = [
        ("measured_pluck_hz", Box::new(|heard| heard.pluck_hz.map(|hz| pitch(hz.value)))),
        ("ring_down_s", Box::new(|heard| heard.ring_down_s.map(|tau| format!("{:.5}", tau.value)))),
        ("measured_sounding_hz", Box::new(|heard| heard.sounding_hz.map(|hz| pitch(hz.value)))),
        ("measured_at_pa", Box::new(|heard| heard.sounding_hz.and(blown_at_pa).map(|pressure| pressure.to_string()))),
        ("remark", Box::new(|heard| Some(remark(heard)))),
    ];
    let filled: Vec<&Column<'_>> =
        columns.iter().filter(|(_, value)| rows.iter().any(|(_, heard)| value(heard).is_some())).collect();
    let mut table = csv::Writer::from_writer(Vec::new());
    let head = ["hole", "breath", "slide", "operation"].into_iter().chain(filled.iter().map(|(name, _)| *name));
    table.write_record(head).expect("memory takes all");
    for (row, heard) in &rows {
        let reed = [row.hole.to_string(), row.breath.name().into(), row.slide.name().into()];
        let values = filled.iter().map(|(_, value)| value(heard).unwrap_or_default());
        let record = reed.into_iter().chain([Operation::Measure.name().to_owned()]).chain(values);
        table.write_record(record).expect("memory takes all");
    }
    (!rows.is_empty()).then(|| table.into_inner().expect("memory takes all"))
}

/// What the values are means of.
pub(crate) fn remark(heard: &ReedHeard) -> String {
    let of = |count: usize, one: &str| match count {
        0 => None,
        1 => Some(format!("1 {one}")),
        more => Some(format!("{more} {one}s")),
    };
    let parts: Vec<String> = [of(heard.plucks, "pluck"), of(heard.blows, "blow")].into_iter().flatten().collect();
    format!("heard in {}", parts.join(" and "))
}
