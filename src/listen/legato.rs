//! Where one blown note follows another without a gap between them.

use super::comb::{belongs, combs};
use super::spectrum::{Peaks, peaks};
use crate::sheet::notes::cents;

/// Window in which a pitch is told (s); every half of it one.
const WINDOW_S: f64 = 0.12;
/// Pitches of neighbouring windows within this are one note (cents).
const SAME_CENTS: f64 = 40.0;
/// Windows in a row that make a note.
const STEADY: usize = 3;
/// What had this share of its power before was sounding before.
const NEW: f64 = 0.1;

/// Windows of one pitch.
#[derive(Debug, Clone, Copy)]
struct Run {
    from: usize,
    to: usize,
    hz: f64,
}

/// The samples at which another note begins, and the points that were transformed.
pub(super) fn cuts(samples: &[f64], rate_hz: f64) -> (Vec<usize>, u64) {
    let (size, hop) = ((WINDOW_S * rate_hz) as usize, (0.5 * WINDOW_S * rate_hz) as usize);
    let windows: Vec<Peaks> = (0..samples.len().saturating_sub(size))
        .step_by(hop)
        .map(|from| peaks(&samples[from..from + size], rate_hz))
        .collect();
    let work = windows.iter().map(|window| window.work).sum();
    let pitches: Vec<Option<f64>> = windows.iter().map(|window| combs(window).first().map(|comb| comb.hz)).collect();
    let mut notes: Vec<Run> = Vec::new();
    let mut cuts = Vec::new();
    for run in runs(&pitches).into_iter().filter(|run| run.to - run.from >= STEADY) {
        match notes.last_mut() {
            Some(last) if !is_new(&windows, last, &run) => last.to = run.to,
            Some(last) => {
                // The windows between are of both.
                cuts.push((last.to + run.from) * hop / 2 + size / 4);
                notes.push(run);
            }
            None => notes.push(run),
        }
    }
    (cuts, work)
}

fn runs(pitches: &[Option<f64>]) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    for (k, &pitch) in pitches.iter().enumerate() {
        let Some(hz) = pitch else { continue };
        match runs.last_mut() {
            Some(run) if run.to == k && cents(hz, run.hz).abs() < SAME_CENTS => {
                (run.to, run.hz) = (k + 1, hz);
            }
            _ => runs.push(Run { from: k, to: k + 1, hz }),
        }
    }
    runs
}

/// Whether the partials of a later run that the earlier has not were missing there: of two reeds that sound together now one,
/// now the other may be found first.
fn is_new(windows: &[Peaks], earlier: &Run, later: &Run) -> bool {
    let own = |window: &Peaks| {
        let is_own = |resolution_hz: f64| {
            move |peak: &&super::spectrum::Peak| {
                belongs(peak, later.hz, resolution_hz) && !belongs(peak, earlier.hz, resolution_hz)
            }
        };
        window.peaks.iter().filter(is_own(window.resolution_hz)).map(|peak| peak.amplitude.powi(2)).sum::<f64>()
    };
    let at = |run: &Run| own(&windows[(run.from + run.to) / 2]);
    cents(later.hz, earlier.hz).abs() > SAME_CENTS && at(earlier) < NEW * at(later)
}
