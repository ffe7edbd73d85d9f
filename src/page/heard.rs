//! What a microphone hears, in words, and as texts for the cells of the chosen reed.

use serde::Serialize;
use serde_json::{Value, json};

use crate::listen::{Estimate, HeardNote, Hearing, Kind, Range, ReedHeard, Sounding, Which, gather, which};
use crate::print::listen::remark;
use crate::sheet::notes::cents;
use crate::sheet::{Job, Tuning, tuner};
use crate::units;

/// The reeds of a job, measured or not.
pub(super) struct Set {
    /// Each reed's name and the frequency it should sound (Hz).
    reeds: Vec<(String, f64)>,
    pub(super) tuning: Tuning,
}

/// What can be taken over into the cells of a reed.
#[derive(Debug, Serialize)]
pub(super) struct Taken {
    kind: Kind,
    words: String,
    /// Columns and what to type there.
    cells: Vec<(&'static str, String)>,
    /// Whether by its pitch it may be the reed that is chosen.
    is_chosen: bool,
    /// What its pitch says of the reed, where that is not simply the chosen one.
    by_pitch: Option<String>,
    /// The reed that it is by its pitch, where that is another.
    other: Option<String>,
}

/// What is heard just now: its note as a tuner shows it, how well that is known, its level, and what is wrong.
pub(super) fn standing(hearing: &Hearing, tuning: &Tuning) -> Value {
    let of = |sounding: &Sounding| {
        let hz = sounding.note.pitch_hz;
        let shown = tuner::shown(hz.value, tuning.concert_pitch_hz)?;
        let (note, off) = shown.split_once(' ')?;
        Some(json!({
            "note": note,
            "cents": off.parse::<f64>().ok(),
            "shown": shown,
            "give_or_take": give_or_take(hz),
            "hz": hz.value,
            "kind": sounding.note.kind,
            "is_steady": sounding.is_steady,
        }))
    };
    json!({
        "sounding": hearing.sounding.as_ref().and_then(of),
        "level_db": hearing.level_db,
        "advice": advice(hearing),
    })
}

/// What is wrong with what is heard: a sentence.
fn advice(hearing: &Hearing) -> Option<String> {
    let note = hearing.sounding.as_ref().map(|sounding| &sounding.note);
    if hearing.is_dead {
        return Some(
            "The microphone gives no sound at all: it is switched off, muted, or another one is meant.".to_owned(),
        );
    }
    if hearing.is_clipped {
        return Some("Too loud for the microphone: hold it further off, or turn it down.".to_owned());
    }
    if let Some(beat) = note.and_then(|note| note.beat) {
        return Some(format!("Two reeds sound, which beat {:.1} times a second.", beat.rate_hz.value));
    }
    if note.is_some_and(|note| note.second.is_some()) {
        return Some("A second note sounds with it.".to_owned());
    }
    hearing.is_noise.then(|| "Something sounds that has no pitch.".to_owned())
}

impl Set {
    pub(super) fn of(job: &Job) -> Self {
        let tuning = job.instrument.tuning.clone();
        let rows = job.newest_rows.iter().flatten();
        Self { reeds: rows.map(|row| (row.id(), tuning.frequency_hz(row.note))).collect(), tuning }
    }

    pub(super) fn has(&self, id: &str) -> bool {
        self.reeds.iter().any(|(label, _)| label == id)
    }

    /// What was heard that can be taken over: a pluck that has just rung down, with those before it, or a steady blow.
    pub(super) fn heard(&self, hearing: &Hearing, plucks: &[HeardNote], id: &str) -> Option<Taken> {
        let steady = hearing.sounding.as_ref().filter(|sounding| sounding.is_steady).map(|sounding| &sounding.note);
        let notes: Vec<&HeardNote> = match (hearing.plucks.is_empty(), steady) {
            (false, _) => plucks.iter().collect(),
            (true, Some(note)) => vec![note],
            (true, None) => return None,
        };
        let found = gather(notes.iter().map(|note| (id, *note))).pop()?;
        let last = notes.last()?;
        let hz = found.pluck_hz.or(found.sounding_hz)?.value;
        let (is_chosen, by_pitch, other) = self.by_pitch(hz, id);
        Some(Taken {
            kind: last.kind,
            words: words(&found, last, &self.tuning),
            cells: self.cells(&found),
            is_chosen,
            by_pitch,
            other,
        })
    }

    fn cells(&self, found: &ReedHeard) -> Vec<(&'static str, String)> {
        let pitch = |hz: f64| tuner::shown(hz, self.tuning.concert_pitch_hz);
        let cells = [
            ("measured_pluck_hz", found.pluck_hz.and_then(|hz| pitch(hz.value))),
            ("ring_down_s", found.ring_down_s.map(|tau| units::significant(tau.value, 3))),
            ("measured_sounding_hz", found.sounding_hz.and_then(|hz| pitch(hz.value))),
        ];
        cells.into_iter().filter_map(|(column, text)| Some((column, text?))).collect()
    }

    /// Whether the reed of this name may sound at `hz`; what there is to say of that, and which other it is where it is one.
    fn by_pitch(&self, hz: f64, id: &str) -> (bool, Option<String>, Option<String>) {
        match which(hz, &self.reeds, Range::default()) {
            Which::One { label, .. } if label == id => (true, None, None),
            Which::One { label, .. } => {
                (false, Some(format!("By its pitch this is {label}, not {id}, which is chosen.")), Some(label))
            }
            Which::Several { labels, .. } => {
                let all = labels.join(" or ");
                let is_chosen = labels.iter().any(|label| label == id);
                let other = labels.into_iter().next().filter(|_| !is_chosen);
                let chosen = if is_chosen { "it is taken for the chosen one" } else { "not the chosen one" };
                (is_chosen, Some(format!("By its pitch this may be {all}; {chosen}.")), other)
            }
            Which::None { nearest } => {
                let near = nearest.map_or(String::new(), |(label, _)| format!("; the nearest is {label}"));
                (false, Some(format!("No reed of the job is meant to sound like this{near}.")), None)
            }
        }
    }
}

/// Half of the interval; what a tuner does not show is not told.
fn give_or_take(hz: Estimate) -> String {
    match 0.5 * cents(hz.high, hz.low) {
        half if half < 0.05 => "under 0.1 cents".to_owned(),
        half => units::cents_size(half),
    }
}

/// What was heard: a sentence, its first letter small.
fn words(found: &ReedHeard, last: &HeardNote, tuning: &Tuning) -> String {
    let hz = found.pluck_hz.or(found.sounding_hz).unwrap_or(last.pitch_hz);
    let shown = tuner::shown(hz.value, tuning.concert_pitch_hz).unwrap_or_else(|| units::hertz(hz.value));
    let give_or_take = give_or_take(hz);
    let rings = found.ring_down_s.map(|tau| format!(", rings down in {}", units::seconds(tau.value)));
    let level = match found.pluck_hz {
        None => format!(", {:.0} dB below full scale", -last.level_db),
        Some(_) => String::new(),
    };
    let heard =
        format!("{}: {shown} cents, give or take {give_or_take}{}{level}", remark(found), rings.unwrap_or_default());
    let remarks = last.remarks.iter().map(String::as_str);
    std::iter::once(heard.as_str()).chain(remarks).collect::<Vec<_>>().join("; ") + "."
}
