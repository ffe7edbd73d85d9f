//! Where results go: the terminal, files, folders. A file is written beside its place and renamed. A program that is ended
//! in between leaves a hidden file or folder `.freereed-...` beside it, which no command reads: in a folder of results the
//! next run clears it away, elsewhere it can be deleted.

use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use freereed::chart::Picture;
use freereed::files::{TEMPORARY, filled, temporary_folder};
use serde_json::{Map, Value};

use super::failure::Failure;

/// Prints text; a reader who has gone away is no error.
pub fn print(text: &str) -> Result<(), Failure> {
    let mut out = io::stdout().lock();
    out.write_all(text.as_bytes())?;
    if !text.ends_with('\n') {
        out.write_all(b"\n")?;
    }
    Ok(out.flush()?)
}

/// Prints text with colours, which only a terminal sees that has not been told otherwise (`NO_COLOR`).
pub fn print_coloured(text: &str) -> Result<(), Failure> {
    let mut out = anstream::stdout().lock();
    writeln!(out, "{text}")?;
    Ok(out.flush()?)
}

/// Prints JSON.
pub fn print_json(value: &Map<String, Value>) -> Result<(), Failure> {
    print(&json_text(value))
}

/// JSON as it stands in a file.
pub fn json_text(value: &Map<String, Value>) -> String {
    serde_json::to_string_pretty(value).expect("numbers, text and lists")
}

/// Complains on the terminal; a reader who has gone away hears nothing, and there is nobody else to tell.
pub fn complain(text: &str) {
    let _ = writeln!(io::stderr().lock(), "{text}");
}

/// Refuses a file that is there, unless it may be written over, and whatever is no ordinary file in any case: a device
/// renamed over would be gone.
pub fn check_free(path: &Path, overwrite: bool) -> Result<(), Failure> {
    let Ok(found) = fs::metadata(path) else {
        return match fs::symlink_metadata(path) {
            Ok(_) => Err(Failure::Call(format!("{} is a link that leads nowhere; name another file", path.display()))),
            Err(_) => Ok(()),
        };
    };
    let why = match (found.is_file(), overwrite) {
        (true, true) => return Ok(()),
        (true, false) => "is there already; name another file, or give --overwrite",
        (false, _) if found.is_dir() => "is a folder; name a file in it",
        (false, _) => "is no ordinary file; name another",
    };
    Err(Failure::Call(format!("{} {why}", path.display())))
}

/// Refuses two files that are the same.
pub fn check_different(first: &Path, second: &Path) -> Result<(), Failure> {
    if place_of(first) == place_of(second) {
        return Err(Failure::Call(format!("{} is named for two outputs; name two files", first.display())));
    }
    Ok(())
}

/// Where a path leads, links followed; the path itself where nothing is there yet.
fn place_of(path: &Path) -> PathBuf {
    let new = || Some(fs::canonicalize(folder_of(path)).ok()?.join(path.file_name()?));
    fs::canonicalize(path).ok().or_else(new).unwrap_or_else(|| path.to_owned())
}

/// Writes a file whole or not at all, and never over another unless asked.
pub fn write_file(path: &Path, bytes: &[u8], overwrite: bool) -> Result<(), Failure> {
    check_free(path, overwrite)?;
    let failure = |why: io::Error| Failure::Write { path: path.to_owned(), why };
    let path = &place_of(path);
    let file = filled(folder_of(path), bytes).map_err(failure)?;
    let placed = if overwrite { file.persist(path) } else { file.persist_noclobber(path) };
    placed.map(|_| ()).map_err(|error| failure(error.error))
}

/// Writes a picture as an SVG file, as [`write_file`] does.
pub fn write_picture(path: &Path, picture: &Picture, overwrite: bool) -> Result<(), Failure> {
    write_file(path, picture.to_svg().as_bytes(), overwrite)
}

/// Writes a folder of files whole or not at all. The folder must be new, empty, or hold only files of the same names and
/// such as are done with.
pub fn write_folder(folder: &Path, files: &[(&str, Vec<u8>)], done_with: &[&str]) -> Result<(), Failure> {
    let ours: Vec<&str> = files.iter().map(|file| file.0).chain(done_with.iter().copied()).collect();
    check_folder(folder, &ours)?;
    let failure = |why: io::Error| Failure::Write { path: folder.to_owned(), why };
    let folder = &place_of(folder);
    let parent = folder_of(folder);
    fs::create_dir_all(parent).map_err(failure)?;
    let fresh = temporary_folder(parent).map_err(failure)?;
    let inside = fresh.path().join("new");
    fs::create_dir(&inside).map_err(failure)?;
    for (name, bytes) in files {
        fs::write(inside.join(name), bytes).map_err(failure)?;
    }
    let earlier = fresh.path().join("earlier");
    let replaces = folder.exists();
    if replaces {
        // In one call where the system can: at no instant is there no folder.
        if exchanged(&inside, folder) {
            return Ok(());
        }
        fs::rename(folder, &earlier).map_err(failure)?;
    }
    fs::rename(&inside, folder).map_err(|why| {
        if replaces {
            // Best effort: the first error is the one to report.
            let _ = fs::rename(&earlier, folder);
        }
        failure(why)
    })
}

/// Whether two names were exchanged in one call.
#[cfg(any(target_os = "linux", target_vendor = "apple"))]
fn exchanged(one: &Path, other: &Path) -> bool {
    use rustix::fs::{CWD, RenameFlags, renameat_with};
    renameat_with(CWD, one, CWD, other, RenameFlags::EXCHANGE).is_ok()
}

#[cfg(not(any(target_os = "linux", target_vendor = "apple")))]
fn exchanged(_: &Path, _: &Path) -> bool {
    false
}

/// Refuses a folder that holds anything but an earlier output, and the one in which the command runs: it is replaced as a
/// whole.
pub fn check_folder(folder: &Path, names: &[&str]) -> Result<(), Failure> {
    let refuse = |why: String| Err(Failure::Call(format!("{} {why}; name a new folder", folder.display())));
    let Ok(entries) = fs::read_dir(folder) else {
        return match fs::symlink_metadata(folder) {
            Ok(_) => refuse("is not a folder that can be read".to_owned()),
            Err(_) => Ok(()),
        };
    };
    let is_ours = |entry: &fs::DirEntry| {
        let name = entry.file_name();
        let known = names.iter().any(|ours| name == *ours) || name.to_string_lossy().starts_with(TEMPORARY);
        known && entry.file_type().is_ok_and(|kind| kind.is_file())
    };
    if let Some(stranger) = entries.flatten().find(|entry| !is_ours(entry)) {
        let name = stranger.file_name();
        return refuse(format!("holds {}, which is not an earlier output of this command", name.to_string_lossy()));
    }
    let here = std::env::current_dir().and_then(fs::canonicalize);
    if here.is_ok_and(|here| here.starts_with(place_of(folder))) {
        return refuse("is the folder you are in".to_owned());
    }
    Ok(())
}

fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."))
}
