//! What the page wrote: which rounds are its own, and what can be undone.
//!
//! A round is the page's own as long as its text is what the page wrote last. One that anybody else has touched since is
//! theirs, and is never changed again.

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::Path;

use serde::{Deserialize, Serialize};

use crate::files::filled;

/// The file, hidden among the rounds, which no other command reads.
const FILE: &str = ".freereed-page.json";
/// So many entries can be undone.
const MOST_ENTRIES: usize = 500;

/// One change: several cells of one reed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Entry {
    /// Name of the round's file.
    pub(super) file: String,
    /// Which reed.
    pub(super) id: String,
    /// Column, what the page's round said before, what it says now.
    pub(super) cells: Vec<(String, String, String)>,
}

/// What was written, oldest first.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub(super) struct Journal {
    /// Of each round the last two texts: the program may have been ended between the journal and the round.
    rounds: BTreeMap<String, Vec<String>>,
    entries: Vec<Entry>,
    /// Counts every entry there ever was, so that two windows do not undo two for one.
    count: u64,
}

impl Journal {
    /// That of a folder of rounds; an empty one where there is none, or none that can be read: then no round is the page's own.
    pub(super) fn read(folder: &Path) -> Self {
        let text = fs::read_to_string(folder.join(FILE)).ok();
        text.and_then(|text| serde_json::from_str(&text).ok()).unwrap_or_default()
    }

    /// Whether a round with this text is as the page wrote it.
    pub(super) fn is_own(&self, file: &str, text: &str) -> bool {
        self.rounds.get(file).is_some_and(|texts| texts.iter().any(|own| own == text))
    }

    /// The newest entry and its number.
    pub(super) fn newest(&self) -> Option<(u64, &Entry)> {
        self.entries.last().map(|entry| (self.count, entry))
    }

    /// The journal with one entry more, of a round that now says this.
    pub(super) fn with(&self, entry: Entry, text: Option<&str>) -> Self {
        let mut journal = self.clone();
        journal.note(&entry.file, text);
        journal.entries.push(entry);
        let too_many = journal.entries.len().saturating_sub(MOST_ENTRIES);
        journal.entries.drain(..too_many);
        journal.count += 1;
        journal
    }

    /// The journal without its newest entry, of a round that now says this.
    pub(super) fn without_newest(&self, text: Option<&str>) -> Self {
        let mut journal = self.clone();
        if let Some(entry) = journal.entries.pop() {
            journal.note(&entry.file, text);
            journal.count += 1;
        }
        journal
    }

    fn note(&mut self, file: &str, text: Option<&str>) {
        let texts = self.rounds.entry(file.to_owned()).or_default();
        texts.drain(..texts.len().saturating_sub(1));
        texts.extend(text.map(str::to_owned));
    }

    /// Writes a round, or takes it away where it says nothing, the journal first.
    ///
    /// # Errors
    /// A file cannot be written; the round is then as it was.
    pub(super) fn write(&self, folder: &Path, file: &str, text: Option<&str>) -> io::Result<()> {
        fs::create_dir_all(folder)?;
        let json = serde_json::to_vec(self).map_err(io::Error::other)?;
        write_whole(&folder.join(FILE), &json)?;
        let path = folder.join(file);
        let there = fs::read_to_string(&path).ok();
        if there.as_ref().is_some_and(|there| !self.is_own(file, there)) {
            return Err(io::Error::other("another program has changed it just now"));
        }
        match text {
            Some(text) if there.is_none() => {
                let file = whole(&path, text.as_bytes())?;
                file.persist_noclobber(path).map(|_| ()).map_err(|error| error.error)
            }
            Some(text) => write_whole(&path, text.as_bytes()),
            None => fs::remove_file(path),
        }
    }
}

/// Writes a file whole or not at all.
fn write_whole(path: &Path, bytes: &[u8]) -> io::Result<()> {
    whole(path, bytes)?.persist(path).map(|_| ()).map_err(|error| error.error)
}

/// A file that is on the disk, and not in its place yet.
fn whole(path: &Path, bytes: &[u8]) -> io::Result<tempfile::NamedTempFile> {
    let file = filled(path.parent().unwrap_or(Path::new(".")), bytes)?;
    file.as_file().sync_all()?;
    Ok(file)
}
