//! `freereed seal leak`, `seal edges`, `seal flatness`.

mod edges;
mod flatness;
mod leak;

use clap::{Args, Subcommand};
use freereed::answer::Conditions;
use freereed::sheet::CheckedReed;
use freereed::units;
use freereed::workshop::Effect;
use freereed::workshop::seal::SealRefusal;

use super::Outcome;
use super::failure::Failure;

#[derive(Args)]
pub struct Arguments {
    #[command(subcommand)]
    what: What,
}

#[derive(Subcommand)]
enum What {
    /// Stray leaks of plate, valve and comb: how large, what they cost, how small they should be
    Leak(leak::Arguments),
    /// The edges of the slot: how close to the tongue they should be
    Edges(edges::Arguments),
    /// Plate on comb: how flat it must lie
    Flatness(flatness::Arguments),
}

impl Arguments {
    /// Whether JSON was asked for.
    pub fn wants_json(&self) -> bool {
        match &self.what {
            What::Leak(arguments) => arguments.bench.json,
            What::Edges(arguments) => arguments.bench.json,
            What::Flatness(arguments) => arguments.bench.json,
        }
    }
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    match &arguments.what {
        What::Leak(arguments) => leak::run(arguments),
        What::Edges(arguments) => edges::run(arguments),
        What::Flatness(arguments) => flatness::run(arguments),
    }
}

fn refused(refusal: SealRefusal) -> Failure {
    match refusal {
        SealRefusal::Sheet(error) => Failure::Sheet(error),
        other => Failure::Call(other.to_string()),
    }
}

/// What a plan does to everything else, where there is something to do.
fn effect(
    needed: bool,
    before: &CheckedReed,
    after: &CheckedReed,
    conditions: &Conditions,
) -> Result<Option<Effect>, Failure> {
    let effect = needed.then(|| Effect::of(before, after, conditions));
    effect.transpose().map_err(|error| Failure::Call(error.to_string()))
}

fn row(label: &str, value: String) -> (String, String) {
    (label.to_owned(), value)
}

/// An onset, or that there is none.
fn onset(found: Option<f64>) -> String {
    found.map_or("never".to_owned(), units::pascal)
}
