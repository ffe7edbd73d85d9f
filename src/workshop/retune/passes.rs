//! The work in passes, each with what the tuner should then read.

use super::standing::Standing;
use super::work::Work;
use crate::physics::Beam;
use crate::sheet::notes;

/// Share of what is left that a pass takes: if the tongue gives four tenths more for the same strokes than was thought,
/// the mark is still not passed.
pub const FIRST_SHARE: f64 = 0.7;
/// Most passes before the last strokes.
const MOST: usize = 3;

/// One pass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pass {
    /// What to do in it.
    pub work: Work,
    /// Change of the plucked pitch from the start to the end of it (cents), if the work was as planned.
    pub cents: f64,
    /// The same of the sounding pitch, where the plan follows that.
    pub sounding_cents: Option<f64>,
    /// Plucked pitch then on the bench (Hz), where it was measured before.
    pub pluck_hz: Option<f64>,
    /// Sounding pitch then on the bench (Hz), as it was measured before.
    pub sounding_hz: Option<f64>,
}

/// Each pass takes [`FIRST_SHARE`] of what is left, until that is down to two of the lightest strokes; the last takes the
/// rest, stroke by stroke. Solder is put on at once: what is too much is filed back.
pub(super) fn passes(standing: &Standing, work: &Work, beam: &Beam, stroke_m: f64, need_cents: f64) -> Vec<Pass> {
    let strokes = match *work {
        Work::File { depth_m, .. } => depth_m / stroke_m,
        Work::Weigh { mass_kg } if mass_kg > 0.0 => 0.0,
        Work::Weigh { .. } => 10.0,
    };
    // The sounding pitch follows the plucked one in proportion.
    let follows = standing.bench_sounding_hz.map(|_| need_cents / work.cents(beam));
    let (mut done, mut passes) = (0.0, Vec::new());
    while done < 1.0 {
        let left = 1.0 - done;
        let last = passes.len() == MOST || left * strokes <= 2.0;
        let share = if last { left } else { FIRST_SHARE * left };
        done = if last { 1.0 } else { done + share };
        let cents = work.share(done).cents(beam);
        let sounding_cents = follows.map(|ratio| ratio * cents);
        let read = |hz: Option<f64>, cents: Option<f64>| Some(notes::raised(hz?, cents?));
        passes.push(Pass {
            work: work.share(share),
            cents,
            sounding_cents,
            pluck_hz: read(standing.bench_pluck_hz, Some(cents)),
            sounding_hz: read(standing.bench_sounding_hz, sounding_cents),
        });
    }
    passes
}
