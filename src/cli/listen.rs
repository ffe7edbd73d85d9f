//! `freereed listen`: what a microphone heard of reeds.

mod round;
mod table;

use std::path::PathBuf;

use clap::{Args, ValueEnum};
use freereed::listen::{Heard, HeardNote, Kind, Range, Recording, ReedHeard, Unreadable, Which, gather, listen, which};
use freereed::print::listen as print;
use freereed::sheet::{Date, Tuning};

use super::failure::Failure;
use super::{Outcome, output};
use round::Set;

#[derive(Args)]
pub struct Arguments {
    /// Recordings, WAV files: one note or many in each, with quiet between them
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    /// The job whose reeds were recorded, a TOML file
    #[arg(long)]
    job: Option<PathBuf>,
    /// What was recorded; without it each note is told by its sound
    #[arg(long, value_enum)]
    of: Option<Of>,
    /// The reeds in the order of their notes, such as 1-blow-out,1-draw-out; without it each note is matched by its pitch
    #[arg(long, value_delimiter = ',', requires = "job", value_name = "REEDS")]
    reeds: Vec<String>,
    /// How far a reed may be out of tune to be known by its pitch (cents)
    #[arg(long, default_value_t = Range::default().within_cents, requires = "job", value_name = "CENTS")]
    within_cents: f64,
    /// Pressure at which the notes were blown (Pa), where it was measured
    #[arg(long, value_name = "PA")]
    at_pa: Option<f64>,
    /// Write what was measured into a new round of measuring, rounds/DATE.csv beside the job
    #[arg(long, requires = "job")]
    save: bool,
    /// The day of the round; today without it
    #[arg(long, requires = "save", value_parser = day)]
    date: Option<Date>,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

/// What was recorded.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum Of {
    /// Plucked tongues
    Plucks,
    /// Blown notes
    Blows,
}

fn day(text: &str) -> Result<Date, String> {
    Date::parse(text).ok_or_else(|| "is no day; write it as 2026-03-01".to_owned())
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    check(arguments)?;
    let set = arguments.job.as_ref().map(|job| Set::load(job)).transpose()?;
    let (heard, failed) = hear(arguments)?;
    let matched = matched(arguments, set.as_ref(), heard)?;
    let certain = matched.iter().flat_map(|(heard, which)| heard.notes.iter().zip(which)).filter_map(certain);
    let reeds = gather(certain);
    let round = match (&set, arguments.save) {
        (Some(set), true) => Some(set.save(&reeds, arguments.date, arguments.at_pa)?),
        _ => None,
    };
    let usual = Tuning::default();
    let tuning = set.as_ref().map_or(&usual, |set| &set.tuning);
    match arguments.json {
        true => output::print_json(&print::to_json(&matched, &reeds, round.as_deref()))?,
        false => output::print(&table::text(&matched, &reeds, tuning, set.is_some(), round.as_deref()))?,
    }
    Ok(if failed { Outcome::SomeFailed } else { Outcome::Done })
}

/// What no parser of the call refuses.
fn check(arguments: &Arguments) -> Result<(), Failure> {
    if !(1.0..=600.0).contains(&arguments.within_cents) {
        return Err(Failure::Call(format!("--within-cents {}: allowed: 1 to 600", arguments.within_cents)));
    }
    match arguments.at_pa {
        Some(pressure) if !(1.0..=50_000.0).contains(&pressure) => {
            Err(Failure::Call(format!("--at-pa {pressure}: allowed: 1 to 50000")))
        }
        _ => Ok(()),
    }
}

/// Listens to every file. One that cannot be read does not keep the others from being heard; where none can, that is an error.
fn hear(arguments: &Arguments) -> Result<(Vec<Heard>, bool), Failure> {
    let of = arguments.of.map(|of| match of {
        Of::Plucks => Kind::Pluck,
        Of::Blows => Kind::Blow,
    });
    let one = |file: &PathBuf| Recording::open(file).and_then(|mut recording| listen(&mut recording, of));
    let (heard, failed): (Vec<_>, Vec<_>) = arguments.files.iter().map(one).partition(Result::is_ok);
    let failed: Vec<Unreadable> = failed.into_iter().filter_map(Result::err).collect();
    if heard.is_empty() {
        let all: Vec<String> = failed.iter().map(Unreadable::to_string).collect();
        return Err(Failure::Call(all.join("\n")));
    }
    failed.iter().for_each(|error| output::complain(&format!("freereed: {error}")));
    Ok((heard.into_iter().flatten().collect(), !failed.is_empty()))
}

/// Each file with the reed that each of its notes may be.
type Matched = Vec<(Heard, Vec<Option<Which>>)>;

fn matched(arguments: &Arguments, set: Option<&Set>, heard: Vec<Heard>) -> Result<Matched, Failure> {
    let Some(set) = set else {
        return Ok(heard
            .into_iter()
            .map(|heard| (vec![None; heard.notes.len()], heard))
            .map(|(w, h)| (h, w))
            .collect());
    };
    let count: usize = heard.iter().map(|heard| heard.notes.len()).sum();
    if !arguments.reeds.is_empty() && arguments.reeds.len() != count {
        let named = arguments.reeds.len();
        let why = format!("--reeds names {named} reeds, and {count} notes were heard; listen without it to see which");
        return Err(Failure::Call(why));
    }
    let range = Range { within_cents: arguments.within_cents, ..Range::default() };
    let mut named = arguments.reeds.iter();
    let mut find = |note: &HeardNote| match named.next() {
        Some(label) => set.named(label, note.pitch_hz.value),
        None => Ok(which(note.pitch_hz.value, &set.nominal(), range)),
    };
    let each = |heard: Heard| {
        let which = heard.notes.iter().map(|note| find(note).map(Some)).collect::<Result<Vec<_>, _>>()?;
        Ok((heard, which))
    };
    heard.into_iter().map(each).collect()
}

/// A note that is one reed's alone.
fn certain<'a>((note, which): (&'a HeardNote, &'a Option<Which>)) -> Option<(&'a str, &'a HeardNote)> {
    match which {
        Some(Which::One { label, .. }) => Some((label.as_str(), note)),
        _ => None,
    }
}

/// Whether a round would say anything of some reed.
fn says_something(reeds: &[ReedHeard]) -> bool {
    reeds.iter().any(|reed| reed.pluck_hz.is_some() || reed.sounding_hz.is_some())
}
