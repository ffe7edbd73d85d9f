//! `freereed charts`: every picture of one reed.

use std::path::PathBuf;

use clap::Args;
use freereed::print::charts::{PICTURES, Pictures};
use freereed::study::Study;

use super::assess::progress;
use super::conditions::ConditionArguments;
use super::failure::Failure;
use super::subject::ReedArguments;
use super::{Outcome, output};

#[derive(Args)]
pub struct Arguments {
    #[command(flatten)]
    of: ReedArguments,
    /// Write the pictures into this folder, which is new or holds only earlier ones
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// Write PNG beside SVG
    #[cfg(feature = "png")]
    #[arg(long)]
    png: bool,
    #[command(flatten)]
    conditions: ConditionArguments,
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let subject = arguments.of.subject()?;
    let names: Vec<String> =
        ["svg", "png"].iter().flat_map(|end| PICTURES.map(|name| format!("{name}.{end}"))).collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    output::check_folder(&arguments.out, &names)?;
    let conditions = arguments.conditions.conditions(&subject);
    let study = Study::of(subject.checked, conditions).map_err(|error| Failure::Call(error.to_string()))?;
    let progress = progress(Pictures::COUNT as u64, "reeds solved");
    let pictures = Pictures::of(&study, &subject.short_name, &subject.tuning, &|| progress.inc(1));
    progress.finish_and_clear();
    let mut files: Vec<(String, Vec<u8>)> = Vec::new();
    for (name, svg) in pictures.all() {
        files.push((format!("{name}.svg"), svg.as_bytes().to_vec()));
        #[cfg(feature = "png")]
        if arguments.png {
            let png = freereed::chart::png::to_png(svg, 2400).map_err(|error| Failure::Call(error.to_string()))?;
            files.push((format!("{name}.png"), png));
        }
    }
    let files: Vec<(&str, Vec<u8>)> = files.iter().map(|(name, bytes)| (name.as_str(), bytes.clone())).collect();
    output::write_folder(&arguments.out, &files, &names)?;
    output::print(&format!("{} pictures of {} in {}", files.len(), subject.name, arguments.out.display()))?;
    Ok(Outcome::Done)
}
