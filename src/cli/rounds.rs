//! `freereed rounds`: what was done to each reed, expected of it and measured; what that says of the set; minutes.

mod table;

use std::path::PathBuf;

use clap::Args;
use freereed::instrument::rounds::{Apart, Estimate, Fit, Minutes, ReedFit, ReedRound, Rounds, legend};
use freereed::print::charts::rounds_chart;
use freereed::print::rounds as print;
use freereed::sheet::Job;
use freereed::units;

use super::assess::{lines, table};
use super::failure::{Failure, show_problems};
use super::text::{CARE, wrap, wrapped};
use super::{Outcome as Ending, output};
use table::of_round;

#[derive(Args)]
pub struct Arguments {
    /// The job, a TOML file; its rounds are the dated sheets in the folder `rounds` beside it
    job: PathBuf,
    /// Draw how far each measurement lies from what was expected of it, an SVG file
    #[arg(long, value_name = "FILE.svg")]
    chart: Option<PathBuf>,
    /// Write over a chart that is there
    #[arg(long)]
    overwrite: bool,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

pub fn run(arguments: &Arguments) -> Result<Ending, Failure> {
    if let Some(path) = &arguments.chart {
        output::check_free(path, arguments.overwrite)?;
    }
    let stages = Job::load_stages(&arguments.job)?;
    let rounds = Rounds::of(&stages);
    show_problems(rounds.bad.iter().map(|(_, row)| &row.error));
    if let Some(job) = stages.last() {
        if let Some(path) = &arguments.chart {
            output::write_picture(path, &rounds_chart(job, &rounds).picture(), arguments.overwrite)?;
        }
        match arguments.json {
            true => output::print_json(&print::to_json(job, &rounds))?,
            false => output::print(&text(job, &rounds))?,
        }
    }
    Ok(if rounds.bad.is_empty() { Ending::Done } else { Ending::SomeFailed })
}

fn text(job: &Job, rounds: &Rounds) -> String {
    let mut parts = Vec::new();
    if job.rounds.is_empty() {
        let how = "No round of measuring yet: write what you measure after work into rounds/2026-03-01.csv beside the job, one \
                   sheet a day, with only the reeds and columns of that day.";
        parts.push(wrap(how, ""));
    }
    for round in &job.rounds {
        let name = round.name();
        let rows: Vec<&ReedRound> = rounds.rows.iter().filter(|row| row.round == name).collect();
        parts.push(format!("Round {name}\n{}", of_round(&rows)));
    }
    parts.extend(legend(&rounds.rows).map(|legend| wrap(&legend, "")));
    match &rounds.fit {
        Some(fit) => parts.push(fit_words(fit)),
        None => parts
            .push(wrap("Nothing to fit yet: a ring-down, a leak test or a softest blow tells of loss and leak.", "")),
    }
    parts.extend((!rounds.minutes.is_empty()).then(|| minutes_words(job, &rounds.minutes)));
    parts.push(wrapped(job.notes.iter().map(|note| format!("Note: {note}.")).chain([CARE.to_owned()])));
    parts.join("\n\n")
}

/// What the fit says, with its confidence.
pub fn fit_words(fit: &Fit) -> String {
    let mut parts = vec![wrap(&fit.sentence(), "  ")];
    let mut reeds = table(&["  reed", "Q", "stray leak", "thickness by pluck", "loss and leak"]);
    let known = || fit.reeds.iter().filter(|reed| reed.apart != Apart::NothingMeasured);
    let (alone, told): (Vec<&ReedFit>, Vec<&ReedFit>) = known().partition(|reed| reed.leak_m2.is_none());
    for reed in &told {
        let percent = |share: f64| units::significant(100.0 * share, 2);
        let thickness = |(scale, error): (f64, f64)| {
            format!("{:+.1} % +- {} %", 1e-1 * (1e3 * (scale - 1.0)).round() + 0.0, percent(error))
        };
        reeds.add_row([
            format!("  {}", reed.id),
            reed.quality_factor.words(),
            reed.leak_m2.map_or("-".to_owned(), leak),
            reed.thickness_scale.map_or("-".to_owned(), thickness),
            apart(reed.apart).to_owned(),
        ]);
    }
    parts.extend((!told.is_empty()).then(|| lines(&reeds)));
    parts.extend(by_ring_down(&alone));
    for (of, why) in NOT_KNOWN {
        let ids: Vec<&str> = fit.reeds.iter().filter(|reed| reed.apart == of).map(|reed| reed.id.as_str()).collect();
        parts.extend((!ids.is_empty()).then(|| wrap(&format!("{}: {why}", ids.join(", ")), "  ")));
    }
    parts.extend(fit.unused.iter().map(|unused| wrap(&format!("Not used: {unused}."), "  ")));
    if !fit.converged {
        parts.push(wrap("CHECK: the fit did not come to its end; read it as a rough guess.", "  "));
    }
    let assumed: Vec<String> = fit.assumed.iter().map(|assumed| format!("{} {}", assumed.key, assumed.value)).collect();
    parts.push(wrap(&format!("Assumed: {}.", assumed.join("; ")), "  "));
    parts.join("\n")
}

/// Reeds whose loss alone was measured, in a line: their ring-downs say what there is to say.
fn by_ring_down(reeds: &[&ReedFit]) -> Option<String> {
    let at = |reed: &&&ReedFit| reed.quality_factor.value;
    let lowest = reeds.iter().min_by(|a, b| at(a).total_cmp(&at(b)))?;
    let highest = reeds.iter().max_by(|a, b| at(a).total_cmp(&at(b)))?;
    let told = |reed: &ReedFit| format!("{} ({})", units::significant(reed.quality_factor.value, 2), reed.id);
    let reach = if reeds.len() == 1 { told(lowest) } else { format!("{} to {}", told(lowest), told(highest)) };
    let reeds =
        format!("{} more by {}", reeds.len(), if reeds.len() == 1 { "its ring-down" } else { "their ring-downs" });
    Some(wrap(&format!("{reeds} alone: Q {reach}; --json lists them."), "  "))
}

/// What is not known, why, and which measurement would tell.
const NOT_KNOWN: [(Apart, &str); 3] = [
    (
        Apart::No,
        "loss and leak cannot be told apart. A softest blow alone is explained as well by a lossier tongue as by a leak. A \
         ring-down after a pluck would split them; so would a leak test with the slot taped over. Ring-downs of other reeds \
         help too, since a set loses alike.",
    ),
    (
        Apart::LeakNotKnown,
        "the leak is known no better than was assumed: the loss is known too loosely, or the tolerances of gap and clearance \
         hide it. A leak test with the slot taped over would tell; a ring-down of the reed itself helps, and so do gap and \
         clearance measured more finely.",
    ),
    (
        Apart::LossNotKnown,
        "the loss is known no better than was assumed: the tolerances of gap, clearance and leak hide it. A ring-down after \
         a pluck would tell.",
    ),
];

fn apart(apart: Apart) -> &'static str {
    match apart {
        Apart::Yes => "told apart",
        Apart::No => "NOT told apart",
        Apart::LeakNotKnown => "leak NOT known",
        Apart::LossNotKnown => "loss NOT known",
        Apart::OneMeasured => "leak alone",
        Apart::NothingMeasured => "-",
    }
}

fn leak(estimate: Estimate) -> String {
    let [value, low, high] = [estimate.value, estimate.low, estimate.high].map(|area| format!("{:.2}", 1e6 * area));
    format!("{value} ({low} to {high}) mm2")
}

fn minutes_words(job: &Job, minutes: &[Minutes]) -> String {
    let mut rows = table(&["  work", "times", "minutes spent", "estimated", "not written down"]);
    for row in minutes {
        rows.add_row([
            format!("  {}", row.operation.name()),
            row.timed.to_string(),
            units::significant(row.spent_minutes, 3),
            units::significant(row.estimated_minutes, 3),
            if row.untimed == 0 { "-".to_owned() } else { row.untimed.to_string() },
        ]);
    }
    let assumed = job.rates.assumed(minutes.iter().map(|row| row.operation));
    let assumed: Vec<String> = assumed.iter().map(|assumed| format!("{} {}", assumed.key, assumed.value)).collect();
    let mut parts = vec![format!("Minutes spent beside the estimate\n{}", lines(&rows))];
    parts.extend((!assumed.is_empty()).then(|| wrap(&format!("Assumed: {}.", assumed.join("; ")), "  ")));
    parts.join("\n")
}
