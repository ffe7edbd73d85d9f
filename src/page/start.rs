//! A new job in three questions: which notes, in which key, for whom.

use std::fs;
use std::path::{Path, PathBuf};

use serde::Deserialize;

use super::opened::{OpenJob, Opened, WhatIsOpen};
use crate::files::temporary_folder;
use crate::sheet::notes::parse_class;
use crate::sheet::{Date, Start, Starter, diatonic_layout, usual_lowest};

/// The answers.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Answers {
    /// "12", "14" or "16" holes of a solo layout, or "diatonic".
    layout: String,
    /// C, Bb, F#.
    key: String,
    /// The made-up player to start from.
    player: String,
}

impl Opened {
    /// Makes the folder of a new job and opens it; the folder's name is ours, by the day.
    ///
    /// # Errors
    /// What is wrong with the answers, or that the folder cannot be made.
    pub(super) fn begin(&mut self, answers: &Answers, today: Date) -> Result<String, String> {
        let WhatIsOpen::Nothing { folder } = &self.what else { return Err("a job is open already".to_owned()) };
        let starter = starter(answers)?;
        let made = make(folder, today, &starter).map_err(|error| format!("the folder cannot be made: {error}"))?;
        let open = OpenJob::read(made.join(Starter::FILES[0])).map_err(|error| error.to_string())?;
        self.what = WhatIsOpen::Job(Box::new(open));
        Ok(made.display().to_string())
    }
}

fn starter(answers: &Answers) -> Result<Starter, String> {
    let class = parse_class(&answers.key).ok_or("is no key: write letter and sharp or flat, C, Bb, F#")?;
    let start = Start::find(&answers.player).ok_or("is no player to start from")?;
    let found = match answers.layout.as_str() {
        "diatonic" => usual_lowest(class, 10).and_then(diatonic_layout).map(|reeds| Starter::of_reeds(reeds, start)),
        holes @ ("12" | "14" | "16") => {
            let holes = holes.parse().unwrap_or_default();
            usual_lowest(class, holes).and_then(|lowest| Starter::solo(holes, lowest, start))
        }
        _ => None,
    };
    found.ok_or_else(|| "is no layout that runs through the notes there are".to_owned())
}

/// Makes the folder whole or not at all: in a folder that is empty its files, else a new one inside it.
fn make(folder: &Path, today: Date, starter: &Starter) -> std::io::Result<PathBuf> {
    let parent = if folder.as_os_str() == "." || folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let names = std::iter::once(String::new()).chain((2..100).map(|number| format!("-{number}")));
    let mut places = names.map(|more| parent.join(format!("job-{today}{more}")));
    let made =
        places.find(|place| !place.exists()).ok_or_else(|| std::io::Error::other("there are a hundred already"))?;
    let fresh = temporary_folder(parent)?;
    let inside = fresh.path().join("new");
    fs::create_dir(&inside)?;
    for (name, text) in starter.files() {
        fs::write(inside.join(name), text)?;
    }
    fs::rename(&inside, &made)?;
    Ok(made)
}
