//! The charts as documents: valid, complete, legible, the same every time.

use crate::support::layout::*;
use crate::support::*;
use freereed::chart::{
    Breath, GapsReed, LevelsReed, PitchChart, PitchReed, Slide, SoftestReed, SpeakingReed, Speech, WindowReed,
};
use roxmltree::Document;

/// The charts of the demo set, with `count` of its reeds.
fn charts(count: usize) -> [String; 6] {
    let [gaps, levels] = [demo_gaps(count).picture().to_svg(), demo_levels(count).picture().to_svg()];
    let softest = demo_softest(count).picture().to_svg();
    [
        demo_pitch(count).picture().to_svg(),
        demo_window(count).picture().to_svg(),
        demo_speaking(count).picture().to_svg(),
        gaps,
        levels,
        softest,
    ]
}

/// The charts of one reed, usual and strange.
fn of_one_reed() -> Vec<String> {
    computed().into_iter().chain(strange().into_iter().map(|(_, svg)| svg)).collect()
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
        for (svg, unit) in charts(count).iter().zip(["cents", "(kPa", "(ms", "(mm", "(dB", "(Pa"]) {
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
    let svgs = [
        gap_chart("demo").picture().to_svg(),
        response_chart("demo").picture().to_svg(),
        pitch_curve("demo").picture().to_svg(),
    ];
    let more = [
        level_chart("demo").picture().to_svg(),
        change_chart("demo").picture().to_svg(),
        computed_map("demo").picture().to_svg(),
    ];
    let units =
        [["(mm)", "(kPa"], ["(kPa", "(ms"], ["(kPa", "cents"], ["(kPa", "(dB"], ["(kPa", ""], ["(mm)", "kPa\n"]];
    for (svg, units) in svgs.iter().chain(&more).zip(units) {
        assert_says(svg, &units);
    }
}

#[test]
fn all_text_is_inside_the_frame() {
    let awful = pitch_chart(solo_tuned(), |k, _| Some(60.0 * noise(k as i32))).picture().to_svg();
    let silent = speaking_chart(solo_tuned(), |_, _| [Speech::Silent; 3]).picture().to_svg();
    let mut wordy = demo_window(48);
    wordy.small_print = format!("{} {}", SMALL_PRINT.repeat(4), "unbroken".repeat(60));
    wordy.set_name = "A set with a very long name ".repeat(9);
    let all = [48, 30, 12, 4, 1, 0].into_iter().flat_map(charts).chain([awful, silent, wordy.picture().to_svg()]);
    let all = all.chain(of_one_reed());
    for svg in all {
        assert_text_is_inside(&Document::parse(&svg).unwrap());
    }
}

#[test]
fn no_two_texts_overlap() {
    let awful = pitch_chart(solo_tuned(), |k, _| Some(60.0 * noise(k as i32))).picture().to_svg();
    for svg in [48, 30, 12, 4, 1].into_iter().flat_map(charts).chain([awful]).chain(of_one_reed()) {
        assert_no_texts_overlap(&Document::parse(&svg).unwrap());
    }
}

#[test]
fn names_of_reeds_do_not_hide_dots() {
    let document = demo_pitch(48).picture().to_svg();
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
    for svg in [pitch.picture().to_svg(), window.picture().to_svg(), speaking.picture().to_svg()] {
        let document = Document::parse(&svg).unwrap();
        assert!(texts(&document).iter().any(|(words, _)| words.starts_with("<&>\"'\u{fffd}")));
    }
}

#[test]
fn the_same_values_give_the_same_bytes_in_any_order() {
    assert_eq!(charts(48), charts(48));
    let turned = |mut chart: PitchChart| {
        chart.reeds.sort_by_key(|reed: &PitchReed| -reed.reed.midi_note);
        chart.picture().to_svg()
    };
    let (mut window, mut speaking, mut gaps) = (demo_window(48), demo_speaking(48), demo_gaps(48));
    let (mut levels, mut softest) = (demo_levels(48), demo_softest(48));
    softest.reeds.sort_by_key(|reed: &SoftestReed| -reed.reed.midi_note);
    levels.reeds.sort_by_key(|reed: &LevelsReed| -reed.reed.midi_note);
    window.reeds.sort_by_key(|reed: &WindowReed| -reed.reed.midi_note);
    speaking.reeds.sort_by_key(|reed: &SpeakingReed| -reed.reed.midi_note);
    gaps.reeds.sort_by_key(|reed: &GapsReed| -reed.reed.midi_note);
    let turned = [
        turned(demo_pitch(48)),
        window.picture().to_svg(),
        speaking.picture().to_svg(),
        gaps.picture().to_svg(),
        levels.picture().to_svg(),
        softest.picture().to_svg(),
    ];
    assert_eq!(turned, charts(48));
}

#[test]
fn a_small_chart_of_each_kind_is_as_it_was() {
    let [pitch, window, speaking, gaps, levels, softest] = charts(3);
    insta::assert_snapshot!("chart_pitch", pitch);
    insta::assert_snapshot!("chart_window", window);
    insta::assert_snapshot!("chart_speaking", speaking);
    insta::assert_snapshot!("chart_gaps", gaps);
    insta::assert_snapshot!("chart_levels", levels);
    insta::assert_snapshot!("chart_softest", softest);
}

#[test]
fn a_chart_of_one_reed_of_each_kind_is_as_it_was() {
    insta::assert_snapshot!("chart_gap", gap_chart("demo").picture().to_svg());
    insta::assert_snapshot!("chart_response", response_chart("demo").picture().to_svg());
    insta::assert_snapshot!("chart_map", map_of(5, 4, speaking_time_ms).picture().to_svg());
    insta::assert_snapshot!("chart_pitch_curve", pitch_curve("demo").picture().to_svg());
    insta::assert_snapshot!("chart_level", level_chart("demo").picture().to_svg());
    insta::assert_snapshot!("chart_change", change_chart("demo").picture().to_svg());
}
