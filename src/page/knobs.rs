//! What can be turned on a reed, to see what it would do.

use serde::Serialize;

use crate::sheet::keys::{self, Key, Table};
use crate::sheet::{CheckedReed, Value};
use crate::study::changed::{side_clearance_m, tip_gap_m};

/// Keys in the order in which they stand, each with the least width of its slider in the key's unit.
const KNOBS: [(&str, f64); 11] = [
    ("tip_gap_mm", 0.6),
    ("side_clearance_mm", 0.08),
    ("tip_clearance_mm", 0.08),
    ("thickness_mm", 0.1),
    ("tip_mass_mg", 20.0),
    ("leak_mm2", 2.0),
    ("quality_factor", 100.0),
    ("reed.temperature_c", 30.0),
    ("air.temperature_c", 30.0),
    ("volume_mm3", 500.0),
    ("channel_area_mm2", 15.0),
];

/// One of them.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Knob {
    key: String,
    label: String,
    unit: &'static str,
    meaning: &'static str,
    range: String,
    /// Where it stands now, in its unit.
    now: f64,
    least: f64,
    most: f64,
    step: f64,
    /// Whether that is measured; else it is assumed, or found from the pluck.
    measured: bool,
}

/// Those that this reed has.
pub(super) fn knobs(checked: &CheckedReed) -> Vec<Knob> {
    KNOBS.iter().filter_map(|&(name, width)| knob(checked, keys::find(name)?, width)).collect()
}

/// Whether the page turns this key.
pub(super) fn is_knob(name: &str) -> bool {
    KNOBS.iter().filter_map(|(knob, _)| keys::find(knob)).any(|key| key.full_name() == name)
}

fn knob(checked: &CheckedReed, key: &'static Key, width: f64) -> Option<Knob> {
    let now = now(checked, key)?;
    let half = (0.5 * width).max(0.6 * now.abs());
    let step = step(width);
    // Only what is below zero already, or a temperature, has a slider that goes there.
    let floor = if now < 0.0 || key.offset != 0.0 { key.least } else { key.least.max(0.0) };
    let least = (now - half).max(floor);
    let most = (least + 2.0 * half).min(key.most);
    let label = match (key.name, key.table) {
        ("temperature_c", Table::Reed) => "temperature of the tongue".to_owned(),
        ("temperature_c", _) => "temperature of the air".to_owned(),
        ("quality_factor", _) => "quality factor (less loss)".to_owned(),
        ("volume_mm3", _) => "volume of the chamber".to_owned(),
        _ => key.words(),
    };
    Some(Knob {
        key: key.full_name(),
        label,
        unit: key.unit,
        meaning: key.meaning,
        range: key.range_text(),
        now: to_steps(now, 0.1 * step, f64::round),
        least: to_steps(least, step, f64::ceil),
        most: to_steps(most, step, f64::floor),
        step,
        measured: checked.spec.typed(&key.full_name()).is_some(),
    })
}

/// A hundredth of the slider or finer, as a ruler is divided.
fn step(width: f64) -> f64 {
    let decade = 10.0_f64.powf((width / 100.0).log10().floor());
    let times = width / 100.0 / decade;
    decade
        * if times >= 5.0 {
            5.0
        } else if times >= 2.0 {
            2.0
        } else {
            1.0
        }
}

/// A value in whole steps, without round-off behind the last of its digits.
fn to_steps(value: f64, step: f64, whole: fn(f64) -> f64) -> f64 {
    let digits = (-step.log10()).ceil().max(0.0) as usize;
    let (steps, near) = (value / step, (value / step).round());
    // What lies on a step up to round-off is on it.
    let steps = if (steps - near).abs() < 1e-6 { near } else { whole(steps) };
    format!("{:.digits$}", steps * step).parse().unwrap_or(value)
}

/// Where it stands: as typed, as assumed, else as found.
fn now(checked: &CheckedReed, key: &'static Key) -> Option<f64> {
    if let Some((Value::Number(number), _)) = checked.spec.typed(&key.full_name()) {
        return Some(*number);
    }
    let reed = &checked.reed;
    let chamber = reed.chamber.as_ref();
    let middle_m = 0.5 * reed.beam.length_m;
    let found = match key.name {
        "temperature_c" if key.table == Table::Reed => return Some(checked.temperature_c.unwrap_or(20.0)),
        "tip_gap_mm" => Some(tip_gap_m(reed)),
        "side_clearance_mm" => Some(side_clearance_m(reed)),
        "tip_clearance_mm" => Some(reed.slot.tip_clearance_m),
        "thickness_mm" => {
            checked.thickness.map(|found| found.mean_found_m).or_else(|| Some(reed.beam.thickness_m.at(middle_m)))
        }
        "tip_mass_mg" => Some(reed.beam.tip_mass_kg),
        "leak_mm2" => Some(reed.slot.leak_area_m2),
        "quality_factor" => Some(reed.quality_factor),
        "volume_mm3" => chamber.map(|chamber| chamber.volume_m3),
        "channel_area_mm2" => chamber.map(|chamber| chamber.channel_area_m2),
        _ => None,
    };
    found.map(|si| key.typed(si)).or_else(|| checked.assumed_number(key))
}
