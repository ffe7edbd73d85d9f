//! The commands: arguments, then library calls, then text. Nothing below this knows of the command line.

mod align;
mod assess;
mod attack;
mod balance;
mod bench;
mod care;
mod charts;
mod conditions;
mod failure;
mod fasten;
mod handout;
mod keys;
mod life;
mod listen;
mod new;
#[cfg(feature = "page")]
mod open;
mod output;
mod predict;
mod protocol;
mod regap;
mod rehearse;
mod replace;
mod retune;
mod rounds;
mod schema;
mod seal;
mod still_to_measure;
mod subject;
mod sweep;
mod text;
mod today;
mod unfinished;
mod verify;
mod warmth;
mod whatif;
mod worklist;

use std::process::ExitCode;

use clap::{Parser, Subcommand};

use failure::Failure;
pub use failure::show_call;

/// What a free reed will do, computed from what can be measured at the bench.
///
/// Exit codes: 0 done (whatever the verdict on a reed, and with rows that are not measured yet), 1 done but some rows or
/// checks failed, 2 the input or the call is wrong.
#[derive(Parser)]
#[command(version, disable_help_subcommand = true)]
pub struct Call {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// A job to start from: a commented job file, an empty sheet, how to measure
    New(new::Arguments),
    /// The bench page: a job on the screen, in the browser of this machine; measure, try a gap, mark work done
    #[cfg(feature = "page")]
    Open(open::Arguments),
    /// Every reed of a job: pitch, window, speaking time, verdict
    Assess(assess::Arguments),
    /// The tip gap for every reed of a job: the widest room for the player, in an even run
    Balance(balance::Arguments),
    /// What is to be done with a set, reed by reed, in which order: amounts, effects, minutes
    Worklist(worklist::Arguments),
    /// Rounds of measuring: what was done, expected and measured, what that says of the set, minutes spent
    Rounds(rounds::Arguments),
    /// What a microphone heard: which reeds, their pitch, attack, ring-down, beats
    Listen(listen::Arguments),
    /// A piece of music on a set by its player: which notes fail, of which reeds it asks too much, what would serve
    Rehearse(rehearse::Arguments),
    /// What to pluck, blow and record before a set is signed off, doubtful reeds first
    Protocol(protocol::Arguments),
    /// Plucked pitch, onset, choke and growth of one reed
    Predict(predict::Arguments),
    /// Blow one reed from rest: does it speak, how soon, to what does it settle
    Attack(attack::Arguments),
    /// Today's reed beside the same reed changed: what differs, by how much, how surely
    Whatif(whatif::Arguments),
    /// Results over a grid of one or two inputs
    Sweep(sweep::Arguments),
    /// Every picture of one reed
    Charts(charts::Arguments),
    /// Bring a reed to a pitch: how much metal to take, or weight to add, and where
    Retune(retune::Arguments),
    /// Another tip gap by bending: where to push, how far, in which steps, and what it does
    Regap(regap::Arguments),
    /// A tongue off the middle of its slot: does it touch, how far to move it
    Align(align::Arguments),
    /// Leaks beside the tongue, closeness of the slot's edges, flatness of the plate: what they cost, how far to seal
    Seal(seal::Arguments),
    /// What holds a reed on its plate: coverage, clamp, and what a better fastener could win back
    Fasten(Box<fasten::Arguments>),
    /// How long a reed lasts and what would lengthen it; of a job: which reeds fail first
    Life(life::Arguments),
    /// A new reed for a slot from strip in stock: lengths and profiles that reach the note, the best first
    Replace(replace::Arguments),
    /// Clean a reed, see to its valve, look for a crack or a loose fastening: steps, minutes, what each outcome tells
    Care(care::Arguments),
    /// A printable booklet for apprentices: what one reed does and why
    Handout(handout::Arguments),
    /// Recompute the published checks
    Verify(verify::Arguments),
    /// List every input: unit, range, default, meaning, how to measure it
    Keys,
    /// What a command prints as JSON: every key and its kinds, as a JSON Schema
    Schema(schema::Arguments),
}

impl Call {
    /// Whether results were asked for as JSON.
    pub fn wants_json(&self) -> bool {
        match &self.command {
            Command::Assess(arguments) => arguments.json,
            Command::Balance(arguments) => arguments.json,
            Command::Worklist(arguments) => arguments.json,
            Command::Rounds(arguments) => arguments.json,
            Command::Listen(arguments) => arguments.json,
            Command::Rehearse(arguments) => arguments.json,
            Command::Protocol(arguments) => arguments.json,
            Command::Predict(arguments) => arguments.json,
            Command::Attack(arguments) => arguments.json,
            Command::Whatif(arguments) => arguments.json,
            Command::Sweep(arguments) => arguments.json,
            Command::Retune(arguments) => arguments.bench.json,
            Command::Regap(arguments) => arguments.bench.json,
            Command::Align(arguments) => arguments.bench.json,
            Command::Seal(arguments) => arguments.wants_json(),
            Command::Fasten(arguments) => arguments.bench.json,
            Command::Life(arguments) => arguments.json,
            Command::Replace(arguments) => arguments.bench.json,
            Command::Care(arguments) => arguments.json,
            Command::Verify(arguments) => arguments.json,
            #[cfg(feature = "page")]
            Command::Open(_) => false,
            Command::Charts(_) | Command::Handout(_) | Command::New(_) | Command::Keys | Command::Schema(_) => false,
        }
    }
}

/// How a command ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// All done.
    Done,
    /// Done, but some rows or checks failed.
    SomeFailed,
}

impl Outcome {
    /// The exit code of the program.
    pub fn exit_code(self) -> ExitCode {
        match self {
            Self::Done => ExitCode::SUCCESS,
            Self::SomeFailed => ExitCode::from(1),
        }
    }
}

/// Does what was asked.
pub fn run(call: &Call) -> Result<Outcome, Failure> {
    match &call.command {
        Command::New(arguments) => new::run(arguments),
        #[cfg(feature = "page")]
        Command::Open(arguments) => open::run(arguments),
        Command::Assess(arguments) => assess::run(arguments),
        Command::Balance(arguments) => balance::run(arguments),
        Command::Worklist(arguments) => worklist::run(arguments),
        Command::Rounds(arguments) => rounds::run(arguments),
        Command::Listen(arguments) => listen::run(arguments),
        Command::Rehearse(arguments) => rehearse::run(arguments),
        Command::Protocol(arguments) => protocol::run(arguments),
        Command::Predict(arguments) => predict::run(arguments),
        Command::Attack(arguments) => attack::run(arguments),
        Command::Whatif(arguments) => whatif::run(arguments),
        Command::Sweep(arguments) => sweep::run(arguments),
        Command::Charts(arguments) => charts::run(arguments),
        Command::Retune(arguments) => retune::run(arguments),
        Command::Regap(arguments) => regap::run(arguments),
        Command::Align(arguments) => align::run(arguments),
        Command::Seal(arguments) => seal::run(arguments),
        Command::Fasten(arguments) => fasten::run(arguments),
        Command::Life(arguments) => life::run(arguments),
        Command::Replace(arguments) => replace::run(arguments),
        Command::Care(arguments) => care::run(arguments),
        Command::Handout(arguments) => handout::run(arguments),
        Command::Verify(arguments) => verify::run(arguments),
        Command::Keys => keys::run(),
        Command::Schema(arguments) => schema::run(arguments),
    }
}
