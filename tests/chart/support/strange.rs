//! Charts of one reed without data, with little, and with values far from the usual.

use freereed::chart::{ChangeState, MapChart, Playable, PlayerPressures, Speech, Window};

use super::windows::*;

/// Name and document of each.
pub fn strange() -> Vec<(&'static str, String)> {
    let mut all = vec![
        ("gap-empty", gap_empty()),
        ("gap-open", gap_open()),
        ("gap-four", gap_four()),
        ("response-empty", response_empty()),
        ("response-silent", response_silent()),
        ("pitch-curve-empty", pitch_curve_empty()),
        ("pitch-curve-bare", pitch_curve_bare()),
        ("level-empty", level_empty()),
        ("level-no-window", level_no_window()),
        ("change-words", change_words()),
        ("change-narrow", change_narrow()),
        ("change-empty", change_empty()),
    ];
    all.extend(maps());
    all
}

fn gap_empty() -> String {
    let mut chart = gap_chart("demo");
    (chart.curves, chart.own, chart.player) = (Vec::new(), None, None);
    chart.picture().to_svg()
}

/// Every window open at the top beyond 0.3 mm, one not known, and the smallest silent.
fn gap_open() -> String {
    let mut chart = gap_chart("demo");
    for point in chart.curves.iter_mut().flat_map(|curve| &mut curve.points) {
        if let Window::Sounds { choke_pa, playable, .. } = &mut point.window
            && point.gap_m > 0.3e-3
        {
            *choke_pa = None;
            if let Some(playable) = playable {
                playable.highest_pa = None;
            }
        }
    }
    chart.curves[1].points[0].window = Window::Silent;
    chart.curves[1].points[7].window = Window::Unknown;
    chart.picture().to_svg()
}

/// Four clearances close together.
fn gap_four() -> String {
    let mut chart = gap_chart("demo");
    let mut fourth = chart.curves[1].clone();
    fourth.clearance_m = 0.03e-3;
    for point in &mut fourth.points {
        if let Window::Sounds { playable: Some(playable), .. } = &mut point.window {
            playable.lowest_pa *= 1.04;
        }
    }
    chart.curves.push(fourth);
    chart.picture().to_svg()
}

fn response_empty() -> String {
    let mut chart = response_chart("demo");
    (chart.curves, chart.allowed_s, chart.player) = (Vec::new(), None, None);
    chart.picture().to_svg()
}

fn response_silent() -> String {
    let mut chart = response_chart("demo");
    for curve in &mut chart.curves {
        curve.points.iter_mut().for_each(|point| point.speech = Speech::Silent);
    }
    chart.picture().to_svg()
}

fn pitch_curve_empty() -> String {
    let mut chart = pitch_curve("demo");
    (chart.points, chart.plucked_hz, chart.onset_pa, chart.player) = (Vec::new(), f64::NAN, None, None);
    chart.picture().to_svg()
}

/// A pitch that hardly moves, with a hole.
fn pitch_curve_bare() -> String {
    let mut chart = pitch_curve("demo");
    for (k, point) in chart.points.iter_mut().enumerate() {
        point.frequency_hz = (k != 20).then_some(496.0 + 1e-3 * k as f64);
    }
    chart.player = None;
    chart.picture().to_svg()
}

fn level_empty() -> String {
    let mut chart = level_chart("demo");
    (chart.points, chart.lowest, chart.highest, chart.player) = (Vec::new(), None, None, None);
    (chart.onset_pa, chart.choke_pa, chart.keeps_from_pa, chart.keeps_to_pa) = (None, None, None, None);
    chart.picture().to_svg()
}

fn level_no_window() -> String {
    let mut chart = level_chart("demo");
    (chart.lowest, chart.highest, chart.choke_pa, chart.keeps_to_pa) = (None, None, None, None);
    chart.picture().to_svg()
}

fn states(chart: &str, states: &[(&str, Window)]) -> String {
    let mut chart = change_chart(chart);
    let state = |(label, window): &(&str, Window)| ChangeState { label: (*label).into(), window: *window };
    chart.states = states.iter().map(state).collect();
    chart.picture().to_svg()
}

fn window(onset_pa: f64, lowest_pa: f64, highest_pa: Option<f64>, choke_pa: Option<f64>) -> Window {
    Window::Sounds { onset_pa, choke_pa, playable: Some(Playable { lowest_pa, highest_pa }) }
}

fn change_words() -> String {
    let long = "tip gap 0.05 mm, side clearance 0.060 mm and the reed turned round in a chamber twice as long as now";
    states(
        "demo",
        &[
            ("today", window(51.0, 420.0, Some(2300.0), Some(2600.0))),
            ("tip gap 0.02 mm", Window::Silent),
            ("side clearance 0.060 mm", Window::Sounds { onset_pa: 90.0, choke_pa: Some(1800.0), playable: None }),
            (long, window(80.0, 700.0, None, None)),
            ("alloy not given", Window::Unknown),
        ],
    )
}

fn change_narrow() -> String {
    states(
        "demo",
        &[
            ("today", window(51.0, 800.0, Some(830.0), Some(2600.0))),
            ("wider", window(49.0, 60.0, Some(61.0), Some(70.0))),
            ("harder", window(4000.0, 5800.0, Some(6000.0), Some(6100.0))),
        ],
    )
}

fn change_empty() -> String {
    let mut chart = change_chart("demo");
    chart.states.clear();
    chart.player = Some(PlayerPressures { soft_pa: 300.0, normal_pa: 301.0, hard_pa: 302.0 });
    chart.picture().to_svg()
}

fn maps() -> Vec<(&'static str, String)> {
    let peak = |x: f64, y: f64| Some(1e-2 + 5e3 * (-60.0 * ((x - 0.6).powi(2) + (y - 0.4).powi(2))).exp());
    let saddle = |x: f64, y: f64| Some(30.0 * (x - 0.5) * (y - 0.5));
    let mut log = map_of(21, 21, |x, y| Some(0.3 + 0.5 * (x - y)));
    log.x.is_log = true;
    log.x.values.iter_mut().for_each(|value| *value = 0.05 * (*value * 9.0).exp());
    log.x.name = "mouth pressure".into();
    log.x.unit = "kPa".into();
    let mut far = map_of(9, 9, saddle);
    far.own.as_mut().unwrap().x = 7.0;
    let plain = |chart: MapChart| chart.picture().to_svg();
    vec![
        ("map-21", plain(map_of(21, 21, speaking_time_ms))),
        ("map-5x4", plain(map_of(5, 4, speaking_time_ms))),
        ("map-2x2", plain(map_of(2, 2, |x, y| Some(x + 2.0 * y)))),
        ("map-1x4", plain(map_of(1, 4, speaking_time_ms))),
        ("map-constant", plain(map_of(21, 21, |_, _| Some(42.0)))),
        ("map-none", plain(map_of(21, 21, |_, _| None))),
        ("map-one", plain(map_of(5, 4, |x, y| (x == 0.5 && y > 0.9).then_some(3.0)))),
        ("map-steep", plain(map_of(21, 21, |x, y| Some(if x > y { 1000.0 } else { 1.0 })))),
        ("map-peak", plain(map_of(21, 21, peak))),
        ("map-saddle", plain(map_of(21, 21, saddle))),
        ("map-log", plain(log)),
        ("map-own-outside", plain(far)),
    ]
}
