//! `freereed retune`: how much metal to take, or weight to add, and where, to bring a reed to a pitch.

use std::path::PathBuf;

use clap::{ArgGroup, Args, ValueEnum};
use freereed::answer::Conditions;
use freereed::chart::{FilingPatch, Picture};
use freereed::physics::ReedModel;
use freereed::print::charts::filing_chart;
use freereed::print::retune as print;
use freereed::sheet::{Note, Tuning};
use freereed::units::{self, metres, significant};
use freereed::workshop::retune::{
    Basis, Method, RetuneOptions, RetunePlan, RetuneRefusal, SENSED_DEPTH_M, Target, Work, retune,
};
use freereed::workshop::{Effect, Steps};
use serde_json::{Map, json};

use super::attack::within;
use super::bench::{BenchArguments, Report};
use super::failure::Failure;
use super::predict::pressure;
use super::subject::Subject;
use super::{Outcome, output};

#[derive(Args)]
#[command(group = ArgGroup::new("target").required(true).args(["cents", "hz", "note", "to_note"]))]
pub struct Arguments {
    #[command(flatten)]
    pub bench: BenchArguments,
    /// So many cents from where it is: +5, -3
    #[arg(long, value_name = "CENTS", allow_hyphen_values = true, value_parser = cents)]
    cents: Option<f64>,
    /// To this sounding frequency, Hz
    #[arg(long, value_name = "HZ", value_parser = hertz)]
    hz: Option<f64>,
    /// To this note, in the tuning that --concert-hz or the job says
    #[arg(long, value_name = "NOTE", value_parser = note)]
    note: Option<Note>,
    /// Concert pitch of --note, Hz, in equal temperament; without it the job's tuning, else 440
    #[arg(long, value_name = "HZ", value_parser = concert)]
    concert_hz: Option<f64>,
    /// To the note the job gives this reed, in the job's tuning
    #[arg(long, requires = "job")]
    to_note: bool,
    /// File the tongue, or put a weight on its tip
    #[arg(long, value_enum, default_value_t = How::File)]
    method: How,
    /// Where to file, mm from the clamp; without it the outer fifth to raise, a fifth near the clamp to lower
    #[arg(long, value_name = "FROM:TO", value_parser = patch)]
    patch_mm: Option<(f64, f64)>,
    /// Most of the local thickness that may go, or of the tongue's mass that its tip may carry, %
    #[arg(long, value_name = "PERCENT", default_value_t = 20.0, value_parser = percent)]
    allow_percent: f64,
    /// Mouth pressure at which the pitch is wanted, Pa; without it the player's of the job, else 500
    #[arg(long, value_name = "P", value_parser = pressure)]
    pressure_pa: Option<f64>,
    /// Temperature of the reed when it is measured on the bench, degC; without it the reed's, else 20
    #[arg(long, value_name = "C", allow_hyphen_values = true, value_parser = celsius)]
    bench_c: Option<f64>,
    /// Temperature of the reed in play, degC; without it as on the bench
    #[arg(long, value_name = "C", allow_hyphen_values = true, value_parser = celsius)]
    playing_c: Option<f64>,
    /// Depth of your lightest even stroke, thousandths of a mm
    #[arg(long, value_name = "UM", default_value_t = 0.5, value_parser = stroke)]
    stroke_um: f64,
    /// Where only the plucked pitch is known: add the model's step to the sounding one, which is weak
    #[arg(long)]
    model_shift: bool,
    /// Draw what filing does along the reed, with the patch, an SVG file
    #[arg(long, value_name = "FILE")]
    chart: Option<PathBuf>,
}

#[derive(Clone, Copy, ValueEnum)]
enum How {
    File,
    Weight,
}

fn cents(typed: &str) -> Result<f64, String> {
    within(typed, -600.0, 600.0, "a change is -600 to 600 cents; another note is another reed")
}

pub fn hertz(typed: &str) -> Result<f64, String> {
    within(typed, 5.0, 20e3, "a pitch is 5 to 20000 Hz")
}

pub fn concert(typed: &str) -> Result<f64, String> {
    within(typed, 380.0, 500.0, "a concert pitch is 380 to 500 Hz")
}

pub fn note(typed: &str) -> Result<Note, String> {
    Note::parse(typed).ok_or_else(|| format!("{typed:?} is no note; write letter, sharp or flat, octave: A4, F#5, Bb3"))
}

fn percent(typed: &str) -> Result<f64, String> {
    within(typed, 0.1, 60.0, "a share is 0.1 to 60 %")
}

fn celsius(typed: &str) -> Result<f64, String> {
    within(typed, -20.0, 60.0, "a temperature of bench or play is -20 to 60 degC")
}

fn stroke(typed: &str) -> Result<f64, String> {
    within(typed, 0.05, 20.0, "a stroke takes 0.05 to 20 thousandths of a mm")
}

fn patch(typed: &str) -> Result<(f64, f64), String> {
    let (from, to) = typed.split_once(':').ok_or("write FROM:TO in mm from the clamp, for instance 9.5:12")?;
    let place = |text: &str| within(text, 0.0, 80.0, "a place is 0 to 80 mm from the clamp");
    Ok((1e-3 * place(from)?, 1e-3 * place(to)?))
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let subject = arguments.bench.subject()?;
    if let Some(chart) = &arguments.chart {
        arguments.bench.check_chart(chart)?;
    }
    let options = options(arguments, &subject)?;
    let plan = match retune(&subject.checked, &options) {
        Ok(plan) => plan,
        Err(refusal @ RetuneRefusal::InTune { .. }) => return nothing_to_do(arguments, &subject, &refusal),
        Err(refusal) => return Err(Failure::Call(format!("{}: {refusal}{}", subject.name, flags(&refusal)))),
    };
    let conditions = Conditions { pressure_pa: options.pressure_pa, ..subject.conditions };
    let effect = Effect::of(&subject.checked, &plan.after, &conditions)
        .map_err(|error| Failure::Call(format!("cannot solve this reed: {error}")))?;
    let report = Report {
        title: plan.title(),
        facts: facts(&plan),
        steps: &plan.steps(),
        after: Some((&plan.after, &[plan.work.key()], &effect)),
        notes: notes(&plan, &options, &subject),
        cautions: plan.cautions(),
        json: print::to_json(&plan),
    };
    if let Some(path) = &arguments.chart {
        output::write_picture(path, &chart(&subject, &plan)?, arguments.bench.overwrite)?;
    }
    arguments.bench.show(&subject, &report)
}

/// The flags that a refusal speaks of.
fn flags(refusal: &RetuneRefusal) -> String {
    let named: Vec<&str> = match refusal {
        RetuneRefusal::NoPitch => vec!["--cents"],
        RetuneRefusal::Silent { .. } => vec!["--pressure-pa", "--model-shift"],
        RetuneRefusal::TooHeavy { .. } => vec!["--method file", "--allow-percent"],
        RetuneRefusal::TooDeep { longer, weight_kg, .. } => [
            longer.as_ref().map(|_| "--patch-mm FROM:TO"),
            weight_kg.map(|_| "--method weight"),
            Some("--allow-percent"),
        ]
        .into_iter()
        .flatten()
        .collect(),
        _ => Vec::new(),
    };
    if named.is_empty() { String::new() } else { format!(" ({})", named.join(", ")) }
}

/// The tuning in which a note is asked: equal at the concert pitch named, else the job's.
pub fn tuning(concert_hz: Option<f64>, subject: &Subject) -> Tuning {
    let named = concert_hz.map(|concert_pitch_hz| Tuning { concert_pitch_hz, ..Tuning::default() });
    named.unwrap_or_else(|| subject.tuning.clone())
}

fn options(arguments: &Arguments, subject: &Subject) -> Result<RetuneOptions, Failure> {
    let tuning = tuning(arguments.concert_hz, subject);
    let of_job = subject.target_hz().filter(|_| arguments.to_note);
    let hertz = arguments.hz.or(arguments.note.map(|note| tuning.frequency_hz(note))).or(of_job);
    let target = match (arguments.cents, hertz) {
        (Some(cents), _) => Target::Cents(cents),
        (None, Some(hz)) => Target::Hertz(hz),
        (None, None) => return Err(Failure::Call("--to-note: name the reed's job with --job and --reed".to_owned())),
    };
    Ok(RetuneOptions {
        method: match arguments.method {
            How::File => Method::File,
            How::Weight => Method::Weight,
        },
        patch_m: arguments.patch_mm,
        most_share: 1e-2 * arguments.allow_percent,
        bench_c: arguments.bench_c,
        playing_c: arguments.playing_c,
        stroke_m: 1e-6 * arguments.stroke_um,
        with_model_shift: arguments.model_shift,
        ..RetuneOptions::to(target, arguments.pressure_pa.unwrap_or(subject.conditions.pressure_pa))
    })
}

/// A reed that is in tune is no error, but there is nothing to save.
fn nothing_to_do(arguments: &Arguments, subject: &Subject, why: &RetuneRefusal) -> Result<Outcome, Failure> {
    let report = Report {
        title: why.to_string(),
        facts: Vec::new(),
        steps: &Steps::default(),
        after: None,
        notes: Vec::new(),
        cautions: Vec::new(),
        json: Map::from_iter([("nothing_to_do".to_owned(), json!(why.to_string()))]),
    };
    arguments.bench.show(subject, &report)
}

fn facts(plan: &RetunePlan) -> Vec<(String, String)> {
    let mut facts = vec![pitch(plan)];
    let mut add = |label: &str, value: String| facts.push((label.to_owned(), value));
    let (before, after) = plan.body;
    match plan.work {
        Work::File { depth_m, .. } => add(
            "metal off",
            format!(
                "{} of {} ({} %), leaves {}; good to {} %",
                mm(depth_m),
                mm(before.least_thickness_m),
                significant(100.0 * depth_m / before.least_thickness_m, 2),
                mm(after.least_thickness_m),
                significant(100.0 * plan.doubt, 2)
            ),
        ),
        Work::Weigh { mass_kg } => add(
            "weight",
            format!(
                "{} on a tongue of {} ({} %); good to {} %",
                units::kilograms(mass_kg),
                units::kilograms(before.mass_kg),
                significant(100.0 * mass_kg / before.mass_kg, 2),
                significant(100.0 * plan.doubt, 2)
            ),
        ),
    }
    add(
        "pitch moves",
        format!(
            "plucked {}, solved exactly ({} by the slope alone){}",
            units::cents(plan.pluck_cents),
            units::cents(plan.first_order_cents),
            plan.sounding_cents.map_or(String::new(), |cents| format!("; sounding {}", units::cents(cents)))
        ),
    );
    let percent = |a: f64, b: f64| format!("{:+.1} %", 100.0 * (b / a - 1.0));
    add(
        "stiffness at the tip",
        format!(
            "{} -> {} N/m ({})",
            significant(before.stiffness_n_m, 4),
            significant(after.stiffness_n_m, 4),
            percent(before.stiffness_n_m, after.stiffness_n_m)
        ),
    );
    if let (Some(a), Some(b)) = (before.closing_pa, after.closing_pa) {
        add("gap pressed shut by", format!("{} -> {} ({})", units::pascal(a), units::pascal(b), percent(a, b)));
    }
    add(
        "bending, per mm of swing",
        format!(
            "{} -> {} MPa ({}), largest {}",
            significant(1e-9 * before.stress_per_swing_pa_m, 3),
            significant(1e-9 * after.stress_per_swing_pa_m, 3),
            percent(before.stress_per_swing_pa_m, after.stress_per_swing_pa_m),
            if after.stress_at_m > 0.0 {
                format!("{} from the clamp", metres(after.stress_at_m))
            } else {
                "at the clamp".to_owned()
            }
        ),
    );
    let sensed = |k: usize| {
        let sensed = plan.sensed[k];
        format!(
            "{} at {}-{}",
            units::cents(sensed.cents).replace(" cents", ""),
            place(sensed.from_m),
            place(sensed.to_m)
        )
    };
    let along: Vec<String> = (0..plan.sensed.len()).map(sensed).collect();
    add(&format!("cents for {} mm off", significant(1e3 * SENSED_DEPTH_M, 1)), format!("{} mm", along.join(", ")));
    let neutral: Vec<String> = plan.neutral_m.iter().map(|&s| metres(s)).collect();
    add("filing does nothing at", format!("{} from the clamp", neutral.join(" and ")));
    facts
}

fn pitch(plan: &RetunePlan) -> (String, String) {
    let standing = &plan.standing;
    let at = format!("at {}", units::pascal(standing.pressure_pa));
    let how = match standing.basis {
        Basis::Sounding => format!("sounding {at}"),
        Basis::Plucked => "plucked".to_owned(),
        Basis::PluckedAndModelShift => format!("sounding {at}: plucked, and the model's step (weak)"),
        Basis::NotKnown => return ("pitch now".to_owned(), "not measured; a change only".to_owned()),
    };
    let hz = |hz: Option<f64>| hz.map_or(String::new(), |hz| format!("{hz:.2} Hz"));
    let value = format!(
        "{} ({how}); wanted {} ({})",
        hz(standing.playing_hz),
        hz(plan.wanted_hz),
        units::cents(plan.need_cents)
    );
    ("pitch now".to_owned(), value)
}

/// A depth to the ten-thousandth of a millimetre.
fn mm(depth_m: f64) -> String {
    format!("{:.4} mm", 1e3 * depth_m)
}

/// A place without its unit.
fn place(place_m: f64) -> String {
    significant(1e3 * place_m, 3)
}

fn notes(plan: &RetunePlan, options: &RetuneOptions, subject: &Subject) -> Vec<String> {
    let standing = &plan.standing;
    let mut notes = Vec::new();
    if let (Basis::Plucked, Some(shift)) = (standing.basis, standing.model_shift_cents) {
        notes.push(format!(
            "Only the plucked pitch is known and is taken for the sounding one. By the model it sounds {} from there at {}: \
             weak. Measure the sounding pitch before the last pass; --model-shift plans with the model's step.",
            units::cents(shift),
            units::pascal(standing.pressure_pa)
        ));
    }
    if let Some(carried) = standing.pressure_cents.filter(|cents| cents.abs() >= 0.05) {
        notes.push(format!(
            "From the {} of the measurement to the {} of the player the pitch moves {} (a difference of the model).",
            units::pascal(standing.measured_at_pa.unwrap_or(standing.pressure_pa)),
            units::pascal(standing.pressure_pa),
            units::cents(carried)
        ));
    }
    notes.push(temperature(plan));
    let settling = &plan.settling;
    notes.push(format!(
        "Cooling: an estimate. The work is taken to warm the tongue by {} K ({}); that goes in {} to {} (to 37 %, air and root \
         at their best and worst). A plate warmed by the hand takes minutes (common practice, no source).",
        settling.warmed_k,
        units::cents(settling.warmed_k * settling.cents_per_k),
        units::seconds(settling.time_constant_s.0),
        units::seconds(settling.time_constant_s.1)
    ));
    if let Work::File { .. } = plan.work {
        notes.push(format!(
            "Lightest stroke {} mm (--stroke-um; assumed unless you have found yours by many strokes on a spare reed). Scratches \
             across the reed and sharp ends of the patch, near the clamp above all, are where it will crack (common practice, \
             no source). No more than {} % of the thickness goes in one plan (--allow-percent).",
            significant(1e3 * options.stroke_m, 2),
            1e2 * options.most_share
        ));
    }
    if subject.checked.thickness.is_some_and(|found| found.disagrees) {
        notes.push(
            "Measure this reed again first: its thickness and its plucked pitch contradict each other.".to_owned(),
        );
    }
    notes
}

fn temperature(plan: &RetunePlan) -> String {
    let (bench_c, playing_c) = plan.standing.temperatures_c;
    if bench_c == playing_c {
        return format!(
            "Temperature: the reed is taken to be as warm in play as on the bench ({bench_c} degC); it moves {} cents a degree. \
             Say both with --bench-c and --playing-c to tune cold for playing warm.",
            significant(plan.settling.cents_per_k, 2)
        );
    }
    format!(
        "Temperature: from {bench_c} degC on the bench to {playing_c} degC in play the reed itself moves {}; the readings above \
         are for the bench. The air is taken to be the same at both.",
        units::cents(plan.standing.warmth_cents)
    )
}

fn chart(subject: &Subject, plan: &RetunePlan) -> Result<Picture, Failure> {
    let model = ReedModel::new(subject.checked.reed.clone())
        .map_err(|error| Failure::Call(format!("cannot solve this reed: {error}")))?;
    let mut chart = filing_chart(&subject.short_name, &subject.checked, &model, &subject.tuning);
    if let Work::File { from_m, to_m, depth_m } = plan.work {
        chart.patch = Some(FilingPatch { from_m, to_m, depth_m, cents: plan.pluck_cents });
    }
    Ok(chart.picture())
}
