//! A piece rehearsed, as a chart.

use crate::chart::{RehearsalChart, RehearsalNote};
use crate::physics::coefficients::MODEL_VERSION;
use crate::print::rehearse::assumed;
use crate::rehearse::{PlayedNote, Rehearsal};
use crate::sheet::Job;

/// The notes of a piece over time.
pub fn rehearsal_chart(piece: &str, job: &Job, rehearsal: &Rehearsal) -> RehearsalChart {
    let note = |played: &PlayedNote| RehearsalNote {
        start_s: played.note.start_s,
        length_s: played.note.length_s,
        midi_note: played.note.midi,
        outcome: played.outcome,
        share_gone: played.on.as_ref().map_or(1.0, |on| on.share_gone),
        on: played.on.as_ref().map(|on| (on.reed.clone(), on.breath, on.slide)),
    };
    RehearsalChart {
        piece: piece.to_owned(),
        set_name: job.instrument.name.clone().unwrap_or_else(|| "this set".to_owned()),
        notes: rehearsal.notes.iter().map(note).collect(),
        small_print: format!(
            "A bar is filled from when its reed is half way to its swing. Model {MODEL_VERSION}; fair: speaking and time, weak: level. \
             Assumed: {}.",
            assumed().join("; ")
        ),
    }
}
