//! `freereed handout`: the booklet as a file.

use crate::support::cli::{Bench, MUTE};

#[test]
fn the_booklet_is_written_for_the_reed_named() {
    let bench = Bench::with(&[("a & <b>.toml", MUTE)]);
    let run = bench.run(&["handout", "a & <b>.toml", "--out", "booklet.html"]).code(0);
    assert!(run.out.contains("booklet.html") && run.err.is_empty());
    let page = bench.read("booklet.html");
    assert!(page.starts_with("<!DOCTYPE html>") && page.ends_with("</html>"));
    assert!(page.contains("<b>a &amp; &lt;b&gt;.toml</b>") && !page.contains("invented"));
    assert_eq!(bench.names("."), ["a & <b>.toml", "booklet.html"]);
}

#[test]
fn without_a_reed_the_invented_one_serves_anywhere() {
    let bench = Bench::new();
    bench.run(&["handout", "--out", "booklet.html"]).code(0);
    assert!(bench.read("booklet.html").contains("an invented reed"));
}

#[test]
fn nothing_is_written_over_unless_asked() {
    let bench = Bench::with(&[("mute.toml", MUTE), ("kept.html", "mine\n")]);
    let call = ["handout", "mute.toml", "--out", "kept.html"];
    bench.run(&call).refused(&["kept.html is there already", "--overwrite"]);
    assert_eq!(bench.read("kept.html"), "mine\n");
    bench.run(&[&call[..], &["--overwrite"]].concat()).code(0);
    assert!(bench.read("kept.html").contains("</html>"));
}

#[test]
fn a_wrong_reed_is_told_before_any_work() {
    let bench = Bench::with(&[("wrong.toml", "[reed]\nlength_cm = 1.5\n")]);
    bench.run(&["handout", "wrong.toml", "--out", "booklet.html"]).refused(&["length_cm", "give length_mm instead"]);
    bench.run(&["handout", "nowhere.toml", "--out", "booklet.html"]).refused(&["nowhere.toml"]);
    bench.run(&["handout"]).refused(&["--out"]);
    assert_eq!(bench.names("."), ["wrong.toml"]);
}
