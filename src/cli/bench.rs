//! What the operations of the bench have in common: which reed, what is printed, what is saved.

use std::path::{Path, PathBuf};

use clap::Args;
use comfy_table::CellAlignment;
use freereed::print::json;
use freereed::print::operation as print;
use freereed::sheet::{CheckedReed, Job};
use freereed::units;
use freereed::workshop::{Bounds, Caution, Effect, Steps};
use serde_json::{Map, Value};

use super::assess::{lines, table};
use super::failure::Failure;
use super::predict::leaning;
use super::subject::{ReedArguments, Subject};
use super::text::wrap;
use super::whatif::shown;
use super::{Outcome, output};

#[derive(Args)]
pub struct BenchArguments {
    #[command(flatten)]
    of: ReedArguments,
    /// Write the reed as it will be, a reed file
    #[arg(long, value_name = "FILE")]
    save: Option<PathBuf>,
    /// Write over a file that is there
    #[arg(long)]
    pub overwrite: bool,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

/// A plan as it is printed.
pub struct Report<'a> {
    /// What is done, in a line.
    pub title: String,
    /// Numbers of the plan: label and value.
    pub facts: Vec<(String, String)>,
    /// What to do.
    pub steps: &'a Steps,
    /// The reed as it will be, and what that does; nothing where the reed itself stays as it is.
    pub after: Option<(&'a CheckedReed, &'a [&'a str], &'a Effect)>,
    /// What is estimated, assumed or not known.
    pub notes: Vec<String>,
    /// Where it can hurt.
    pub cautions: Vec<Caution>,
    /// The numbers of the plan for a program: SI, keys with units.
    pub json: Map<String, Value>,
}

impl BenchArguments {
    /// Reads the reed.
    pub fn subject(&self) -> Result<Subject, Failure> {
        if let Some(path) = &self.save {
            output::check_free(path, self.overwrite)?;
        }
        self.of.subject()
    }

    /// The job of the reed and the reed's name in it.
    pub fn job(&self) -> Result<Option<(Job, &str)>, Failure> {
        self.of.job()
    }

    /// Refuses a chart that is there already or is the file to save.
    pub fn check_chart(&self, chart: &Path) -> Result<(), Failure> {
        output::check_free(chart, self.overwrite)?;
        self.save.as_deref().map_or(Ok(()), |save| output::check_different(save, chart))
    }

    /// Prints a plan and saves the reed as it will be.
    pub fn show(&self, subject: &Subject, report: &Report<'_>) -> Result<Outcome, Failure> {
        match (&self.save, &report.after) {
            (Some(path), Some((after, keys, _))) => {
                let file = after.changed_file(&subject.checked, keys);
                output::write_file(path, file.as_bytes(), self.overwrite)?;
            }
            (Some(_), None) => {
                return Err(Failure::Call(
                    "--save: this plan leaves the reed as it is; there is nothing to save".to_owned(),
                ));
            }
            _ => {}
        }
        print_report(subject, report, self.json)
    }
}

/// Prints a plan.
pub fn print_report(subject: &Subject, report: &Report<'_>, json: bool) -> Result<Outcome, Failure> {
    if json {
        output::print_json(&as_json(subject, report))?;
    } else {
        output::print(&text(subject, report))?;
    }
    Ok(Outcome::Done)
}

fn text(subject: &Subject, report: &Report<'_>) -> String {
    let mut parts = vec![format!("{}: {}", subject.name, report.title)];
    if !report.facts.is_empty() {
        let fact = |(label, value): &(String, String)| wrap(&format!("{label:<24} {value}"), &" ".repeat(25));
        parts.push(report.facts.iter().map(fact).collect::<Vec<_>>().join("\n"));
    }
    if !report.steps.steps.is_empty() {
        let numbered = report.steps.steps.iter().enumerate();
        let steps: Vec<String> = numbered.map(|(k, step)| wrap(&format!("  {}. {step}", k + 1), "     ")).collect();
        parts.push(format!("{}\n{}", steps.join("\n"), wrap(&format!("  Stop: {}", report.steps.stop), "        ")));
    }
    if let Some((_, _, effect)) = &report.after {
        parts.push(effect_table(effect));
    }
    if !report.notes.is_empty() {
        parts.push(report.notes.iter().map(|note| wrap(note, "  ")).collect::<Vec<_>>().join("\n"));
    }
    if !report.cautions.is_empty() {
        parts.push(wrap(&format!("Care: {}", Caution::sentences(&report.cautions).join(" ")), "  "));
    }
    parts.push(leaning(&subject.checked, &subject.tuning).join("\n"));
    parts.join("\n\n")
}

fn effect_table(effect: &Effect) -> String {
    let given = &effect.conditions;
    let mut table = table(&["", "now", "then", "difference", "trust"]);
    for line in &effect.lines {
        let row = line.before.quantity.row();
        let difference = line.difference().map(|off| {
            let plus = if off >= 0.0 { "+" } else { "" };
            format!("{plus}{}", units::rough(row.unit, off))
        });
        table.add_row([
            row.words(),
            shown(&line.before),
            shown(&line.after),
            difference.unwrap_or_default(),
            row.trust.word().to_owned(),
        ]);
    }
    for column in table.column_iter_mut().skip(1).take(3) {
        column.set_cell_alignment(CellAlignment::Right);
    }
    let life = effect.life_ratio.map_or(String::new(), |ratio| format!("\n{}", wrap(&life_in_words(ratio), "  ")));
    format!(
        "What it does, at {}, rising in {}, {} allowed to speak:\n{}{life}",
        units::pascal(given.pressure_pa),
        units::seconds(given.rise_s),
        units::seconds(given.allowed_s),
        lines(&table)
    )
}

/// How life changes, in words.
fn life_in_words(ratio: Bounds) -> String {
    const HARDLY: f64 = 0.1;
    if ratio.low > 1.0 - HARDLY && ratio.high < 1.0 + HARDLY {
        return "Life at that blow: as long as now, as far as the stress tells.".to_owned();
    }
    let times = |value: f64| units::significant(value, 2);
    let (low, high) = (times(ratio.low), times(ratio.high));
    let times = if low == high { low } else { format!("{low} to {high}") };
    format!(
        "Life at that blow: {times} times as long as now, by the stress alone (weak; life goes with a high power of it)."
    )
}

fn as_json(subject: &Subject, report: &Report<'_>) -> Map<String, Value> {
    let effect = report.after.as_ref().map(|after| after.2);
    let mut all = print::to_json(&subject.name, &report.json, report.steps, effect, &report.cautions);
    all.extend(subject.to_json());
    all.insert("notes_of_plan".to_owned(), report.notes.clone().into());
    all.extend(json::leaning(&subject.checked));
    all
}
