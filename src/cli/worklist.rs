//! `freereed worklist`: what is to be done with a set, reed by reed, in which order.

use std::path::PathBuf;

use clap::Args;
use freereed::instrument::balance::BalanceOptions;
use freereed::instrument::work::{Candidate, Demands, ReedWork, WorkList};
use freereed::physics::coefficients::MODEL_VERSION;
use freereed::print::assumed::assumptions;
use freereed::print::card;
use freereed::print::work::{self as print, minutes};
use freereed::sheet::Job;
use freereed::units::significant;

use super::balance::{assessed, balanced, planned};
use super::failure::{Failure, show_bad_rows};
use super::replace::strip;
use super::text::{CARE, wrap, wrapped};
use super::{Outcome, output, still_to_measure};

#[derive(Args)]
pub struct Arguments {
    /// The job, a TOML file that names its sheet of reeds
    job: PathBuf,
    /// Show every operation that was considered for each reed, with its gain and its minutes
    #[arg(long)]
    all: bool,
    /// Thicknesses of strip in stock for new tongues, mm; without it as the old tongue is
    #[arg(long, value_name = "MM,...", value_delimiter = ',', value_parser = strip)]
    strip_mm: Vec<f64>,
    /// Write a card for the bench, one HTML file to print: the plates as they lie, what is next, room for readings
    #[arg(long, value_name = "FILE.html")]
    card: Option<PathBuf>,
    /// Write over a card that is there
    #[arg(long, requires = "card")]
    overwrite: bool,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let job = Job::load(&arguments.job)?;
    if let Some(path) = &arguments.card {
        output::check_free(path, arguments.overwrite)?;
    }
    let assessment = assessed(&job);
    let outcome = show_bad_rows(&job);
    let balance = balanced(&job, &assessment, &BalanceOptions::default());
    let list = planned(&job, &assessment, &balance, &arguments.strip_mm);
    if let Some(path) = &arguments.card {
        output::write_file(path, card::to_html(&job, &list).as_bytes(), arguments.overwrite)?;
    }
    if arguments.json {
        output::print_json(&print::to_json(&job, &list))?;
    } else {
        let still_to_measure = still_to_measure::words(&assessment.reeds);
        output::print(&text(&job, &list, arguments.all, still_to_measure))?;
    }
    Ok(outcome)
}

fn text(job: &Job, list: &WorkList, all: bool, still_to_measure: Option<String>) -> String {
    let name = job.instrument.name.as_deref().unwrap_or("This set");
    let mut parts = vec![format!("{name}: what to do, in this order")];
    let lines: Vec<String> = list.work().enumerate().map(|(k, (work, next))| line(k + 1, work, next)).collect();
    if !lines.is_empty() {
        parts.push(lines.join("\n"));
    }
    if all {
        parts.extend(list.work().map(|(work, _)| considered(work)));
        parts.push(wrap(&legend(), "  "));
    }
    parts.push(wrapped(print::totals(list)));
    parts.extend(still_to_measure);
    parts.push(small_print(job, list));
    parts.join("\n\n")
}

/// One reed: what is next, what it does, what can go wrong, what comes after.
fn line(number: usize, work: &ReedWork, next: &Candidate) -> String {
    let reed = &work.now.reed;
    let head = format!("{number:>3}  {:<11} {:<4} {:>7}  ", reed.id, reed.note.to_string(), minutes(next.minutes));
    wrap(&format!("{head}{}", print::next_words(work, next).join("; ")), &" ".repeat(head.len()))
}

fn considered(work: &ReedWork) -> String {
    let reed = &work.now;
    let mut lines = vec![format!("{} {}", reed.reed.id, reed.reed.note)];
    lines.extend(reed.findings.iter().map(|found| wrap(&format!("  {}", found.sentence()), "    ")));
    let several = work.rounds.len() > 1;
    for (k, round) in work.rounds.iter().enumerate() {
        lines.extend(several.then(|| format!("  {}", if k == 0 { "now" } else { "after that" })));
        for (index, one) in round.considered.iter().enumerate() {
            let mark = if round.chosen == Some(index) { "*" } else { " " };
            let number = |value: Option<f64>| value.map_or("-".to_owned(), |value| format!("{:+.2}", value + 0.0));
            let head = format!(
                "  {mark} {:<8} {:>7}  {:>6}  {:>6}  ",
                one.operation().name(),
                minutes(one.minutes),
                number(one.gain()),
                one.gain_per_minute().map_or("-".to_owned(), |value| format!("{:+.3}", value + 0.0))
            );
            let effect = round.effect(work.before(k), one).map_or(String::new(), |effect| format!("; {effect}"));
            lines.push(wrap(&format!("{head}{}{effect}", one.plan.title()), &" ".repeat(head.len())));
        }
        for refused in &round.refused {
            lines.push(wrap(&format!("    {:<8} no plan: {}", refused.operation.name(), refused.why), "             "));
        }
    }
    lines.join("\n")
}

fn legend() -> String {
    format!(
        "Operation, minutes, gain, gain for each minute; * is next. Gain: how much less is missing, the sum of x^2/(1 + x^2) \
         over soft, hard, time, pitch, centring and an even gap, x each over its limit (a gap is at its limit {} % off the \
         one that balance gives it): a demand not met at all and then met with room to spare gains about 1.",
        significant(100.0 * Demands::OFF_RUN.exp_m1(), 2)
    )
}

fn small_print(job: &Job, list: &WorkList) -> String {
    let mut lines: Vec<String> = job.notes.iter().map(|note| format!("Note: {note}.")).collect();
    lines.extend(assumptions(job, &list.reeds.iter().map(|work| &work.now.reed.checked).collect::<Vec<_>>()));
    lines.extend(print::rates_assumed(job, list));
    lines.push(format!(
        "Model {MODEL_VERSION}. Sure: the order of changes. Fair: what they do to speaking. Each operation has its own command \
         with all its steps. Measure after each, and plan again."
    ));
    lines.push(CARE.to_owned());
    wrapped(lines)
}
