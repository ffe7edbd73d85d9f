//! The edge: a text file from disk. The only place in `sheet` that touches a file.

use std::io::{ErrorKind, Read};
use std::path::{Path, PathBuf};

use super::error::{Problem, SheetError};
use super::source::Source;
use crate::files;

/// Largest file that is read (bytes). A sheet of a thousand reeds is well under one megabyte.
pub const LARGEST_FILE: u64 = 16 * 1024 * 1024;

/// Reads a text file, without a byte-order mark if it has one.
///
/// # Errors
/// The file is missing, a folder, too large, empty, or not UTF-8 text; the problem says which, and what to do.
pub fn read(path: &Path) -> Result<Source, SheetError> {
    let name = path.display().to_string();
    let refuse = |message: String, cure: &str| SheetError::unreadable(Problem::of_file(&name, message).cure(cure));
    let unreadable =
        |error: std::io::Error| refuse(format!("cannot be read: {error}"), "check the path and who may read it");
    let mut file = files::open(path).map_err(|error| match error.kind() {
        ErrorKind::NotFound => refuse("no such file".to_owned(), "check the path and its spelling"),
        ErrorKind::IsADirectory => refuse(error.to_string(), "name a file in it"),
        ErrorKind::InvalidInput => refuse(error.to_string(), "write what it gives into a file, and name that"),
        _ => unreadable(error),
    })?;
    let metadata = file.metadata().map_err(unreadable)?;
    let too_large =
        |size: String| refuse(format!("is too large ({size}); the limit is 16 MB"), "is it the right file?");
    if metadata.len() > LARGEST_FILE {
        return Err(too_large(format!("{} MB", metadata.len().div_ceil(1024 * 1024))));
    }
    let mut bytes = Vec::new();
    (&mut file).take(LARGEST_FILE + 1).read_to_end(&mut bytes).map_err(unreadable)?;
    if bytes.len() as u64 > LARGEST_FILE {
        return Err(too_large("more than 16 MB".to_owned()));
    }
    let text = text_of(&bytes).map_err(|(message, cure)| refuse(message, cure))?;
    Ok(Source::new(name, text))
}

/// The CSV files of a folder, in the order of their names, and the names of the other files; none where there is no such
/// folder. What editors, spreadsheets and systems leave behind is passed over.
///
/// # Errors
/// The folder cannot be read.
pub(super) fn csv_files(folder: &Path) -> Result<(Vec<PathBuf>, Vec<String>), SheetError> {
    let unreadable = |error: std::io::Error| {
        let message = format!("cannot be read: {error}");
        let problem = Problem::of_file(folder.display().to_string(), message);
        SheetError::unreadable(problem.cure("check who may read it, and that it is a folder"))
    };
    let entries = match std::fs::read_dir(folder) {
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok((Vec::new(), Vec::new())),
        entries => entries.map_err(unreadable)?,
    };
    let (mut files, mut others) = (Vec::new(), Vec::new());
    for entry in entries {
        let path = entry.map_err(unreadable)?.path();
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        match name.to_lowercase() {
            name if name.starts_with(['.', '~', '#']) || name.ends_with('~') => {}
            name if name.ends_with(".csv") => files.push(path),
            _ => others.push(name),
        }
    }
    files.sort();
    others.sort();
    Ok((files, others))
}

/// What to try with a control character.
pub(super) const OBEYED: &str = "delete it: a terminal would obey it";

/// The text in `bytes`, or what is wrong with it and what to try.
fn text_of(bytes: &[u8]) -> Result<&str, (String, &'static str)> {
    const AS_UTF8: &str = "save it again as UTF-8 text (in a spreadsheet: \"CSV UTF-8\")";
    if bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]) {
        return Err(("is UTF-16 text".to_owned(), AS_UTF8));
    }
    let body = bytes.strip_prefix(&[0xEF, 0xBB, 0xBF]).unwrap_or(bytes);
    let place = |at: usize| {
        let line = body[..at].iter().filter(|&&byte| byte == b'\n').count() + 1;
        format!("line {line}, byte {at}", at = at + bytes.len() - body.len() + 1)
    };
    if let Some(at) = body.iter().position(|&byte| byte == 0) {
        let message = format!("is not text: a zero byte in {}", place(at));
        return Err((message, "name a text file; a spreadsheet must be exported as CSV, a UTF-16 text saved as UTF-8"));
    }
    let text = std::str::from_utf8(body)
        .map_err(|error| (format!("is not UTF-8 text: {}", place(error.valid_up_to())), AS_UTF8))?;
    let control = |&(_, c): &(usize, char)| c.is_control() && !matches!(c, '\t' | '\n' | '\r');
    if let Some((at, c)) = text.char_indices().find(control) {
        let message = format!("holds a control character ({:#04x}) in {}", u32::from(c), place(at));
        return Err((message, OBEYED));
    }
    if text.trim().is_empty() {
        return Err(("is empty".to_owned(), "is it the right file?"));
    }
    Ok(text)
}

#[cfg(test)]
mod tests {
    use super::text_of;

    #[test]
    fn text_is_text() {
        assert_eq!(text_of(b"a = 1\n").unwrap(), "a = 1\n");
        assert_eq!(text_of(b"\xEF\xBB\xBFa = 1\n").unwrap(), "a = 1\n");
    }

    #[test]
    fn what_is_no_text_is_refused_with_its_place() {
        let refusal = |bytes: &[u8]| text_of(bytes).unwrap_err().0;
        assert_eq!(refusal(b"a\r\n\tb\x1B[31mc"), "holds a control character (0x1b) in line 2, byte 6");
        assert_eq!(refusal("a\u{9b}1m".as_bytes()), "holds a control character (0x9b) in line 1, byte 2");
        assert_eq!(refusal(b"a\nb\xE9c"), "is not UTF-8 text: line 2, byte 4");
        assert_eq!(refusal(b"\xEF\xBB\xBFa\nb\xE9c"), "is not UTF-8 text: line 2, byte 7");
        assert_eq!(refusal(b"PK\x03\x00"), "is not text: a zero byte in line 1, byte 4");
        assert_eq!(refusal(b"\xFF\xFEa\0"), "is UTF-16 text");
        assert_eq!(refusal(b"\xEF\xBB\xBF \n\t"), "is empty");
        assert_eq!(refusal(b""), "is empty");
    }
}
