//! `freereed open`: the bench page.

use std::io::IsTerminal;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use clap::Args;
use freereed::page::{Opened, Serving, serve};

use super::failure::Failure;
use super::text::wrap;
use super::today::today;
use super::{Outcome, output};

#[derive(Args)]
pub struct Arguments {
    /// A job, its folder, or a reed, each a TOML file; left out, or an empty folder: a new job in three questions
    what: Option<PathBuf>,
    /// The port of this machine on which it is served; another where it is busy; without it the one of the last time
    #[arg(long, value_name = "PORT")]
    port: Option<u16>,
    /// Only print the address: on a terminal it is opened in the browser, where there is a usual way to do that
    #[arg(long)]
    no_browser: bool,
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let opened = Opened::of(arguments.what.as_deref())?;
    let serving = Serving { opened, port: arguments.port, today, remember_in: state_folder() };
    let by_itself = !arguments.no_browser && std::io::stdout().is_terminal();
    let served = serve(serving, |address| {
        let told = format!(
            "{address}\n{}",
            wrap(
                "Open this address in a browser of this machine. It is only for you: whoever has it can read and change the \
                  job. Ctrl-C ends; all that was entered is saved already.",
                ""
            )
        );
        // A reader who has gone away does not end the page.
        let _ = output::print(&told);
        if by_itself {
            browse(address);
        }
    });
    served.map_err(|why| Failure::Call(format!("the page cannot be served on this machine: {why}")))?;
    Ok(Outcome::Done)
}

/// Where a program keeps what it should find again, and which is no data of the user's.
fn state_folder() -> Option<PathBuf> {
    let of = |name: &str| std::env::var_os(name).filter(|value| !value.is_empty()).map(PathBuf::from);
    let home = || of("HOME").map(|home| home.join(".local").join("state"));
    let folder = of("XDG_STATE_HOME").or_else(|| of("LOCALAPPDATA")).or_else(home)?;
    Some(folder.join("freereed"))
}

/// Opens the address, where there is a usual way to do that. The secret is passed in a file of the user's alone, since others
/// can see what a program is called with.
fn browse(address: &str) {
    let Ok(Some(folder)) = state_folder().map(|folder| std::fs::create_dir_all(&folder).map(|()| folder)).transpose()
    else {
        return;
    };
    let page =
        format!("<!DOCTYPE html><meta http-equiv=\"refresh\" content=\"0; url={address}\"><title>freereed</title>");
    let Ok(path) = leads_there(&folder, &page) else { return };
    let program = match std::env::consts::OS {
        "macos" => "open",
        "windows" => "explorer",
        _ => "xdg-open",
    };
    let quiet = || Stdio::null();
    let _ = Command::new(program).arg(path).stdin(quiet()).stdout(quiet()).stderr(quiet()).spawn();
}

/// The file that leads to the address, which nobody else can read.
fn leads_there(folder: &Path, page: &str) -> std::io::Result<PathBuf> {
    let path = folder.join("open.html");
    let file = tempfile::NamedTempFile::new_in(folder)?;
    std::fs::write(file.path(), page)?;
    file.persist(&path)?;
    Ok(path)
}
