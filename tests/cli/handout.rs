//! `freereed handout`: the booklet as a file.

use crate::support::cli::{Bench, MUTE};

#[test]
fn the_booklet_is_written_for_the_reed_named_and_over_another_only_when_asked() {
    let bench = Bench::with(&[("a & <b>.toml", MUTE), ("booklet.html", "mine\n")]);
    let call = ["handout", "a & <b>.toml", "--out", "booklet.html"];
    bench.run(&call).refused(&["booklet.html is there already", "--overwrite"]);
    assert_eq!(bench.read("booklet.html"), "mine\n");
    let run = bench.run(&[&call[..], &["--overwrite"]].concat()).code(0);
    assert!(run.out.contains("booklet.html") && run.err.is_empty());
    let page = bench.read("booklet.html");
    assert!(page.starts_with("<!DOCTYPE html>") && page.ends_with("</html>"));
    assert!(page.contains("<b>a &amp; &lt;b&gt;.toml</b>") && !page.contains("invented"));
    assert_eq!(bench.names("."), ["a & <b>.toml", "booklet.html"]);
}

#[test]
fn a_wrong_reed_is_told_before_any_work() {
    let bench = Bench::with(&[("wrong.toml", "[reed]\nlength_cm = 1.5\n")]);
    bench.run(&["handout", "wrong.toml", "--out", "booklet.html"]).refused(&["length_cm", "give length_mm instead"]);
    bench.run(&["handout", "nowhere.toml", "--out", "booklet.html"]).refused(&["nowhere.toml"]);
    bench.run(&["handout"]).refused(&["--out"]);
    assert_eq!(bench.names("."), ["wrong.toml"]);
}
