//! `freereed schema`: what a command prints as JSON.

use clap::Args;
use freereed::print::schema::{SCHEMAS, schema};

use super::failure::Failure;
use super::{Outcome, output};

#[derive(Args)]
pub struct Arguments {
    /// The command; without it, which there are
    #[arg(value_parser = command)]
    command: Option<&'static str>,
}

/// The text of the schema of a command.
fn command(typed: &str) -> Result<&'static str, String> {
    let known = || SCHEMAS.map(|(name, _)| name).join(", ");
    schema(typed).ok_or_else(|| format!("there are schemas of {}", known()))
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    match arguments.command {
        Some(text) => output::print(text)?,
        None => output::print(&format!("{}\n", SCHEMAS.map(|(name, _)| name).join("\n")))?,
    }
    Ok(Outcome::Done)
}
