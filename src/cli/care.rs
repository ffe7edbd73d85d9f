//! `freereed care`: cleaning, valves, looking for a crack or a loose fastening.

use clap::Args;
use clap::builder::{PossibleValuesParser, TypedValueParser};
use freereed::print::json::object;
use freereed::units::significant;
use freereed::workshop::care::{Care, CarePlan, Tell};
use serde_json::{Map, Value, json};

use super::bench::{Report, print_report};
use super::failure::Failure;
use super::subject::{ReedArguments, Subject};
use super::text::wrap;
use super::{Outcome, output};

/// Of every plan: none of it is computed.
const BASIS: &str = "Steps and minutes: common practice, no source. Drying of glue is not in the minutes.";

#[derive(Args)]
pub struct Arguments {
    #[command(flatten)]
    of: ReedArguments,
    /// What to plan; without it all of them are listed, a line each
    #[arg(long = "do", value_name = "CARE", value_parser = PossibleValuesParser::new(Care::ALL.map(Care::name)).map(named))]
    care: Option<Care>,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

/// The care of a name that was found possible.
fn named(name: String) -> Care {
    Care::ALL.into_iter().find(|care| care.name() == name).expect("one of the possible names")
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let subject = arguments.of.subject()?;
    let Some(care) = arguments.care else { return list(&subject, arguments.json) };
    let plan = care.plan(&subject.checked);
    let report = Report {
        title: care.title().to_owned(),
        facts: vec![
            ("takes".to_owned(), minutes(plan.minutes)),
            ("has succeeded when".to_owned(), plan.success.clone()),
        ],
        steps: &plan.steps,
        after: None,
        notes: plan.tells.iter().map(told).chain([BASIS.to_owned()]).collect(),
        cautions: plan.cautions.clone(),
        json: as_json(&plan),
    };
    print_report(&subject, &report, arguments.json)
}

/// All of them, a line each.
fn list(subject: &Subject, json: bool) -> Result<Outcome, Failure> {
    if json {
        let plans = Care::ALL.map(|care| as_json(&care.plan(&subject.checked)));
        let mut all = subject.to_json();
        all.insert("care".to_owned(), json!(plans));
        output::print_json(&all)?;
        return Ok(Outcome::Done);
    }
    let line = |care: Care| format!("  {:<22} {:<44} {:>12}", care.name(), care.title(), minutes(care.usual_minutes()));
    let lines = Care::ALL.map(line).join("\n");
    output::print(&format!("{}: what can be done, with --do\n{lines}\n\n{}", subject.name, wrap(BASIS, "  ")))?;
    Ok(Outcome::Done)
}

/// "1.5 minutes", "1 minute".
fn minutes(minutes: f64) -> String {
    let noun = if minutes == 1.0 { "minute" } else { "minutes" };
    format!("{} {noun}", if minutes.fract() == 0.0 { format!("{minutes}") } else { significant(minutes, 2) })
}

fn told(tell: &Tell) -> String {
    let next = tell.next.map_or(String::new(), |next| format!(" (--do {})", next.name()));
    format!("If {}: {}{next}.", tell.found, tell.means)
}

fn as_json(plan: &CarePlan) -> Map<String, Value> {
    let tell = |tell: &Tell| json!({ "found": tell.found, "means": tell.means, "next": tell.next });
    object(json!({
        "care": plan.care,
        "title": plan.care.title(),
        "minutes": plan.minutes,
        "success": plan.success,
        "tells": plan.tells.iter().map(tell).collect::<Vec<_>>(),
    }))
}
