//! What was computed of a job before, kept between runs in the user's cache folder: never beside the job.

use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::{Path, PathBuf};
use std::time::UNIX_EPOCH;
use std::{env, fs};

use freereed::memory::Memory;
use freereed::physics::coefficients::MODEL_VERSION;
use freereed::sheet::Job;

use super::output;

/// Names another folder for it; "off": none.
const PLACE: &str = "FREEREED_CACHE";

/// The memory of a job, and where it is kept.
pub struct Kept {
    memory: Memory,
    file: Option<PathBuf>,
}

impl Kept {
    /// Gives a job what is remembered of it; nothing of what was computed before where it is to be computed anew. A memory
    /// that cannot be read is none.
    pub fn of(path: &Path, anew: bool, job: &mut Job) -> Self {
        let file = file(path);
        let text = file.as_ref().filter(|_| !anew).and_then(|file| fs::read_to_string(file).ok()).unwrap_or_default();
        let memory = file.as_ref().map_or_else(Memory::default, |_| Memory::from_text(&made_by(), &text));
        job.memory = memory.clone();
        Self { memory, file }
    }

    /// Keeps what was computed. One that cannot be kept is computed again next time: no reason to complain.
    pub fn keep(&self) {
        if let (Some(file), Some(text)) = (&self.file, self.memory.to_text()) {
            let folder = file.parent().map(fs::create_dir_all);
            if folder.is_some_and(|made| made.is_ok()) {
                let _ = output::write_file(file, text.as_bytes(), true);
            }
        }
    }
}

/// This very program: another build may compute otherwise.
fn made_by() -> String {
    let built = env::current_exe().and_then(fs::metadata).ok().map(|found| {
        let changed = found.modified().ok().and_then(|time| time.duration_since(UNIX_EPOCH).ok());
        (found.len(), changed.map(|since| since.as_nanos()))
    });
    format!("freereed {}, model {MODEL_VERSION}, {built:?}", env!("CARGO_PKG_VERSION"))
}

/// One file for each job, by the place of the job.
fn file(job: &Path) -> Option<PathBuf> {
    let folder = match env::var_os(PLACE) {
        Some(off) if off == "off" => return None,
        Some(place) if !place.is_empty() => PathBuf::from(place),
        _ => dirs::cache_dir()?.join("freereed"),
    };
    let mut hasher = DefaultHasher::new();
    fs::canonicalize(job).ok()?.hash(&mut hasher);
    Some(folder.join(format!("job-{:016x}.json", hasher.finish())))
}
