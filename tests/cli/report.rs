//! `freereed assess --report` on small sets.

use crate::support::cli::{Bench, HEAD, JOB, ROWS, Run, sheet};
use freereed::sheet::Date;
use roxmltree::{Document, Node, ParsingOptions};

const CLOSE: &str = "4,blow,out,D5,13.6,2.1,590,0.052,0.08,0.027,,";
const HOSTILE: &str = "<script>alert(\"&amp;\")</script>'>";

fn bench(rows: &[&str]) -> Bench {
    Bench::with(&[("job.toml", JOB), ("sheet.csv", &sheet(rows))])
}

fn report(bench: &Bench, code: i32) -> Run {
    bench.run(&["assess", "job.toml", "--report", "report.html"]).code(code)
}

/// The page as a strict reader takes it, once its few open tags are closed.
fn with_page<T>(html: &str, look: impl Fn(&Document<'_>) -> T) -> T {
    let close = |part: &str| match part.rfind('<').map(|start| &part[start..]) {
        Some(tag) if tag.starts_with("<meta") || tag == "<col>" => format!("{}/>", part.strip_suffix('>').unwrap()),
        _ => part.to_owned(),
    };
    let strict: String = html.split_inclusive('>').map(close).collect();
    let options = ParsingOptions { allow_dtd: true, ..ParsingOptions::default() };
    look(&Document::parse_with_options(&strict, options).unwrap())
}

fn text_of(node: Node<'_, '_>) -> String {
    let text: String = node.descendants().filter(|node| node.is_text()).filter_map(|node| node.text()).collect();
    text.replace('\u{a0}', " ")
}

fn headings(html: &str) -> Vec<String> {
    with_page(html, |page| page.descendants().filter(|node| node.has_tag_name("h2")).map(text_of).collect())
}

#[track_caller]
fn stands_alone(html: &str) {
    for outside in ["<script", "<link", "<img", "<iframe", "@import", "url(", "src=", "javascript:"] {
        assert!(!html.contains(outside), "{outside} in the report");
    }
    assert!(!html.replace("http://www.w3.org/2000/svg", "").contains("http"));
}

#[track_caller]
fn says(html: &str, parts: &[&str]) {
    let said = with_page(html, |page| text_of(page.root_element()));
    for part in parts {
        assert!(said.contains(part), "{part:?} is not in\n{}", said.split('\n').next_back().unwrap_or_default());
    }
}

#[test]
fn a_report_tells_of_every_reed_and_its_work_and_is_not_written_over() {
    let rows: Vec<&str> = ROWS.into_iter().chain([CLOSE]).collect();
    let bench = bench(&rows);
    let run = report(&bench, 0);
    assert!(run.out.starts_with("A small set\n") && run.err.is_empty(), "{}{}", run.out, run.err);
    let html = bench.read("report.html");
    stands_alone(&html);
    assert_eq!(
        headings(&html),
        [
            "In short",
            "What to do, in this order",
            "What to measure next",
            "Before you touch a file",
            "Signed",
            "What is asked",
            "The set in pictures",
            "How even it is",
            "Every reed",
            "Rounds of measuring",
            "Test protocol",
            "What is assumed",
            "What the model can say",
        ]
    );
    says(
        &html,
        &[
            "Player",
            "not named",
            "A4 442.0 Hz, equal",
            "6 of 6 reeds",
            "500 Pa at every note",
            "1 reed to work on: 3 min",
            "Found, with the number of reeds: fails at a hard attack (1).",
            "Every reed of the sheet is measured.",
            "tip gap too close (0.080 mm",
            "open the tip gap from 0.080 mm",
            "risk: ",
            "Bend a reed to another tip gap and check it3 minutes",
            "Remark: valve new.",
            "None yet: what is measured after work",
            "From nothing to full pressure in an attack",
            "the order of reeds and of changes",
            "beryllium copper",
            "qualified people",
            "Played by",
        ],
    );
    with_page(&html, |page| {
        let tables: Vec<Node<'_, '_>> = page.descendants().filter(|node| node.has_tag_name("table")).collect();
        assert!(tables.iter().all(|table| table.descendants().any(|node| node.attribute("scope") == Some("col"))));
        let reeds = tables.iter().find(|table| table.attribute("class") == Some("reeds")).unwrap();
        let wrong: Vec<&str> =
            reeds.children().filter_map(|body| body.attribute("class")).filter(|class| *class == "wrong").collect();
        let named = reeds.descendants().filter(|node| node.attribute("scope") == Some("row")).count();
        assert_eq!((named, wrong.len()), (6, 1));
        let of_class = |class: &str| {
            page.descendants().filter(|node| node.has_tag_name("td") && node.attribute("class") == Some(class)).count()
        };
        assert_eq!(["suits", "doubtful", "fails", "open"].map(of_class), [5, 0, 1, 0]);
        assert_eq!(page.descendants().filter(|node| node.has_tag_name("svg")).count(), 5);
        let footer = page.descendants().find(|node| node.has_tag_name("footer")).map(text_of).unwrap();
        let day = footer.trim_end_matches('.').split(' ').next_back().unwrap().to_owned();
        assert!(Date::parse(&day).is_some_and(|date| date.year >= 2026), "{footer}");
    });
    // One gap for one reed: the work leads to the gap that the table wants.
    let wanted = with_page(&html, |page| {
        let close = |node: &Node<'_, '_>| node.attribute("scope") == Some("row") && text_of(*node) == "4-blow-out";
        let row = page.descendants().find(close).and_then(|cell| cell.parent()).unwrap();
        text_of(row.children().nth(10).unwrap())
    });
    says(&html, &[&format!("open the tip gap from 0.080 mm to {wanted} mm")]);

    bench.write("report.html", "mine");
    bench.run(&["assess", "job.toml", "--report", "report.html"]).refused(&["report.html", "--overwrite"]);
    assert_eq!(bench.read("report.html"), "mine");
    bench.run(&["assess", "job.toml", "--overwrite"]).refused(&["--report"]);
}

#[test]
fn what_was_typed_is_only_text_and_what_lacks_is_told() {
    let quoted = |what: &str| format!("\"{} {what}\"", HOSTILE.replace('"', "\"\""));
    let named = format!("name = '''{HOSTILE} a name'''\nlayout = '''{HOSTILE} a layout'''");
    let job = JOB
        .replace("name = \"A small set\"", &named)
        .replace("[player]", &format!("[player]\nname = '''{HOSTILE} a player'''"));
    let head = format!("{HEAD},valve,feel");
    let close = format!("{CLOSE}{},{},late", quoted("a remark"), quoted("a valve"));
    let wrong = format!("5,blow,out,C5,{},2.11,525,0.058,0.27,0.027,,,,", quoted("a length"));
    let rows = [&head, ROWS[0], &close, &wrong, "6,draw,out,B5,,,,,,,,,,", "7,draw,out,A5,,2.03,884.4,,0.21,,,,,"];
    let bench = Bench::with(&[("job.toml", &job), ("sheet.csv", &rows.join("\n"))]);
    let run = report(&bench, 1);
    assert!(run.complaint().contains("length_mm"), "{}", run.err);
    let html = bench.read("report.html");
    stands_alone(&html);
    for what in ["a name", "a layout", "a player", "a remark", "a valve"] {
        says(&html, &[&format!("{HOSTILE} {what}")]);
    }
    says(
        &html,
        &[
            "Measured so far: 2 of 5 reeds; ",
            "not measured: 2",
            "wrong in the sheet: 1",
            "still to measure length: 7-draw-out",
            "not measured yet: 6-draw-out",
            "Wrong in the sheet, and left out",
            "5-blow-out: ",
            "not assessed, line 4 of the sheet is wrong",
            "The player says: late.",
        ],
    );
}

/// A set with everything that a report tells of: a reed that is wrong, one half filled, one blank, a round, what is assumed.
#[test]
fn no_key_of_a_file_stands_in_a_report() {
    let wrong = "5,blow,out,C5,-3,2.11,525,0.058,0.27,0.027,,";
    let rows: Vec<&str> = ROWS[..3].iter().copied().chain([CLOSE, wrong, "6,draw,out,B5,,2.03,990,,0.21,,,"]).collect();
    let bench = bench(&rows);
    std::fs::create_dir(bench.path("rounds")).unwrap();
    bench.write("rounds/2026-03-01.csv", "hole,breath,slide,operation,minutes,tip_gap_mm\n4,blow,out,regap,5,0.30\n");
    report(&bench, 1);
    let html = bench.read("report.html");
    let with_underscore = with_page(&html, |page| {
        let shown = |node: &Node<'_, '_>| node.is_text() && !node.ancestors().any(|up| up.has_tag_name("style"));
        let words = page.descendants().filter(shown).filter_map(|node| node.text()).flat_map(str::split_whitespace);
        words.filter(|word| word.contains('_')).map(str::to_owned).collect::<Vec<_>>()
    });
    assert!(with_underscore.is_empty(), "{with_underscore:?}");
    says(
        &html,
        &[
            "5-blow-out: ",
            "length",
            "From nothing to full pressure in an attack",
            "How stiffly the clamp holds the root",
        ],
    );
}

/// The plates count as the sentence above them does, and one page does not deny another.
#[test]
fn the_plates_the_sentence_and_the_work_agree() {
    let rows: Vec<&str> = ROWS.into_iter().chain([CLOSE]).collect();
    let bench = bench(&rows);
    report(&bench, 0);
    let html = bench.read("report.html");
    says(&html, &["5 of 6 reeds suit", "suits: 5", "does not suit: 1", "Now 5 of 6 reeds suit the player"]);
    let (bent, charted) = with_page(&html, |page| {
        let work = page.descendants().filter(|node| node.attribute("class") == Some("what")).map(text_of);
        let titles = page.descendants().filter(|node| node.has_tag_name("title")).map(text_of).collect::<Vec<_>>();
        let charted = titles.iter().find(|title| title.contains("bent to another tip gap")).cloned();
        (work.filter(|words| words.contains("the tip gap from")).count(), charted)
    });
    assert_eq!(bent, 1);
    assert!(charted.as_deref().is_some_and(|title| title.starts_with("1 of 6 reeds is to be bent")), "{charted:?}");
}

#[test]
fn a_job_with_nothing_measured_has_a_report_too() {
    let bench = bench(&["5,blow,out,C5,,,,,,,,", "5,draw,out,D5,,,,,,,,"]);
    report(&bench, 0);
    let html = bench.read("report.html");
    stands_alone(&html);
    assert!(!html.contains("<svg") && !headings(&html).contains(&"How even it is".to_owned()));
    says(
        &html,
        &[
            "No reed is measured yet: fill the sheet",
            "There is nothing to draw before a reed is measured.",
            "not measured yet: 5-blow-out, 5-draw-out",
            "Played by",
        ],
    );
}

#[test]
fn rounds_are_told_and_a_fit_is_used_where_it_is_asked_for() {
    let bench = bench(&ROWS[3..]);
    std::fs::create_dir(bench.path("rounds")).unwrap();
    let head = "hole,breath,slide,operation,minutes,tip_gap_mm,aimed_gap_mm,softest_blow_pa,ring_down_s";
    bench.write(
        "rounds/2026-03-01.csv",
        format!("{head}\n5,blow,out,regap,5,0.30,0.29,72,\n6,blow,out,measure,,,,,0.05\n"),
    );
    report(&bench, 0);
    let html = bench.read("report.html");
    says(
        &html,
        &[
            "Round 2026-03-01",
            "tip gap0.270 mm0.300 mm0.290 mm",
            "+0.010 mm",
            "Minutes spent beside the estimate",
            "1, the newest 2026-03-01",
        ],
    );
    assert!(!html.contains("None yet") && !html.contains("fitted, not measured"));
    bench.run(&["assess", "job.toml", "--fit", "--report", "report.html", "--overwrite"]).code(0);
    says(&bench.read("report.html"), &["fitted, not measured", "Loss and leaks are fitted"]);
}
