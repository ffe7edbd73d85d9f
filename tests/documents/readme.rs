//! Every command that README.md shows is run, and what it shows is what comes out; the set it assesses has what was planted.

use std::path::Path;
use std::sync::LazyLock;

use crate::support::cli::{Bench, Run, names_in, number};
#[cfg(feature = "page")]
use crate::support::page::Served;
use serde_json::Value;

const README: &str = include_str!("../../README.md");

/// The lines of all blocks of a kind.
fn blocks(kind: &str) -> Vec<&'static str> {
    let fence = format!("```{kind}\n");
    README.split(&fence).skip(1).flat_map(|after| after.split("```").next().unwrap().lines()).collect()
}

/// Arguments of all calls of the program.
fn calls() -> Vec<Vec<&'static str>> {
    let call = |line: &'static str| match line.strip_prefix("cargo run --release -- ") {
        Some(arguments) => Some(arguments.split(' ').collect()),
        None if line == "cargo test" => None,
        None => panic!("{line} is not run by any test"),
    };
    blocks("sh").into_iter().filter_map(call).collect()
}

/// A bench with the data that are shipped, with the rows of the demo's sheet that are `wanted`.
fn shipped(wanted: impl Fn(&str) -> bool) -> Bench {
    let bench = Bench::new();
    for folder in ["data/demo", "data/weeks", "data/weeks/rounds", "data/pieces"] {
        let data = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
        std::fs::create_dir_all(bench.path(folder)).unwrap();
        for name in names_in(&data).into_iter().filter(|name| data.join(name).is_file()) {
            std::fs::copy(data.join(&name), bench.path(folder).join(&name)).unwrap();
        }
    }
    let sheet = bench.read("data/demo/sheet.csv");
    let rows =
        sheet.lines().enumerate().filter(|(k, row)| *k == 0 || wanted(row)).map(|(_, row)| row.to_owned() + "\n");
    bench.write("data/demo/sheet.csv", rows.collect::<String>());
    bench
}

/// The rows of the reeds that README.md names in its calls, and of the hole with nothing wrong beside two of them.
fn few() -> Bench {
    let named: Vec<String> = calls()
        .into_iter()
        .filter_map(|call| {
            Some(call[call.iter().position(|argument| *argument == "--reed")? + 1].replace('-', ",") + ",")
        })
        .collect();
    shipped(|row| row.starts_with("8,") || named.iter().any(|name| row.starts_with(name)))
}

/// The demo assessed, once for all tests: the call with most arguments.
static DEMO: LazyLock<(Bench, Run)> = LazyLock::new(|| {
    let assess = calls().into_iter().filter(|call| call[0] == "assess");
    let longest = assess.max_by_key(Vec::len).expect("a call of assess");
    assert_eq!(longest[1..], ["data/demo/job.toml", "--out", "assessed"]);
    let bench = shipped(|_| true);
    let run = bench.run(&longest).code(0);
    (bench, run)
});

#[test]
fn every_command_is_run() {
    let bench = few();
    let mut commands = Vec::new();
    for call in calls() {
        commands.push(call[0]);
        if call[0] == "assess" {
            // The same job with and without files: the longer call prints what the shorter does.
            assert!(call.len() == 2 && call[1] == "data/demo/job.toml" || call.contains(&"--out"), "{call:?}");
            continue;
        }
        if call[0] == "open" {
            // It serves until it is told to end.
            #[cfg(feature = "page")]
            assert!(Served::open(&bench.path("."), &call[1..]).is_up());
            continue;
        }
        // The rounds name reeds all over the set.
        let bench = if call[0] == "rounds" { &DEMO.0 } else { &bench };
        let run = bench.run(&call).code(0);
        assert!(!run.out.is_empty() && run.err.is_empty(), "{call:?}: {}", run.err);
        for file in call.iter().filter(|argument| {
            ["run.csv", "run.wav", "booklet.html", "card.html", "accents.svg", "accents.wav"].contains(argument)
        }) {
            assert!(bench.path(file).metadata().unwrap().len() > 5_000, "{file}");
        }
        if call[0] == "handout" {
            assert!(bench.read("booklet.html").contains("an invented reed"));
        }
        if call[0] == "verify" {
            let count: usize = run.out.lines().last().unwrap().split(' ').next().unwrap().parse().unwrap();
            assert!(README.contains("more than fourteen hundred") && (1400..1500).contains(&count), "{count} checks");
        }
    }
    commands.sort_unstable();
    commands.dedup();
    let every = [
        "align", "assess", "attack", "balance", "care", "charts", "fasten", "handout", "keys", "life", "listen", "new",
        "open", "predict", "protocol", "regap", "rehearse", "replace", "retune", "rounds", "schema", "seal", "sweep",
        "verify", "whatif", "worklist",
    ];
    assert_eq!(commands, every);
}

#[test]
fn what_is_shown_comes_out() {
    let shown = blocks("text");
    // What matters fits a terminal of 80 columns.
    assert!(DEMO.1.out.lines().count() <= 20, "{}", DEMO.1.out);
    assert!(DEMO.1.out.lines().all(|line| line.chars().count() <= 80), "{}", DEMO.1.out);
    let printed: Vec<&str> = DEMO.1.out.lines().collect();
    assert!(shown.len() > 4);
    for line in shown {
        assert!(printed.contains(&line), "README.md shows\n{line}\nwhich is not in\n{}", DEMO.1.out);
    }
}

/// The faults that `tests/instrument/demo.rs` puts into the set: reed, kind and reason.
const PLANTED: [(&str, &str, &str); 6] = [
    ("3-blow-out", "fails at a hard attack", "tip gap too close"),
    ("4-blow-in", "off centre", "0.006 mm on the left"),
    ("5-draw-in", "no soft start", "tip gap too wide"),
    ("6-draw-in", "no soft start", "it leaks"),
    ("7-draw-out", "flat", "cents from its target, plucked"),
    ("10-blow-out", "measure again", "more thickness than was measured"),
];

#[test]
fn the_demo_has_what_was_planted_and_no_more() {
    let (bench, run) = &*DEMO;
    assert_eq!((bench.names("assessed").len(), run.err.as_str()), (5, ""));
    let json: Value = serde_json::from_str(&bench.read("assessed/assess.json")).unwrap();
    let reeds = json["reeds"].as_array().unwrap();
    assert_eq!((reeds.len(), number(&json["set"], "with_findings")), (48, PLANTED.len() as f64));
    let found: Vec<_> = reeds
        .iter()
        .flat_map(|reed| reed["findings"].as_array().unwrap().iter().map(move |finding| (reed, finding)))
        .map(|(reed, finding)| [&reed["id"], &finding["kind"], &finding["sentence"]].map(|text| text.as_str().unwrap()))
        .collect();
    assert_eq!(found.len(), PLANTED.len(), "{found:?}");
    for ([id, kind, sentence], planted) in found.iter().zip(PLANTED) {
        assert_eq!((*id, *kind), (planted.0, planted.1));
        assert!(sentence.contains(planted.2), "{sentence}");
    }
}
