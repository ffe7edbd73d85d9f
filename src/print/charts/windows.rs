//! A study over gaps, clearances and pressures as charts.

use super::words::small_print;
use crate::answer::{Quantity, Solved};
use crate::chart::{
    ChangeChart, ChangeState, GapChart, GapCurve, GapPoint, MapAxis, MapChart, MapOwn, OwnGap, Playable, ResponseChart,
    ResponseCurve, ResponsePoint, Speech, Window,
};
use crate::physics::playable::{self, Edge};
use crate::sheet::{CheckedReed, Tuning};
use crate::study::{self, Map, Response, Study};
use crate::units;

/// A window as charts take it.
fn window(onset_pa: Option<f64>, choke_pa: Option<f64>, playable: Option<playable::Playable>) -> Window {
    match onset_pa {
        None => Window::Silent,
        Some(onset_pa) => Window::Sounds {
            onset_pa,
            choke_pa,
            playable: playable.map(|window| Playable {
                lowest_pa: window.low.pressure_pa,
                highest_pa: (window.high.edge != Edge::LimitOfSearch).then_some(window.high.pressure_pa),
            }),
        },
    }
}

fn gap_point(point: &study::GapPoint) -> GapPoint {
    GapPoint { gap_m: point.gap_m, window: window(point.onset_pa, point.choke_pa, point.playable) }
}

/// The playable window over the tip gap, one curve for each clearance.
pub fn gap_chart(name: &str, study: &Study, curves: &[study::GapCurve], tuning: &Tuning) -> GapChart {
    let curve = |curve: &study::GapCurve| GapCurve {
        clearance_m: curve.clearance_m,
        points: curve.points.iter().map(gap_point).collect(),
    };
    let own = study.own_point().map(|point| OwnGap {
        gap_m: study.gap_m(),
        clearance_m: study.clearance_m(),
        window: gap_point(&point).window,
    });
    GapChart {
        reed_name: name.to_owned(),
        curves: curves.iter().map(curve).collect(),
        own,
        player: None,
        pressure_limit_pa: study.conditions.search.limit_pa,
        small_print: study_print(study, tuning, "Onset, choke and speaking time: fair; the order of changes: sure."),
    }
}

/// What holds for every chart of a study.
fn study_print(study: &Study, tuning: &Tuning, says: &str) -> String {
    let given = &study.conditions;
    let asked = format!(
        "Playable: half the swing within {} of an attack rising in {}.",
        units::seconds(given.allowed_s),
        units::seconds(given.rise_s)
    );
    small_print(&study.checked, tuning, &format!("{says} {asked}"))
}

/// Speaking time over the pressure, one curve for each gap.
pub fn response_chart(name: &str, study: &Study, curves: &[study::ResponseCurve], tuning: &Tuning) -> ResponseChart {
    let speech = |response: &Response| match *response {
        Response::Speaks(t50_s) => Speech::Speaks { t50_s },
        Response::Silent => Speech::Silent,
        Response::Unknown => Speech::Unknown,
    };
    let point = |(pressure_pa, response): &(f64, Response)| ResponsePoint {
        pressure_pa: *pressure_pa,
        speech: speech(response),
    };
    let curve = |curve: &study::ResponseCurve| ResponseCurve {
        label: format!("tip gap {}", units::metres(curve.gap_m)),
        is_own: curve.gap_m == study.gap_m(),
        points: curve.points.iter().map(point).collect(),
    };
    ResponseChart {
        reed_name: name.to_owned(),
        curves: curves.iter().map(curve).collect(),
        allowed_s: Some(study.conditions.allowed_s),
        player: None,
        small_print: study_print(study, tuning, "Speaking time: fair; the order of gaps: sure."),
    }
}

/// A result over tip gap and side clearance.
pub fn map_chart(name: &str, study: &Study, map: &Map, tuning: &Tuning) -> MapChart {
    let row = map.quantity.row();
    let shown = |value: f64| value / row.factor;
    let axis = |name: &str, metres: &[f64]| MapAxis {
        name: name.to_owned(),
        unit: "mm".to_owned(),
        values: metres.iter().map(|m| 1e3 * m).collect(),
        is_log: false,
    };
    let at =
        if row.at_pressure { format!(" at {}", units::pascal(study.conditions.pressure_pa)) } else { String::new() };
    let (title, missing) = titles(map.quantity);
    MapChart {
        title: format!("{title}{at}, over tip gap and side clearance"),
        reed_name: name.to_owned(),
        quantity: title.to_lowercase(),
        unit: row.unit.to_owned(),
        x: axis("tip gap", &map.gaps_m),
        y: axis("side clearance", &map.clearances_m),
        values: map.values.iter().map(|line| line.iter().map(|value| value.map(shown)).collect()).collect(),
        missing: missing.to_owned(),
        own: Some(MapOwn { x: 1e3 * study.gap_m(), y: 1e3 * study.clearance_m(), value: map.own.map(shown) }),
        small_print: study_print(study, tuning, "Values: fair; the order of changes: sure."),
    }
}

fn titles(quantity: Quantity) -> (&'static str, &'static str) {
    match quantity {
        Quantity::HalfTime => ("Speaking time", "does not speak"),
        Quantity::DynamicRange => ("Dynamic range", "speaks in time at no pressure"),
        Quantity::Onset => ("Onset", "never speaks"),
        Quantity::Choke => ("Choke", "none below the limit"),
        other => (other.row().meaning, "no value"),
    }
}

/// The windows before and after a change.
pub fn change_chart(name: &str, states: &[(String, &Solved)], checked: &CheckedReed, tuning: &Tuning) -> ChangeChart {
    let state = |(label, solved): &(String, &Solved)| {
        let value = |quantity| solved.answer(quantity).value;
        ChangeState {
            label: label.clone(),
            window: window(value(Quantity::Onset), value(Quantity::Choke), solved.playable),
        }
    };
    let given = states.first().map(|state| *state.1.conditions()).unwrap_or_default();
    let says = format!(
        "Onset, choke and speaking time: fair; the order of changes: sure. Playable: half the swing within {} of an attack \
         rising in {}.",
        units::seconds(given.allowed_s),
        units::seconds(given.rise_s)
    );
    ChangeChart {
        reed_name: name.to_owned(),
        states: states.iter().map(state).collect(),
        player: None,
        pressure_limit_pa: given.search.limit_pa,
        small_print: small_print(checked, tuning, &says),
    }
}
