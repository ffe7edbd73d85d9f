//! Where in a recording something sounds: from a rise out of the noise, or out of a note still sounding, to the next one or
//! to the end of the sound.

use super::levels::Levels;

/// A note stands out of the noise by so much (dB).
const ABOVE_NOISE_DB: f64 = 12.0;
/// What is so far below the loudest sound is background (dB).
const BACKGROUND_DB: f64 = 42.0;
/// Where the note ends: so far above the noise (dB).
const END_ABOVE_NOISE_DB: f64 = 6.0;
/// A fresh pluck or blow raises the level by so much above the highest of the time before (dB): a beat rises as steeply, and
/// never above its own height.
const FRESH_DB: f64 = 6.0;
/// The time before, in frames of 5 ms: 150 ms.
const BEFORE: usize = 30;
/// The time in which it rises: 30 ms.
const AFTER: usize = 6;
/// Shorter than 25 ms is a click.
const SHORTEST: usize = 5;
/// A gap of up to 40 ms in a note is a null of its beat.
pub(super) const GAP: usize = 8;
/// Share of the frames that are taken for noise, where the recording has so much of it.
const NOISE_SHARE: f64 = 0.05;

/// A stretch of frames in which something sounds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Span {
    /// First frame.
    pub(super) from: usize,
    /// One past the last.
    pub(super) to: usize,
    /// Whether it began out of quiet: a span cut out of a longer sound has no beginning of its own.
    pub(super) fresh: bool,
}

/// The noise between notes (dB): a low level of the recording, where there is any between the notes at all.
pub(super) fn noise_db(levels: &Levels) -> f64 {
    levels.quantile_db(NOISE_SHARE)
}

/// The stretches of a recording in which something sounds.
pub(super) fn spans(levels: &Levels) -> Vec<Span> {
    let (noise, highest) = (noise_db(levels), levels.highest_db());
    let start = (noise + ABOVE_NOISE_DB).max(highest - BACKGROUND_DB);
    // One note from end to end of the file: no noise can be told from it.
    if start >= highest - 3.0 {
        return vec![Span { from: 0, to: levels.db.len(), fresh: false }];
    }
    let end = (noise + END_ABOVE_NOISE_DB).max(highest - BACKGROUND_DB - 6.0).min(start);
    let mut found = Vec::new();
    for span in joined(above(&levels.smooth_db, start, end)) {
        found.extend(at_fresh_rises(&levels.db, span));
    }
    found.retain(|span| span.to - span.from >= SHORTEST);
    found
}

/// Stretches that reach `start` and do not fall below `end`.
fn above(db: &[f32], start: f64, end: f64) -> Vec<Span> {
    let (mut found, mut open) = (Vec::new(), None::<(usize, bool)>);
    for (k, &level) in db.iter().enumerate() {
        let level = f64::from(level);
        open = match open {
            None if level >= end => Some((k, level >= start)),
            Some((from, reached)) if level >= end => Some((from, reached || level >= start)),
            Some((from, true)) => {
                found.push(Span { from, to: k, fresh: from > 0 });
                None
            }
            _ => None,
        };
    }
    if let Some((from, true)) = open {
        found.push(Span { from, to: db.len(), fresh: from > 0 });
    }
    found
}

fn joined(spans: Vec<Span>) -> Vec<Span> {
    let mut joined: Vec<Span> = Vec::new();
    for span in spans {
        match joined.last_mut() {
            Some(last) if span.from - last.to <= GAP => last.to = span.to,
            _ => joined.push(span),
        }
    }
    joined
}

/// Cuts a span where it rises afresh.
fn at_fresh_rises(db: &[f32], span: Span) -> Vec<Span> {
    let highest = |from: usize, to: usize| db[from..to.min(span.to)].iter().copied().fold(f32::MIN, f32::max);
    let (mut cuts, mut k) = (Vec::new(), span.from + BEFORE);
    while k + 1 < span.to {
        let before = f64::from(highest(k - BEFORE, k));
        let rises = f64::from(db[k]) > before + 1.0 && f64::from(highest(k, k + AFTER)) >= before + FRESH_DB;
        // The rise begins a frame before the first that stands out.
        if rises {
            cuts.push(k - 1);
            k += BEFORE;
        }
        k += 1;
    }
    let mut parts = Vec::new();
    let mut from = span.from;
    for cut in cuts {
        parts.push(Span { from, to: cut, fresh: if from == span.from { span.fresh } else { true } });
        from = cut;
    }
    parts.push(Span { from, to: span.to, fresh: if from == span.from { span.fresh } else { true } });
    parts
}
