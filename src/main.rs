//! The program `freereed`: what a free reed will do.

use std::process::ExitCode;

use clap::Parser;

mod cli;

fn main() -> ExitCode {
    let call = match cli::Call::try_parse() {
        Ok(call) => call,
        Err(error) => return cli::show_call(&error, std::env::args_os().any(|argument| argument == "--json")),
    };
    match cli::run(&call) {
        Ok(outcome) => outcome.exit_code(),
        Err(failure) => failure.show(call.wants_json()),
    }
}
