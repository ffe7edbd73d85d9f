//! `freereed assess`: every reed of a job.

mod evenness;
mod report;
mod short;
mod table;

use std::io::IsTerminal;
use std::path::PathBuf;

use anstyle::AnsiColor;
use clap::Args;
use comfy_table::{ContentArrangement, Table, presets};
use freereed::instrument::rounds::Fit;
use freereed::instrument::{Assessment, assess_sampled};
use freereed::physics::coefficients::MODEL_VERSION;
use freereed::print::assumed::assumptions;
use freereed::print::in_short::Tone;
use freereed::print::judged_by_run::{blown_off, judged_by_run};
use freereed::print::{assess as print, charts};
use freereed::sheet::{Feel, Job, RowError};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use super::failure::{Failure, show_bad_rows};
use super::text::{CARE, wrap_80 as wrap};
use super::{Outcome, output, still_to_measure};

/// What `--out` writes beside the charts.
const TABLE_FILES: [&str; 2] = ["assess.csv", "assess.json"];

#[derive(Args)]
#[command(after_help = may_say())]
pub struct Arguments {
    /// The job, a TOML file that names its sheet of reeds
    job: PathBuf,
    /// Print all of it: a line a reed, every finding, evenness, notes that sound together, what is assumed
    #[arg(long, conflicts_with = "json")]
    table: bool,
    /// Write assess.csv, assess.json and the charts into this folder, which is new or holds only an earlier output
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Take the doubt from so many samples of what the reeds may be, in place of derivatives: slower, and right where an
    /// answer does not follow its inputs in proportion
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(50..=100_000))]
    samples: Option<u32>,
    /// Write a report for the customer and for the bench, one HTML file to print: pictures, every reed, the work, room to sign
    #[arg(long, value_name = "FILE.html")]
    report: Option<PathBuf>,
    /// Write over a report that is there
    #[arg(long, requires = "report")]
    overwrite: bool,
    /// Take loss and leaks as the rounds of measuring make them out (`freereed rounds` shows how)
    #[arg(long)]
    fit: bool,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

/// What a set may say besides sizes, after the help.
fn may_say() -> String {
    let feel = Feel::WORDS.map(|(word, _)| word).join(", ");
    format!(
        "What the set may say besides sizes (`freereed keys` lists all of it, `freereed new` begins a set):
  feel      column of the sheet, the player's word on a reed: {feel}; it outranks the model
  [target]  table of the job, sheet = \"loved.csv\": a plate the player loves, against which each reed is held
  rounds/   folder beside the job, 2026-03-01.csv: what was measured later; the newest value counts (`freereed rounds`)"
    )
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let (job, fit) = match arguments.fit {
        false => (Job::load(&arguments.job)?, None),
        true => fitted(&Job::load_stages(&arguments.job)?)?,
    };
    if let Some(folder) = &arguments.out {
        let names: Vec<_> = TABLE_FILES.into_iter().chain(charts::CHART_FILES).collect();
        output::check_folder(folder, &names)?;
    }
    if let Some(path) = &arguments.report {
        output::check_free(path, arguments.overwrite)?;
    }
    let progress = progress(job.reeds.len() as u64, "reeds");
    let samples = arguments.samples.unwrap_or(0) as usize;
    let assessment = assess_sampled(&job, samples, || progress.inc(1));
    progress.finish_and_clear();
    let outcome = show_bad_rows(&job);
    let mut json = print::to_json(&job, &assessment);
    if let Some(fit) = &fit {
        json.insert("fit".to_owned(), freereed::print::rounds::fit_json(fit));
    }
    if let Some(folder) = &arguments.out {
        let mut files =
            vec![(TABLE_FILES[0], print::to_csv(&assessment)), (TABLE_FILES[1], output::json_text(&json).into_bytes())];
        files.extend(charts::charts(&job, &assessment).map(|(name, svg)| (name, svg.into_bytes())));
        output::write_folder(folder, &files, &[])?;
    }
    if let Some(path) = &arguments.report {
        let html = report::html(&arguments.job, &job, &assessment, fit.as_ref())?;
        output::write_file(path, html.as_bytes(), arguments.overwrite)?;
    }
    if arguments.json {
        output::print_json(&json)?;
    } else {
        let text = if arguments.table { whole } else { short::text };
        output::print_coloured(&text(&job, &assessment, fit.as_ref()))?;
    }
    Ok(outcome)
}

/// The newest stage with the fit to all of them.
fn fitted(stages: &[Job]) -> Result<(Job, Option<Fit>), Failure> {
    let nothing =
        "nothing to fit: the job has no ring-down, leak test or softest blow; measure one, or leave --fit out";
    let fit = Fit::of(stages).ok_or_else(|| Failure::Call(nothing.to_owned()))?;
    let newest = stages.last().map(|job| fit.applied(job));
    newest.map(|job| (job, Some(fit))).ok_or_else(|| Failure::Call(nothing.to_owned()))
}

/// Progress on a terminal; nothing elsewhere.
pub fn progress(count: u64, of_what: &str) -> ProgressBar {
    let target =
        if std::io::stderr().is_terminal() { ProgressDrawTarget::stderr() } else { ProgressDrawTarget::hidden() };
    let style = ProgressStyle::with_template(&format!("{{pos}} of {{len}} {of_what} [{{wide_bar}}] {{eta}}"))
        .expect("a valid template");
    ProgressBar::with_draw_target(Some(count), target).with_style(style)
}

/// Everything there is to say.
fn whole(job: &Job, assessment: &Assessment, fit: Option<&Fit>) -> String {
    let mut parts = Vec::new();
    if let Some(name) = &job.instrument.name {
        parts.push(name.clone());
    }
    if assessment.reeds.len() > assessment.not_measured().count() {
        parts.push(table::reeds(assessment));
        parts.push(wrap(table::LEGEND, "  "));
    }
    parts.extend(judged_by_run(job, assessment).map(|said| wrap(&said, "  ")));
    parts.extend(blown_off(assessment).map(|said| wrap(&format!("{said}."), "  ")));
    parts.push(what_to_look_at(assessment));
    parts.extend(players_words(assessment));
    parts.extend(still_to_measure::words_by(&assessment.reeds, wrap));
    parts.extend(evenness::together(assessment));
    if !assessment.evenness.is_empty() {
        parts.push(evenness::octaves(&assessment.evenness));
        parts.extend(evenness::groups(&assessment.groups));
        parts.extend(evenness::jumps(assessment));
    }
    parts.extend(fit.map(super::rounds::fit_words));
    parts.push(small_print(job, assessment));
    parts.join("\n\n")
}

/// A table without lines.
pub fn table(head: &[&str]) -> Table {
    let mut table = Table::new();
    table.load_preset(presets::NOTHING).set_content_arrangement(ContentArrangement::Disabled).set_header(head);
    table
}

/// A row of a table for one of the sheet that has a problem, or lacks something: its name, and at the end what was not done.
pub fn bad_row(error: &RowError, columns: usize, not_done: &str) -> Vec<String> {
    let mut cells = vec![String::new(); columns];
    cells[0] = error.name();
    cells[columns - 1] = match error.still_needs() {
        Some(_) => format!("{not_done}: half measured"),
        None => format!("{not_done}: line {} of the sheet", error.line),
    };
    cells
}

/// The lines of a table, without blanks at their ends.
pub fn lines(table: &Table) -> String {
    table.lines().map(|line| line.trim_end().to_owned()).collect::<Vec<_>>().join("\n")
}

/// What is said of a set of which no reed could be assessed.
fn nothing_assessed(assessment: &Assessment) -> Option<&'static str> {
    match (assessment.good_rows().next(), assessment.bad_rows().next()) {
        (Some(_), _) => None,
        (None, None) => Some(still_to_measure::NOTHING_YET),
        (None, Some(_)) => Some("No reed could be assessed: every row of the sheet has a problem, or lacks something."),
    }
}

/// Words in the colour of their tone, which says nothing that they do not say.
fn paint(tone: Tone, words: &str) -> String {
    let colour = match tone {
        Tone::Plain => return words.to_owned(),
        Tone::Good => AnsiColor::Green,
        Tone::Doubtful => AnsiColor::Yellow,
        Tone::Bad => AnsiColor::Red,
    };
    let style = colour.on_default();
    format!("{style}{words}{style:#}")
}

fn what_to_look_at(assessment: &Assessment) -> String {
    if let Some(nothing) = nothing_assessed(assessment) {
        return nothing.to_owned();
    }
    let count = assessment.good_rows().count();
    let wrong: Vec<_> = assessment.good_rows().filter(|reed| !reed.findings.is_empty()).collect();
    if wrong.is_empty() {
        return match assessment.fail_alike {
            Some(_) => "No reed stands out of the run of the set.".to_owned(),
            None => "Nothing to mend: every reed that was assessed suits this player.".to_owned(),
        };
    }
    let mut lines = vec![format!("{} of {count} reeds to look at:", wrong.len())];
    for reed in wrong {
        for finding in &reed.findings {
            lines.push(wrap(
                &format!("  {:<11} {} ({})", reed.reed.id, finding.sentence(), finding.surety(reed).words()),
                "              ",
            ));
        }
    }
    lines.join("\n")
}

/// What became of the player's words; nothing where there are none.
fn players_words(assessment: &Assessment) -> Option<String> {
    let told = assessment.good_rows().filter_map(|reed| Some((&reed.reed.id, reed.players_word()?)));
    let told: Vec<_> = told.map(|(id, sentence)| wrap(&format!("  {id:<11} {sentence}"), "              ")).collect();
    (!told.is_empty()).then(|| format!("The player's word:\n{}", told.join("\n")))
}

fn small_print(job: &Job, assessment: &Assessment) -> String {
    let mut lines: Vec<String> = job.notes.iter().map(|note| format!("Note: {note}.")).collect();
    lines.extend(assumptions(job, &assessment.good_rows().map(|reed| &reed.reed.checked).collect::<Vec<_>>()));
    lines.push(format!(
        "Model {MODEL_VERSION}. Sure: plucked pitch, the order of reeds and of changes. Fair: onset, choke, speaking time. \
         Weak: level. In tune is within {} cents. How sure a verdict is counts how well was measured and what is doubtful \
         of the model's own inputs, not what it leaves out.",
        freereed::instrument::IN_TUNE_CENTS
    ));
    lines.push(CARE.to_owned());
    lines.iter().map(|line| wrap(line, "  ")).collect::<Vec<_>>().join("\n")
}
