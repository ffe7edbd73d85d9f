//! `freereed worklist` on small sets.

use std::sync::LazyLock;

use crate::support::cli::{Bench, JOB, ROWS, Run, number, sheet};
use serde_json::Value;

const CLOSE: &str = "4,blow,out,D5,13.6,2.1,590,0.052,0.08,0.027,,";
const LEAKS: &str = "3,blow,out,F5,12.2,2.06,702,0.044,0.24,0.026,6,";
const FLAT: &str = "2,draw,out,F#5,11.9,2.05,735,0.0415,0.23,0.026,,";

fn bench() -> Bench {
    let rows: Vec<&str> = ROWS.into_iter().chain([CLOSE, LEAKS, FLAT]).collect();
    Bench::with(&[("job.toml", JOB), ("sheet.csv", &sheet(&rows))])
}

/// The list as text, with the card: one run for all tests. The job's name is to be escaped on the card.
static LIST: LazyLock<(Run, String)> = LazyLock::new(|| {
    let bench = bench();
    bench.write("job.toml", JOB.replace("A small set", "Bits & <b>bobs</b>"));
    let run = bench.run(&["worklist", "job.toml", "--card", "card.html"]).code(0);
    (run, bench.read("card.html"))
});

/// The same as JSON, with one rate of the job's own.
static JSON: LazyLock<Value> = LazyLock::new(|| {
    let bench = bench();
    bench.write("job.toml", format!("{JOB}[rates]\nretune_minutes = 7.5\n"));
    bench.run(&["worklist", "job.toml", "--json"]).code(0).json()
});

#[test]
fn a_list_in_order_with_amounts_effects_and_minutes() {
    let run = &LIST.0;
    assert!(
        run.err.is_empty() && run.out.starts_with("Bits & <b>bobs</b>: what to do, in this order\n"),
        "{}{}",
        run.out,
        run.err
    );
    let numbered = |line: &&str| line.get(..5).is_some_and(|start| start.trim().parse::<u32>().is_ok());
    let lines: Vec<&str> = run.out.lines().filter(numbered).collect();
    let expected = [
        ("  1  3-blow-out  F5    10 min", "seal the leak of 6.0 mm2"),
        ("  2  2-draw-out  F#5    6 min", "raise by"),
        ("  3  4-blow-out  D5     3 min", "open the tip gap from 0.080 mm"),
    ];
    assert_eq!(lines.len(), expected.len(), "{}", run.out);
    for (line, (place, what)) in lines.iter().zip(expected) {
        assert!(line.starts_with(place) && line.contains(what), "{line} is not {place} {what}");
    }
    for part in [
        "3 reeds to work on: 19 min",
        "risk: ",
        " allowed",
        "rates.seal_minutes 10 minutes",
        "yield strength is not",
        "Care: ",
    ] {
        let plain = run.out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(plain.contains(part.trim()), "{part} is not in\n{}", run.out);
    }
}

#[test]
fn all_that_was_considered_is_shown_when_asked() {
    let bench = bench();
    bench.write("sheet.csv", sheet(&[LEAKS, FLAT]));
    let all = bench.run(&["worklist", "job.toml", "--all"]).code(0).out;
    assert!(all.contains("  * seal ") && all.contains("* retune ") && all.contains("gain for each minute"), "{all}");
}

#[test]
fn json_tells_the_same_in_si() {
    let json = &*JSON;
    let reeds = json["reeds"].as_array().unwrap();
    assert_eq!(reeds.len(), 8);
    let set = &json["set"];
    assert_eq!((number(set, "minutes_next"), number(set, "with_work")), (20.5, 3.0));
    assert_eq!(number(set, "bent_though_they_suit"), 0.0);
    assert_eq!((number(set, "suit_now"), number(set, "suit_then")), (5.0, 8.0));
    assert_eq!(number(&set["rates"], "retune_minutes"), 7.5);
    let assumed = set["assumed"].to_string();
    assert!(assumed.contains("rates.seal_minutes") && !assumed.contains("rates.retune_minutes"), "{assumed}");
    let next = |k: usize| {
        let round = &reeds[k]["rounds"][0];
        &round["considered"][round["next"].as_u64().unwrap() as usize]
    };
    assert_eq!((&reeds[0]["id"], &next(0)["stage"]), (&"3-blow-out".into(), &"slot".into()));
    assert!(number(&next(0)["plan"], "leak_wanted_m2") < 6e-6);
    assert_eq!((&next(1)["operation"], &next(2)["operation"]), (&"retune".into(), &"regap".into()));
    for (k, reed) in reeds.iter().enumerate().take(3) {
        let gain = number(next(k), "gain");
        assert!(gain > 0.0 && gain <= number(reed, "missing"));
        assert_eq!(reed["findings_then"].as_array().unwrap().len(), 0, "{reed}");
    }
    assert!(reeds[4]["order"].is_null() && reeds[4]["rounds"].as_array().unwrap().is_empty());
}

#[test]
fn a_card_for_the_bench_stands_alone_and_is_escaped() {
    let card = &LIST.1;
    assert!(card.contains("Bits &amp; &lt;b&gt;bobs&lt;/b&gt;") && !card.contains("<b>bobs"));
    for outside in ["http", "src=", "url(", "@import", "<script", "<link"] {
        assert!(!card.contains(outside), "{outside} in the card");
    }
    // Holes 2 to 8 that are there, blow plate above the draw plate, boxes in every cell and every line.
    let blow = card.find("blow, slide out").unwrap();
    assert!(blow < card.find("draw, slide out").unwrap() && !card.contains("slide in<"));
    assert_eq!(card.matches("class=\"boxes\"").count(), 8);
    assert_eq!(card.matches("class=\"work\"").count(), 3);
    assert!(card.contains("seal to ") && card.contains("gap 0.080 to ") && card.contains("leave"));
}

#[test]
fn a_card_is_not_written_over_unless_asked() {
    let bench = bench();
    bench.write("sheet.csv", sheet(&ROWS[..1]));
    bench.write("card.html", "mine");
    let call = ["worklist", "job.toml", "--card", "card.html"];
    bench.run(&call).refused(&["card.html", "--overwrite"]);
    assert_eq!(bench.read("card.html"), "mine");
    bench.run(&[&call[..], &["--overwrite"]].concat()).code(0);
    assert!(bench.read("card.html").contains("class=\"boxes\""));
}

#[test]
fn a_bad_row_is_told_and_the_others_are_planned() {
    let bench = bench();
    let rows = [ROWS[0], FLAT, "5,blow,out,C5,-3,2.11,525,0.058,0.27,0.027,,", "6,draw,out,B5,,,,,,,,"];
    bench.write("sheet.csv", sheet(&rows));
    let run = bench.run(&["worklist", "job.toml", "--card", "card.html"]).code(1);
    assert!(run.complaint().contains("length_mm") && run.out.contains("2-draw-out"), "{}{}", run.out, run.err);
    assert!(run.out.contains("not measured yet: 6-draw-out"), "{}", run.out);
    assert_eq!(bench.read("card.html").matches("not assessed yet").count(), 2);
    bench.run(&["worklist", "no.toml"]).refused(&["no.toml"]);
    bench.run(&["worklist", "job.toml", "--strip-mm", "9"]).refused(&["--strip-mm", "0.03 to 1.5 mm"]);
}
