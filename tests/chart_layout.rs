//! The charts as documents: valid, complete, legible, the same every time.

#![cfg(feature = "chart")]

mod chart_support;

use chart_support::*;
use freereed::chart::{Breath, PitchChart, PitchReed, Slide, SpeakingReed, Speech, WindowReed};
use roxmltree::Document;

/// About how wide DejaVu Sans, the widest of the fonts asked for, sets a text of one unit's size.
fn width_em(words: &str) -> f64 {
    words.chars().map(|c| if " ijlt.,:;'-".contains(c) { 0.34 } else { 0.6 }).sum()
}

/// The three charts of the demo set, with `count` of its reeds.
fn charts(count: usize) -> [String; 3] {
    [demo_pitch(count).to_svg(), demo_window(count).to_svg(), demo_speaking(count).to_svg()]
}

/// The charts of one reed, usual and strange.
fn of_one_reed() -> Vec<String> {
    computed().into_iter().chain(strange().into_iter().map(|(_, svg)| svg)).collect()
}

/// Words and the box [left, top, right, bottom] they fill, by estimated width.
fn texts(document: &Document<'_>) -> Vec<(String, [f64; 4])> {
    document
        .descendants()
        .filter(|node| node.has_tag_name("text"))
        .map(|node| {
            let words = node.text().unwrap_or_default().to_owned();
            let (x, y, size) = (number(node, "x"), number(node, "y"), number(node, "font-size"));
            let wide = size * width_em(&words);
            let before = match node.attribute("text-anchor") {
                None => 0.0,
                Some("middle") => wide / 2.0,
                Some("end") => wide,
                other => panic!("anchor {other:?}"),
            };
            let (up, down) = (0.75 * size, 0.2 * size);
            let area = match node.attribute("transform") {
                None => [x - before, y - up, x - before + wide, y + down],
                Some(turn) if turn.starts_with("rotate(-90") => [x - up, y + before - wide, x + down, y + before],
                Some(turn) if turn.starts_with("rotate(-45") => {
                    let reach = wide * std::f64::consts::FRAC_1_SQRT_2;
                    [x - up, y - reach - up, x + reach, y + down]
                }
                other => panic!("transform {other:?}"),
            };
            (words, area)
        })
        .collect()
}

fn overlap(a: &[f64; 4], b: &[f64; 4]) -> bool {
    a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]
}

fn frame(document: &Document<'_>) -> [f64; 2] {
    let view: Vec<f64> =
        document.root_element().attribute("viewBox").unwrap().split(' ').map(|part| part.parse().unwrap()).collect();
    assert_eq!(view[..2], [0.0, 0.0]);
    [view[2], view[3]]
}

#[test]
fn every_chart_is_a_named_and_described_image() {
    for svg in [48, 4, 1, 0].into_iter().flat_map(charts).chain(of_one_reed()) {
        let document = Document::parse(&svg).unwrap();
        let root = document.root_element();
        assert_eq!(root.attribute("role"), Some("img"));
        assert!(root.attribute("width").is_none(), "scales with the page");
        let said = |tag| root.children().find(|node| node.has_tag_name(tag)).and_then(|node| node.text()).unwrap();
        assert!(said("title").len() > 10 && said("desc").len() > 40);
        assert!(root.attribute("font-family").unwrap().ends_with("sans-serif"));
        assert!(!svg.contains("NaN") && !svg.contains("inf\"") && !svg.contains("inf,"));
    }
}

#[test]
fn axes_carry_their_units() {
    for count in [48, 0] {
        for (svg, unit) in charts(count).iter().zip(["cents", "(kPa", "(ms"]) {
            let document = Document::parse(svg).unwrap();
            let upright = document
                .descendants()
                .find(|node| node.attribute("transform").is_some_and(|turn| turn.starts_with("rotate(-90")));
            assert!(upright.unwrap().text().unwrap().contains(unit));
        }
    }
}

#[test]
fn axes_of_one_reed_carry_their_units() {
    let svgs = [gap_chart("demo").to_svg(), response_chart("demo").to_svg(), pitch_curve("demo").to_svg()];
    let more = [level_chart("demo").to_svg(), change_chart("demo").to_svg(), computed_map("demo").to_svg()];
    let units =
        [["(mm)", "(kPa"], ["(kPa", "(ms"], ["(kPa", "cents"], ["(kPa", "(dB"], ["(kPa", ""], ["(mm)", "kPa\n"]];
    for (svg, units) in svgs.iter().chain(&more).zip(units) {
        assert_says(svg, &units);
    }
}

#[test]
fn all_text_is_inside_the_frame() {
    let awful = pitch_chart(solo_tuned(), |k, _| Some(60.0 * noise(k as i32))).to_svg();
    let silent = speaking_chart(solo_tuned(), |_, _| [Speech::Silent; 3]).to_svg();
    let mut wordy = demo_window(48);
    wordy.small_print = format!("{} {}", SMALL_PRINT.repeat(4), "unbroken".repeat(60));
    wordy.set_name = "A set with a very long name ".repeat(9);
    let all = [48, 30, 12, 4, 1, 0].into_iter().flat_map(charts).chain([awful, silent, wordy.to_svg()]);
    let all = all.chain(of_one_reed());
    for svg in all {
        let document = Document::parse(&svg).unwrap();
        let [width, height] = frame(&document);
        for (words, [left, top, right, bottom]) in texts(&document) {
            assert!(left >= 4.0 && top >= 4.0 && right <= width - 4.0 && bottom <= height - 4.0, "{words}");
        }
    }
}

#[test]
fn no_two_texts_overlap() {
    let awful = pitch_chart(solo_tuned(), |k, _| Some(60.0 * noise(k as i32))).to_svg();
    for svg in [48, 30, 12, 4, 1].into_iter().flat_map(charts).chain([awful]).chain(of_one_reed()) {
        let document = Document::parse(&svg).unwrap();
        let texts = texts(&document);
        for (k, (words, area)) in texts.iter().enumerate() {
            for (others, other) in &texts[k + 1..] {
                assert!(!overlap(area, other), "{words:?} lies on {others:?}");
            }
        }
    }
}

#[test]
fn names_of_reeds_do_not_hide_dots() {
    let document = demo_pitch(48).to_svg();
    let document = Document::parse(&document).unwrap();
    let texts = texts(&document);
    for dot in document.descendants().filter(|node| node.has_tag_name("circle")) {
        let (x, y, r) = (number(dot, "cx"), number(dot, "cy"), number(dot, "r"));
        for (words, area) in &texts {
            assert!(!overlap(area, &[x - r, y - r, x + r, y + r]), "{words}");
        }
    }
}

#[test]
fn names_are_escaped() {
    let mut reed = label(1, Breath::Blow, Slide::Out, 60);
    reed.id = "<&>\"'\u{1}".into();
    reed.note = "<b>".into();
    let pitch = pitch_chart(vec![reed.clone()], |_, _| Some(40.0));
    let window = window_chart(vec![reed.clone()], |_, _| freereed::chart::Window::Silent);
    let speaking = speaking_chart(vec![reed], |_, _| [Speech::Silent; 3]);
    for svg in [pitch.to_svg(), window.to_svg(), speaking.to_svg()] {
        let document = Document::parse(&svg).unwrap();
        assert!(texts(&document).iter().any(|(words, _)| words.starts_with("<&>\"'\u{fffd}")));
    }
}

#[test]
fn the_same_values_give_the_same_bytes_in_any_order() {
    assert_eq!(charts(48), charts(48));
    let turned = |mut chart: PitchChart| {
        chart.reeds.sort_by_key(|reed: &PitchReed| -reed.reed.midi_note);
        chart.to_svg()
    };
    let (mut window, mut speaking) = (demo_window(48), demo_speaking(48));
    window.reeds.sort_by_key(|reed: &WindowReed| -reed.reed.midi_note);
    speaking.reeds.sort_by_key(|reed: &SpeakingReed| -reed.reed.midi_note);
    assert_eq!([turned(demo_pitch(48)), window.to_svg(), speaking.to_svg()], charts(48));
}

#[test]
fn a_small_chart_of_each_kind_is_as_it_was() {
    let [pitch, window, speaking] = charts(3);
    insta::assert_snapshot!("chart_pitch", pitch);
    insta::assert_snapshot!("chart_window", window);
    insta::assert_snapshot!("chart_speaking", speaking);
}

#[test]
fn a_chart_of_one_reed_of_each_kind_is_as_it_was() {
    insta::assert_snapshot!("chart_gap", gap_chart("demo").to_svg());
    insta::assert_snapshot!("chart_response", response_chart("demo").to_svg());
    insta::assert_snapshot!("chart_map", map_of(5, 4, speaking_time_ms).to_svg());
    insta::assert_snapshot!("chart_pitch_curve", pitch_curve("demo").to_svg());
    insta::assert_snapshot!("chart_level", level_chart("demo").to_svg());
    insta::assert_snapshot!("chart_change", change_chart("demo").to_svg());
}
