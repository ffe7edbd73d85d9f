//! `freereed rounds`: what was done to each reed, expected of it and measured; what that says of the set; minutes.

use std::path::PathBuf;

use clap::Args;
use freereed::instrument::rounds::{
    Apart, Basis, Changed, Estimate, Fit, Minutes, Outcome, Quantity, Reach, ReedFit, ReedRound, Rounds, Spread,
};
use freereed::print::rounds as print;
use freereed::sheet::Job;
use freereed::units;

use super::assess::{lines, table};
use super::failure::{Failure, show_problems};
use super::text::{CARE, wrap, wrapped};
use super::{Outcome as Ending, output};

#[derive(Args)]
pub struct Arguments {
    /// The job, a TOML file; its rounds are the dated sheets in the folder `rounds` beside it
    job: PathBuf,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

pub fn run(arguments: &Arguments) -> Result<Ending, Failure> {
    let stages = Job::load_stages(&arguments.job)?;
    let rounds = Rounds::of(&stages);
    show_problems(rounds.bad.iter().map(|(_, row)| &row.error));
    if let Some(job) = stages.last() {
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
        let rows = rounds.rows.iter().filter(|row| row.round == name);
        let rows: Vec<String> = rows.map(|row| wrap(&row_words(row), "      ")).collect();
        parts.push(format!("Round {name}\n{}", rows.join("\n")));
    }
    match &rounds.fit {
        Some(fit) => parts.push(fit_words(fit)),
        None => parts
            .push(wrap("Nothing to fit yet: a ring-down, a leak test or a softest blow tells of loss and leak.", "")),
    }
    parts.extend((!rounds.minutes.is_empty()).then(|| minutes_words(job, &rounds.minutes)));
    parts.push(wrapped(job.notes.iter().map(|note| format!("Note: {note}.")).chain([CARE.to_owned()])));
    parts.join("\n\n")
}

/// One reed in one round, in a line.
fn row_words(row: &ReedRound) -> String {
    let done = match (row.operation, row.replaced) {
        (Some(operation), _) => operation.name(),
        (None, true) => "replace",
        (None, false) => "-",
    };
    let changed = row.changed.iter().filter(|changed| !is_measured(changed, &row.outcomes)).map(changed_words);
    let mut parts: Vec<String> = changed.chain(row.outcomes.iter().map(outcome_words)).collect();
    if parts.is_empty() {
        parts.push("nothing measured".to_owned());
    }
    if !row.blank.is_empty() {
        parts.push(format!("left blank: {}", row.blank.join(", ")));
    }
    format!("  {:<11} {done}: {}", row.id, parts.join("; "))
}

/// Whether a change is told with what was measured.
fn is_measured(changed: &Changed, outcomes: &[Outcome]) -> bool {
    changed.key.name == "tip_gap_mm" && outcomes.iter().any(|outcome| outcome.quantity == Quantity::TipGap)
}

fn changed_words(changed: &Changed) -> String {
    let unit = if changed.key.unit.is_empty() { String::new() } else { format!(" {}", changed.key.unit) };
    let before = changed.before.as_ref().map_or("not known".to_owned(), ToString::to_string);
    format!("{} {before} -> {}{unit}", changed.key.words(), changed.after)
}

fn outcome_words(outcome: &Outcome) -> String {
    let (name, show): (_, fn(f64) -> String) = match outcome.quantity {
        Quantity::Pluck => ("plucked", units::hertz),
        Quantity::TipGap => ("tip gap", units::metres),
        Quantity::RingDown => ("ring-down", units::seconds),
        Quantity::SoftestBlow => ("softest blow", units::pascal),
    };
    let before = outcome.before.map_or(String::new(), |before| format!(" (before {})", show(before)));
    let measured = format!("{name} {}{before}", show(outcome.measured));
    let Some(expected) = outcome.expected else {
        return format!("{measured}, {}", no_expectation(outcome.basis));
    };
    let off = match outcome.quantity {
        Quantity::Pluck => units::cents(outcome.off_cents().unwrap_or(0.0)),
        Quantity::TipGap => format!("{:+.3} mm", 1e3 * (outcome.measured - expected)),
        _ => outcome.off().map_or(String::new(), signed_percent),
    };
    let give = outcome.doubt.map(|doubt| doubt_words(outcome.quantity, doubt));
    if let (Some(reach), Some(give)) = (outcome.reach(), &give) {
        return format!("{measured}, aimed at {}: off by {off}, {}{give})", show(expected), reach_words(reach));
    }
    let basis = match outcome.basis {
        Basis::Aim => "aimed at",
        Basis::Unchanged => "nothing done to it, expected",
        _ => "expected",
    };
    let give = give.map_or(String::new(), |give| format!(" give or take {give}"));
    let lies = match outcome.off_doubts().map(f64::abs) {
        None => "",
        Some(count) if count <= 1.0 => ", within it",
        Some(count) if count <= 2.0 => ", within twice it",
        Some(_) => ", MORE THAN EXPECTED: measure again, or look for a change nobody wrote down",
    };
    format!("{measured}, {basis} {}{give}: off by {off}{lies}", show(expected))
}

fn signed_percent(share: f64) -> String {
    format!("{}{} %", if share < 0.0 { "" } else { "+" }, units::significant(100.0 * share, 2))
}

fn doubt_words(quantity: Quantity, doubt: Spread) -> String {
    match (quantity, doubt) {
        (Quantity::Pluck, Spread::OfLogarithm(doubt)) => units::cents_size(1200.0 * doubt / std::f64::consts::LN_2),
        (_, Spread::OfLogarithm(doubt)) => format!("{} %", units::significant(100.0 * doubt, 2)),
        (_, Spread::Absolute(doubt)) => units::metres(doubt),
    }
}

/// Before the doubt of the reading.
fn reach_words(reach: Reach) -> &'static str {
    match reach {
        Reach::AsAimed => "as near as it can be read (to ",
        Reach::Short => "SHORT of it (read to ",
        Reach::Past => "PAST it (read to ",
        Reach::Missed => "beside it (read to ",
    }
}

fn no_expectation(basis: Basis) -> &'static str {
    match basis {
        Basis::NotKnownBefore => "nothing expected: the reed was not fully measured before",
        Basis::NeverSpeaks => "nothing expected: the model's reed does not speak",
        _ => "nothing expected: neither an aim nor a changed size is typed",
    }
}

/// What the fit says, with its confidence.
pub fn fit_words(fit: &Fit) -> String {
    let [ring_downs, leak_tests, blows] = fit.counts;
    let counted = |count: usize, one: &str, more: &str| format!("{count} {}", if count == 1 { one } else { more });
    let mut parts = vec![wrap(
        &format!(
            "Fitted to {}, {} and {} (fitted, not measured; the true value lies in the range four times in five): the set loses \
             like Q {}, its reeds scatter by {} %.",
            counted(ring_downs, "ring-down", "ring-downs"),
            counted(leak_tests, "leak test", "leak tests"),
            counted(blows, "softest blow", "softest blows"),
            quality(fit.common),
            units::significant(100.0 * fit.scatter, 2),
        ),
        "  ",
    )];
    let mut reeds = table(&["  reed", "Q", "stray leak", "thickness found / measured", "loss and leak"]);
    let told: Vec<&ReedFit> = fit.reeds.iter().filter(|reed| reed.apart != Apart::NothingMeasured).collect();
    for reed in &told {
        let thickness = |(scale, error): (f64, f64)| format!("{scale:.4} ({error:.4})");
        reeds.add_row([
            format!("  {}", reed.id),
            quality(reed.quality_factor),
            reed.leak_m2.map_or("-".to_owned(), leak),
            reed.thickness_scale.map_or("-".to_owned(), thickness),
            apart(reed.apart).to_owned(),
        ]);
    }
    parts.extend((!told.is_empty()).then(|| lines(&reeds)));
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
        Apart::OneMeasured => "one measured",
        Apart::NothingMeasured => "-",
    }
}

fn quality(estimate: Estimate) -> String {
    let [value, low, high] = [estimate.value, estimate.low, estimate.high].map(|value| units::significant(value, 2));
    format!("{value} ({low} to {high})")
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
