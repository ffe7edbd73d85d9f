//! What is wrong with a recording, or a part of it, and does not keep it from being measured.

use super::levels::Levels;
use super::recording::Recording;
use super::spans::Span;

/// On the recording as a whole.
pub(super) fn of_recording(recording: &Recording, levels: &Levels) -> Vec<String> {
    let mut remarks = Vec::new();
    let (promised, rate_hz) = (recording.frames_promised(), recording.rate_hz());
    if levels.frames < promised {
        let [read, whole] = [levels.frames, promised].map(|frames| frames as f64 / rate_hz);
        remarks
            .push(format!("it ends after {read:.2} s of the {whole:.2} s its header promises: what is there was read"));
    }
    if recording.channels() > 1 {
        remarks.push(format!("of {} channels the loudest, {}, was measured", recording.channels(), levels.channel + 1));
    }
    if !levels.clipped.is_empty() {
        let seconds = (levels.clipped.len() * levels.hop) as f64 / rate_hz;
        remarks.push(format!(
            "it is clipped in {seconds:.2} s of it: levels and harmonics there are wrong; record softer"
        ));
    }
    if !levels.not_numbers.is_empty() {
        let seconds = (levels.not_numbers.len() * levels.hop) as f64 / rate_hz;
        remarks.push(format!("in {seconds:.2} s of it are samples that are no numbers: they were read as silence"));
    }
    remarks
}

/// On one note.
pub(super) fn of_span(levels: &Levels, span: Span) -> Vec<String> {
    let holds = |marked: &[usize]| {
        let from = marked.partition_point(|&frame| frame < span.from);
        marked.get(from).is_some_and(|&frame| frame < span.to)
    };
    let all = [
        (holds(&levels.clipped), "it is clipped: its level and harmonics are wrong"),
        (holds(&levels.not_numbers), "samples in it are no numbers and were read as silence"),
        (!span.fresh, "its beginning was not heard in quiet"),
        (span.to >= levels.db.len(), "the recording ends before it does"),
    ];
    all.into_iter().filter(|(holds, _)| *holds).map(|(_, what)| what.to_owned()).collect()
}
