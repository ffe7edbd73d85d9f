//! The charts of one reed, for quite different reeds: valid, legible, with units, and what they say.

use std::path::Path;
use std::sync::LazyLock;

use crate::support::layout::*;
use crate::support::one_reed::*;
use freereed::chart::{Ending, TongueStation};
use freereed::physics::coefficients::MODEL_VERSION;
use freereed::print::charts::filing_chart;
use freereed::sheet::Tuning;
use proptest::prelude::*;
use roxmltree::Document;

/// Every chart of every reed, by the name of the reed; the last reed again with a long name.
static CHARTS: LazyLock<Vec<(String, String)>> = LazyLock::new(|| {
    let mut all = Vec::new();
    for (reed, text) in REEDS {
        let charts = charts_of(&format!("{reed}, invented"), text);
        all.extend(charts.into_iter().map(|(chart, svg)| (format!("{chart}-{reed}"), svg)));
    }
    let charts = charts_of(LONG_NAME, REEDS[3].1);
    all.extend(charts.into_iter().map(|(chart, svg)| (format!("{chart}-long"), svg)));
    all
});

fn chart(name: &str) -> &'static str {
    &CHARTS.iter().find(|(other, _)| other == name).unwrap().1
}

fn words(svg: &str) -> String {
    texts(&Document::parse(svg).unwrap()).into_iter().map(|(words, _)| words + "\n").collect()
}

#[track_caller]
fn assert_says(svg: &str, expected: &[&str]) {
    let words = words(svg);
    for line in expected {
        assert!(words.contains(line), "{line:?} is not in\n{words}");
    }
}

fn invented() -> [(&'static str, String); 5] {
    [
        ("bench", invented_bench().picture().to_svg()),
        ("modes", invented_modes().picture().to_svg()),
        ("filing", invented_filing().picture().to_svg()),
        ("attack", invented_attack().picture().to_svg()),
        ("spectrum", invented_spectrum().picture().to_svg()),
    ]
}

/// Each is left in `target/tmp/one_reed`, to be looked at.
#[test]
fn every_chart_is_legible_and_short() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("one_reed");
    std::fs::create_dir_all(&folder).unwrap();
    for (name, svg) in CHARTS.iter() {
        println!("{name}");
        std::fs::write(folder.join(format!("{name}.svg")), svg).unwrap();
        let document = Document::parse(svg).unwrap();
        assert_text_is_inside(&document);
        assert_no_texts_overlap(&document);
        assert!(!svg.contains("NaN") && !svg.contains("inf"));
        assert!(svg.len() < 150_000, "{} bytes", svg.len());
        assert_says(svg, &[&format!("Model {MODEL_VERSION}.")]);
    }
}

#[test]
fn axes_carry_their_units() {
    for reed in REEDS.map(|(name, _)| name) {
        assert_says(chart(&format!("modes-{reed}")), &["(mm)", "Hz"]);
        assert_says(chart(&format!("filing-{reed}")), &["(mm)", "change of pitch (cents) for each 0.001 mm"]);
        assert_says(chart(&format!("attack-{reed}")), &["plate (mm)", "blow (ms)", "(m/s)", "mouth ("]);
        assert_says(chart(&format!("spectrum-{reed}")), &["frequency (Hz", "(dB re 20 µPa)"]);
    }
}

#[test]
fn the_bench_view_states_its_sizes_and_scales() {
    assert_says(
        chart("bench-weighted"),
        &[
            "length 19.0 mm",
            "0.420 mm",
            "left clearance 0.055 mm",
            "(0.030 mm to 0.055 mm)",
            "right clearance 0.020 mm",
            "tip clearance 0.030 mm",
            "weight on the tip, 6.00 mg",
            "heights and thicknesses 6 ×",
            "clearances 30 ×",
            "rivet pad",
            "slot",
        ],
    );
    assert_says(chart("bench-sunk"), &["its tip 0.060 mm deep in the slot", "−0.060 mm"]);
    let mut wide = invented_bench();
    wide.tip_width_m = 2.12e-3;
    wide.tongue.iter_mut().for_each(|station| station.underside_m -= 0.5e-3);
    wide.left.at_tip_m = 0.022e-3;
    wide.right.at_tip_m = 0.022e-3;
    wide.right.range_m.1 = 0.09e-3;
    let svg = wide.picture().to_svg();
    assert_text_is_inside(&Document::parse(&svg).unwrap());
    assert_no_texts_overlap(&Document::parse(&svg).unwrap());
    let mut thick = invented_bench();
    thick.plate_m = 20e-3;
    thick.tongue.iter_mut().for_each(|station| station.thickness_m = 0.05e-3);
    assert_says(&thick.picture().to_svg(), &["(cut short)", "the plate cut short"]);
}

#[test]
fn the_demo_s_second_mode_and_neutral_place() {
    // A uniform tongue: 6.267 times the first, at rest at 0.783 of the length (Blevins, table 8-1, from memory).
    assert_says(chart("modes-demo"), &["6.27 × the first", "(0.783 of the length)", "496.1 Hz", "B4 −0.1 cents"]);
    assert_says(chart("filing-demo"), &["filing here lowers the pitch", "filing here raises the pitch", "(0.58 of"]);
}

#[test]
fn filing_a_millimetre_does_what_the_chart_says() {
    let (checked, model) = solved(REEDS[3].1);
    let beam = &model.reed().beam;
    let chart = filing_chart("a reed", &checked, &model, &Tuning::default());
    for place_m in [3e-3, 10e-3, 16e-3] {
        let filed = beam.filed(place_m - 0.5e-3, place_m + 0.5e-3, 1e-6).modes(1)[0].frequency_hz;
        let exact = 1200.0 * (filed / beam.modes(1)[0].frequency_hz).log2();
        let after = chart.sensitivity.iter().position(|point| point.0 >= place_m).unwrap();
        let ((s0, y0), (s1, y1)) = (chart.sensitivity[after - 1], chart.sensitivity[after]);
        let shown = y0 + (y1 - y0) * (place_m - s0) / (s1 - s0);
        // A micrometre is a hundredth of the thickness, and what is left out some twice that.
        assert!((shown / exact - 1.0).abs() < 0.025, "{shown}, {exact}");
    }
}

#[test]
fn an_attack_says_what_came_of_it() {
    assert_says(chart("attack-demo"), &["Speaks: half its final speed after", "t50 = ", "t90 = ", "the last swings"]);
    assert_says(chart("attack-sunk"), &["Does not speak at this pressure"]);
    assert_says(chart("soft-demo"), &["Has not spoken in 80.0 ms"]);
    assert_says(chart("soft-weighted"), &["Has not spoken in 80.0 ms"]);
    assert_says(chart("short-harmonium"), &["Has not spoken in"]);
    let mut stiff = invented_attack();
    stiff.ending = Ending::TooStiff;
    assert_says(&stiff.picture().to_svg(), &["Given up after 400 ms"]);
    assert!(!words(chart("soft-demo")).contains("t50"));
}

#[test]
fn a_long_run_becomes_a_band() {
    let mut long = invented_attack();
    long.tip = wave(12_000, 2.7e-3, 0.3e-3, 0.2e-3);
    let svg = long.picture().to_svg();
    assert!(svg.len() < 60_000, "{} bytes", svg.len());
    let document = Document::parse(&svg).unwrap();
    let edge = document.descendants().filter(|node| node.has_tag_name("polygon")).map(|node| node.attribute("points"));
    let heights: Vec<f64> = edge
        .flatten()
        .max_by_key(|points| points.len())
        .unwrap()
        .split(' ')
        .map(|point| point.split_once(',').unwrap().1.parse().unwrap())
        .collect();
    // Every swing is the same: so is the band, but for its first column.
    let half = heights.len() / 2;
    assert!(heights[2..half].windows(2).all(|pair| (pair[0] - pair[1]).abs() < 0.02));
}

#[test]
fn a_spectrum_names_harmonics_and_levels() {
    assert_says(chart("spectrum-demo"), &["1: 488.9 Hz, B4 −", "dBA) at 1 m", "all: ", "A-weighted: "]);
    assert_says(chart("spectrum-sunk"), &["No sound at 300 Pa", "The reed does not sound."]);
    let mut deep = invented_spectrum();
    deep.harmonics[5].level_db = -40.0;
    assert_says(&deep.picture().to_svg(), &["1 harmonic more than 70 dB below the strongest is not drawn."]);
}

#[test]
fn names_are_escaped() {
    let mut reed = invented_bench();
    reed.reed_name = "<&>\"'\u{1}".into();
    assert_says(&reed.picture().to_svg(), &["<&>\"'\u{fffd}"]);
}

#[test]
fn a_chart_of_each_kind_is_as_it_was() {
    for (name, svg) in invented() {
        insta::assert_snapshot!(format!("chart_one_reed_{name}"), svg);
    }
}

fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![any::<f64>(), -50.0..50.0f64, 1e-5..1e-2f64]
}

fn any_pairs() -> impl Strategy<Value = Vec<(f64, f64)>> {
    proptest::collection::vec((any_number(), any_number()), 0..30)
}

/// A document with finite coordinates.
fn check(svg: &str) {
    Document::parse(svg).unwrap();
    let coordinates = svg.split('"').skip(1).step_by(2);
    assert!(coordinates.clone().all(|value| !value.contains("NaN") && !value.contains("inf")));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_values_make_a_document(
        pairs in proptest::collection::vec(any_pairs(), 4),
        numbers in proptest::collection::vec(any_number(), 12),
        name in any::<String>(),
    ) {
        let mut bench = invented_bench();
        bench.reed_name = name;
        bench.tone.frequency_hz = numbers[0];
        bench.tip_width_m = numbers[1].abs();
        bench.left.at_tip_m = numbers[2].abs();
        bench.left.range_m = (numbers[3], numbers[4]);
        bench.tip_clearance_m = numbers[5].abs();
        bench.plate_m = numbers[6].abs();
        bench.tip_mass_kg = numbers[7];
        check(&bench.picture().to_svg());
        let station = |(k, (a, b)): (usize, &(f64, f64))| TongueStation {
            place_m: k as f64 * numbers[8].abs(),
            underside_m: *a,
            thickness_m: b.abs(),
        };
        bench.tongue = pairs[0].iter().enumerate().map(station).collect();
        check(&bench.picture().to_svg());
        let mut modes = invented_modes();
        modes.length_m = numbers[0];
        modes.thickness_m.clone_from(&pairs[0]);
        modes.modes[1].shape.clone_from(&pairs[1]);
        modes.modes[1].nodes_m = numbers.clone();
        modes.modes[0].tone.frequency_hz = numbers[1];
        check(&modes.picture().to_svg());
        let mut filing = invented_filing();
        filing.length_m = numbers[2];
        filing.sensitivity.clone_from(&pairs[2]);
        filing.neutral_m = numbers.clone();
        check(&filing.picture().to_svg());
        let mut attack = invented_attack();
        attack.tip.clone_from(&pairs[0]);
        attack.mouth.clone_from(&pairs[1]);
        attack.envelope.clone_from(&pairs[2]);
        attack.last_swings.clone_from(&pairs[3]);
        (attack.t50_s, attack.t90_s, attack.final_speed_m_s) = (Some(numbers[0]), Some(numbers[1]), Some(numbers[2]));
        (attack.rest_m, attack.run_s, attack.swing_s) = (numbers[3], numbers[4], numbers[5]);
        check(&attack.picture().to_svg());
        let mut spectrum = invented_spectrum();
        for (harmonic, pair) in spectrum.harmonics.iter_mut().zip(&pairs[3]) {
            (harmonic.tone.frequency_hz, harmonic.level_db) = *pair;
        }
        (spectrum.level_db, spectrum.level_dba, spectrum.distance_m) = (numbers[6], numbers[7], numbers[8]);
        check(&spectrum.picture().to_svg());
    }
}
