//! A job's folder that is copied in the middle of a run, killed in the middle of a write, cut short or read only: nothing
//! that was typed is lost or changed, and what is missing is said.

use std::collections::BTreeMap;
use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use crate::support::cli::{Bench, HEAD, JOB, REED, ROWS, sheet};
use crate::support::physics::Random;
use freereed::sheet::Job;

const ROUND: &str = "hole,breath,slide,operation,tip_gap_mm,softest_blow_pa\n5,blow,out,regap,0.28,60\n";
/// What the user wrote.
const TYPED: [&str; 4] = ["job.toml", "sheet.csv", "reed.toml", "rounds/2026-03-01.csv"];

fn bench() -> Bench {
    let bench = Bench::with(&[("job.toml", JOB), ("sheet.csv", &sheet(&ROWS[3..])), ("reed.toml", REED)]);
    fs::create_dir(bench.path("rounds")).unwrap();
    bench.write("rounds/2026-03-01.csv", ROUND);
    bench
}

/// Every file below a folder, by its path from there.
fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    for entry in fs::read_dir(folder).into_iter().flatten().flatten() {
        let name = entry.file_name().into_string().unwrap();
        if entry.path().is_dir() {
            found.extend(files(&entry.path()).into_iter().map(|(below, bytes)| (format!("{name}/{below}"), bytes)));
        } else if let Ok(bytes) = fs::read(entry.path()) {
            // In a folder that is written to, a file may be gone between the two.
            found.insert(name, bytes);
        }
    }
    found
}

fn is_leftover(path: &str) -> bool {
    path.split('/').any(|part| part.starts_with(".freereed-"))
}

fn start(bench: &Bench, call: &[&str]) -> Child {
    Command::new(env!("CARGO_BIN_EXE_freereed"))
        .current_dir(bench.path(""))
        .args(call)
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .unwrap()
}

/// Calls that write, and what they write to.
const WRITING: [(&[&str], &str); 4] = [
    (&["sweep", "reed.toml", "--vary", "tip_gap_mm=0.10:0.50:0.01", "--of", "onset,choke", "--out", "out"], "out"),
    (&["assess", "job.toml", "--out", "out"], "out"),
    (&["new", "out"], "out"),
    (&["worklist", "job.toml", "--card", "card.html", "--overwrite"], "card.html"),
];
/// Of an interrupted sweep.
const UNFINISHED: &str = "out/unfinished.jsonl";

/// Killed (SIGKILL) at seeded moments of the time that a whole run takes.
#[test]
fn a_run_that_is_killed_leaves_nothing_half_written() {
    let mut random = Random::new(7);
    let mut killed = 0;
    for (call, writes_to) in WRITING {
        let whole = bench();
        let begun = Instant::now();
        assert!(start(&whole, call).wait().unwrap().success(), "{call:?}");
        let took_s = begun.elapsed().as_secs_f64();
        let wanted = files(&whole.path(""));
        for moment in 0..4 {
            let bench = bench();
            let mut child = start(&bench, call);
            // The last ones close to the end, where files are placed.
            let share = if moment < 2 { random.between(0.0, 0.9) } else { random.between(0.9, 1.05) };
            std::thread::sleep(Duration::from_secs_f64(share * took_s));
            child.kill().unwrap();
            killed += usize::from(child.wait().unwrap().code().is_none());
            for (path, bytes) in files(&bench.path("")) {
                assert!(is_leftover(&path) || path == UNFINISHED || wanted[&path] == bytes, "{call:?}: {path}");
            }
            assert!(TYPED.iter().all(|path| bench.path(path).is_file()), "{call:?}");
            // The next run works. What a new job wrote whole it does not write again.
            let again = bench.run(call);
            assert!(again.code == 0 || call[0] == "new" && bench.path(writes_to).is_dir(), "{call:?}: {}", again.err);
            let mut after = files(&bench.path(""));
            after.retain(|path, _| !is_leftover(path) || path.starts_with(writes_to));
            assert!(after == wanted, "{call:?}: {:?}", after.keys());
        }
    }
    // A new job is written in no time and may escape; the others take long enough.
    assert!(killed > 0, "nothing was killed in time");
}

/// Leftovers of a killed run, put where such a run would leave them.
#[test]
fn leftovers_are_no_sheets_and_are_cleared_from_folders_of_results() {
    let bench = bench();
    let plain = bench.run(&["rounds", "job.toml"]).code(0).out;
    fs::create_dir(bench.path("out")).unwrap();
    for path in ["out/.freereed-Ab12cd", "rounds/.freereed-Ab12cd", ".freereed-Ab12cd"] {
        bench.write(path, "hole,breath,slide,tip_gap_mm\n5,blow,out,0.");
    }
    assert_eq!(bench.run(&["rounds", "job.toml"]).code(0).out, plain);
    for call in [WRITING[0].0, WRITING[1].0] {
        bench.write("out/.freereed-Ab12cd", "half");
        bench.run(call).code(0);
        assert!(bench.names("out").iter().all(|name| !is_leftover(name)), "{:?}", bench.names("out"));
        fs::remove_dir_all(bench.path("out")).unwrap();
        fs::create_dir(bench.path("out")).unwrap();
    }
    // A folder of somebody's is not cleared away.
    fs::create_dir(bench.path("out/.freereed-mine")).unwrap();
    bench.run(WRITING[1].0).refused(&[".freereed-mine", "name a new folder"]);
}

#[test]
fn a_folder_copied_while_a_run_writes_works() {
    let bench = bench();
    let plain = bench.run(&["assess", "job.toml"]).code(0).out;
    let (call, _) = WRITING[0];
    let mut child = start(&bench, call);
    let mut copies = Vec::new();
    while child.try_wait().unwrap().is_none() && copies.len() < 3 {
        std::thread::sleep(Duration::from_millis(60));
        let copy = Bench::new();
        for (path, bytes) in files(&bench.path("")) {
            fs::create_dir_all(copy.path(&path).parent().unwrap()).unwrap();
            copy.write(&path, bytes);
        }
        copies.push(copy);
    }
    assert!(child.wait().unwrap().success() && !copies.is_empty());
    for copy in copies {
        assert_eq!(copy.run(&["assess", "job.toml"]).code(0).out, plain);
        // Goes on from the part that was copied, and comes to the same.
        copy.run(call).code(0);
        assert_eq!(copy.read("out/sweep.csv"), bench.read("out/sweep.csv"));
    }
}

#[test]
fn what_editors_leave_among_the_rounds_is_passed_over_or_named() {
    let bench = bench();
    let plain = bench.run(&["rounds", "job.toml"]).code(0).out;
    for name in [
        ".2026-03-01.csv.swp",
        "2026-03-01.csv~",
        "~$2026-03-01.csv",
        ".~lock.2026-03-01.csv#",
        "#2026-03-01.csv#",
        ".DS_Store",
        "notes.txt",
    ] {
        bench.write(&format!("rounds/{name}"), b"\0\xFFleft");
    }
    assert_eq!(bench.run(&["rounds", "job.toml"]).code(0).out, plain);
    // A round that was saved in another form is not forgotten in silence.
    bench.write("rounds/2026-03-02.ods", "PK");
    let told = bench.run(&["assess", "job.toml"]).code(0).out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("in rounds, 2026-03-02.ods is no CSV file and is not read; if it is a round, export as CSV"));
    for name in ["2026-03-01 (copy).csv", "2026-03.csv", "2026-03-0.csv", "Copy of 2026-03-01.csv"] {
        let path = format!("rounds/{name}");
        bench.write(&path, ROUND);
        bench.run(&["rounds", "job.toml"]).refused(&[
            name,
            "name it by its day, 2026-03-01.csv",
            "move it out of rounds",
        ]);
        bench.run(&["assess", "job.toml"]).refused(&[name]);
        fs::remove_file(bench.path(&path)).unwrap();
    }
    fs::create_dir(bench.path("rounds/2026-03-03.csv")).unwrap();
    bench.run(&["rounds", "job.toml"]).refused(&["2026-03-03.csv", "is a folder"]);
}

/// Cut at every byte: what is not on the last line is as it was; the last line is, or a note says that it may not be.
#[test]
fn a_sheet_cut_off_anywhere_is_told_of() {
    let text = sheet(&ROWS[1..4]);
    let whole = Job::parse(("job.toml", JOB), ("sheet.csv", &text)).unwrap();
    let typed = |job: &Job, k: usize| {
        let reed = job.reeds[k].as_ref().ok()?;
        Some(
            HEAD.split(',').map(|key| reed.checked.spec.typed(key).map(|(value, _)| value.clone())).collect::<Vec<_>>(),
        )
    };
    let mut good = 0;
    for end in 0..text.len() {
        let cut = &text[..end];
        let Ok(job) = Job::parse(("job.toml", JOB), ("sheet.csv", cut)) else { continue };
        let told = job.notes.iter().any(|note| note.contains("sheet.csv: line") && note.contains("has no line end"));
        assert_eq!(told, !cut.ends_with('\n'), "{cut:?}: {:?}", job.notes);
        let sure = job.reeds.len() - usize::from(told);
        for k in 0..sure {
            assert_eq!(typed(&job, k), typed(&whole, k), "{cut:?}");
            good += 1;
        }
    }
    assert!(good > text.len() / 2, "{good}");
    // The same of the job and of a round, and what comes out of the program.
    let bench = bench();
    let mut random = Random::new(11);
    for name in ["sheet.csv", "job.toml", "rounds/2026-03-01.csv"] {
        let text = bench.read(name);
        for _ in 0..8 {
            let end = random.between(1.0, text.len() as f64) as usize;
            bench.write(name, &text[..end]);
            let run = bench.run(&["assess", "job.toml"]);
            let told = run.out.split_whitespace().collect::<Vec<_>>().join(" ").contains("has no line end");
            assert!(
                run.code == 2 && !run.err.is_empty() || told || text[..end].ends_with('\n'),
                "{name} {end} {}",
                run.out
            );
            assert!((0..=2).contains(&run.code), "{}", run.code);
        }
        bench.write(name, text);
    }
}

/// Who may not write is still told everything. (A superuser may write anyway: nothing is written, whoever asks.)
#[test]
fn commands_that_only_read_work_in_a_folder_that_is_read_only() {
    let bench = bench();
    let before = files(&bench.path(""));
    let all = || before.keys().map(|path| bench.path(path)).chain([bench.path("rounds"), bench.path("")]);
    let set = |mode: u32| all().for_each(|path| fs::set_permissions(&path, fs::Permissions::from_mode(mode)).unwrap());
    set(0o555);
    for call in [
        &["assess", "job.toml"][..],
        &["assess", "job.toml", "--fit"],
        &["rounds", "job.toml"],
        &["balance", "job.toml"],
        &["worklist", "job.toml"],
        &["life", "--job", "job.toml"],
        &["seal", "leak", "--job", "job.toml", "--reed", "5-blow-out"],
        &["predict", "reed.toml"],
    ] {
        assert!(!bench.run(call).code(0).out.is_empty(), "{call:?}");
    }
    set(0o755);
    assert_eq!(files(&bench.path("")), before);
}

/// Nobody writes into it: whoever opens it waits.
#[test]
fn a_pipe_is_waited_for_by_no_command() {
    let bench = bench();
    assert!(Command::new("mkfifo").arg(bench.path("pipe")).status().unwrap().success());
    for call in [&["predict", "pipe"][..], &["listen", "pipe"], &["rehearse", "job.toml", "pipe"]] {
        bench.run(call).refused(&["pipe", "is no ordinary file"]);
    }
}

#[test]
fn a_link_that_leads_nowhere_is_named() {
    let bench = bench();
    std::os::unix::fs::symlink("nowhere", bench.path("link.toml")).unwrap();
    bench
        .run(&["whatif", "reed.toml", "--set", "tip_gap_mm=0.3", "--save", "link.toml"])
        .refused(&["link.toml is a link that leads nowhere; name another file"]);
}
