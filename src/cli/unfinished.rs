//! What a long computation has done so far, kept in the folder it writes to, so that it can be gone on with.

use std::collections::BTreeMap;
use std::fs::{self, File, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::Mutex;

use serde::{Serialize, de::DeserializeOwned};
use serde_json::Value;

use super::failure::Failure;

/// Name of the file.
pub const UNFINISHED: &str = "unfinished.jsonl";

/// A file of one line for what is computed and one for each part that is done. A line that was cut short is not counted.
pub struct Unfinished {
    path: PathBuf,
    file: Mutex<File>,
    failed: Mutex<Option<io::Error>>,
}

impl Unfinished {
    /// Begins, or goes on where an earlier call for the same work (`what`) was interrupted: then with the parts done.
    pub fn open<T: DeserializeOwned>(folder: &Path, what: &Value) -> Result<(Self, BTreeMap<usize, T>), Failure> {
        let path = folder.join(UNFINISHED);
        let failure = |why: io::Error| Failure::Write { path: path.clone(), why };
        fs::create_dir_all(folder).map_err(failure)?;
        let earlier = match fs::read_to_string(&path) {
            Ok(text) => text,
            Err(error) if error.kind() == io::ErrorKind::NotFound => String::new(),
            Err(why) => return Err(failure(why)),
        };
        let mut lines = earlier.lines();
        let begun = lines.next().and_then(|line| serde_json::from_str::<Value>(line).ok());
        if begun.is_some_and(|begun| begun != *what) {
            return Err(Failure::Call(format!(
                "{} holds the beginning of other work; go on with that, name another folder, or delete {UNFINISHED} in it",
                folder.display()
            )));
        }
        let parts: BTreeMap<usize, T> = lines.filter_map(|line| serde_json::from_str(line).ok()).collect();
        // Written anew: what was cut short is gone, and what follows stands on lines of its own.
        let mut file = freereed::files::temporary_file(folder).map_err(failure)?;
        let kept = earlier.lines().skip(1).filter(|line| serde_json::from_str::<(usize, T)>(line).is_ok());
        let whole: String =
            std::iter::once(what.to_string()).chain(kept.map(str::to_owned)).map(|line| line + "\n").collect();
        file.write_all(whole.as_bytes()).map_err(failure)?;
        file.persist(&path).map_err(|error| failure(error.error))?;
        let file = OpenOptions::new().append(true).open(&path).map_err(failure)?;
        Ok((Self { path, file: Mutex::new(file), failed: Mutex::default() }, parts))
    }

    /// Adds a part. That it cannot be written is told at the end: the work itself goes on.
    pub fn add<T: Serialize>(&self, number: usize, part: &T) {
        let line = serde_json::to_string(&(number, part)).expect("numbers and text") + "\n";
        let written = self.file.lock().expect("no holder panics").write_all(line.as_bytes());
        if let Err(error) = written {
            self.failed.lock().expect("no holder panics").get_or_insert(error);
        }
    }

    /// Whether every part was kept.
    pub fn check(self) -> Result<(), Failure> {
        match self.failed.into_inner().expect("no holder panics") {
            None => Ok(()),
            Some(why) => Err(Failure::Write { path: self.path, why }),
        }
    }
}
