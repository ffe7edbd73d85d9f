//! The charts of one reed, for quite different reeds: valid, legible, with units, and what they say.

#![cfg(feature = "chart")]

mod chart_support;

use std::path::Path;
use std::sync::LazyLock;

use chart_support::layout::*;
use chart_support::one_reed::*;
use roxmltree::Document;

/// Every chart of every reed, by the name of the reed.
static CHARTS: LazyLock<Vec<(&str, Vec<(&str, String)>)>> =
    LazyLock::new(|| REEDS.iter().map(|(name, text)| (*name, charts_of(&format!("{name}, invented"), text))).collect());

/// Name and document of every chart.
fn all() -> impl Iterator<Item = (String, &'static str)> {
    CHARTS
        .iter()
        .flat_map(|(reed, charts)| charts.iter().map(move |(chart, svg)| (format!("{chart}-{reed}"), svg.as_str())))
}

fn svg(reed: &str, chart: &str) -> &'static str {
    all().find(|(name, _)| *name == format!("{chart}-{reed}")).unwrap().1
}

#[test]
fn pictures_can_be_looked_at() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("one_reed");
    std::fs::create_dir_all(&folder).unwrap();
    for (name, svg) in all() {
        std::fs::write(folder.join(format!("{name}.svg")), svg).unwrap();
    }
}

#[test]
fn every_chart_is_legible() {
    for (name, svg) in all() {
        println!("{name}");
        let document = Document::parse(svg).unwrap();
        assert_text_is_inside(&document);
        assert_no_texts_overlap(&document);
        assert!(!svg.contains("NaN") && !svg.contains("inf"));
        assert!(svg.len() < 150_000, "{} bytes", svg.len());
    }
}
