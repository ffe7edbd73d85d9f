//! What `freereed assess` says unless all of it is asked for: a part of the demo with some reeds put out of tune.

use std::sync::LazyLock;

use crate::support::cli::{Bench, JOB, ROWS, Run, number, sheet};
use serde_json::Value;

const DEMO_JOB: &str = include_str!("../../data/demo/job.toml");
const DEMO_SHEET: &str = include_str!("../../data/demo/sheet.csv");

/// Holes of the demo: with a gap too close, off centre, a gap too wide, a leak, out of tune.
const HOLES: std::ops::RangeInclusive<u32> = 3..=7;
/// Reeds that are put out of tune: their cents, MIDI note.
const OUT_OF_TUNE: [(&str, f64, i32); 4] =
    [("4,draw,out,", -12.0, 71), ("7,blow,out,", 13.0, 79), ("5,blow,out,", -5.4, 72), ("7,blow,in,", 5.4, 80)];
/// The two of them of which a tuner does not tell whether they are.
const FEW_CENTS: [&str; 2] = ["5-blow-out", "7-blow-in"];
/// So many columns has the terminal, and so many lines are read at a bench.
const COLUMNS: usize = 80;
const LINES: usize = 26;

/// In short, all of it, and as JSON.
static RUNS: LazyLock<[Run; 3]> = LazyLock::new(|| {
    let mut rows = DEMO_SHEET.lines();
    let head = rows.next().unwrap();
    let pluck = head.split(',').position(|name| name == "measured_pluck_hz").unwrap();
    let wanted = |row: &&str| row.split(',').next().unwrap().parse().is_ok_and(|hole: u32| HOLES.contains(&hole));
    let tuned = |row: &str| {
        let mut cells: Vec<String> = row.split(',').map(str::to_owned).collect();
        if let Some((_, cents, midi)) = OUT_OF_TUNE.iter().find(|(begin, ..)| row.starts_with(begin)) {
            let hertz = 442.0 * 2.0_f64.powf(f64::from(midi - 69) / 12.0 + cents / 1200.0);
            cells[pluck] = format!("{hertz:.3}");
        }
        cells.join(",")
    };
    let text: Vec<String> = std::iter::once(head.to_owned()).chain(rows.filter(wanted).map(tuned)).collect();
    let bench = Bench::with(&[("job.toml", DEMO_JOB), ("sheet.csv", &(text.join("\n") + "\n"))]);
    [&["assess", "job.toml"][..], &["assess", "job.toml", "--table"], &["assess", "job.toml", "--json"]]
        .map(|call| bench.run(call).code(0))
});

fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Lines that stand more than once; what a broken line goes on with is no line of its own.
fn twice(text: &str) -> Vec<&str> {
    let lines: Vec<&str> = text.lines().filter(|line| !line.trim().is_empty() && !line.starts_with("    ")).collect();
    lines.iter().enumerate().filter(|(k, line)| lines[..*k].contains(line)).map(|(_, line)| *line).collect()
}

/// Ids of the reeds of which something is likely to be wrong.
fn wrong(json: &Value) -> Vec<&str> {
    let told = |reed: &&Value| reed["findings"].as_array().unwrap().iter().any(|it| it["surety"] != "cannot tell");
    json["reeds"].as_array().unwrap().iter().filter(told).map(|reed| reed["id"].as_str().unwrap()).collect()
}

#[test]
fn it_fits_a_terminal_and_says_nothing_twice() {
    let [short, table, _] = &*RUNS;
    assert!(short.out.lines().count() <= LINES, "{}", short.out);
    for run in [short, table] {
        let wide: Vec<&str> = run.out.lines().filter(|line| line.chars().count() > COLUMNS).collect();
        assert!(wide.is_empty(), "{wide:#?}");
        assert_eq!(twice(&run.out), [""; 0], "{}", run.out);
        assert!(!run.out.contains('\x1b'), "colours where no terminal is");
    }
}

#[test]
fn every_reed_that_does_not_suit_is_counted_once() {
    let [short, _, json] = &*RUNS;
    let json = json.json();
    let wrong = wrong(&json);
    let reeds = json["reeds"].as_array().unwrap().len();
    assert_eq!((wrong.len(), reeds), (7, 20), "{wrong:?}");
    let suit = reeds - wrong.len() - FEW_CENTS.len();
    let text = one_line(&short.out);
    for part in
        [&format!("{suit} of {reeds} reeds suit")[..], "7 do not", "2 are doubtful", "judged by the run of the set"]
    {
        assert!(text.contains(part), "{part} is not in\n{}", short.out);
    }
    // The groups add up.
    let group = |line: &str| {
        let (count, rest) = line.strip_prefix("  ")?.split_once(' ')?;
        let count: usize = count.parse().ok()?;
        (rest.starts_with("reed") && !rest.contains("few cents")).then_some(count)
    };
    assert_eq!(short.out.lines().filter_map(group).sum::<usize>(), wrong.len(), "{}", short.out);
    assert!(text.contains("3 reeds: out of tune: 7-draw-out, "), "{}", short.out);
    // None is left out, whether it stands in a group or by itself.
    for id in wrong {
        assert!(text.contains(id), "{id} is not in\n{}", short.out);
    }
}

#[test]
fn the_worst_are_told_one_by_one_and_what_cannot_be_told_is_counted() {
    let [short, _, json] = &*RUNS;
    let json = json.json();
    let ids: Vec<&str> = json["reeds"].as_array().unwrap().iter().map(|reed| reed["id"].as_str().unwrap()).collect();
    let first = |line: &str| line.strip_prefix("  ").and_then(|line| line.split(' ').next().map(str::to_owned));
    let worst: Vec<String> = short.out.lines().filter_map(first).filter(|word| ids.contains(&word.as_str())).collect();
    assert_eq!(worst.len(), 5, "{}", short.out);
    let wrong = wrong(&json);
    assert!(worst.iter().all(|id| wrong.contains(&id.as_str())), "{worst:?} of {wrong:?}");
    let text = one_line(&short.out);
    let few = format!("2 reeds: pitch off by a few cents, within what tuner and plucks tell: {}", FEW_CENTS.join(", "));
    assert!(text.contains(&few), "{few} is not in\n{}", short.out);
    for part in ["tip gap too close (0.090 mm", "bend it (regap)", "tune it (retune)", "More with --table: "] {
        assert!(text.contains(part), "{part} is not in\n{}", short.out);
    }
}

#[test]
fn the_table_has_a_line_a_reed_and_every_finding() {
    let [_, table, json] = &*RUNS;
    let json = json.json();
    let text = one_line(&table.out);
    let wrong = wrong(&json);
    for reed in json["reeds"].as_array().unwrap() {
        let (id, note) = (reed["id"].as_str().unwrap(), reed["note"].as_str().unwrap());
        let cells = |line: &&str| line.split_whitespace().take(2).eq([id, note]);
        let lines: Vec<&str> = table.out.lines().filter(cells).collect();
        assert_eq!(lines.len(), 1, "{id}: {lines:?}");
        let words = lines[0].split_whitespace().collect::<Vec<_>>();
        let normal_ms = number(&reed["attacks"][1], "t50_s") * 1e3;
        assert_eq!(words[6], format!("{normal_ms:.0}"), "{}", lines[0]);
        let bad = words.contains(&"bad,");
        assert_eq!(bad, wrong.contains(&id), "{}", lines[0]);
        for finding in reed["findings"].as_array().unwrap() {
            let told = format!("{} ({})", finding["sentence"].as_str().unwrap(), finding["surety"].as_str().unwrap());
            assert!(text.contains(&told), "{told} is not in\n{}", table.out);
        }
    }
    for part in ["Together: ", "Evenness: ", "Assumed: ", "Care: ", "onset to choke: "] {
        assert!(table.out.contains(part), "{part} is not in\n{}", table.out);
    }
}

#[test]
fn where_all_is_well_it_says_little() {
    let bench = Bench::with(&[("job.toml", JOB), ("sheet.csv", &sheet(&ROWS))]);
    let run = bench.run(&["assess", "job.toml"]).code(0);
    let text = one_line(&run.out);
    assert!(
        text.starts_with("A small set All 5 reeds suit (how sure: ") && run.out.lines().count() <= 6,
        "{}",
        run.out
    );
    assert!(!text.contains("worst") && !text.contains("Care:"), "{}", run.out);
}

#[test]
fn colours_add_nothing_to_the_words() {
    let bench = Bench::with(&[("job.toml", JOB), ("sheet.csv", &sheet(&[ROWS[0], &ROWS[1].replace("884.4", "870")]))]);
    for call in ["\"$F\" assess job.toml", "\"$F\" assess job.toml --table"] {
        let plain = bench.shell(&format!("NO_COLOR=1 {call}")).code(0).out;
        let coloured = bench.shell(&format!("CLICOLOR_FORCE=1 {call}")).code(0).out;
        assert!(coloured.contains("\x1b[31m") && !plain.contains('\x1b'), "{coloured}");
        let mut stripped = coloured;
        for code in ["\x1b[31m", "\x1b[32m", "\x1b[33m", "\x1b[0m"] {
            stripped = stripped.replace(code, "");
        }
        assert_eq!(stripped, plain);
    }
}
