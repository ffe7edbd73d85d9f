//! `freereed attack`: one reed blown from rest.

use std::path::PathBuf;

use clap::Args;
use freereed::answer::swing_scale;
use freereed::physics::ReedModel;
use freereed::physics::attack::{Attack, Blow, Ending, Stop};
use freereed::physics::sound;
use freereed::print::json;
use freereed::print::wav::{WAV_RATE_HZ, scale_to_peak, wav};
use freereed::units;

use super::failure::Failure;
use super::predict::{leaning, model_of, note, pressure};
use super::subject::{ReedArguments, Subject};
use super::{Outcome, output};

/// Longest run, in swings of the tongue: it takes some ten seconds and half a gigabyte.
const MOST_SWINGS: f64 = 10_000.0;

#[derive(Args)]
pub struct Arguments {
    #[command(flatten)]
    of: ReedArguments,
    /// Final mouth pressure, Pa; without it the normal one of the job's player
    #[arg(long, value_name = "P", required_unless_present = "job", value_parser = pressure, allow_hyphen_values = true)]
    pressure_pa: Option<f64>,
    /// Rise time of the pressure, ms; without it the player's of the job, else 10
    #[arg(long, value_name = "MS", value_parser = rise, allow_hyphen_values = true)]
    rise_ms: Option<f64>,
    /// Run for this long exactly, s; otherwise until steady
    #[arg(long, value_name = "S", value_parser = duration, allow_hyphen_values = true)]
    duration_s: Option<f64>,
    /// Write the run, one line a step
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
    /// Write the model's sound at 1 m, brought to an even peak
    #[arg(long, value_name = "FILE")]
    wav: Option<PathBuf>,
    /// Write over files that are there
    #[arg(long)]
    overwrite: bool,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

pub fn rise(typed: &str) -> Result<f64, String> {
    within(typed, 0.01, 10e3, "a rise time is 0.01 to 10000 ms")
}

fn duration(typed: &str) -> Result<f64, String> {
    within(typed, 1e-4, 60.0, "a duration is 0.0001 to 60 s")
}

pub fn within(typed: &str, least: f64, most: f64, range: &str) -> Result<f64, String> {
    let value: f64 = typed.trim().parse().map_err(|_| format!("{typed:?} is not a number"))?;
    if (least..=most).contains(&value) { Ok(value) } else { Err(range.to_owned()) }
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let mut subject = arguments.of.subject()?;
    for path in arguments.csv.iter().chain(&arguments.wav) {
        output::check_free(path, arguments.overwrite)?;
    }
    if let (Some(csv), Some(wav)) = (&arguments.csv, &arguments.wav) {
        output::check_different(csv, wav)?;
    }
    let model = model_of(&subject.checked)?;
    let longest_s = MOST_SWINGS / model.modes()[0].frequency_hz;
    if arguments.duration_s.is_some_and(|duration_s| duration_s > longest_s) {
        let longest = units::seconds(longest_s);
        return Err(Failure::Call(format!(
            "--duration-s is more than {MOST_SWINGS} swings of this reed; {longest} is the most, and plenty for any attack"
        )));
    }
    let blow = Blow {
        pressure_pa: arguments.pressure_pa.unwrap_or(subject.conditions.pressure_pa),
        rise_s: arguments.rise_ms.map_or(subject.conditions.rise_s, |ms| 1e-3 * ms),
    };
    let swing_scale = swing_scale(&model, &mut subject.checked);
    let mut attack = model.attack(&blow, arguments.duration_s.map_or(Stop::WhenSteady, Stop::After));
    attack.steady = attack.steady.map(|steady| steady.with_swing_scaled(swing_scale));
    if let Some(path) = &arguments.csv {
        output::write_file(path, &table(&model, &attack), arguments.overwrite)?;
    }
    if let Some(path) = &arguments.wav {
        let samples = sound::waveform(&model, &model.followed(&blow, attack.duration_s), 1.0, WAV_RATE_HZ);
        output::write_file(path, &wav(&samples, scale_to_peak(&samples)), arguments.overwrite)?;
    }
    if arguments.json {
        let mut all = json::attack(&attack);
        all.insert("swing_scale".to_owned(), swing_scale.into());
        all.insert("trust".to_owned(), json::attack_trust());
        all.extend(json::leaning(&subject.checked));
        all.extend(subject.to_json());
        output::print_json(&all)?;
    } else {
        output::print(&text(&attack, &subject, swing_scale))?;
    }
    Ok(Outcome::Done)
}

fn text(attack: &Attack, subject: &Subject, swing_scale: f64) -> String {
    let pressure = attack.blow.pressure_pa;
    let mut lines: Vec<String> = subject.heading().into_iter().collect();
    lines.push(format!(
        "Blown to {} ({}), rising in {}",
        units::pascal(pressure),
        units::water(pressure),
        units::seconds(attack.blow.rise_s)
    ));
    lines.push(verdict(attack));
    if let Some(steady) = &attack.steady {
        let row = |label: &str, found: String, trust: &str| format!("{label:<16} {found:<58} {trust}");
        let frequency = steady.frequency_hz;
        lines.push(row(
            "sounds at",
            format!("{}{}", units::hertz(frequency), note(frequency, &subject.tuning)),
            "weak",
        ));
        let (swing, mean) = (units::metres(steady.tip_amplitude_m), units::metres(steady.mean_tip_m));
        lines.push(row("tip swings", format!("{swing} either way about {mean} above the plate"), "weak"));
        lines.push(row("air used", units::flow(steady.mean_flow_m3_s), "fair"));
        let (plain, weighted) = (units::decibel(steady.level.db), steady.level.dba);
        lines.push(row("level at 1 m", format!("{plain} ({weighted:.1} dBA)"), "weak"));
        let place = match steady.stress_at_m {
            0.0 => "at the root".to_owned(),
            place => format!("{} from the clamp", units::metres(place)),
        };
        lines.push(row("stress", format!("{} {place}", units::stress(steady.stress_pa)), "weak"));
    }
    lines.extend(swing_note(swing_scale));
    lines.push(String::new());
    lines.extend(leaning(&subject.checked, &subject.tuning));
    lines.join("\n")
}

/// Said where swing, stress and level follow a measured swing.
pub fn swing_note(swing_scale: f64) -> Option<String> {
    let times = units::significant(swing_scale, 3);
    (swing_scale != 1.0).then(|| {
        format!("Swing, stress and level are brought to the measured swing: {times} times the swing of the model.")
    })
}

fn verdict(attack: &Attack) -> String {
    let end = units::seconds(attack.duration_s);
    let growth = match attack.growth_per_s {
        Some(rate) => format!("growth of small motion {}", units::per_second(rate)),
        None => "under this pressure it snaps to another rest".to_owned(),
    };
    match (attack.speaks, attack.ending, attack.t50_s, attack.t90_s) {
        (_, Ending::TooStiff, ..) => {
            format!(
                "Given up after {end}: the air settles far faster than the reed swings (a tiny chamber or mouth beside \
                 a large leak, channel or slot?)"
            )
        }
        (true, Ending::Settled, Some(half), Some(most)) => {
            format!(
                "Speaks: half way after {}, nine tenths after {} (fair)",
                units::seconds(half),
                units::seconds(most)
            )
        }
        (true, _, Some(half), _) => {
            format!("Speaks, nearly settled in {end}: half way after about {} (fair)", units::seconds(half))
        }
        (true, ..) => format!("Did not settle in {end}; it was still changing ({growth})"),
        (false, Ending::NotSettled, ..) => format!("Has not spoken in {end} ({growth})"),
        (false, ..) => format!("Does not speak ({growth})"),
    }
}

fn table(model: &ReedModel, attack: &Attack) -> Vec<u8> {
    let length = model.reed().beam.length_m;
    let rest = model.reed().rest.height_m(length, length);
    let head = "time_s,mouth_pressure_pa,chamber_pressure_pa,tip_height_m,tip_speed_m_s,channel_flow_m3_s\n";
    let mut text = head.to_owned();
    for (k, (time, state)) in attack.trace.times_s().iter().zip(attack.trace.states()).enumerate() {
        let (tip, speed) = (rest + attack.trace.tip(k), attack.trace.speed(k));
        let (mouth, chamber, flow) = model.mouth_to_reed(state, attack.blow.pressure_at(*time));
        text.push_str(&format!("{time:.9},{mouth:.6e},{chamber:.6e},{tip:.9e},{speed:.9e},{flow:.9e}\n"));
    }
    text.into_bytes()
}
