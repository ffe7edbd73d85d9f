//! What was computed of a job before is told again, to the last digit, and only what has changed is computed.

use std::fs;

use crate::support::cli::{Bench, Run, freereed, names_in};
use crate::support::set::{Healthy, QUALITY, job_text};
use freereed::instrument::assess;
use freereed::instrument::balance::{BalanceOptions, balance};
use freereed::instrument::work::{WorkOptions, work_list};
use freereed::memory::Memory;
use freereed::sheet::Job;

const HEAD: &str =
    "hole,breath,slide,note,length_mm,width_mm,measured_pluck_hz,quality_factor,tip_gap_mm,side_clearance_mm,feel";
const REEDS: usize = 5;

/// A set of so many reeds, whose third reed has a gap so many times the usual.
fn sheet(reeds: usize, gap: f64) -> String {
    let row = |k: usize| {
        let Healthy { note, hertz, length_mm, gap_mm, clearance_mm } = Healthy::of(72 + 2 * k as i32);
        let gap_mm = gap_mm * if k == 2 { gap } else { 1.0 };
        format!("{},blow,out,{note},{length_mm},2.1,{hertz},{QUALITY},{gap_mm},{clearance_mm},", k + 1)
    };
    let rows: Vec<String> = (0..reeds).map(row).collect();
    format!("{HEAD}\n{}\n", rows.join("\n"))
}

/// Everything of a set, in words, with its memory.
fn everything(gap: f64, memory: &Memory) -> String {
    let mut job = Job::parse(("job.toml", &job_text("", "")), ("sheet.csv", &sheet(REEDS, gap))).unwrap();
    job.memory = memory.clone();
    let assessment = assess(&job, || ());
    let balance = balance(&job, &BalanceOptions::default(), || ());
    let work = work_list(&job, &assessment, &WorkOptions { balance: Some(&balance), ..Default::default() }, || ());
    let reeds: Vec<_> = assessment.good_rows().map(|reed| (&reed.figures, &reed.margins, &reed.findings)).collect();
    let next: Vec<_> = work.work().map(|(_, next)| (next.plan.title(), next.gain())).collect();
    format!("{reeds:?} {:?} {next:?}", balance.good_rows().collect::<Vec<_>>())
}

fn again(memory: &Memory) -> Memory {
    Memory::from_text("test", &memory.to_text().unwrap())
}

#[test]
fn what_has_not_changed_is_recalled_and_nothing_else() {
    let first = Memory::from_text("test", "");
    let found = everything(2.5, &first);
    assert_eq!(found, everything(2.5, &Memory::default()), "with a memory as without");
    let (_, all) = first.counts();
    assert!(all > 10 * REEDS, "{all}");
    // The same again: nothing is computed.
    let second = again(&first);
    assert_eq!(everything(2.5, &second), found);
    assert_eq!(second.counts().1, 0);
    // One reed changed: it is computed anew, and what the set as a whole makes of its neighbours.
    let third = again(&first);
    let changed = everything(2.0, &third);
    assert_eq!(changed, everything(2.0, &Memory::default()));
    assert_ne!(changed, found);
    let (recalled, computed) = third.counts();
    assert!(computed > 0 && computed < all / 2 && recalled > all / 2, "{computed} of {all}, {recalled} recalled");
}

/// `assess` with its memory in the folder `memory` of a bench.
fn assessed(bench: &Bench, more: &[&str]) -> Run {
    let call = [&["assess", "job.toml", "--json"], more].concat();
    let mut program = freereed();
    let output = program.current_dir(bench.path("")).env("FREEREED_CACHE", bench.path("memory")).args(&call).output();
    let output = output.unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    let call = call.join(" ");
    Run { call, code: output.status.code().unwrap(), out: text(output.stdout), err: text(output.stderr) }.code(0)
}

#[test]
fn the_program_keeps_it_away_from_the_job_and_does_without() {
    let bench = Bench::with(&[("job.toml", &job_text("", "")), ("sheet.csv", &sheet(2, 1.0))]);
    let without = bench.run(&["assess", "job.toml", "--json"]).code(0).out;
    assert_eq!(bench.names(""), ["job.toml", "sheet.csv"]);
    assert_eq!(assessed(&bench, &[]).out, without);
    let kept = names_in(&bench.path("memory"));
    assert_eq!(kept.len(), 1, "{kept:?}");
    let file = bench.path("memory").join(&kept[0]);
    let whole = fs::read(&file).unwrap();
    assert_eq!(assessed(&bench, &[]).out, without);
    assert_eq!(fs::read(&file).unwrap(), whole, "nothing was computed, nothing is written");
    // A false value would be told, so that it is seen to be used; anew it is not, and it is mended.
    let text = String::from_utf8(whole.clone()).unwrap();
    let spoilt = text.replace("\\\"db\\\":", "\\\"db\\\":1");
    assert_ne!(spoilt, text);
    fs::write(&file, &spoilt).unwrap();
    assert_ne!(assessed(&bench, &[]).out, without);
    assert_eq!(assessed(&bench, &["--anew"]).out, without);
    assert_eq!(assessed(&bench, &[]).out, without);
    // Cut short, it is as good as none.
    fs::write(&file, &whole[..whole.len() / 2]).unwrap();
    assert_eq!(assessed(&bench, &[]).out, without);
    // No place for it: computed each time, and not a word of it.
    fs::remove_dir_all(bench.path("memory")).unwrap();
    bench.write("memory", "a file where a folder should be");
    let run = assessed(&bench, &[]);
    assert_eq!((run.out, run.err.as_str()), (without, ""));
}
