//! The program `freereed`: what a free reed will do.

use std::process::ExitCode;

use clap::Parser;

mod cli;

fn main() -> ExitCode {
    let call = cli::Call::parse();
    match cli::run(&call) {
        Ok(outcome) => outcome.exit_code(),
        Err(failure) => failure.show(call.wants_json()),
    }
}
