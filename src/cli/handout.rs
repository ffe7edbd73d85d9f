//! `freereed handout`: a booklet for apprentices.

use std::path::PathBuf;

use clap::Args;
use freereed::print::handout::{Booklet, FIGURE_STEPS, LESSONS};
use freereed::sheet::ReedFile;
use indicatif::{ProgressBar, ProgressStyle};

use super::failure::Failure;
use super::subject::{ReedArguments, Subject};
use super::{Outcome, output};

/// The reed that is shipped with the project.
const DEMO: &str = include_str!("../../data/demo/reed.toml");
const DEMO_NAME: &str = "the demo reed";

// --out is always there: with it a reed is not required.
#[derive(Args)]
#[command(mut_arg("file", |file| {
    file.required_unless_present("out").help("The reed, a TOML file; or --job and --reed; without either an invented one")
}))]
pub struct Arguments {
    #[command(flatten)]
    of: ReedArguments,
    /// The booklet, one HTML file that needs nothing else
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    /// Write over a file that is there
    #[arg(long)]
    overwrite: bool,
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    output::check_free(&arguments.out, arguments.overwrite)?;
    let invented = !arguments.of.is_given();
    let subject = match invented {
        true => Subject::by_itself(ReedFile::parse(DEMO_NAME, DEMO)?, DEMO_NAME.to_owned(), DEMO_NAME.to_owned()),
        false => arguments.of.subject()?,
    };
    let (checked, name) = (&subject.checked, &subject.short_name);
    let bar = progress_bar();
    let done = |title: &str| {
        bar.set_message(title.to_owned());
        bar.inc(1);
    };
    let mut booklet = Booklet::of(checked, name, invented, &subject.tuning, &done)
        .map_err(|error| Failure::Call(format!("cannot solve this reed: {error}")))?;
    bar.set_message("the pictures");
    booklet
        .add_figures(checked, name, &|| bar.inc(1))
        .map_err(|error| Failure::Call(format!("cannot draw this reed: {error}")))?;
    bar.finish_and_clear();
    output::write_file(&arguments.out, booklet.to_html().as_bytes(), arguments.overwrite)?;
    output::print(&format!(
        "Wrote {}, on {}; open it in a browser, or print it from there.",
        arguments.out.display(),
        subject.name
    ))?;
    Ok(Outcome::Done)
}

/// Shown on a terminal only.
fn progress_bar() -> ProgressBar {
    let style = ProgressStyle::with_template("{bar:40} {pos}/{len} {msg}").expect("a template as indicatif wants it");
    ProgressBar::new((LESSONS + FIGURE_STEPS) as u64).with_style(style)
}
