//! `freereed new`: a job to start from, filled in and assessed.

use crate::support::cli::{Bench, JOB, ROWS, number, sheet};
use freereed::sheet::{Job, KEYS, STARTS};

const FILES: [&str; 3] = ["HOW-TO-MEASURE.md", "job.toml", "sheet.csv"];
const DEMO_JOB: &str = include_str!("../../data/demo/job.toml");
const DEMO_SHEET: &str = include_str!("../../data/demo/sheet.csv");

/// The starting job with the tables of another typed into it.
fn typed_into(start: &str, values: &str) -> String {
    let mut document: toml_edit::DocumentMut = start.parse().unwrap();
    let values: toml_edit::DocumentMut = values.parse().unwrap();
    for (name, item) in values.iter() {
        match (document.get_mut(name).and_then(|table| table.as_table_like_mut()), item.as_table_like()) {
            (Some(table), Some(values)) => values.iter().for_each(|(key, value)| {
                table.insert(key, value.clone());
            }),
            _ => document[name] = item.clone(),
        }
    }
    document.to_string()
}

/// The cells of another sheet typed into an empty one, reed by reed, as far as `wanted` says.
fn filled(empty: &str, values: &str, wanted: impl Fn(usize, &str) -> bool) -> String {
    let cells = |line: &str| line.split(',').map(str::to_owned).collect::<Vec<_>>();
    let (head, value_head) = (cells(empty.lines().next().unwrap()), cells(values.lines().next().unwrap()));
    let mut text = head.join(",") + "\n";
    for (k, row) in empty.lines().skip(1).enumerate() {
        let mut row = cells(row);
        let given = values.lines().map(cells).find(|given| given[..4] == row[..4]).expect("the reed");
        for (column, name) in value_head.iter().enumerate().skip(4).filter(|(_, name)| wanted(k, name)) {
            row[head.iter().position(|known| known == name).expect("the column")] = given[column].clone();
        }
        text += &(row.join(",") + "\n");
    }
    text
}

#[test]
fn a_new_job_says_what_is_missing_in_few_words() {
    let bench = Bench::new();
    let run = bench.run(&["new", "work/mine"]).code(0);
    assert!(run.out.contains("48 reeds, C4 to D7") && run.err.is_empty(), "{}{}", run.out, run.err);
    assert_eq!(bench.names("work/mine"), FILES);
    assert_eq!(bench.names("work"), ["mine"]);
    let run = bench.run(&["assess", "work/mine/job.toml", "--out", "out"]).code(0);
    assert!(run.err.is_empty(), "{}", run.err);
    for part in ["No reed is measured yet", "Measured so far: 0 of 48 reeds", "--table"] {
        assert!(run.out.contains(part), "{part} is not in\n{}", run.out);
    }
    assert!(run.out.lines().count() < 6, "{}", run.out);
    let run = bench.run(&["assess", "work/mine/job.toml", "--table"]).code(0);
    for part in ["No reed is measured yet", "1-blow-out, 1-blow-in", "and 36 more"] {
        assert!(run.out.contains(part), "{part} is not in\n{}", run.out);
    }
    assert!(run.out.lines().count() < 40, "{}", run.out);
    assert!(bench.read("out/assess.csv").contains("not measured yet"));
    let run = bench.run(&["life", "--job", "work/mine/job.toml"]).code(0);
    assert!(run.err.is_empty(), "{}", run.err);
}

#[test]
fn filled_in_with_the_demo_it_is_the_demo() {
    let bench = Bench::new();
    bench.run(&["new", "mine"]).code(0);
    bench.write("mine/job.toml", typed_into(&bench.read("mine/job.toml"), DEMO_JOB));
    bench.write("mine/sheet.csv", filled(&bench.read("mine/sheet.csv"), DEMO_SHEET, |_, _| true));
    let (mine, demo) = (Job::load(bench.path("mine/job.toml")).unwrap(), Job::load("data/demo/job.toml").unwrap());
    assert_eq!((mine.reeds.len(), &mine.player), (48, &demo.player));
    assert_eq!((&mine.instrument, &mine.assumed, &mine.notes), (&demo.instrument, &demo.assumed, &demo.notes));
    for (mine, demo) in mine.reeds.iter().flatten().zip(demo.reeds.iter().flatten()) {
        assert_eq!((&mine.id, mine.target_hz, mine.line), (&demo.id, demo.target_hz, demo.line));
        assert_eq!((&mine.checked.reed, &mine.checked.assumed), (&demo.checked.reed, &demo.checked.assumed));
    }
    // The same answer to the last digit, on a few rows: all 48 take their time.
    let few = |text: &str| text.lines().take(7).map(|line| format!("{line}\n")).collect::<String>();
    std::fs::create_dir(bench.path("demo")).unwrap();
    bench.write("demo/job.toml", DEMO_JOB);
    bench.write("demo/sheet.csv", few(DEMO_SHEET));
    bench.write("mine/sheet.csv", few(&bench.read("mine/sheet.csv")));
    let answer = |job: &str| bench.run(&["assess", job, "--json"]).code(0).json();
    assert_eq!(answer("mine/job.toml"), answer("demo/job.toml"));
}

#[test]
fn a_half_filled_sheet_gives_the_reeds_that_are_there() {
    let bench = Bench::new();
    bench.run(&["new", "mine"]).code(0);
    let start = bench.read("mine/job.toml");
    // Two reeds whole, three without their gap, the rest blank.
    let wanted = |row: usize, column: &str| row < 2 || (row < 5 && column != "tip_gap_mm");
    bench.write("mine/sheet.csv", filled(&bench.read("mine/sheet.csv"), DEMO_SHEET, wanted));
    let run = bench.run(&["assess", "mine/job.toml"]).code(1);
    assert!(run.err.is_empty() && run.out.contains("Measured so far: 2 of 48 reeds, 3 begun: --table"), "{}", run.out);
    let run = bench.run(&["assess", "mine/job.toml", "--table"]).code(1);
    for part in [
        "Measured so far: 2 of 48 reeds",
        "  still to measure tip_gap_mm: 1-draw-out, 1-draw-in, 2-blow-out\n",
        "  not measured yet: 2-blow-in, 2-draw-out,",
        " more",
        "not assessed: half measured",
    ] {
        assert!(run.out.contains(part), "{part} is not in\n{}", run.out);
    }
    let json = bench.run(&["assess", "mine/job.toml", "--json"]).code(1).json();
    let set = &json["set"];
    assert_eq!([number(set, "reeds"), number(set, "failed_rows"), number(set, "not_measured")], [48.0, 3.0, 43.0]);
    assert_eq!(json["reeds"][2]["still_needs"], serde_json::json!(["tip_gap_mm"]));
    assert_eq!((&json["reeds"][5]["not_measured"], &json["reeds"][5]["id"]), (&true.into(), &"2-blow-in".into()));
    // With only whole and blank rows nothing has failed.
    let empty = filled(&bench.read("mine/sheet.csv"), DEMO_SHEET, |row, _| row < 5);
    bench.write("mine/sheet.csv", empty);
    bench.run(&["assess", "mine/job.toml"]).code(0);
    // What the user wrote is as it was.
    assert_eq!(bench.read("mine/job.toml"), start);
}

/// Nothing measured, one reed measured, one half: each command of a job does what is there and says what is missing.
#[test]
fn every_command_of_a_job_passes_over_what_is_not_measured() {
    let bench = Bench::new();
    bench.run(&["new", "mine"]).code(0);
    let empty = bench.read("mine/sheet.csv");
    let calls: [&[&str]; 4] = [&["assess", "--table"], &["balance"], &["worklist"], &["life", "--job"]];
    for call in calls {
        let run = bench.run(&[call, &["mine/job.toml"]].concat()).code(0);
        assert!(run.err.is_empty(), "{call:?}: {}", run.err);
        assert!(run.out.contains("Measured so far: 0 of 48 reeds"), "{call:?}: {}", run.out);
        assert!(!run.out.contains("reeds suit the player"), "{call:?}: {}", run.out);
    }
    let one_and_a_half = filled(&empty, DEMO_SHEET, |k, name| k == 0 || k == 1 && name == "length_mm");
    bench.write("mine/sheet.csv", one_and_a_half);
    for call in calls {
        let run = bench.run(&[call, &["mine/job.toml"]].concat()).code(1);
        assert!(run.err.is_empty(), "{call:?}: {}", run.err);
        for part in ["1-blow-out", "still to measure", "1-blow-in", "Measured so far: 1 of 48 reeds"] {
            assert!(run.out.contains(part), "{call:?}: {part} is not in\n{}", run.out);
        }
    }
    let json = bench.run(&["balance", "mine/job.toml", "--json"]).code(1).json();
    assert_eq!((number(&json["set"], "failed_rows"), number(&json["set"], "not_measured")), (1.0, 46.0));
}

#[test]
fn layouts_keys_and_lists_of_notes() {
    let bench = Bench::new();
    let job = |name: &str| Job::load(bench.path(&format!("{name}/job.toml"))).unwrap();
    let sheet = |name: &str| bench.read(&format!("{name}/sheet.csv"));
    for (name, arguments, rows, first, last) in [
        ("g", &["--key", "G"][..], 48, "1,blow,out,G3,", "12,draw,in,A6,"),
        ("bb", &["--lowest", "Bb3", "--key", "Bb"], 48, "1,blow,out,A#3,", "12,draw,in,C7,"),
        ("deep", &["--holes", "16"], 64, "1,blow,out,C3,", "16,draw,in,D7,"),
        ("fourteen", &["--holes", "14", "--layout", "solo"], 56, "1,blow,out,C4,", "14,draw,in,F#7,"),
        ("ten", &["--layout", "diatonic"], 20, "1,blow,out,C4,", "10,draw,out,A6,"),
        ("ten-in-g", &["--layout", "diatonic", "--key", "G", "--holes", "10"], 20, "1,blow,out,G3,", "10,draw,out,E6,"),
        ("pairs", &["--notes", "C4/D4 E4 -/B4"], 4, "1,blow,out,C4,", "3,draw,out,B4,"),
        ("notes", &["--notes", "C4 C#4, Eb4;F4"], 4, "1,blow,out,C4,", "4,blow,out,F4,"),
    ] {
        bench.run(&[&["new", name], arguments].concat()).code(0);
        let text = sheet(name);
        assert_eq!(text.lines().count(), rows + 1, "{name}");
        assert!(text.lines().nth(1).unwrap().starts_with(first), "{text}");
        assert!(text.lines().last().unwrap().starts_with(last), "{text}");
        // Every row is only not measured yet, and nothing is odd.
        let job = job(name);
        assert!(job.reeds.iter().all(|row| row.as_ref().is_err_and(|row| row.not_measured())), "{name}");
        assert!(job.notes.is_empty(), "{name}: {:?}", job.notes);
    }
    for start in STARTS {
        bench.run(&["new", start.name, "--player", start.name]).code(0);
        assert!(job(start.name).assumed.iter().any(|assumed| assumed.why.contains(start.name)), "{}", start.name);
    }
}

#[test]
fn what_cannot_be_begun_is_refused() {
    let bench = Bench::with(&[("job.toml", JOB), ("sheet.csv", &sheet(&ROWS))]);
    std::fs::create_dir(bench.path("full")).unwrap();
    bench.write("full/sheet.csv", "precious");
    for (call, part) in [
        (&["new", "full"][..], "full is there already, and nothing is written over; name a new folder"),
        (&["new", "job.toml"], "job.toml is there already"),
        (&["new", "."], "is there already"),
        (&["new", "x", "--notes", ""], "--notes names 0 notes; give 1 to 999"),
        (&["new", "x", "--notes", "C4 H4"], "--notes: H4 is no note"),
        (&["new", "x", "--key", "C", "--lowest", "G3"], "a layout in C begins on C"),
        (&["new", "x", "--lowest", "C8"], "run out of notes"),
        (&["new", "x", "--holes", "10"], "a solo layout has 12, 14 or 16, a diatonic one 10"),
        (&["new", "x", "--layout", "diatonic", "--holes", "12"], "a diatonic one 10"),
        (&["new", "x", "--notes", "C4/H4"], "--notes: H4 is no note"),
        (&["new", "x", "--notes", "- -/-"], "--notes names no reed"),
    ] {
        bench.run(call).refused(&[part]);
    }
    for call in [
        &["new"][..],
        &["new", "x", "--holes", "13"],
        &["new", "x", "--player", "wild"],
        &["new", "x", "--notes", "C4", "--holes", "12"],
    ] {
        assert!(bench.run(call).code(2).out.is_empty());
    }
    assert_eq!((bench.read("full/sheet.csv").as_str(), bench.names("full").len()), ("precious", 1));
    assert!(!bench.path("x").exists());
    // A folder with nothing in it may be filled.
    std::fs::create_dir(bench.path("empty")).unwrap();
    bench.run(&["new", "empty"]).code(0);
    bench.run(&["new", "empty"]).refused(&["is there already"]);
}

#[test]
fn every_line_of_a_starting_job_can_be_used() {
    let bench = Bench::new();
    bench.run(&["new", "mine"]).code(0);
    let text = bench.read("mine/job.toml");
    // Marks are taken away before every key that has a value, and before the headings.
    let used: String = text
        .lines()
        .map(|line| {
            let bare = line.strip_prefix("# ").unwrap_or(line);
            let key = bare.split(' ').next().unwrap_or_default();
            let heading = bare.starts_with('[') && bare.ends_with(']');
            let number = |key: &str| if key.contains("_c") { "20" } else { "50" };
            match bare.split_once(" =") {
                _ if heading => bare.to_owned(),
                Some((key, rest)) if !key.contains(' ') && rest.trim_start().starts_with('#') => match key {
                    "temper" => "temper = \"H04\"".to_owned(),
                    "pressure_kpa" => "pressure_kpa = 101".to_owned(),
                    "co2_percent" => "co2_percent = 0.04".to_owned(),
                    _ => format!("{key} = {}", number(key)),
                },
                Some((key, _)) if !key.contains(' ') => bare.to_owned(),
                _ => {
                    let _ = key;
                    line.to_owned()
                }
            }
        })
        .map(|line| line + "\n")
        .collect();
    bench.write("mine/job.toml", &used);
    let job = Job::load(bench.path("mine/job.toml")).unwrap_or_else(|error| panic!("{used}\n{error}"));
    // The player is typed whole, the tuning too: only lungs and rates are left.
    assert!(job.assumed.is_empty(), "{:?}\n{used}", job.assumed);
    assert!(used.matches("\nchannel_area_mm2 = 50").count() == 1 && used.contains("\n[air.draw]"), "{used}");
}

#[test]
fn how_to_measure_names_every_measurement_of_a_reed() {
    let bench = Bench::new();
    bench.run(&["new", "mine"]).code(0);
    let text = bench.read("mine/HOW-TO-MEASURE.md");
    for key in KEYS.iter().filter(|key| ["reed", "slot", "chamber"].contains(&key.table.name())) {
        let named = text.lines().find(|line| line.starts_with(&format!("- **{}**", key.name))).unwrap_or_default();
        assert!(named.contains(key.measure) && named.contains(key.meaning), "{}: {named}", key.name);
        let tolerance = key.tolerance.map(|typed| format!("Good to about {}.", key.with_unit(typed)));
        assert!(tolerance.is_none_or(|said| named.contains(&said)), "{named}");
    }
    for part in ["1 cm is 98.07 Pa", "do not inhale it", "Local rules"] {
        assert!(text.contains(part), "{part}");
    }
}
