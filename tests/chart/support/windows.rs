//! Charts of one reed, from curves computed by the model for three invented reeds (see `chart_curves.rs`).

use std::sync::LazyLock;

use freereed::chart::{
    ChangeChart, ChangeState, GapChart, GapCurve, GapPoint, LevelChart, LevelEnd, LevelPoint, MapAxis, MapChart,
    MapOwn, OwnGap, PitchCurveChart, PitchPoint, Playable, PlayerPressures, ResponseChart, ResponseCurve,
    ResponsePoint, Speech, Window,
};
use serde_json::Value;

use super::SMALL_PRINT;

static CURVES: LazyLock<Value> = LazyLock::new(|| serde_json::from_str(include_str!("curves.json")).unwrap());

/// The reeds that were computed.
pub const REEDS: [&str; 3] = ["demo", "harmonium", "high"];
/// Tip gap and clearance of each (mm).
const OWN_MM: [(f64, f64); 3] = [(0.27, 0.027), (1.2, 0.05), (0.1, 0.025)];

fn all(value: &Value) -> &[Value] {
    value.as_array().map_or(&[], Vec::as_slice)
}

fn title(name: &str) -> String {
    format!("Invented reed ({name})")
}

fn own_mm(name: &str) -> (f64, f64) {
    OWN_MM[REEDS.iter().position(|reed| *reed == name).unwrap()]
}

pub fn usual(name: &str) -> PlayerPressures {
    let usual_pa = CURVES[name]["usual_pa"].as_f64().unwrap();
    PlayerPressures { soft_pa: 0.4 * usual_pa, normal_pa: usual_pa, hard_pa: 2.5 * usual_pa }
}

fn window(value: &Value) -> Window {
    let Some(onset_pa) = value["onset_pa"].as_f64() else { return Window::Silent };
    let playable = value["lowest_pa"].as_f64().map(|lowest_pa| Playable {
        lowest_pa,
        highest_pa: value["highest_pa"].as_f64().filter(|_| value["highest_edge"] != "limit"),
    });
    Window::Sounds { onset_pa, choke_pa: value["choke_pa"].as_f64(), playable }
}

pub fn gap_chart(name: &str) -> GapChart {
    let point = |point: &Value| GapPoint { gap_m: point["gap_m"].as_f64().unwrap(), window: window(&point["window"]) };
    let curve = |curve: &Value| GapCurve {
        clearance_m: curve["clearance_m"].as_f64().unwrap(),
        points: all(&curve["points"]).iter().map(point).collect(),
    };
    let (gap_mm, clearance_mm) = own_mm(name);
    GapChart {
        reed_name: title(name),
        curves: all(&CURVES[name]["gaps"]).iter().map(curve).collect(),
        own: Some(OwnGap {
            gap_m: 1e-3 * gap_mm,
            clearance_m: 1e-3 * clearance_mm,
            window: window(&CURVES[name]["branch"]["own"]),
        }),
        player: Some(usual(name)),
        pressure_limit_pa: 20e3,
        small_print: SMALL_PRINT.into(),
    }
}

pub fn response_chart(name: &str) -> ResponseChart {
    let point = |point: &Value| ResponsePoint {
        pressure_pa: point["pressure_pa"].as_f64().unwrap(),
        speech: match (point["t50_s"].as_f64(), point["speaks"].as_bool()) {
            (Some(t50_s), _) => Speech::Speaks { t50_s },
            (None, Some(true)) => Speech::Unknown,
            (None, _) => Speech::Silent,
        },
    };
    let curves = all(&CURVES[name]["speaking"]).iter().enumerate().map(|(k, curve)| ResponseCurve {
        label: format!("tip gap {:.2} mm", 1e3 * curve["gap_m"].as_f64().unwrap()),
        is_own: k == 1,
        points: all(&curve["points"]).iter().map(point).collect(),
    });
    ResponseChart {
        reed_name: title(name),
        curves: curves.collect(),
        allowed_s: CURVES[name]["allowed_s"].as_f64(),
        player: Some(usual(name)),
        small_print: SMALL_PRINT.into(),
    }
}

/// Onset over tip gap and clearance, as computed.
pub fn computed_map(name: &str) -> MapChart {
    let curves = all(&CURVES[name]["gaps"]);
    let onset = |point: &Value| point["window"]["onset_pa"].as_f64().map(|onset_pa| onset_pa / 1e3);
    let gaps = all(&curves[0]["points"]).iter().map(|point| 1e3 * point["gap_m"].as_f64().unwrap());
    let (gap_mm, clearance_mm) = own_mm(name);
    MapChart {
        title: "Onset rises with the tip gap".into(),
        reed_name: title(name),
        quantity: "onset pressure".into(),
        unit: "kPa".into(),
        x: MapAxis { name: "tip gap".into(), unit: "mm".into(), values: gaps.collect(), is_log: false },
        y: MapAxis {
            name: "clearance".into(),
            unit: "mm".into(),
            values: curves.iter().map(|curve| 1e3 * curve["clearance_m"].as_f64().unwrap()).collect(),
            is_log: false,
        },
        values: curves.iter().map(|curve| all(&curve["points"]).iter().map(onset).collect()).collect(),
        missing: "never sounds".into(),
        own: Some(MapOwn {
            x: gap_mm,
            y: clearance_mm,
            value: CURVES[name]["branch"]["own"]["onset_pa"].as_f64().map(|pa| pa / 1e3),
        }),
        small_print: SMALL_PRINT.into(),
    }
}

/// A map of `wide` by `high` points of a field over the unit square.
pub fn map_of(wide: usize, high: usize, field: impl Fn(f64, f64) -> Option<f64>) -> MapChart {
    let share = |k: usize, count: usize| k as f64 / (count.max(2) - 1) as f64;
    let row = |j: usize| (0..wide).map(|i| field(share(i, wide), share(j, high))).collect();
    MapChart {
        title: "Speaking time against tip gap and clearance".into(),
        reed_name: title("demo"),
        quantity: "speaking time at normal pressure".into(),
        unit: "ms".into(),
        x: MapAxis {
            name: "tip gap".into(),
            unit: "mm".into(),
            values: (0..wide).map(|i| 0.05 + 0.55 * share(i, wide)).collect(),
            is_log: false,
        },
        y: MapAxis {
            name: "clearance".into(),
            unit: "mm".into(),
            values: (0..high).map(|j| 0.01 + 0.07 * share(j, high)).collect(),
            is_log: false,
        },
        values: (0..high).map(row).collect(),
        missing: "does not speak".into(),
        own: Some(MapOwn { x: 0.27, y: 0.027, value: field(0.4, 0.243) }),
        small_print: SMALL_PRINT.into(),
    }
}

/// An invented field shaped like a speaking time: slow at small gaps and wide clearances, silent beyond.
pub fn speaking_time_ms(x: f64, y: f64) -> Option<f64> {
    let time_ms = 28.0 + 160.0 * (x - 0.45).powi(2) + 40.0 * y + 900.0 * (y - x).max(0.0).powi(2);
    (y < x + 0.75 && (x - 0.9).hypot(y - 0.95) > 0.13).then_some(time_ms)
}

/// The branch, with frequency and level of the unstable part invented: the model tells only of sound that lasts.
fn branch(name: &str) -> Vec<(f64, Option<f64>, Option<f64>, bool)> {
    let points = all(&CURVES[name]["branch"]["points"]);
    let last = |key: &str| points.iter().filter_map(|point| point[key].as_f64()).next_back();
    let known = |point: &Value, key: &str, rise: f64| {
        let swing_m = point["swing_m"].as_f64().unwrap();
        let invented = last(key).filter(|_| point["is_stable"] == false);
        point[key].as_f64().or(invented.map(|last| last * (1.0 + rise * (1e4 * swing_m).min(1.0))))
    };
    let all = points.iter().map(|point| {
        let (frequency, level) = (known(point, "frequency_hz", 2e-3), known(point, "level_db", 1e-2));
        (point["pressure_pa"].as_f64().unwrap(), frequency, level, point["is_stable"].as_bool().unwrap())
    });
    all.collect()
}

pub fn pitch_curve(name: &str) -> PitchCurveChart {
    let point = |(pressure_pa, frequency_hz, _, is_stable)| PitchPoint { pressure_pa, frequency_hz, is_stable };
    PitchCurveChart {
        reed_name: title(name),
        plucked_hz: CURVES[name]["branch"]["plucked_hz"].as_f64().unwrap(),
        a4_hz: 442.0,
        points: branch(name).into_iter().map(point).collect(),
        onset_pa: CURVES[name]["branch"]["own"]["onset_pa"].as_f64(),
        player: Some(usual(name)),
        small_print: SMALL_PRINT.into(),
    }
}

pub fn level_chart(name: &str) -> LevelChart {
    let point = |(pressure_pa, _, level_db, is_stable)| LevelPoint { pressure_pa, level_db, is_stable };
    let points: Vec<LevelPoint> = branch(name).into_iter().map(point).collect();
    let found = &CURVES[name]["branch"];
    let level_at = |pressure_pa: f64| {
        points.windows(2).find_map(|pair| {
            let (low_pa, high_pa) = (pair[0].pressure_pa, pair[1].pressure_pa);
            let share = (pressure_pa / low_pa).ln() / (high_pa / low_pa).ln();
            let (low_db, high_db) = (pair[0].level_db?, pair[1].level_db?);
            (0.0..=1.0).contains(&share).then_some(low_db + share * (high_db - low_db))
        })
    };
    let end = |which: &str, side: &str| {
        let pressure_pa = found["own"][format!("{which}_pa")].as_f64()?;
        let edge = found["own"][format!("{which}_edge")].as_str().unwrap();
        Some(LevelEnd { pressure_pa, level_db: level_at(pressure_pa), reason: format!("{edge} {side}") })
    };
    LevelChart {
        reed_name: title(name),
        onset_pa: found["own"]["onset_pa"].as_f64(),
        choke_pa: found["own"]["choke_pa"].as_f64(),
        lowest: end("lowest", "below"),
        highest: end("highest", "above"),
        keeps_from_pa: found["lowest_pa"].as_f64(),
        keeps_to_pa: found["highest_pa"].as_f64(),
        player: Some(usual(name)),
        small_print: SMALL_PRINT.into(),
        points,
    }
}

pub fn change_chart(name: &str) -> ChangeChart {
    let today = ChangeState { label: "today".into(), window: window(&CURVES[name]["branch"]["own"]) };
    let points = all(&CURVES[name]["gaps"][0]["points"]);
    let changed = points.iter().skip(2).step_by(4).map(|point| ChangeState {
        label: format!("tip gap {:.2} mm", 1e3 * point["gap_m"].as_f64().unwrap()),
        window: window(&point["window"]),
    });
    ChangeChart {
        reed_name: title(name),
        states: [today].into_iter().chain(changed).collect(),
        player: Some(usual(name)),
        pressure_limit_pa: 20e3,
        small_print: SMALL_PRINT.into(),
    }
}

/// Every chart of every reed that was computed.
pub fn computed() -> Vec<String> {
    let of = |name: &&str| {
        [
            gap_chart(name).picture().to_svg(),
            response_chart(name).picture().to_svg(),
            computed_map(name).picture().to_svg(),
            pitch_curve(name).picture().to_svg(),
            level_chart(name).picture().to_svg(),
            change_chart(name).picture().to_svg(),
        ]
    };
    REEDS.iter().flat_map(of).collect()
}
