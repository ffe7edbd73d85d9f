//! `freereed life`: how long a reed lasts, what would lengthen it, and which reeds of a set fail first.

mod one;
mod set;

use std::path::PathBuf;

use clap::Args;
use freereed::sheet::{Job, nearest_name};
use freereed::units;
use freereed::workshop::Bounds;
use freereed::workshop::life::{Life, Playing, Scratch, Surface};

use super::Outcome;
use super::attack::within;
use super::failure::Failure;
use super::predict::pressure;
use super::subject::Subject;

/// Hard playing where no player says how hard it is (Pa).
const USUAL_HARD_PA: f64 = 1500.0;
/// Rise time of an attack where no player says it (s).
const USUAL_RISE_S: f64 = 10e-3;
/// Hours longer than this are as good as for ever.
const LONG_HOURS: f64 = 1e5;

#[derive(Args)]
pub struct Arguments {
    /// The reed, a TOML file; or --job, with --reed for one of its reeds
    #[arg(required_unless_present = "job", conflicts_with = "job")]
    file: Option<PathBuf>,
    /// A job: its reeds in the order in which they fail
    #[arg(long, value_name = "JOB.toml")]
    job: Option<PathBuf>,
    /// One reed of the job: 5-blow-in
    #[arg(long, value_name = "ID", requires = "job")]
    reed: Option<String>,
    /// Mouth pressure of hard playing, Pa; left out: the player's of the job, else 1500
    #[arg(long, value_name = "P", value_parser = pressure, allow_hyphen_values = true)]
    pressure_pa: Option<f64>,
    /// Hours the instrument is to be played: 3650 is an hour a day for ten years
    #[arg(long, value_name = "H", default_value_t = 3650.0, value_parser = hours, allow_hyphen_values = true)]
    hours: f64,
    /// Share of the time in which one reed sounds, percent: 2 is one of 48 reeds
    #[arg(long, value_name = "PERCENT", default_value_t = 2.0, value_parser = share, allow_hyphen_values = true)]
    share_percent: f64,
    /// Finish of the tongue: polished, rolled, filed-along, filed-across
    #[arg(long, value_name = "FINISH", default_value = Surface::default().name(), value_parser = finish)]
    surface: Surface,
    /// Depth and bottom radius of a scratch across the reed, um; left out: 5x5
    #[arg(long, value_name = "DEPTHxRADIUS", value_parser = scratch)]
    scratch_um: Option<Scratch>,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

fn hours(typed: &str) -> Result<f64, String> {
    within(typed, 0.01, 1e6, "hours of playing are 0.01 to 1000000")
}

fn share(typed: &str) -> Result<f64, String> {
    within(typed, 0.01, 100.0, "a share of the time is 0.01 to 100 percent")
}

fn finish(typed: &str) -> Result<Surface, String> {
    let known: Vec<&str> = Surface::ALL.iter().map(|row| row.0).collect();
    Surface::ALL.iter().find(|row| row.0 == typed).map(|row| row.1).ok_or_else(|| {
        let near = nearest_name(typed, &known).map_or(String::new(), |near| format!(" (did you mean {near}?)"));
        format!("is no finish{near}; there are {}", known.join(", "))
    })
}

fn scratch(typed: &str) -> Result<Scratch, String> {
    let wrong = || "give depth x radius at the bottom, in um: 5x5".to_owned();
    let (depth, radius) = typed.split_once(['x', 'X']).ok_or_else(wrong)?;
    let size =
        |text: &str| within(text.trim(), 0.1, 500.0, "a scratch is 0.1 to 500 um deep, and as wide at its bottom");
    Ok(Scratch { depth_m: 1e-6 * size(depth)?, radius_m: 1e-6 * size(radius)? })
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    match (&arguments.job, &arguments.reed) {
        (Some(path), None) => set::set(arguments, &Job::load(path)?),
        _ => one::one(arguments),
    }
}

impl Arguments {
    fn playing(&self, pressure_pa: f64, rise_s: f64) -> Playing {
        Playing {
            pressure_pa,
            rise_s,
            hours: self.hours,
            share: 1e-2 * self.share_percent,
            surface: self.surface,
            scratch: self.scratch_um.unwrap_or_default(),
        }
    }
}

fn time(life: &Life) -> String {
    let percent = units::significant(100.0 * life.playing.share, 2);
    format!("{percent} % of {} h", units::significant(life.playing.hours, 3))
}

fn two_digits(value: f64) -> String {
    units::significant(value, 2)
}

fn span(bounds: Bounds, unit: impl Fn(f64) -> String) -> String {
    let (low, high) = (unit(bounds.low), unit(bounds.high));
    if low == high { low } else { format!("{low} to {high}") }
}

fn span_hours(hours: Bounds) -> String {
    let text = |hours: f64| match hours {
        long if long > LONG_HOURS => format!("over {LONG_HOURS} h"),
        short if short < 1.0 => format!("{} h", units::significant(short, 1)),
        hours => format!("{} h", units::significant(hours, 2)),
    };
    span(hours, text)
}

fn notes(arguments: &Arguments, life: &Life, subject: Option<&Subject>) -> Vec<String> {
    let strength = &life.strength;
    let mut notes = vec![
        "Estimate: the two ends are bounds. Surface and notch factors are published for steel and serve as bounds; the line \
         between 0.9 of the tensile strength at 1000 cycles and the fatigue strength goes on beyond it, as copper alloys have no \
         endurance limit. Stress left by bending and rolling is not counted."
            .to_owned(),
    ];
    let mut assumed = vec![format!("all of the sounding time is as hard; the reed sounds {}", time(life))];
    if arguments.pressure_pa.is_none() && subject.is_some_and(|subject| subject.hard_pa().is_none()) {
        assumed.push(format!("hard playing is {}", units::pascal(USUAL_HARD_PA)));
    }
    assumed.push(format!("finish {} (--surface)", arguments.surface.name()));
    if arguments.surface == Surface::FiledAcross && arguments.scratch_um.is_none() {
        assumed.push("scratches 5 um deep with 5 um at the bottom".to_owned());
    }
    if strength.tensile_is_yield {
        assumed
            .push("the yield strength stands for the tensile strength, which is not known: a lower bound".to_owned());
    }
    if strength.fatigue_is_estimate {
        assumed.push(format!(
            "fatigue strength {}, 0.2 to 0.35 of the tensile: give fatigue_mpa if the mill states it",
            span(strength.fatigue_pa, units::stress)
        ));
    }
    notes.push(format!("Assumed here: {}.", assumed.join("; ")));
    notes
}
