//! What a microphone heard of reeds: which notes, plucked or blown, their pitch to a fraction of a cent, how they come up and
//! die away, and whether two sound at once.
//!
//! | step | file |
//! |---|---|
//! | a WAV file, read piece by piece | `recording` |
//! | levels, and where something sounds | `levels`, `spans`, `legato` |
//! | plucked or blown, which part of it is measured | `kind`, `stretch` |
//! | partials and the fundamental that explains them | `spectrum`, `comb` |
//! | harmonics over time, pitch by the slope of their phases | `track`, `pitch`, `line` |
//! | attack, ring-down, beats, two notes at once | `attack`, `decay`, `beat`, `two_lines`, `interval` |
//! | which reed of a set it may be, what several notes say of one | `nearest`, `gather` |
//! | the same while it sounds | `live` |
//!
//! Every interval holds the true value four times in five.

mod attack;
mod beat;
mod comb;
mod decay;
mod estimate;
mod gather;
mod heard;
mod interval;
mod kind;
mod legato;
mod levels;
mod line;
mod live;
mod measure;
mod nearest;
mod pitch;
mod recording;
mod remarks;
mod spans;
mod spectrum;
mod stretch;
mod track;
mod two_lines;

pub use attack::Rise;
pub use beat::Beat;
pub use decay::RingDown;
pub use estimate::Estimate;
pub use gather::{ReedHeard, gather};
pub use heard::{HarmonicLevel, Heard, HeardNote, Ignored, SecondNote, Work};
pub use kind::Kind;
pub use live::{Hearing, Live, Sounding};
pub use nearest::{Range, Which, which};
pub use recording::{Recording, Unreadable};

use levels::Levels;
use measure::{Measured, Sound, measure};
use spans::Span;

/// Longest stretch that is held in memory and measured as one note (s); what sounds on is the next.
const LONGEST_S: f64 = 20.0;
/// What is read before a note (s): the noise there, and the first of its rise.
const LEAD_S: f64 = 0.1;
/// The last part of the lead in which the note may be rising already (s).
const RISING_S: f64 = 0.03;

/// Listens to a recording. `of` says how its notes were made, where that is known; else each is told by its sound.
///
/// The louder channel is measured. However long the recording, no more than one note is held in memory.
///
/// # Errors
/// A recording in which no sound at all can be read. What is wrong with a part of it stands in [`Heard::remarks`] and in those
/// of its notes.
pub fn listen(recording: &mut Recording, of: Option<Kind>) -> Result<Heard, Unreadable> {
    let levels = Levels::of(recording);
    let silent = |why: &str| Unreadable::NoSound { file: recording.name().to_owned(), why: why.to_owned() };
    if levels.frames == 0 {
        return Err(silent("ends before its first sample; record again"));
    }
    if levels.highest_db() <= levels::SILENCE_DB {
        return Err(silent("is silent from end to end; was the microphone on?"));
    }
    let mut heard = Heard {
        file: recording.name().to_owned(),
        rate_hz: recording.rate_hz(),
        channels: recording.channels(),
        channel: levels.channel + 1,
        duration_s: levels.frames as f64 / recording.rate_hz(),
        notes: Vec::new(),
        ignored: Vec::new(),
        remarks: remarks::of_recording(recording, &levels),
        work: Work { samples: levels.frames * recording.channels() as u64, ..Work::default() },
    };
    let noise_db = spans::noise_db(&levels);
    let longest = (LONGEST_S * recording.rate_hz() / levels.hop as f64) as usize;
    let mut last_end = 0;
    for span in spans::spans(&levels).into_iter().flat_map(|span| pieces(span, longest)) {
        let before = heard.notes.len();
        hear(recording, &levels, noise_db, span, last_end, of, &mut heard);
        // What is no note may be the breath before one: it belongs to the quiet.
        if heard.notes.len() > before {
            last_end = span.to;
        }
    }
    let loudest = heard.notes.iter().map(|note| note.level_db).fold(f64::MIN, f64::max);
    heard.notes.iter_mut().for_each(|note| note.relative_level_db = note.level_db - loudest);
    Ok(heard)
}

/// A span in pieces that fit into memory.
fn pieces(span: Span, longest: usize) -> Vec<Span> {
    let cut = |from: usize| Span { from, to: (from + longest).min(span.to), fresh: span.fresh && from == span.from };
    (span.from..span.to).step_by(longest).map(cut).collect()
}

/// Measures the notes of one span.
fn hear(
    recording: &mut Recording,
    levels: &Levels,
    noise_db: f64,
    span: Span,
    last_end: usize,
    of: Option<Kind>,
    heard: &mut Heard,
) {
    let (rate_hz, hop) = (recording.rate_hz(), levels.hop);
    let lead = ((LEAD_S * rate_hz) as usize / hop).min(span.from - last_end.min(span.from)) * hop;
    let start = span.from * hop - lead;
    let samples = recording.channel(levels.channel, start as u64, (span.to * hop - start) as u64);
    heard.work.samples += samples.len() as u64 * recording.channels() as u64;
    let whole = &levels.db[span.from..span.to];
    let mut cuts = Vec::new();
    if of != Some(Kind::Pluck) && kind::kind(whole, noise_db) == Kind::Blow {
        let (found, work) = legato::cuts(&samples[lead..], rate_hz);
        heard.work.transformed += work;
        cuts = found.into_iter().map(|sample| span.from + sample / hop).collect();
    }
    let ends: Vec<usize> = std::iter::once(span.from).chain(cuts).chain([span.to]).collect();
    for pair in ends.windows(2).filter(|pair| pair[1] > pair[0]) {
        let part = Span { from: pair[0], to: pair[1], fresh: span.fresh && pair[0] == span.from };
        let before = if part.fresh { lead } else { 0 };
        let from = (part.from - span.from) * hop + lead - before;
        let quiet = before.saturating_sub((RISING_S * rate_hz) as usize);
        let to = ((part.to - span.from) * hop + lead).min(samples.len());
        let sound = Sound {
            samples: &samples[from.min(to)..to],
            rate_hz,
            lead: before,
            quiet,
            db: &levels.db[part.from..part.to],
            hop,
            noise_db,
            of,
            sounds_on: false,
        };
        keep(measure(&sound), levels, part, rate_hz, heard);
    }
}

/// Adds what was found to what was heard.
fn keep(found: Result<Measured, &'static str>, levels: &Levels, span: Span, rate_hz: f64, heard: &mut Heard) {
    match found {
        Ok(measured) => {
            heard.work.transformed += measured.work.transformed;
            heard.work.products += measured.work.products;
            let mut note = note(measured, levels, span, rate_hz);
            note.remarks.extend(remarks::of_span(levels, span));
            heard.notes.push(note);
        }
        Err(why) => {
            let [from_s, to_s] = [span.from, span.to].map(|frame| (frame * levels.hop) as f64 / rate_hz);
            heard.ignored.push(Ignored { from_s, to_s, why });
        }
    }
}

/// A note as measured, in its place; what is wrong with its ends is left out.
fn note(measured: Measured, levels: &Levels, span: Span, rate_hz: f64) -> HeardNote {
    let [from_s, to_s] = [span.from, span.to].map(|frame| (frame * levels.hop) as f64 / rate_hz);
    let Measured { kind, pitch_hz, drift_cents_s, wander_cents, level_db, harmonics, .. } = measured;
    let Measured { rise, ring_down, beat, second, remarks, .. } = measured;
    let relative_level_db = 0.0;
    HeardNote {
        from_s,
        to_s,
        kind,
        pitch_hz,
        drift_cents_s,
        wander_cents,
        level_db,
        relative_level_db,
        harmonics,
        rise,
        ring_down,
        beat,
        second,
        remarks,
    }
}
