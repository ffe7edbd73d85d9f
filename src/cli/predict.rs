//! `freereed predict`: what one reed will do.

use clap::Args;
use freereed::physics::ReedModel;
use freereed::physics::onset::{Choke, Search};
use freereed::predict::{Prediction, Question, plausible_quality_factor};
use freereed::print::json;
use freereed::sheet::{CheckedReed, Tuning};
use freereed::units;

use super::failure::Failure;
use super::subject::{ReedArguments, Subject};
use super::text::wrap;
use super::{Outcome, output};

#[derive(Args)]
pub struct Arguments {
    #[command(flatten)]
    of: ReedArguments,
    /// Mouth pressures at which to tell the growth rate, Pa; without them the player's of the job: soft, normal, hard
    #[arg(long, value_name = "P,P,...", value_delimiter = ',', value_parser = pressure, allow_hyphen_values = true)]
    at_pa: Vec<f64>,
    /// Highest mouth pressure searched, Pa
    #[arg(long, value_name = "P", default_value_t = Search::default().limit_pa, value_parser = pressure, allow_hyphen_values = true)]
    limit_pa: f64,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

/// A pressure the model can take.
pub fn pressure(typed: &str) -> Result<f64, String> {
    let value: f64 = typed.trim().parse().map_err(|_| format!("{typed:?} is not a number of pascal"))?;
    if (1.0..=100e3).contains(&value) { Ok(value) } else { Err("a pressure is 1 to 100000 Pa".to_owned()) }
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let subject = arguments.of.subject()?;
    let search = Search { limit_pa: arguments.limit_pa, ..Search::default() };
    let of_player = subject.of_job.as_ref().map_or(Vec::new(), |of| of.pressures_pa.to_vec());
    let at_pa = if arguments.at_pa.is_empty() { of_player } else { arguments.at_pa.clone() };
    let question = Question { at_pa, search };
    let prediction = Prediction::of(&subject.checked, &question)
        .map_err(|error| Failure::Call(format!("cannot solve this reed: {error}")))?;
    if arguments.json {
        let mut all = json::prediction(&prediction, &subject.checked);
        all.extend(subject.to_json());
        output::print_json(&all)?;
    } else {
        output::print(&text(&prediction, &subject))?;
    }
    Ok(Outcome::Done)
}

/// The reed, solved.
pub fn model_of(checked: &CheckedReed) -> Result<ReedModel, Failure> {
    ReedModel::new(checked.reed.clone()).map_err(|error| Failure::Call(format!("cannot solve this reed: {error}")))
}

fn text(prediction: &Prediction, subject: &Subject) -> String {
    let mut lines: Vec<String> = subject.heading().into_iter().collect();
    lines.extend([plucked(prediction, subject), other_modes(prediction)]);
    lines.extend(onset(prediction, &subject.checked));
    lines.push(choke(prediction));
    for squeal in &prediction.speaking.squeals {
        lines.push(row(
            "may squeal",
            format!(
                "at {} from {} to {}",
                units::hertz(squeal.frequency_hz),
                units::pascal(squeal.from_pa),
                units::pascal(squeal.to_pa)
            ),
            "weak",
        ));
    }
    for &(pressure, growth) in &prediction.growth {
        let found = match growth {
            Some(growth) => {
                let rate = units::per_second(growth.growth_per_s);
                format!("{rate}{} at {}", doubling(growth.growth_per_s), units::hertz(growth.frequency_hz))
            }
            None => "the reed has snapped to another rest".to_owned(),
        };
        lines.push(row(&format!("growth, {}", units::pascal(pressure)), found, "fair"));
    }
    lines.push(body(prediction));
    lines.push(String::new());
    lines.extend(leaning(&subject.checked, &subject.tuning));
    lines.join("\n")
}

/// A growth rate as what the ear can follow, in brackets.
fn doubling(growth_per_s: f64) -> String {
    match std::f64::consts::LN_2 / growth_per_s.abs() {
        time if time > 100.0 => String::new(),
        time if growth_per_s > 0.0 => format!(" (doubles in {})", units::seconds(time)),
        time => format!(" (halves in {})", units::seconds(time)),
    }
}

fn row(label: &str, found: String, trust: &str) -> String {
    format!("{label:<16} {found:<58} {trust}")
}

fn plucked(prediction: &Prediction, subject: &Subject) -> String {
    let measured = subject.checked.measured.pluck_hz.is_some();
    let frequency = prediction.natural_frequency_hz;
    let basis = if measured { "measured to" } else { "by its sizes, to" };
    let off = units::significant(prediction.natural_uncertainty_cents, 2);
    let found = format!("{}{}, {basis} {off} cents", units::hertz(frequency), note(frequency, &subject.tuning));
    row("plucked", found, if measured { "sure" } else { "fair" })
}

/// The nearest note, in brackets.
pub fn note(frequency_hz: f64, tuning: &Tuning) -> String {
    let nearest = tuning.nearest(frequency_hz);
    nearest.map_or(String::new(), |nearest| format!(" ({} {})", nearest.note, units::cents(nearest.cents)))
}

fn other_modes(prediction: &Prediction) -> String {
    let second = units::hertz(prediction.model.modes()[1].frequency_hz);
    let (twist, side) = (prediction.torsional_frequency_hz, prediction.lateral_frequency_hz);
    row(
        "other modes",
        format!("second {second}, twisting {}, sideways {}", units::hertz(twist), units::hertz(side)),
        "fair",
    )
}

fn onset(prediction: &Prediction, checked: &CheckedReed) -> Vec<String> {
    let limit = units::pascal(prediction.speaking.limit_pa);
    let Some(onset) = prediction.speaking.onset else {
        return vec![row("speaks from", format!("never, up to {limit}"), "fair")];
    };
    let pressure = onset.pressure_pa;
    let found =
        format!("{} ({}) at {}", units::pascal(pressure), units::water(pressure), units::hertz(onset.frequency_hz));
    let mut lines = vec![row("speaks from", found, "fair")];
    if let Some((low, high)) = prediction.onset_range_pa {
        let end = |found: Option<f64>| found.map_or("never".to_owned(), units::pascal);
        let (worst, best) = plausible_quality_factor(prediction.model.modes()[0].frequency_hz);
        lines.push(row("", format!("{} to {} for a loss of Q {best:.0} to {worst:.0}", end(low), end(high)), ""));
    }
    if let Some(softest) = checked.measured.softest_blow_pa {
        let (size, side) =
            (100.0 * (softest / pressure - 1.0).abs(), if softest > pressure { "above" } else { "below" });
        let size = units::significant(size, 2);
        lines.push(row("", format!("softest blow measured {}: {size} % {side}", units::pascal(softest)), "sure"));
    }
    lines
}

fn choke(prediction: &Prediction) -> String {
    let speaking = &prediction.speaking;
    let found = match speaking.choke {
        Choke::NoneBelowLimit if speaking.onset.is_none() => "no window to end".to_owned(),
        Choke::NoneBelowLimit => format!("not below {}", units::pascal(speaking.limit_pa)),
        Choke::Fades(pressure) => format!("{} ({})", units::pascal(pressure), units::water(pressure)),
        Choke::Snaps(pressure) => format!("{}: the reed snaps into the slot", units::pascal(pressure)),
    };
    row("chokes above", found, "fair")
}

fn body(prediction: &Prediction) -> String {
    let (mass, stiffness) = (prediction.mass_kg, prediction.tip_stiffness_n_m);
    let per_kpa = units::metres(prediction.compliance_m_pa * 1e3);
    let stiffness = units::significant(stiffness, 3);
    row("tongue", format!("{}, {stiffness} N/m at the tip, {per_kpa} per kPa", units::kilograms(mass)), "sure")
}

/// What the answers lean on, and how far they go.
pub fn leaning(checked: &CheckedReed, tuning: &Tuning) -> Vec<String> {
    let mut lines = Vec::new();
    if let Some(found) = &checked.thickness {
        let mean = units::metres(found.mean_found_m);
        lines.push(match (found.measured, found.disagrees) {
            (false, _) => format!("Thickness from the plucked pitch: {mean} on average."),
            (true, false) => format!("Thickness scaled by {:.4} to meet the plucked pitch: {mean} on average.", found.scale),
            (true, true) => format!(
                "CHECK: the plucked pitch wants {mean} on average, {:.4} of the measured thickness and beyond its tolerance; \
                 measure thickness, length and pitch again.",
                found.scale
            ),
        });
    }
    lines.extend(checked.notes.iter().map(|note| format!("Note: {note}.")));
    if !checked.assumed.is_empty() {
        let assumed: Vec<_> = checked.assumed.iter().map(|a| format!("{} {}", a.key, a.value)).collect();
        lines.push(format!("Assumed: {}.", assumed.join("; ")));
    }
    lines.push(format!(
        "Model {}. Sure: plucked pitch, the order of reeds and of changes. Fair: onset, growth, speaking time. Weak: swing, \
         stress, level, and how far the sounding pitch lies from the plucked one. A measured value replaces a weak guess. Notes \
         are at {tuning}.",
        freereed::physics::coefficients::MODEL_VERSION
    ));
    lines.into_iter().map(|line| wrap(&line, "  ")).collect()
}
