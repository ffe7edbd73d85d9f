//! Charts as PNG: asked size, something on them, and a glyph for every character.

use std::path::Path;

use crate::support::{demo_pitch, demo_speaking, demo_window};
use freereed::chart::png::{PngError, WIDTHS_PX, to_png, without_glyph};
use resvg::tiny_skia::Pixmap;

fn charts() -> [String; 3] {
    [demo_pitch(48).picture().to_svg(), demo_window(48).picture().to_svg(), demo_speaking(48).picture().to_svg()]
}

/// A drawing whose one line of text is `words`.
fn drawing_of(words: &str, weight: &str) -> String {
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 1200 100\" font-family=\"sans-serif\">\
         <text x=\"10\" y=\"50\" font-weight=\"{weight}\">{words}</text></svg>"
    )
}

/// Everything but ASCII that stands in a folder's Rust files.
fn foreign_characters(folder: &Path, found: &mut String) {
    for entry in std::fs::read_dir(folder).unwrap().map(Result::unwrap) {
        if entry.file_type().unwrap().is_dir() {
            foreign_characters(&entry.path(), found);
        } else {
            found.extend(std::fs::read_to_string(entry.path()).unwrap().chars().filter(|c| !c.is_ascii()));
        }
    }
}

#[test]
fn the_picture_has_the_asked_width_and_the_shape_of_the_chart() {
    for svg in charts() {
        let document = roxmltree::Document::parse(&svg).unwrap();
        let view = document.root_element().attribute("viewBox").unwrap();
        let sizes: Vec<f64> = view.split(' ').map(|part| part.parse().unwrap()).collect();
        for width in [300, 1200, 2400] {
            let picture = Pixmap::decode_png(&to_png(&svg, width).unwrap()).unwrap();
            assert_eq!(picture.width(), width);
            let height = sizes[3] * f64::from(width) / sizes[2];
            assert!((f64::from(picture.height()) - height).abs() <= 1.0, "{} for {height}", picture.height());
        }
    }
}

#[test]
fn the_chart_is_on_it() {
    for svg in charts() {
        let picture = Pixmap::decode_png(&to_png(&svg, 1200).unwrap()).unwrap();
        let pixels = picture.pixels();
        assert!(pixels.iter().all(|pixel| pixel.alpha() == 255), "the page is white, not clear");
        let dark = pixels.iter().filter(|pixel| pixel.red() < 128).count() as f64 / pixels.len() as f64;
        assert!((0.005..0.5).contains(&dark), "{dark} of it is dark");
        // The headline: dark pixels near the top, where nothing but bold text stands.
        let top = &pixels[..1200 * 48];
        assert!(top.iter().filter(|pixel| pixel.red() < 64 && pixel.blue() < 64).count() > 300);
    }
}

#[test]
fn every_character_of_the_charts_has_a_glyph() {
    for svg in charts() {
        assert_eq!(without_glyph(&svg).unwrap(), []);
    }
    let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut foreign = String::new();
    for room in ["chart", "print", "instrument", "sheet"] {
        foreign_characters(&source.join(room), &mut foreign);
    }
    assert!(foreign.contains('♯') && foreign.contains('−'));
    for weight in ["normal", "bold"] {
        assert_eq!(without_glyph(&drawing_of(&foreign, weight)).unwrap(), []);
        assert_eq!(without_glyph(&drawing_of("Ångström Dvořák Ελλάδα Москва ≤ ≥ ± × ♭ ♯ → µ", weight)).unwrap(), []);
    }
}

#[test]
fn a_character_without_a_glyph_is_told() {
    assert_eq!(without_glyph(&drawing_of("琴a琴", "normal")).unwrap(), ['琴']);
}

#[test]
fn what_cannot_be_drawn_is_refused() {
    let [svg, ..] = charts();
    for width in [0, WIDTHS_PX.0 - 1, WIDTHS_PX.1 + 1, u32::MAX] {
        assert_eq!(to_png(&svg, width), Err(PngError::Width(width)));
    }
    assert!(matches!(to_png("no drawing", 600), Err(PngError::Drawing(_))));
    let tower = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 1 1000\"/>";
    assert!(matches!(to_png(tower, 600), Err(PngError::Height(600_000))));
}

#[test]
fn the_same_chart_gives_the_same_bytes() {
    let [svg, ..] = charts();
    assert_eq!(to_png(&svg, 600), to_png(&svg, 600));
}
