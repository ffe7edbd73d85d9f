//! `freereed protocol`: what to test before a set is signed off.

use std::path::PathBuf;

use clap::Args;
use freereed::instrument::assess;
use freereed::print::protocol as print;
use freereed::protocol::{Protocol, ReedTests, Why};
use freereed::sheet::Job;

use super::assess::progress;
use super::failure::{Failure, show_bad_rows};
use super::text::{wrap, wrapped};
use super::{Outcome, output};

#[derive(Args)]
pub struct Arguments {
    /// The job, a TOML file that names its sheet of reeds
    job: PathBuf,
    /// Write a sheet to fill at the bench, a CSV file that is a round of measuring: keep it as rounds/DATE.csv beside the job
    #[arg(long, value_name = "FILE.csv")]
    csv: Option<PathBuf>,
    /// Write over a file that is there
    #[arg(long, requires = "csv")]
    overwrite: bool,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    if let Some(path) = &arguments.csv {
        output::check_free(path, arguments.overwrite)?;
    }
    let job = Job::load(&arguments.job)?;
    let bar = progress(job.reeds.len() as u64, "reeds");
    let assessment = assess(&job, || bar.inc(1));
    bar.finish_and_clear();
    let outcome = show_bad_rows(&job);
    let protocol = Protocol::of(&job, &assessment);
    if let Some(path) = &arguments.csv {
        output::write_file(path, &print::to_round(&protocol), arguments.overwrite)?;
    }
    match arguments.json {
        true => output::print_json(&print::to_json(&protocol))?,
        false => output::print(&text(&job, &protocol))?,
    }
    Ok(outcome)
}

fn text(job: &Job, protocol: &Protocol) -> String {
    let name = job.instrument.name.as_deref().unwrap_or("This set");
    let mut parts = vec![wrapped([format!("{name}: test protocol"), print::progress(protocol) + "."])];
    parts.push(wrapped(print::before()));
    let (tested, open): (Vec<_>, Vec<_>) = protocol.reeds.iter().partition(|reed| reed.why == Why::Tested);
    if !open.is_empty() {
        let reeds: Vec<String> = open.iter().enumerate().map(|(k, reed)| one(k + 1, reed)).collect();
        parts.push(format!("Reed by reed, the most doubtful first:\n{}", reeds.join("\n")));
    }
    if let Some(later) = print::later_words(protocol) {
        parts.push(wrap(&(later + "."), "  "));
    }
    if !tested.is_empty() {
        let found = |reed: &ReedTests| reed.steps.iter().map(print::found_words).collect::<Vec<_>>().join(", ");
        let lines = tested.iter().map(|reed| wrap(&format!("  {} {}: {}", reed.reed, reed.note, found(reed)), "    "));
        parts.push(format!("Tested, and good:\n{}", lines.collect::<Vec<_>>().join("\n")));
    }
    if !protocol.pairs.is_empty() {
        let pairs = protocol.pairs.iter().map(|pair| wrap(&format!("  {}: ________", print::pair_words(pair)), "    "));
        parts.push(format!("Two at once:\n{}", pairs.collect::<Vec<_>>().join("\n")));
    }
    let sweeps =
        protocol.sweeps.map(|sweep| wrap(&format!("  {}: ________", print::sweep_words(sweep, protocol)), "    "));
    parts.push(format!("The whole set:\n{}", sweeps.join("\n")));
    if !protocol.not_assessed.is_empty() {
        parts.push(wrap(
            &format!("Not assessed, tested with the whole set alone: {}.", protocol.not_assessed.join(", ")),
            "  ",
        ));
    }
    parts.push("Tested by ________________  Played by ________________  Date ____________".to_owned());
    parts.join("\n\n")
}

fn one(number: usize, reed: &ReedTests) -> String {
    let mut lines = vec![format!("{number:>3}  {}", print::reed_words(reed))];
    lines.extend(
        reed.steps.iter().map(|step| {
            wrap(&format!("       {}: {}", print::step_words(step), print::found_words(step)), "         ")
        }),
    );
    lines.join("\n")
}
