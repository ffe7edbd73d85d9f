//! Where results go: the terminal, files, folders. A file is written beside its place and renamed.

use std::fs;
use std::io::{self, Write};
use std::path::Path;

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

/// Prints JSON.
pub fn print_json(value: &Map<String, Value>) -> Result<(), Failure> {
    print(&json_text(value))
}

/// JSON as it stands in a file.
pub fn json_text(value: &Map<String, Value>) -> String {
    serde_json::to_string_pretty(value).expect("numbers, text and lists")
}

/// Refuses a file that is there, unless it may be written over.
pub fn check_free(path: &Path, overwrite: bool) -> Result<(), Failure> {
    if !overwrite && path.exists() {
        let cure = "is there already; name another file, or give --overwrite";
        return Err(Failure::Call(format!("{} {cure}", path.display())));
    }
    Ok(())
}

/// Writes a file whole or not at all, and never over another unless asked.
pub fn write_file(path: &Path, bytes: &[u8], overwrite: bool) -> Result<(), Failure> {
    check_free(path, overwrite)?;
    let failure = |why: io::Error| Failure::Write { path: path.to_owned(), why };
    let mut file = tempfile::NamedTempFile::new_in(folder_of(path)).map_err(failure)?;
    file.write_all(bytes).map_err(failure)?;
    make_readable(file.as_file()).map_err(failure)?;
    let placed = if overwrite { file.persist(path) } else { file.persist_noclobber(path) };
    placed.map(|_| ()).map_err(|error| failure(error.error))
}

/// Writes a folder of files whole or not at all. The folder must be new, empty, or hold only files of the same names.
pub fn write_folder(folder: &Path, files: &[(&str, Vec<u8>)]) -> Result<(), Failure> {
    check_folder(folder, &files.iter().map(|file| file.0).collect::<Vec<_>>())?;
    let failure = |why: io::Error| Failure::Write { path: folder.to_owned(), why };
    let parent = folder_of(folder);
    fs::create_dir_all(parent).map_err(failure)?;
    let fresh = tempfile::Builder::new().prefix(".freereed-").tempdir_in(parent).map_err(failure)?;
    let inside = fresh.path().join("new");
    fs::create_dir(&inside).map_err(failure)?;
    for (name, bytes) in files {
        fs::write(inside.join(name), bytes).map_err(failure)?;
    }
    let earlier = fresh.path().join("earlier");
    let replaces = folder.exists();
    if replaces {
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

/// Refuses a folder that holds anything but an earlier output.
pub fn check_folder(folder: &Path, names: &[&str]) -> Result<(), Failure> {
    let Ok(entries) = fs::read_dir(folder) else {
        return match folder.exists() {
            true => Err(Failure::Call(format!("{} is not a folder that can be read; name another", folder.display()))),
            false => Ok(()),
        };
    };
    let stranger =
        entries.flatten().map(|entry| entry.file_name()).find(|name| names.iter().all(|known| name != known));
    match stranger {
        None => Ok(()),
        Some(name) => Err(Failure::Call(format!(
            "{} holds {}, which is not an earlier output of this command; name a new folder",
            folder.display(),
            name.to_string_lossy()
        ))),
    }
}

fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// A temporary file is private; a result is an ordinary file.
#[cfg(unix)]
fn make_readable(file: &fs::File) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    file.set_permissions(fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn make_readable(_: &fs::File) -> io::Result<()> {
    Ok(())
}
