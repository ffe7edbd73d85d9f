//! A sweep as a chart: curves over one input, a map over two.

use super::words::small_print;
use crate::answer::Quantity;
use crate::chart::{Curve, CurvesChart, MapAxis, MapChart, MapOwn, Picture};
use crate::predict::Trust;
use crate::print::sweep::Points;
use crate::sheet::{Tuning, Value};
use crate::sweep::{Axis, Point, Sweep};
use crate::units;

/// Every result over one input; over two, the first result.
pub fn sweep_chart(name: &str, sweep: &Sweep, points: &Points, tuning: &Tuning) -> Picture {
    match sweep.axes.as_slice() {
        [x, y, ..] => map(name, (sweep, points), [x, y], tuning).picture(),
        axes => curves(name, (sweep, points), axes.first(), tuning).picture(),
    }
}

fn curves(name: &str, (sweep, points): (&Sweep, &Points), axis: Option<&Axis>, tuning: &Tuning) -> CurvesChart {
    let curve = |(k, &quantity): (usize, &Quantity)| {
        let row = quantity.row();
        let input = |place: usize| axis.map_or(0.0, |axis| axis.value(place));
        Curve {
            name: row.words(),
            unit: row.unit.to_owned(),
            meaning: row.meaning.to_owned(),
            points: points
                .iter()
                .enumerate()
                .map(|(place, point)| (input(place), value(sweep, point.as_ref(), k)))
                .collect(),
        }
    };
    CurvesChart {
        reed_name: name.to_owned(),
        input: axis.map_or_else(Default::default, |axis| (axis.key.words(), axis.key.unit.to_owned())),
        own: axis.and_then(|axis| own(sweep, axis)),
        curves: sweep.of.iter().enumerate().map(curve).collect(),
        small_print: small_print(&sweep.reed, tuning, &says(sweep)),
    }
}

fn map(name: &str, (sweep, points): (&Sweep, &Points), [x, y]: [&Axis; 2], tuning: &Tuning) -> MapChart {
    let (row, [across, up]) = (sweep.of[0].row(), [x.key.words(), y.key.words()]);
    let axis = |axis: &Axis, name: &str| MapAxis {
        name: name.to_owned(),
        unit: axis.key.unit.to_owned(),
        values: (0..axis.count()).map(|k| axis.value(k)).collect(),
        is_log: false,
    };
    let at = |j: usize, i: usize| value(sweep, points[i * y.count() + j].as_ref(), 0);
    let quantity = row.words();
    MapChart {
        title: units::capital(&format!("{quantity} over {across} and {up}")),
        reed_name: name.to_owned(),
        unit: row.unit.to_owned(),
        values: (0..y.count()).map(|j| (0..x.count()).map(|i| at(j, i)).collect()).collect(),
        missing: "no value: the table says why".to_owned(),
        own: own(sweep, x).zip(own(sweep, y)).map(|(x, y)| MapOwn { x, y, value: None }),
        small_print: small_print(&sweep.reed, tuning, &says(sweep)),
        x: axis(x, &across),
        y: axis(y, &up),
        quantity,
    }
}

/// Result `k` of a point, in the workshop's unit.
fn value(sweep: &Sweep, point: Option<&Point>, k: usize) -> Option<f64> {
    match point {
        Some(Point::Done(cells)) => cells.get(k)?.value.map(|value| value / sweep.of[k].row().factor),
        _ => None,
    }
}

/// The input of the reed as it is, where it was typed.
fn own(sweep: &Sweep, axis: &Axis) -> Option<f64> {
    match sweep.reed.spec.typed(&axis.key.full_name())? {
        (Value::Number(value), _) => Some(*value),
        _ => None,
    }
}

/// How much to trust the results, and how they were asked for.
fn says(sweep: &Sweep) -> String {
    let conditions = &sweep.conditions;
    let mut by_trust: Vec<(Trust, Vec<String>)> = Vec::new();
    for row in sweep.of.iter().map(|quantity| quantity.row()) {
        let name = row.words();
        match by_trust.iter_mut().find(|(trust, _)| *trust == row.trust) {
            Some((_, names)) => names.push(name),
            None => by_trust.push((row.trust, vec![name])),
        }
    }
    let told = by_trust.iter().map(|(trust, names)| format!("{}: {}", names.join(", "), trust.word()));
    format!(
        "{}. Asked at {}, rising in {}, {} allowed.",
        told.collect::<Vec<_>>().join("; "),
        units::pascal(conditions.pressure_pa),
        units::seconds(conditions.rise_s),
        units::seconds(conditions.allowed_s)
    )
}
