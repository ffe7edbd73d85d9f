//! `freereed balance` on small sets.

use crate::support::cli::{Bench, JOB, ROWS, number, sheet};

const CLOSE: &str = "4,blow,out,D5,13.6,2.1,590,0.052,0.08,0.027,,";
const LEAKS: &str = "3,blow,out,F5,12.2,2.06,702,0.044,0.24,0.026,6,";

fn bench() -> Bench {
    let rows: Vec<&str> = ROWS.into_iter().chain([CLOSE, LEAKS]).collect();
    Bench::with(&[("job.toml", JOB), ("sheet.csv", &sheet(&rows))])
}

#[test]
fn a_set_as_text_as_table_and_as_picture() {
    let bench = bench();
    let run = bench.run(&["balance", "job.toml", "--out", "gaps.csv", "--chart", "gaps.svg"]).code(0);
    assert!(run.err.is_empty() && run.out.starts_with("A small set: tip gaps\n"), "{}{}", run.out, run.err);
    for part in
        ["open by ", "no gap suits", "it leaks", "To do: seal it", "Assumed: ", "Care: ", "yield strength is not"]
    {
        assert!(run.out.contains(part), "{part} is not in\n{}", run.out);
    }
    let table = bench.read("gaps.csv");
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let head = reader.headers().unwrap().clone();
    let rows: Vec<_> = reader.records().map(Result::unwrap).collect();
    assert_eq!((rows.len(), &head[0], &head[5]), (7, "id", "gap_wanted_mm"));
    assert_eq!((&rows[5][0], &rows[5][4], &rows[6][14]), ("4-blow-out", "0.080", "no gap suits"));
    let text = bench.read("gaps.svg");
    let svg = roxmltree::Document::parse(&text).unwrap();
    let sizes = svg.descendants().filter_map(|node| node.attribute("font-size")?.parse::<f64>().ok());
    let width: f64 = svg.root_element().attribute("viewBox").unwrap().split(' ').nth(2).unwrap().parse().unwrap();
    // 180 mm are 510 point.
    assert!(sizes.fold(f64::INFINITY, f64::min) * 510.2 / width >= 7.0, "letters are under 7 point");
    assert!(text.contains("4-blow-out 0.08 to ") && text.contains("no gap suits: mend it first"));
    bench.run(&["balance", "job.toml", "--out", "gaps.csv"]).refused(&["gaps.csv", "--overwrite"]);
    bench.run(&["balance", "job.toml", "--out", "x", "--chart", "x"]).refused(&["two outputs"]);
}

#[test]
fn json_tells_the_same_in_si() {
    let bench = bench();
    let json = bench.run(&["balance", "job.toml", "--json"]).code(0).json();
    let reeds = json["reeds"].as_array().unwrap();
    assert_eq!(reeds.len(), 7);
    for reed in reeds {
        let [now, wanted] = ["now", "wanted"].map(|state| number(&reed[state], "gap_m"));
        assert!((number(reed, "change_m") - (wanted - now)).abs() < 1e-12 && wanted > 0.0 && wanted < 1e-3);
        assert!(number(&reed["wanted"]["room"], "soft") > 0.0 && number(&reed["alone"]["room"], "hard") > 0.0);
        assert_eq!((number(reed, "soft_pa"), number(reed, "hard_pa")), (500.0, 2000.0));
        assert_eq!(reed["verdict"] == "no gap suits", reed["no_gap_suits"].is_object());
        assert_eq!(reed["bend"], "not_judged");
    }
    assert_eq!((&reeds[5]["verdict"], &reeds[6]["no_gap_suits"]["cure"]), (&"regap".into(), &"seal it".into()));
    assert!(number(&json["set"]["wanted"], "whole") < number(&json["set"]["now"], "whole"));
    assert_eq!((number(&json["set"], "feeler_m"), number(&json["set"], "smooth")), (1e-5, 2.0));
}

#[test]
fn the_weight_of_an_even_run_can_be_changed() {
    let bench = bench();
    bench.write("sheet.csv", sheet(&[ROWS[3], ROWS[4], CLOSE]));
    let uneven = |weight: &str| {
        let json = bench.run(&["balance", "job.toml", "--smooth", weight, "--feeler-mm", "0.02", "--json"]).json();
        assert_eq!(number(&json["set"], "feeler_m"), 2e-5);
        number(&json["set"]["wanted"], "uneven")
    };
    assert!(uneven("50") <= uneven("0"));
    bench.run(&["balance", "job.toml", "--smooth", "-1"]).refused(&["--smooth", "0 to 100"]);
    bench.run(&["balance", "job.toml", "--feeler-mm", "1"]).refused(&["--feeler-mm", "0.005 to 0.1 mm"]);
    bench.run(&["balance", "no.toml"]).refused(&["no.toml"]);
}

#[test]
fn a_bad_row_is_told_and_the_others_are_balanced() {
    let bench = bench();
    let rows = [ROWS[0], ROWS[1], "5,blow,out,C5,-3,2.11,525,0.058,0.27,0.027,,"];
    bench.write("sheet.csv", sheet(&rows));
    let run = bench.run(&["balance", "job.toml"]).code(1);
    assert!(
        run.out.contains("not balanced: line 4") && run.complaint().contains("length_mm"),
        "{}{}",
        run.out,
        run.err
    );
}
