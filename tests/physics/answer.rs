//! Questions by name: stress limits, measured swings, uncertainty.

use freereed::answer::{Comparing, Conditions, Doubt, Quantity, Solved, SwingScale, swing_scale};
use freereed::physics::ReedModel;
use freereed::physics::attack::{Blow, Stop};
use freereed::physics::onset::Search;
use freereed::physics::playable::{Demand, Edge};
use freereed::sheet::{CheckedReed, ReedFile};

const REED: &str = "[reed]
length_mm = 12.5
width_mm = 2.1
thickness_mm = 0.14
quality_factor = 60
tip_gap_mm = 0.25
[slot]
side_clearance_mm = 0.03
[chamber]
volume_mm3 = 500
channel_length_mm = 20
channel_area_mm2 = 20
";

fn reed(more: &str) -> CheckedReed {
    ReedFile::parse("reed.toml", &REED.replace("tip_gap_mm", &format!("{more}\ntip_gap_mm"))).unwrap()
}

#[test]
fn a_stress_limit_ends_the_window_where_the_steady_swing_reaches_it() {
    let model = ReedModel::new(reed("").reed).unwrap();
    let speaking = model.speaking(&Search::default());
    let free = Demand { rise_s: 10e-3, allowed_s: 0.25, stress_limit_pa: None };
    let window = model.playable(&speaking, free).unwrap();
    let stress = |pressure: f64| model.attack(&Blow::to(pressure), Stop::WhenSteady).steady.unwrap().stress_pa;
    let (least, most) = (stress(window.low.pressure_pa), stress(window.high.pressure_pa));
    assert!(most > 1.5 * least);
    let limit = 0.5 * (least + most);
    let limited = model.playable(&speaking, Demand { stress_limit_pa: Some(limit), ..free }).unwrap();
    assert_eq!((limited.low, limited.high.edge), (window.low, Edge::OverStressed));
    // The end is found to 0.2 %.
    assert!(stress(limited.high.pressure_pa) <= limit && stress(1.005 * limited.high.pressure_pa) > limit);
    let unlimited = model.playable(&speaking, Demand { stress_limit_pa: Some(2.0 * most), ..free }).unwrap();
    assert_eq!(unlimited.high, window.high);
    assert_eq!(model.playable(&speaking, Demand { stress_limit_pa: Some(0.5 * least), ..free }), None);
}

/// The measured swing itself comes out at the pressure of its measurement; stress follows, level by twenty times the
/// logarithm, pitch not at all.
#[test]
fn a_measured_swing_is_met_and_taken_along() {
    let plain = reed("");
    let mut measured = reed("measured_swing_mm = 0.9\nmeasured_at_pa = 700");
    let model = ReedModel::new(plain.reed.clone()).unwrap();
    let factor = swing_scale(&model, &mut measured);
    let of = [Quantity::Swing, Quantity::Stress, Quantity::Level, Quantity::Sounding, Quantity::HalfTime];
    let at = |pressure_pa: f64, scale: f64| {
        let conditions = Conditions { pressure_pa, ..Conditions::default() };
        let solved = Solved::of(&plain.reed, &of, &conditions, scale).unwrap();
        of.map(|quantity| solved.answer(quantity).value.unwrap())
    };
    let ([swing, stress, level, pitch, time], free) = (at(700.0, factor), at(700.0, 1.0));
    assert!((swing - 0.9e-3).abs() < 1e-9, "{swing}");
    assert!((stress / free[1] - factor).abs() < 1e-9);
    assert!((level - free[2] - 20.0 * factor.log10()).abs() < 1e-9);
    assert_eq!((pitch, time), (free[3], free[4]));
    // The same factor at every pressure.
    assert!((at(1500.0, factor)[0] / at(1500.0, 1.0)[0] - factor).abs() < 1e-9);
}

#[test]
fn a_swing_measured_where_the_model_is_silent_is_told() {
    let mut silent = reed("measured_swing_mm = 0.9\nmeasured_at_pa = 5");
    let model = ReedModel::new(silent.reed.clone()).unwrap();
    let error = SwingScale::of(&silent, &model).unwrap_err();
    assert!(error.to_string().contains("does not sound at 5 Pa"), "{error}");
    assert_eq!(swing_scale(&model, &mut silent), 1.0);
    assert!(silent.notes.iter().any(|note| note.contains("measured_swing_mm cannot be used")));
}

/// For one input that is off, the uncertainty of the difference is the change of the difference itself; where it may be off
/// either way, the larger of the two.
#[test]
fn the_uncertainty_of_a_difference_is_what_its_inputs_make_of_it() {
    let reed = reed("");
    let changes = [("tip_gap_mm".to_owned(), "0.35".to_owned())];
    let of = [Quantity::Onset];
    let comparing =
        Comparing { reed: &reed, changes: &changes, of: &of, conditions: Conditions::default(), swing_scale: 1.0 };
    let comparison = comparing.run(&|| {}).unwrap();
    let onset = |reed: &CheckedReed| {
        let model = ReedModel::new(reed.reed.clone()).unwrap();
        model.speaking(&Search::default()).onset.unwrap().pressure_pa
    };
    let wider = |reed: &CheckedReed| reed.with("tip_gap_mm", 0.35).unwrap();
    let difference = onset(&wider(&reed)) - onset(&reed);
    assert_eq!(comparison.lines[0].difference(), Some(difference));
    let mut square = 0.0;
    for doubt in Doubt::all(&reed) {
        let name = doubt.key.full_name();
        if name == "reed.tip_gap_mm" {
            // Set by a feeler before and after, each time anew.
            let before = onset(&reed.with(&name, 0.27).unwrap()) - onset(&reed);
            let after = onset(&reed.with(&name, 0.37).unwrap()) - onset(&wider(&reed));
            square += before * before + after * after;
            continue;
        }
        let change = |&value: &f64| {
            let off = reed.spec.with(&name, value).checked().unwrap();
            (onset(&wider(&off)) - onset(&off) - difference).abs()
        };
        square += doubt.values.iter().map(change).fold(0.0, f64::max).powi(2);
    }
    let uncertainty = comparison.lines[0].uncertainty.unwrap();
    assert!((uncertainty / square.sqrt() - 1.0).abs() < 1e-9, "{uncertainty} and {}", square.sqrt());
}

#[test]
fn what_may_be_off_is_what_was_measured_or_assumed() {
    let names = |reed: &CheckedReed| Doubt::all(reed).iter().map(|doubt| doubt.key.name).collect::<Vec<_>>();
    let typed = names(&reed(""));
    for name in ["length_mm", "width_mm", "thickness_mm", "tip_gap_mm", "side_clearance_mm", "volume_mm3", "leak_mm2"] {
        assert!(typed.contains(&name), "{name} is not in {typed:?}");
    }
    let plucked = reed("measured_pluck_hz = 560");
    assert!(!names(&plucked).contains(&"thickness_mm"), "its scale follows from the pluck");
    let guessed = ReedFile::parse("reed.toml", &REED.replace("quality_factor = 60\n", "")).unwrap();
    let loss = Doubt::all(&guessed).into_iter().find(|doubt| doubt.key.name == "quality_factor").unwrap();
    let times = [2.5_f64.recip(), 2.5].map(|times| times * guessed.reed.quality_factor);
    assert!(
        !loss.measured && loss.values.iter().zip(times).all(|(found, end)| (found / end - 1.0).abs() < 1e-9),
        "{loss:?}"
    );
}
