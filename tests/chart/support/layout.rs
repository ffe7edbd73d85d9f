//! Where the words of a chart stand, by estimate.

use roxmltree::Document;

use super::reading::number;

/// About how wide DejaVu Sans, the widest of the fonts asked for, sets a text of one unit's size.
pub fn width_em(words: &str) -> f64 {
    words.chars().map(|c| if " ijlt.,:;'-".contains(c) { 0.34 } else { 0.6 }).sum()
}

/// Words and the box [left, top, right, bottom] they fill, by estimated width.
pub fn texts(document: &Document<'_>) -> Vec<(String, [f64; 4])> {
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

pub fn overlap(a: &[f64; 4], b: &[f64; 4]) -> bool {
    a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]
}

pub fn frame(document: &Document<'_>) -> [f64; 2] {
    let view: Vec<f64> =
        document.root_element().attribute("viewBox").unwrap().split(' ').map(|part| part.parse().unwrap()).collect();
    assert_eq!(view[..2], [0.0, 0.0]);
    [view[2], view[3]]
}

#[track_caller]
pub fn assert_text_is_inside(document: &Document<'_>) {
    let [width, height] = frame(document);
    for (words, [left, top, right, bottom]) in texts(document) {
        assert!(left >= 4.0 && top >= 4.0 && right <= width - 4.0 && bottom <= height - 4.0, "{words}");
    }
}

#[track_caller]
pub fn assert_no_texts_overlap(document: &Document<'_>) {
    let texts = texts(document);
    for (k, (words, area)) in texts.iter().enumerate() {
        for (others, other) in &texts[k + 1..] {
            assert!(!overlap(area, other), "{words:?} lies on {others:?}");
        }
    }
}
