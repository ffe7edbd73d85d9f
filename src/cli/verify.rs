//! `freereed verify`: the published checks, recomputed through the functions the other commands call.

use clap::Args;
use freereed::cases::{Check, checks};
use freereed::print::json;

use super::failure::Failure;
use super::{Outcome, output};

#[derive(Args)]
pub struct Arguments {
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let checks = checks();
    let failed = checks.iter().filter(|check| !check.passes()).count();
    if arguments.json {
        output::print_json(&json::checks(&checks))?;
    } else {
        let mut text: String = checks.iter().map(line).collect();
        text.push_str(&format!("{} checks, {failed} failed\n", checks.len()));
        output::print(&text)?;
    }
    Ok(if failed == 0 { Outcome::Done } else { Outcome::SomeFailed })
}

fn line(check: &Check) -> String {
    let verdict = if check.passes() { "ok    " } else { "FAILED" };
    format!(
        "{verdict} {}: {} | computed {:.10e} published {:.10e} difference {:.1e} allowed {:.1e} {} | {}\n",
        check.group,
        check.name,
        check.computed,
        check.published,
        check.difference(),
        check.allowed,
        check.unit,
        check.source
    )
}
