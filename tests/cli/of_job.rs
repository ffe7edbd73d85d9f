//! The commands on one reed take a reed of a job as well: its player, its note and its tuning come with it.

use crate::support::cli::{Bench, JOB, REED, ROWS, number, sheet};
use serde_json::Value;

/// A set at an A of 441 Hz whose player asks in a way of their own.
fn bench() -> Bench {
    let job = JOB.replace("concert_pitch_hz = 442", "concert_pitch_hz = 441") + "attack_rise_ms = 20\n";
    Bench::with(&[("job.toml", &job), ("sheet.csv", &sheet(&ROWS)), ("reed.toml", REED)])
}

const C5: [&str; 4] = ["--job", "job.toml", "--reed", "5-blow-out"];

/// Every command that takes either, with what it cannot do without.
const COMMANDS: [&[&str]; 7] = [
    &["predict"],
    &["attack"],
    &["whatif", "--set", "tip_gap_mm=0.3"],
    &["sweep", "--vary", "tip_gap_mm=0.25:0.30:0.05"],
    &["charts", "--out", "pictures"],
    &["handout", "--out", "booklet.html"],
    &["care"],
];

fn run(bench: &Bench, command: &[&str], more: &[&str]) -> crate::support::cli::Run {
    bench.run(&[command, more].concat())
}

#[test]
fn a_reed_is_named_in_one_way_of_the_two() {
    let bench = bench();
    for command in COMMANDS {
        run(&bench, command, &[&["reed.toml"], &C5[..]].concat()).refused(&["cannot be used with"]);
        run(&bench, command, &["--job", "job.toml"]).refused(&["--reed <ID>"]);
        run(&bench, command, &["--reed", "5-blow-out"]).refused(&["--job <JOB.toml>"]);
        run(&bench, command, &["--job", "job.toml", "--reed", "5-blow-uot"]).refused(&["did you mean 5-blow-out?"]);
        if command[0] != "handout" {
            run(&bench, command, &[]).refused(&["FILE"]);
        }
    }
    run(&bench, &["attack", "reed.toml"], &[]).refused(&["--pressure-pa"]);
    assert_eq!(bench.names("."), ["job.toml", "reed.toml", "sheet.csv"]);
}

/// C5 lies three equal semitones above an A of 441 Hz: `441 * 2^(3/12)` = 524.44 Hz (ISO 16 has 440 Hz).
#[test]
fn every_answer_says_which_reed_of_which_job_it_is() {
    let bench = bench();
    let is_ours = |json: &Value| {
        assert_eq!(json["reed"], "5-blow-out (C5) of job.toml");
        let job = &json["job"];
        assert_eq!(
            (job["file"].as_str(), job["reed"].as_str(), job["note"].as_str()),
            (Some("job.toml"), Some("5-blow-out"), Some("C5"))
        );
        assert_eq!((number(job, "concert_pitch_hz"), number(job, "normal_pa")), (441.0, 1000.0));
        assert!((number(job, "target_hz") - 441.0 * 2.0_f64.powf(0.25)).abs() < 1e-9);
    };
    for command in COMMANDS.iter().filter(|command| !["charts", "handout"].contains(&command[0])) {
        is_ours(&run(&bench, command, &[&C5[..], &["--json"]].concat()).code(0).json());
        let told = run(&bench, command, &C5).code(0);
        let heard = if command[0] == "sweep" { &told.err } else { &told.out };
        assert!(heard.starts_with("5-blow-out (C5) of job.toml"), "{heard}");
    }
    is_ours(&bench.run(&[&["align", "--json"], &C5[..]].concat()).code(0).json());
    let by_itself = bench.run(&["predict", "reed.toml", "--json"]).code(0).json();
    assert_eq!((by_itself["reed"].as_str(), by_itself.get("job")), (Some("reed.toml"), None));
}

#[test]
fn its_player_asks_unless_the_call_does() {
    let bench = bench();
    let json =
        |command: &[&str], more: &[&str]| run(&bench, command, &[&C5[..], more, &["--json"]].concat()).code(0).json();
    let attack = json(COMMANDS[1], &[]);
    assert_eq!((number(&attack, "pressure_pa"), number(&attack, "rise_s")), (1000.0, 0.02));
    let attack = json(COMMANDS[1], &["--pressure-pa", "700", "--rise-ms", "5"]);
    assert_eq!((number(&attack, "pressure_pa"), number(&attack, "rise_s")), (700.0, 0.005));
    for command in [COMMANDS[2], COMMANDS[3]] {
        let asked =
            |json: &Value| ["pressure_pa", "rise_s", "time_allowed_s"].map(|key| number(&json["conditions"], key));
        assert_eq!(asked(&json(command, &[])), [1000.0, 0.02, 0.25]);
        assert_eq!(asked(&json(command, &["--pressure-pa", "700", "--allowed-ms", "80"])), [700.0, 0.02, 0.08]);
    }
    let growth = |json: &Value| {
        let all = json["growth"].as_array().unwrap();
        all.iter().map(|one| number(one, "pressure_pa")).collect::<Vec<_>>()
    };
    assert_eq!(growth(&json(COMMANDS[0], &[])), [500.0, 1000.0, 2000.0]);
    assert_eq!(growth(&json(COMMANDS[0], &["--at-pa", "300"])), [300.0]);
}

/// The sheet has the reed at 525 Hz: `1200 log2(525/524.44)` = 1.8 cents above its note, and 5.8 above that at 440 Hz.
#[test]
fn notes_are_those_of_the_job_everywhere() {
    let bench = bench();
    let told = run(&bench, COMMANDS[0], &C5).code(0).out;
    assert!(told.contains("525.0 Hz (C5 +1.8 cents)"), "{told}");
    let calls: [&[&str]; 9] = [
        COMMANDS[0],
        COMMANDS[1],
        COMMANDS[2],
        &["retune", "--cents", "5"],
        &["regap", "--to-mm", "0.25"],
        &["align"],
        &["seal", "leak"],
        &["fasten", "--head-mm", "2.2", "--hole-mm", "1.2", "--pad-mm", "3.0x2.5"],
        &["replace", "--to-note", "--strip-mm", "0.2,0.25,0.3"],
    ];
    for call in calls {
        let told = run(&bench, call, &C5).code(0).out.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(told.contains("Notes are at A4 = 441 Hz") && !told.contains("440 Hz,"), "{call:?}: {told}");
    }
    // A5 of the job is twice its A4.
    let told = bench.run(&["retune", "--job", "job.toml", "--reed", "7-draw-out", "--note", "A5"]).code(0).out;
    assert!(told.contains("882.00 Hz"), "{told}");
    let told = bench
        .run(&["retune", "--job", "job.toml", "--reed", "7-draw-out", "--note", "A5", "--concert-hz", "443"])
        .code(0)
        .out;
    assert!(told.contains("less than a tuner can tell") || told.contains("886.00 Hz"), "{told}");
}

#[test]
fn pictures_are_of_the_reed_and_its_tuning() {
    let bench = bench();
    let told = run(&bench, COMMANDS[4], &C5).code(0).out;
    assert!(told.contains("11 pictures of 5-blow-out (C5) of job.toml in pictures"), "{told}");
    run(&bench, COMMANDS[2], &[&C5[..], &["--chart", "change.svg"]].concat()).code(0);
    let pictures = bench.names("pictures").into_iter().map(|name| format!("pictures/{name}"));
    for name in pictures.chain(["change.svg".to_owned()]) {
        let svg = bench.read(&name);
        assert!(svg.contains("5-blow-out (C5) of job.toml") && !svg.contains("440 Hz"), "{name}");
    }
    assert!(bench.read("pictures/bench.svg").contains("441 Hz"));
}

/// A reed that never speaks makes the shortest booklet.
#[test]
fn the_booklet_is_of_the_reed_and_its_tuning() {
    let bench = bench();
    let mute = "hole,breath,slide,note,length_mm,width_mm,thickness_mm,quality_factor,tip_gap_mm,side_clearance_mm\n\
                5,blow,out,C5,7,1.5,0.2,8,1.5,0.4\n";
    bench.write("sheet.csv", mute);
    let told = run(&bench, COMMANDS[5], &C5).code(0).out;
    assert!(told.contains("on 5-blow-out (C5) of job.toml"), "{told}");
    let page = bench.read("booklet.html");
    assert!(page.contains("<b>5-blow-out (C5) of job.toml</b>") && !page.contains("invented"));
    assert!(page.contains("for an A of 441 Hz") || page.contains("for an A of 441\u{a0}Hz"));
}

/// A changed reed of a job is saved as a file of its own that keeps what was promised; the sheet stays as it is.
#[test]
fn a_changed_reed_of_a_job_becomes_a_reed_file() {
    let bench = bench();
    let save = ["--of", "onset,choke", "--save", "wider.toml", "--json"];
    let json = run(&bench, COMMANDS[2], &[&C5[..], &save].concat()).code(0).json();
    let predicted = bench.run(&["predict", "wider.toml", "--json"]).code(0).json();
    for key in ["onset_pressure_pa", "choke_pressure_pa"] {
        let promised = number(&json["results"][key]["after"], "value");
        assert!((number(&predicted, key) / promised - 1.0).abs() < 1e-4, "{key}");
    }
    assert_eq!(bench.read("sheet.csv"), sheet(&ROWS));
}

/// Two reeds of one sheet are two works: the one does not go on with what was begun for the other.
#[test]
fn a_sweep_goes_on_with_its_own_reed_alone() {
    let bench = bench();
    let call = |id: &'static str| {
        let of = ["sweep", "--job", "job.toml", "--reed", id, "--vary", "tip_gap_mm=0.20:0.40:0.0005", "--of", "t50"];
        [&of[..], &["--out", "parts"]].concat()
    };
    let unfinished = bench.path("parts/unfinished.jsonl");
    let mut running = std::process::Command::new(env!("CARGO_BIN_EXE_freereed"))
        .current_dir(bench.path("."))
        .args(call("6-blow-out"))
        .stderr(std::process::Stdio::null())
        .spawn()
        .unwrap();
    let began = std::time::Instant::now();
    while !unfinished.exists() && began.elapsed().as_secs() < 60 {
        std::thread::sleep(std::time::Duration::from_millis(5));
    }
    running.kill().unwrap();
    running.wait().unwrap();
    assert!(unfinished.exists());
    let other = bench.run(&call("5-blow-out")).code(2);
    assert!(other.complaint().contains("parts holds the beginning of other work"), "{}", other.err);
}
