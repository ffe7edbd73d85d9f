//! `freereed handout`: a booklet for apprentices.

use std::path::PathBuf;

use clap::Args;
use freereed::print::handout::{Booklet, FIGURE_STEPS, LESSONS};
use freereed::sheet::ReedFile;
use indicatif::{ProgressBar, ProgressStyle};

use super::failure::Failure;
use super::{Outcome, output};

/// The reed that is shipped with the project.
const DEMO: &str = include_str!("../../data/demo/reed.toml");
const DEMO_NAME: &str = "the demo reed";

#[derive(Args)]
pub struct Arguments {
    /// The reed, a TOML file; without it an invented one
    reed: Option<PathBuf>,
    /// The booklet, one HTML file that needs nothing else
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    /// Write over a file that is there
    #[arg(long)]
    overwrite: bool,
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    output::check_free(&arguments.out, arguments.overwrite)?;
    let (checked, name) = match &arguments.reed {
        Some(path) => (ReedFile::load(path)?, file_name(path)),
        None => (ReedFile::parse(DEMO_NAME, DEMO)?, DEMO_NAME.to_owned()),
    };
    let bar = progress_bar();
    let done = |title: &str| {
        bar.set_message(title.to_owned());
        bar.inc(1);
    };
    let mut booklet = Booklet::of(&checked, &name, arguments.reed.is_none(), &done)
        .map_err(|error| Failure::Call(format!("cannot solve this reed: {error}")))?;
    bar.set_message("the pictures");
    booklet
        .add_figures(&checked, &name, &|| bar.inc(1))
        .map_err(|error| Failure::Call(format!("cannot draw this reed: {error}")))?;
    bar.finish_and_clear();
    output::write_file(&arguments.out, booklet.to_html().as_bytes(), arguments.overwrite)?;
    output::print(&format!("Wrote {}; open it in a browser, or print it from there.", arguments.out.display()))?;
    Ok(Outcome::Done)
}

/// The file without its folders: a booklet is read elsewhere.
fn file_name(path: &std::path::Path) -> String {
    path.file_name().map_or_else(|| path.display().to_string(), |name| name.to_string_lossy().into_owned())
}

/// Shown on a terminal only.
fn progress_bar() -> ProgressBar {
    let style = ProgressStyle::with_template("{bar:40} {pos}/{len} {msg}").expect("a template as indicatif wants it");
    ProgressBar::new((LESSONS + FIGURE_STEPS) as u64).with_style(style)
}
