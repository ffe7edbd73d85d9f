//! Every chart, for sets large and small, healthy and not, is whole and inside its frame. Each is left in
//! `target/tmp/charts`, to be looked at.

use std::path::Path;

use crate::support::layout::*;
use crate::support::*;
use freereed::chart::{Curve, CurvesChart, Picture, Playable, RoundsChart, Speech, Window};
use freereed::instrument::rounds::{Basis, Outcome, Quantity, ReedRound, Spread};
use roxmltree::Document;

/// Name of every picture.
pub fn pictures() -> Vec<(String, Picture)> {
    let mut pictures = Vec::new();
    for count in [200, 48, 12, 4, 1, 0] {
        pictures.push((format!("pitch-{count}"), demo_pitch(count).picture()));
        pictures.push((format!("window-{count}"), demo_window(count).picture()));
        pictures.push((format!("speaking-{count}"), demo_speaking(count).picture()));
    }
    let all = solo_tuned;
    let mut add = |name: &str, picture: Picture| pictures.push((name.to_owned(), picture));
    add("pitch-unknown", pitch_chart(all(), |_, _| None).picture());
    add("pitch-awful", pitch_chart(all(), |k, _| Some(60.0 * noise(k as i32))).picture());
    add("pitch-far", pitch_chart(all(), |k, _| Some(if k % 19 == 7 { -9e5 } else { 4.0 * noise(k as i32) })).picture());
    add("window-unknown", window_chart(all(), |_, _| Window::Unknown).picture());
    add("window-silent", window_chart(all(), |_, _| Window::Silent).picture());
    let narrow = Some(Playable { lowest_pa: 1e-3, highest_pa: Some(2e7) });
    add(
        "window-extreme",
        window_chart(all(), |k, _| Window::Sounds {
            onset_pa: 1e-6,
            choke_pa: None,
            playable: narrow.filter(|_| k % 5 > 0),
        })
        .picture(),
    );
    add("speaking-unknown", speaking_chart(all(), |_, _| [Speech::Unknown; 3]).picture());
    add("speaking-silent", speaking_chart(all(), |_, _| [Speech::Silent; 3]).picture());
    let extreme = |k: usize, _: &_| {
        [1e-9, 1e-3, if k.is_multiple_of(7) { 1e5 } else { 1e-2 }].map(|t50_s| Speech::Speaks { t50_s })
    };
    add("speaking-extreme", speaking_chart(all(), extreme).picture());
    pictures.extend(over_inputs());
    pictures.push(("rounds-none".to_owned(), rounds_of(&[]).picture()));
    pictures.push(("rounds".to_owned(), rounds_of(&invented_rounds()).picture()));
    pictures.extend(one_reed_pictures());
    pictures
}

/// Results over one input: falling, with a least, missing in part, missing all over, none.
fn over_inputs() -> Vec<(String, Picture)> {
    let curve = |name: &str, unit: &str, of: &dyn Fn(f64) -> Option<f64>| Curve {
        name: name.to_owned(),
        unit: unit.to_owned(),
        meaning: format!("an invented {name}"),
        points: (0..40).map(|k| 0.1 + 0.01 * f64::from(k)).map(|x| (x, of(x))).collect(),
    };
    let chart = |own, curves| CurvesChart {
        reed_name: "Invented reed".to_owned(),
        input: ("tip gap".to_owned(), "mm".to_owned()),
        own,
        curves,
        small_print: "Invented values.".to_owned(),
    };
    let falling = curve("shift", "cents", &|x| Some(-30.0 * x));
    let least = curve("onset", "Pa", &|x| Some(40.0 + 900.0 * (x - 0.2).powi(2)));
    let partly = curve("t50", "ms", &|x| (x > 0.3).then_some(90.0 / x));
    let nowhere = curve("choke", "Pa", &|_| None);
    [
        ("curves-one", chart(Some(0.27), vec![falling.clone()])),
        ("curves-four", chart(Some(0.27), vec![least, falling, partly, nowhere.clone()])),
        ("curves-nowhere", chart(None, vec![nowhere])),
        ("curves-none", chart(None, vec![])),
    ]
    .map(|(name, chart)| (name.to_owned(), chart.picture()))
    .into()
}

fn rounds_of(rounds: &[ReedRound]) -> RoundsChart<'_> {
    RoundsChart { set_name: "Invented set".to_owned(), rounds, small_print: "Invented values.".to_owned() }
}

/// Three rounds of many measurements, off by what they may and more.
fn invented_rounds() -> Vec<ReedRound> {
    let outcome = |k: i32| {
        let (quantity, expected) = [
            (Quantity::Pluck, 440.0),
            (Quantity::TipGap, 0.3e-3),
            (Quantity::RingDown, 0.05),
            (Quantity::SoftestBlow, 120.0),
        ][k.rem_euclid(4) as usize];
        let off = 1.6 * noise(k) + if k % 23 == 0 { 5.0 } else { 0.0 } - if k == 31 { 40.0 } else { 0.0 };
        Outcome {
            quantity,
            before: None,
            expected: Some(expected),
            doubt: Some(Spread::OfLogarithm(0.1)),
            basis: if k % 5 == 0 { Basis::Aim } else { Basis::Model },
            measured: expected * (0.1 * off).exp(),
        }
    };
    let row = |k: i32| ReedRound {
        round: format!("2026-03-{:02}", 2 + k / 8),
        id: format!("{}-blow-out", 1 + k % 12),
        operation: None,
        replaced: false,
        minutes: None,
        changed: Vec::new(),
        outcomes: (0..3).map(|j| outcome(3 * k + j)).collect(),
        blank: Vec::new(),
    };
    (0..24).map(row).collect()
}

/// The charts of one reed: computed, and as bare or strange as they may come.
fn one_reed_pictures() -> Vec<(String, Picture)> {
    let mut pictures = Vec::new();
    let mut add = |name: &str, picture: Picture| pictures.push((name.to_owned(), picture));
    for name in REEDS {
        add(&format!("gap-{name}"), gap_chart(name).picture());
        add(&format!("response-{name}"), response_chart(name).picture());
        add(&format!("map-{name}"), computed_map(name).picture());
        add(&format!("pitch-curve-{name}"), pitch_curve(name).picture());
        add(&format!("level-{name}"), level_chart(name).picture());
        add(&format!("change-{name}"), change_chart(name).picture());
    }
    pictures
}

#[test]
fn every_picture_is_whole() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("charts");
    std::fs::create_dir_all(&folder).unwrap();
    let usual = pictures().into_iter().map(|(name, picture)| (name, picture.to_svg()));
    for (name, svg) in usual.chain(strange().into_iter().map(|(name, svg)| (name.to_owned(), svg))) {
        println!("{name}");
        std::fs::write(folder.join(format!("{name}.svg")), &svg).unwrap();
        check(&svg);
        assert_text_is_inside(&Document::parse(&svg).unwrap());
    }
}
