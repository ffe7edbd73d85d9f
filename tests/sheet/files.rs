//! Files that cannot be a reed or a set: a clear refusal with the path, never a panic.

use std::fs;
use std::path::PathBuf;

use freereed::sheet::{Job, ReedFile};

fn refusal(name: &str, bytes: &[u8]) -> String {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join(name);
    fs::write(&path, bytes).unwrap();
    let error = ReedFile::load(&path).expect_err(name);
    assert_eq!(error.source_name, path.display().to_string());
    let text = error.to_string();
    assert!(text.contains(name) && !text.contains("panicked"), "{text}");
    assert!(!Job::load(&path).expect_err(name).problems.is_empty());
    text
}

#[test]
fn what_is_no_text_is_refused() {
    assert!(refusal("empty.toml", b"").contains("empty.toml: is empty"));
    assert!(refusal("blank.toml", b" \n\n").contains("is empty"));
    assert!(refusal("binary.toml", b"\x7fELF\x02\x01\x00\x00").contains("is not text: a zero byte in line 1"));
    assert!(refusal("latin.toml", b"# gr\xf6\xdfe\n").contains("is not UTF-8 text: line 1, byte 5"));
    let utf16: Vec<u8> = "\u{feff}[reed]".encode_utf16().flat_map(u16::to_le_bytes).collect();
    let text = refusal("wide.toml", &utf16);
    assert!(text.contains("is UTF-16 text; try: save it again as UTF-8"), "{text}");
}

#[test]
fn a_huge_file_is_refused_unread() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("huge.csv");
    // A hundred megabytes that take no room on the disk.
    fs::File::create(&path).unwrap().set_len(100 * 1024 * 1024).unwrap();
    let start = std::time::Instant::now();
    let text = ReedFile::load(&path).unwrap_err().to_string();
    assert!(text.contains("is too large (100 MB); the limit is 16 MB"), "{text}");
    assert!(start.elapsed().as_millis() < 100);
}

#[test]
fn a_folder_and_a_missing_file_are_named() {
    let folder = tempfile::tempdir().unwrap();
    assert!(ReedFile::load(folder.path()).unwrap_err().to_string().contains("is a folder, not a file"));
    let missing: PathBuf = folder.path().join("missing.toml");
    let text = ReedFile::load(&missing).unwrap_err().to_string();
    assert!(text.starts_with(&format!("{}: no such file; try: check the path", missing.display())), "{text}");
}

/// It is refused before it is opened: nobody writes into it, and it would be waited for.
#[cfg(unix)]
#[test]
fn a_pipe_is_refused_and_not_waited_for() {
    let folder = tempfile::tempdir().unwrap();
    let pipe = folder.path().join("pipe.toml");
    assert!(std::process::Command::new("mkfifo").arg(&pipe).status().unwrap().success());
    let text = ReedFile::load(&pipe).unwrap_err().to_string();
    assert!(text.contains("pipe.toml: is no ordinary file; try: write what it gives into a file"), "{text}");
}

#[test]
fn what_a_terminal_would_obey_is_refused() {
    let text = refusal("raw.toml", b"# a\n# \x1b[31m\n");
    assert!(text.contains("raw.toml: holds a control character (0x1b) in line 2, byte 7; try: delete it"), "{text}");
}

#[test]
fn broken_toml_is_shown_with_its_line() {
    let text = refusal("broken.toml", b"[reed]\nlength_mm = = 3\n");
    assert!(text.contains("broken.toml:2: cannot be read as TOML") && text.contains("`length_mm = = 3`"), "{text}");
    let text = refusal("twice.toml", b"[reed]\nlength_mm = 3\nlength_mm = 4\n");
    assert!(text.contains("twice.toml:3: length_mm: ") && text.contains("keep one of the two"), "{text}");
    let text = refusal("flat.toml", b"reed = 3\n");
    assert!(text.contains("flat.toml:1: reed = 3: is a number; a table is needed"), "{text}");
}

#[test]
fn a_byte_order_mark_is_no_part_of_the_text() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("reed.toml");
    let text = "\u{feff}[reed]\r\nlength_mm = 15\r\nwidth_mm = 2\r\nthickness_mm = 0.2\r\ntip_gap_mm = 0.25\r\n";
    fs::write(&path, text).unwrap();
    assert!(ReedFile::load(&path).is_ok());
}
