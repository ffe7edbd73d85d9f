//! Every example makes a picture that is one.

#![allow(dead_code)]

#[path = "../../examples/attack.rs"]
mod attack;
#[path = "../../examples/bench.rs"]
mod bench;
#[path = "../../examples/filing.rs"]
mod filing;
#[path = "../../examples/modes.rs"]
mod modes;

#[test]
fn every_example_draws_its_picture() {
    let pictures = [attack::picture(), bench::picture(), filing::picture(), modes::picture()];
    for svg in pictures.map(|picture| picture.unwrap()) {
        let document = roxmltree::Document::parse(&svg).unwrap();
        let words = |name: &str| document.descendants().any(|node| node.has_tag_name(name));
        assert!(words("title") && words("text") && svg.contains("demo reed"), "{}", &svg[..200]);
    }
}
