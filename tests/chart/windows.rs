//! What the charts of one reed say, that their marks lie where their values say, and that they survive whatever they are
//! given.

use crate::support::*;
use approx::assert_relative_eq;
use freereed::chart::{ChangeState, GapPoint, Playable, Speech, Window};
use proptest::prelude::*;

/// Blue, in which the reader's own reed is drawn.
const BLUE: &str = "#0072b2";
/// Half a unit of the page, as a part of a pressure on an axis of two decades over some 400 units.
const HALF_UNIT: f64 = 6e-3;

#[test]
fn the_ends_of_the_own_window_lie_at_its_gap_and_pressures() {
    let chart = gap_chart("demo");
    let svg = chart.picture().to_svg();
    let (pressures, gaps) = (Axis::upright(&svg, true), Axis::level(&svg, false));
    let Some(Window::Sounds { playable: Some(playable), .. }) = chart.own.map(|own| own.window) else { panic!() };
    let marks = circles(&svg, "5");
    for ([x, y], expected_pa) in marks.iter().zip([playable.lowest_pa, playable.highest_pa.unwrap()]) {
        assert_relative_eq!(gaps.value_at(*x), 0.27, max_relative = 2e-3);
        assert_relative_eq!(1e3 * pressures.value_at(*y), expected_pa, max_relative = HALF_UNIT);
    }
    assert_eq!(marks.len(), 2);
    assert_says(&svg, &["this reed: tip gap 0.270 mm, clearance 0.027 mm", "player soft", "onset\n", "choke\n"]);
    for clearance in ["0.015", "0.027", "0.050"] {
        assert_says(
            &svg,
            &[&format!("lowest, clearance {clearance} mm\n"), &format!("highest, clearance {clearance} mm\n")],
        );
    }
}

#[test]
fn a_closed_window_has_no_band_and_an_open_one_reaches_the_limit() {
    let fill = "#bfe0f5";
    let mut chart = gap_chart("demo");
    for point in chart.curves.iter_mut().flat_map(|curve| &mut curve.points) {
        point.window = Window::Sounds { onset_pa: 80.0, choke_pa: None, playable: None };
    }
    assert!(outlines(&chart.picture().to_svg(), "polygon", "fill", fill).is_empty());
    let playable = Some(Playable { lowest_pa: 300.0, highest_pa: None });
    for GapPoint { window, .. } in chart.curves.iter_mut().flat_map(|curve| &mut curve.points) {
        *window = Window::Sounds { onset_pa: 80.0, choke_pa: None, playable };
    }
    let svg = chart.picture().to_svg();
    let bands = outlines(&svg, "polygon", "fill", fill);
    let pressures = Axis::upright(&svg, true);
    assert_eq!(bands.len(), 1);
    let ends = |choose: fn(f64, f64) -> f64, start: f64| bands[0].iter().map(|point| point[1]).fold(start, choose);
    assert_relative_eq!(pressures.value_at(ends(f64::min, f64::MAX)), 20.0, max_relative = HALF_UNIT);
    assert_relative_eq!(pressures.value_at(ends(f64::max, 0.0)), 0.3, max_relative = HALF_UNIT);
    assert_says(&svg, &["limit 20 kPa", "open upper end"]);
}

#[test]
fn a_missing_window_breaks_the_lines() {
    let mut chart = gap_chart("demo");
    let strong = |svg: &str| outlines(svg, "polyline", "stroke-width", "2.8").len();
    let whole = strong(&chart.picture().to_svg());
    chart.curves[1].points[6].window = Window::Unknown;
    let svg = chart.picture().to_svg();
    assert_eq!(strong(&svg), whole + 2);
    assert_says(&svg, &["not known"]);
}

#[test]
fn speaking_times_lie_where_they_say_and_end_in_crosses() {
    let chart = response_chart("demo");
    let svg = chart.picture().to_svg();
    let own = &outlines(&svg, "polyline", "stroke-width", "2.8")[0];
    let (times, pressures) = (Axis::upright(&svg, true), Axis::level(&svg, true));
    let spoken = chart.curves[1].points.iter().filter_map(|point| match point.speech {
        Speech::Speaks { t50_s } => Some((point.pressure_pa, t50_s)),
        _ => None,
    });
    for ([x, y], (pressure_pa, t50_s)) in own.iter().zip(spoken) {
        assert_relative_eq!(1e3 * pressures.value_at(*x), pressure_pa, max_relative = HALF_UNIT);
        assert_relative_eq!(1e-3 * times.value_at(*y), t50_s, max_relative = HALF_UNIT);
    }
    let allowed = outlines(&svg, "polyline", "stroke-dasharray", "9 3 2 3");
    assert_relative_eq!(times.value_at(allowed[0][0][1]), 100.0, max_relative = HALF_UNIT);
    assert_says(&svg, &["beyond here it does not speak", "tip gap 0.10 mm", "tip gap 0.25 mm", "time allowed 100 ms"]);
    assert_says(&response_chart("high").picture().to_svg(), &["This reed speaks soonest"]);
}

#[test]
fn maps_name_their_levels_their_holes_and_the_reed() {
    let svg = map_of(21, 21, speaking_time_ms).picture().to_svg();
    assert_says(&svg, &["this reed: 38 ms", "does not\nspeak\n", "tip gap (mm)", "clearance (mm)", "21 × 21 points"]);
    let own = circles(&svg, "7.5")[0];
    assert_relative_eq!(Axis::level(&svg, false).value_at(own[0]), 0.27, max_relative = 2e-3);
    assert_relative_eq!(Axis::upright(&svg, false).value_at(own[1]), 0.027, max_relative = 2e-3);
    assert_says(&map_of(21, 21, |_, _| Some(42.0)).picture().to_svg(), &["everywhere 42 ms"]);
    assert_says(&map_of(5, 4, |_, _| None).picture().to_svg(), &["Everywhere: does not speak"]);
    assert_says(&map_of(1, 4, speaking_time_ms).picture().to_svg(), &["two values or more along each axis"]);
    let mut far = map_of(5, 4, speaking_time_ms);
    far.own.as_mut().unwrap().y = 1.0;
    assert_says(&far.picture().to_svg(), &["This reed lies outside the map."]);
}

#[test]
fn a_line_of_a_map_lies_where_the_field_has_its_value() {
    // A plane is drawn without error: 100 x + 20 y over the unit square.
    let svg = map_of(5, 4, |x, y| Some(100.0 * x + 20.0 * y)).picture().to_svg();
    let (x_axis, y_axis) = (Axis::level(&svg, false), Axis::upright(&svg, false));
    let lines = outlines(&svg, "polyline", "stroke-width", "0.9");
    assert_eq!(lines.len(), 5, "at 20, 40, 60, 80, 100");
    for (line, level) in lines.iter().zip([20.0, 40.0, 60.0, 80.0, 100.0]) {
        for [x, y] in line {
            let (x, y) = ((x_axis.value_at(*x) - 0.05) / 0.55, (y_axis.value_at(*y) - 0.01) / 0.07);
            assert_relative_eq!(100.0 * x + 20.0 * y, level, epsilon = 0.05);
        }
    }
}

#[test]
fn the_order_in_which_a_map_is_given_does_not_matter() {
    let chart = map_of(5, 4, speaking_time_ms);
    let mut turned = chart.clone();
    turned.x.values.reverse();
    turned.values.iter_mut().for_each(|row| row.reverse());
    turned.y.values.reverse();
    turned.values.reverse();
    assert_eq!(turned.picture().to_svg(), chart.picture().to_svg());
}

#[test]
fn pitch_is_told_in_cents_hertz_and_notes() {
    let chart = pitch_curve("demo");
    let svg = chart.picture().to_svg();
    // A4 = 442 Hz puts B4 at 496.126 Hz: two semitones up.
    assert_says(
        &svg,
        &[
            "plucked pitch 496.1 Hz, B4 0",
            "A4 = 442.0 Hz",
            "cents from the plucked pitch",
            "onset",
            "484.8 Hz\n",
            "B4 −40\n",
        ],
    );
    let (cents, pressures) = (Axis::upright(&svg, false), Axis::level(&svg, true));
    let strong = outlines(&svg, "polyline", "stroke-width", "2.8");
    let longest = strong.iter().max_by_key(|line| line.len()).unwrap();
    let [x, y] = longest[longest.len() / 2];
    let nearest = |point: &&freereed::chart::PitchPoint| (point.pressure_pa / 1e3 - pressures.value_at(x)).abs();
    let point = chart.points.iter().min_by(|a, b| nearest(a).total_cmp(&nearest(b))).unwrap();
    let expected = 1200.0 * (point.frequency_hz.unwrap() / chart.plucked_hz).log2();
    assert_relative_eq!(cents.value_at(y), expected, epsilon = 0.1);
    assert!(!outlines(&svg, "polyline", "stroke-dasharray", "4 3").is_empty(), "the unstable part is dashed");
    assert!(outlines(&pitch_curve("high").picture().to_svg(), "polyline", "stroke-dasharray", "4 3").is_empty());
}

#[test]
fn level_shows_both_ends_and_the_dynamic_range() {
    let chart = level_chart("demo");
    let svg = chart.picture().to_svg();
    let (levels, pressures) = (Axis::upright(&svg, false), Axis::level(&svg, true));
    let (lowest, highest) = (chart.lowest.unwrap(), chart.highest.unwrap());
    for ([x, y], end) in circles(&svg, "4.6").iter().zip([&lowest, &highest]) {
        assert_relative_eq!(1e3 * pressures.value_at(*x), end.pressure_pa, max_relative = HALF_UNIT);
        assert_relative_eq!(levels.value_at(*y), end.level_db.unwrap(), epsilon = 0.15);
    }
    let range = format!("{:.1} dB\n", highest.level_db.unwrap() - lowest.level_db.unwrap());
    assert_says(
        &svg,
        &[&range, "dynamic range", "too slow below", "too slow above", "keeps sounding up to 11 kPa", "choke 2.6 kPa"],
    );
}

#[test]
fn bars_of_a_change_end_at_their_pressures() {
    let chart = change_chart("demo");
    let svg = chart.picture().to_svg();
    let pressures = Axis::level(&svg, true);
    let bars = outlines(&svg, "polygon", "fill", BLUE);
    let playable = chart.states[1..].iter().filter_map(|state| match state.window {
        Window::Sounds { playable, .. } => playable,
        _ => None,
    });
    let playable: Vec<Playable> = playable.collect();
    assert_eq!(bars.len(), playable.len());
    for (bar, playable) in bars.iter().zip(&playable) {
        assert_relative_eq!(1e3 * pressures.value_at(bar[0][0]), playable.lowest_pa, max_relative = HALF_UNIT);
        assert_relative_eq!(
            1e3 * pressures.value_at(bar[2][0]),
            playable.highest_pa.unwrap(),
            max_relative = HALF_UNIT
        );
    }
}

#[test]
fn what_cannot_be_drawn_of_a_change_is_said() {
    let strange: Vec<_> = strange().into_iter().filter(|(name, _)| *name == "change-words").collect();
    assert_says(&strange[0].1, &["never sounds\n", "not known\n", "too slow at any pressure\n", "no end found\n"]);
}

#[test]
fn small_print_and_values_without_a_place_are_kept() {
    for svg in computed() {
        assert_says(&svg, &["Invented values. Assumed: breath"]);
    }
    let mut chart = change_chart("demo");
    let bad = Window::Sounds { onset_pa: f64::NAN, choke_pa: None, playable: None };
    chart.states.push(ChangeState { label: "bad".into(), window: bad });
    assert_says(&chart.picture().to_svg(), &["not known"]);
}

fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![any::<f64>(), -50.0..50.0f64, 1e-3..1e4f64]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 100, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_values_make_a_document(
        numbers in proptest::collection::vec(any_number(), 1..40),
        holes in proptest::collection::vec(any::<bool>(), 1..9),
        words in any::<String>(),
    ) {
        let mut turn = 0;
        let mut any = || { turn += 1; numbers[turn % numbers.len()] };
        let mut gap = gap_chart("demo");
        for point in gap.curves.iter_mut().flat_map(|curve| &mut curve.points) {
            point.gap_m = any();
            let playable = Some(Playable { lowest_pa: any(), highest_pa: Some(any()) });
            point.window = Window::Sounds { onset_pa: any(), choke_pa: Some(any()), playable };
        }
        gap.pressure_limit_pa = any();
        gap.own.as_mut().unwrap().gap_m = any();
        check(&gap.picture().to_svg());
        let mut response = response_chart("demo");
        response.allowed_s = Some(any());
        for point in response.curves.iter_mut().flat_map(|curve| &mut curve.points) {
            (point.pressure_pa, point.speech) = (any(), Speech::Speaks { t50_s: any() });
        }
        response.curves[0].label = words.clone();
        check(&response.picture().to_svg());
        let mut pitch = pitch_curve("demo");
        (pitch.plucked_hz, pitch.a4_hz, pitch.onset_pa) = (any(), any(), Some(any()));
        pitch.points.iter_mut().for_each(|point| point.frequency_hz = Some(any()));
        check(&pitch.picture().to_svg());
        let mut level = level_chart("demo");
        level.points.iter_mut().for_each(|point| (point.pressure_pa, point.level_db) = (any(), Some(any())));
        (level.onset_pa, level.keeps_to_pa) = (Some(any()), Some(any()));
        level.lowest.as_mut().unwrap().level_db = Some(any());
        level.highest.as_mut().unwrap().reason = words.clone();
        check(&level.picture().to_svg());
        let mut map = map_of(5, 4, |_, _| None);
        for (k, value) in map.values.iter_mut().flatten().enumerate() {
            *value = holes[k % holes.len()].then_some(any());
        }
        map.x.values.iter_mut().for_each(|value| *value = any());
        (map.x.is_log, map.missing, map.unit) = (holes[0], words.clone(), words.clone());
        map.own.as_mut().unwrap().value = Some(any());
        check(&map.picture().to_svg());
        let mut change = change_chart("demo");
        change.states[1].label = words.clone();
        (change.pressure_limit_pa, change.small_print) = (any(), words);
        check(&change.picture().to_svg());
    }
}
