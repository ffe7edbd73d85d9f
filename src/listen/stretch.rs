//! The part of a note that is measured: of a blow what is sustained, of a pluck what follows its click.

use std::ops::Range;

use super::kind::Kind;

/// Frames of 5 ms after the loudest of a pluck in which its click and the higher modes of the tongue die away.
const CLICK: usize = 3;
/// A blow is sustained from where it comes within this of its height (dB) ...
const COME_UP_DB: f64 = 3.0;
/// ... to where it falls this far below it for good (dB).
const GONE_DB: f64 = 6.0;
/// Its height is the level that this share of its frames does not reach.
const HEIGHT: f64 = 0.75;
/// Share of what is sustained that is left to settle, and the frames it takes at most.
const SETTLING: (f64, usize) = (0.1, 20);
/// Frames before the end in which the note is let go.
const LET_GO: usize = 4;
/// How far above the noise a pluck is followed (dB).
const ABOVE_NOISE_DB: f64 = 6.0;

/// The frames, counted in those of `db`, that are measured.
pub(super) fn measured(db: &[f32], noise_db: f64, kind: Kind) -> Range<usize> {
    match kind {
        Kind::Pluck => ringing(db, noise_db),
        Kind::Blow => sustained(db),
    }
}

fn ringing(db: &[f32], noise_db: f64) -> Range<usize> {
    let loudest = db.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1)).map_or(0, |(k, _)| k);
    let from = (loudest + CLICK).min(db.len());
    let rings = |&level: &f32| f64::from(level) > noise_db + ABOVE_NOISE_DB;
    let end = db.iter().rposition(rings).map_or(from, |last| last + 1);
    from..end.max(from)
}

fn sustained(db: &[f32]) -> Range<usize> {
    let mut sorted = db.to_vec();
    sorted.sort_by(f32::total_cmp);
    let Some(&height) = sorted.get((HEIGHT * sorted.len() as f64) as usize) else { return 0..0 };
    let height = f64::from(height);
    let up = db.iter().position(|&level| f64::from(level) >= height - COME_UP_DB).unwrap_or(0);
    let last = db.iter().rposition(|&level| f64::from(level) >= height - GONE_DB).map_or(db.len(), |last| last + 1);
    let settling = ((SETTLING.0 * (last - up) as f64) as usize).min(SETTLING.1);
    let from = up + settling;
    // What is cut out of a longer sound is not let go at its end, and loses little by this.
    from..last.saturating_sub(LET_GO).max(from)
}
