//! A sweep as a table and as JSON.

use serde_json::{Map, Value, json};

use super::json;
use crate::answer::Quantity;
use crate::physics::coefficients::MODEL_VERSION;
use crate::sweep::{Cell, Point, Sweep};

/// The points of a sweep; nothing for one that was not computed.
pub type Points = [Option<Point>];

/// One line a point: inputs, then results in workshop units, then what is to be said about them. A result that does not
/// exist is left empty.
///
/// # Panics
/// Never: the table is written to memory.
pub fn to_csv(sweep: &Sweep, points: &Points) -> Vec<u8> {
    let mut table = csv::Writer::from_writer(Vec::new());
    let inputs = sweep.axes.iter().map(|axis| axis.key.name);
    let head: Vec<&str> =
        inputs.chain(sweep.of.iter().map(|quantity| quantity.row().column)).chain(["notes"]).collect();
    table.write_record(&head).expect("memory takes all");
    for (k, point) in points.iter().enumerate() {
        table.write_record(line(sweep, k, point.as_ref())).expect("memory takes all");
    }
    table.into_inner().expect("memory takes all")
}

fn line(sweep: &Sweep, k: usize, point: Option<&Point>) -> Vec<String> {
    let places = sweep.places(k);
    let mut record: Vec<String> = sweep.axes.iter().zip(&places).map(|(axis, &place)| axis.text(place)).collect();
    match point {
        Some(Point::Done(cells)) => {
            record.extend(sweep.of.iter().zip(cells).map(|(&quantity, cell)| workshop(quantity, cell)));
            record.push(notes(sweep, cells));
        }
        other => {
            record.extend(sweep.of.iter().map(|_| String::new()));
            record.push(why_empty(other));
        }
    }
    record
}

fn why_empty(point: Option<&Point>) -> String {
    match point {
        Some(Point::Failed(why)) => format!("failed: {why}"),
        _ => "not computed".to_owned(),
    }
}

/// Seven digits: what the model computes to, not what it knows.
fn workshop(quantity: Quantity, cell: &Cell) -> String {
    cell.value.map_or(String::new(), |value| {
        let number: f64 = format!("{:.6e}", value / quantity.row().factor).parse().expect("a number just written");
        number.to_string()
    })
}

fn notes(sweep: &Sweep, cells: &[Cell]) -> String {
    let note = |(quantity, cell): (&Quantity, &Cell)| Some(format!("{}: {}", quantity.row().name, cell.note.as_ref()?));
    sweep.of.iter().zip(cells).filter_map(note).collect::<Vec<_>>().join("; ")
}

/// The whole sweep for a program: inputs in their own units, as their keys say, results in SI.
pub fn to_json(sweep: &Sweep, points: &Points) -> Map<String, Value> {
    let varied = |axis: &crate::sweep::Axis| {
        json!({ "key": axis.key.full_name(), "unit": axis.key.unit,
                "values": (0..axis.count()).map(|k| axis.value(k)).collect::<Vec<_>>() })
    };
    let computed = points.iter().flatten().count();
    let failed = points.iter().flatten().filter(|point| matches!(point, Point::Failed(_))).count();
    let trust: Map<String, Value> =
        sweep.of.iter().map(|quantity| (quantity.row().json.to_owned(), json!(quantity.row().trust))).collect();
    let mut all = json::object(json!({
        "model_version": MODEL_VERSION,
        "varied": sweep.axes.iter().map(varied).collect::<Vec<_>>(),
        "conditions": json::conditions(&sweep.conditions, sweep.swing_scale),
        "count": points.len(),
        "computed": computed,
        "failed": failed,
        "points": points.iter().enumerate().map(|(k, point)| one(sweep, k, point.as_ref())).collect::<Vec<_>>(),
        "trust": trust,
    }));
    all.extend(json::leaning(&sweep.reed));
    all
}

fn one(sweep: &Sweep, k: usize, point: Option<&Point>) -> Value {
    let inputs = sweep.axes.iter().zip(sweep.places(k));
    let mut all: Map<String, Value> =
        inputs.map(|(axis, place)| (axis.key.name.to_owned(), json!(axis.value(place)))).collect();
    match point {
        Some(Point::Done(cells)) => {
            for (quantity, cell) in sweep.of.iter().zip(cells) {
                all.insert(quantity.row().json.to_owned(), json!(cell.value));
            }
            all.insert("notes".to_owned(), json!(notes(sweep, cells)));
        }
        other => {
            all.insert("notes".to_owned(), json!(why_empty(other)));
        }
    }
    Value::Object(all)
}
