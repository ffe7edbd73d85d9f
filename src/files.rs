//! What holds for every file: an ordinary one is read, and one that is written stands whole or not at all.
//!
//! What is written is made under a hidden name beside its place, and renamed to it. A program that is ended in between leaves
//! one whose name begins with [`TEMPORARY`], which nothing here reads.

use std::fs;
use std::io::{self, Write};
use std::path::Path;

use tempfile::{Builder, NamedTempFile, TempDir};

/// How names of what is not finished begin.
pub const TEMPORARY: &str = ".freereed-";

/// Opens an ordinary file to read. What is none is refused before it is opened: a pipe would be waited for.
///
/// # Errors
/// Of kind [`io::ErrorKind::IsADirectory`] for a folder, [`io::ErrorKind::InvalidInput`] for a pipe or a device, else those of
/// the system.
pub fn open(path: &Path) -> io::Result<fs::File> {
    let found = fs::metadata(path)?;
    if found.is_dir() {
        return Err(io::Error::new(io::ErrorKind::IsADirectory, "is a folder, not a file"));
    }
    if !found.is_file() {
        return Err(io::Error::new(io::ErrorKind::InvalidInput, "is no ordinary file"));
    }
    fs::File::open(path)
}

/// A file that is not finished, in the folder it is for; it is gone unless it is renamed.
///
/// # Errors
/// It cannot be made there.
pub fn temporary_file(folder: &Path) -> io::Result<NamedTempFile> {
    Builder::new().prefix(TEMPORARY).tempfile_in(folder)
}

/// A folder for what is not finished; it is gone with all that was not renamed out of it.
///
/// # Errors
/// It cannot be made there.
pub fn temporary_folder(parent: &Path) -> io::Result<TempDir> {
    Builder::new().prefix(TEMPORARY).tempdir_in(parent)
}

/// A file with all that it should hold, which is only to be renamed.
///
/// # Errors
/// It cannot be made or filled there.
pub fn filled(folder: &Path, bytes: &[u8]) -> io::Result<NamedTempFile> {
    let mut file = temporary_file(folder)?;
    file.write_all(bytes)?;
    make_readable(file.as_file())?;
    Ok(file)
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
