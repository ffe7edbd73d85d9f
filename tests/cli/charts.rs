//! `freereed charts`: every picture of one reed, whole and in one folder.

use crate::support::cli::{Bench, MUTE, REED};
use freereed::physics::coefficients::MODEL_VERSION;
use roxmltree::Document;

/// Every picture there is, by its file.
const PICTURES: [&str; 11] = [
    "attack.svg",
    "bench.svg",
    "filing.svg",
    "gap.svg",
    "level.svg",
    "map-dynamic-range.svg",
    "map-speaking-time.svg",
    "modes.svg",
    "pitch.svg",
    "speaking-time.svg",
    "spectrum.svg",
];

#[test]
fn every_picture_is_a_document_of_the_reed_s_own_name() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    let said = bench.run(&["charts", "reed.toml", "--out", "pictures"]).code(0).out;
    assert!(said.contains("11 pictures of reed.toml in pictures"), "{said}");
    assert_eq!(bench.names("pictures"), PICTURES);
    for name in PICTURES {
        let svg = bench.read(&format!("pictures/{name}"));
        let document = Document::parse(&svg).unwrap();
        let title = document.descendants().find(|node| node.has_tag_name("title")).and_then(|node| node.text());
        assert!(title.is_some_and(|title| !title.is_empty()), "{name}");
        assert!(svg.contains("reed.toml") && svg.contains(&format!("Model {MODEL_VERSION}.")), "{name}");
    }
}

#[test]
fn a_reed_that_never_speaks_is_drawn_and_the_pictures_say_so() {
    let bench = Bench::with(&[("mute.toml", MUTE)]);
    bench.run(&["charts", "mute.toml", "--out", "pictures"]).code(0);
    assert_eq!(bench.names("pictures"), PICTURES);
    assert!(bench.read("pictures/level.svg").contains("No lasting sound to show"));
    assert!(bench.read("pictures/spectrum.svg").contains("No sound at 500 Pa"));
}

#[test]
fn what_is_not_its_own_is_left_alone() {
    let bench = Bench::with(&[("reed.toml", REED)]);
    std::fs::create_dir(bench.path("full")).unwrap();
    bench.write("full/letter.txt", "to keep");
    bench.run(&["charts", "reed.toml", "--out", "full"]).refused(&["full", "letter.txt"]);
    assert_eq!(bench.names("full"), ["letter.txt"]);
    bench.run(&["charts", "none.toml", "--out", "new"]).refused(&["none.toml"]);
    bench.run(&["charts", "reed.toml", "--out", "new", "--pressure-pa", "-3"]).refused(&["--pressure-pa"]);
    assert!(!bench.path("new").exists());
}
