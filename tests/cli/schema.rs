//! `freereed schema`, and answers that are rare.

use serde_json::Value;

use crate::support::cli::{Bench, HEAD, JOB, MUTE, REED, ROWS};

#[test]
fn every_schema_is_printed_and_every_file_is_one() {
    let bench = Bench::new();
    let names = bench.run(&["schema"]).code(0).out;
    let mut files: Vec<String> = std::fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/data/schema"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    files.sort();
    assert_eq!(names.lines().map(|name| format!("{name}.json")).collect::<Vec<_>>(), files);
    for name in names.lines() {
        let schema: Value = serde_json::from_str(&bench.run(&["schema", name]).code(0).out).unwrap();
        assert_eq!(schema["title"], format!("freereed {name} --json"));
        assert_eq!(schema["type"], "object");
    }
    bench.run(&["schema", "tune"]).refused(&["there are schemas of align, assess"]);
}

/// Every command that has `--json` has a schema.
#[test]
fn no_command_is_without() {
    let bench = Bench::new();
    let names = bench.run(&["schema"]).code(0).out;
    let help = bench.run(&["--help"]).code(0).out;
    let commands = help.lines().skip_while(|line| *line != "Commands:").skip(1).take_while(|line| !line.is_empty());
    let commands: Vec<&str> = commands.filter_map(|line| line.split_whitespace().next()).collect();
    assert!(commands.len() > 20, "{commands:?}");
    for command in commands {
        let own = bench.run(&[command, "--help"]).code(0).out;
        // One that is asked for in several ways tells of it with each.
        let has_json = own.lines().any(|line| line.trim_start().starts_with("--json")) || own.contains("Commands:");
        assert_eq!(has_json, names.lines().any(|name| name == command), "{command}");
    }
}

/// What does not exist of a reed that never speaks is null, as its schema says.
#[test]
fn a_reed_that_never_speaks_is_within_its_schemas() {
    let bench = Bench::with(&[("mute.toml", MUTE), ("reed.toml", REED)]);
    let calls: [(&[&str], i32); 14] = [
        (&["predict", "mute.toml"], 0),
        (&["attack", "mute.toml", "--pressure-pa", "300"], 0),
        (&["attack", "reed.toml", "--pressure-pa", "19000"], 0),
        (&["whatif", "mute.toml", "--set", "quality_factor=9"], 0),
        (&["whatif", "mute.toml", "--set", "tip_gap_mm=0.3"], 0),
        (
            &["sweep", "mute.toml", "--vary", "tip_gap_mm=0.3:1.5:0.6", "--of", "playable,level,sounds_from,sounds_to"],
            0,
        ),
        (&["retune", "mute.toml", "--cents", "5"], 0),
        (&["align", "mute.toml"], 0),
        (&["care", "mute.toml"], 0),
        (&["replace", "mute.toml", "--strip-mm", "0.2", "--note", "C5"], 0),
        // Nothing can be said of these, and why is told as JSON too.
        (&["life", "mute.toml"], 2),
        (&["regap", "mute.toml", "--to-mm", "0.5"], 2),
        (&["seal", "leak", "mute.toml"], 2),
        (&["seal", "edges", "mute.toml"], 2),
    ];
    for (call, code) in calls {
        bench.run(&[call, &["--json"]].concat()).code(code).json();
    }
}

/// A set of one reed of which next to nothing is known, and one that is healthy but for a reed that cannot be read.
#[test]
fn sparse_sets_are_within_their_schemas() {
    let bare = "hole,breath,slide,note,length_mm,width_mm,tip_gap_mm\n5,blow,out,C5,14.3,2.11,\n6,blow,out,E5,,,\n";
    let odd = format!("{HEAD}\n{}\n6,draw,out,F5,x,2.07,702,,0.24,0.026,,\n", ROWS.join("\n"));
    for sheet in [bare.to_owned(), odd] {
        let bench = Bench::with(&[("job.toml", JOB), ("sheet.csv", &sheet)]);
        for command in ["assess", "balance", "worklist", "rounds", "protocol", "life"] {
            bench.run(&[command, "job.toml", "--json"]).json();
        }
    }
}
