//! `freereed open`: the bench page.

use std::io::IsTerminal;
use std::path::PathBuf;
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
            wrap("Open this address in a browser of this machine. It is only for you: whoever has it can read and change the \
                  job. Ctrl-C ends; all that was entered is saved already.", "")
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
    let Ok(Some(folder)) = state_folder().map(|folder| std::fs::create_dir_all(&folder).map(|()| folder)).transpose() else {
        return;
    };
    let page = format!("<!DOCTYPE html><meta http-equiv=\"refresh\" content=\"0; url={address}\"><title>freereed</title>");
    let leads = tempfile::Builder::new().prefix("open-").suffix(".html").tempfile_in(folder);
    let Ok((_, path)) = leads.and_then(|file| std::fs::write(file.path(), page).map(|()| file)).and_then(|file| Ok(file.keep()?))
    else {
        return;
    };
    let (program, first) = match std::env::consts::OS {
        "macos" => ("open", None),
        "windows" => ("explorer", None),
        _ => ("xdg-open", None::<&str>),
    };
    let quiet = || Stdio::null();
    let _ = Command::new(program).args(first).arg(path).stdin(quiet()).stdout(quiet()).stderr(quiet()).spawn();
}
