//! The tip gap of every reed of a set: the widest room for the player at both ends, and a run that is even.
//!
//! Per reed `i` and gap `g`, with the ends `P_low`, `P_high` of the playable window and the player's pressures, the room is
//! `s = P_soft / P_low` to the soft side and `h = P_high / P_hard` to the hard one: how many times softer and harder than
//! the player it could be blown. Of all gaps in whole steps of a feeler the set is given those with the least
//!
//! ```text
//! J = sum_i 1 / (1 + r_i(g_i)^2)  +  w sum_i (y_(i-1) - 2 y_i + y_(i+1))^2,   r = (s^-4 + h^-4)^(-1/4),   y_i = ln g_i - b x_i
//! ```
//!
//! over the reeds in order of pitch. `x` is the note in semitones and `b` the slope of the run that the gaps best for each
//! reed alone have: a run that is straight in the logarithm costs nothing, even where two reeds have the same note. The
//! first sum is what each reed asks for itself ([`Room::loss`]), the second is how uneven the run is. `w` is
//! [`BalanceOptions::smooth`]: one reed a tenth off its neighbours costs `6 (0.1)^2 w`, with the usual weight of 2 some
//! 0.12, as much as a fifth of the room of a reed that has half as much pressure again to spare. A reed that suits the
//! player at some gap is given none at which it does not, however even that were. A reed that one bend does not safely
//! bring to its place in the run goes as far as the bend leads, and does not draw the others along.
//!
//! The minimum is the global one ([`run::cheapest_run`]), of rooms that are partly expected from small motion; the window
//! at every gap that is chosen is then searched, and the choice made again with what was found, until it stays (three
//! times at most). The rooms that are told are found ones. The tip is raised with the shape it has; the shape that a bend
//! leaves differs a little, which [`workshop::regap`](crate::workshop::regap) plans.

mod goal;
mod one;
pub mod run;
mod windows;

pub use goal::{Goal, Room};
pub use one::{Bend, NoGap, ReedBalance, Setting, Verdict};

use std::collections::BTreeMap;

use rayon::prelude::*;
use serde::Serialize;

use super::cause::Neighbours;
use crate::sheet::keys::find;
use crate::sheet::{Job, RowError};
use crate::study::Trend;
use one::Standing;
use run::{Choice, cheapest_run, kink};

/// How to balance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BalanceOptions {
    /// What an even run is worth: 0 gives each reed what suits it best by itself, [`BalanceOptions::MOST_SMOOTH`] hardly
    /// lets a reed stand off its neighbours.
    pub smooth: f64,
    /// Step of the feelers (m); without it the tolerance that the job states for `tip_gap_mm`, else
    /// [`BalanceOptions::FEELER_M`].
    pub feeler_m: Option<f64>,
}

impl BalanceOptions {
    /// The usual weight.
    pub const SMOOTH: f64 = 2.0;
    /// The largest that makes sense.
    pub const MOST_SMOOTH: f64 = 100.0;
    /// A step of the usual feelers (m).
    pub const FEELER_M: f64 = 0.01e-3;
    /// The finest that are told apart (m): a finer step is taken to be this.
    pub const FINEST_M: f64 = 0.005e-3;

    /// The step for a job (m).
    pub fn step_m(&self, job: &Job) -> f64 {
        let stated = || find("tip_gap_mm").and_then(|key| job.tolerances.stated_for(key)).map(|mm| 1e-3 * mm);
        self.feeler_m.or_else(stated).unwrap_or(Self::FEELER_M).max(Self::FINEST_M)
    }
}

impl Default for BalanceOptions {
    fn default() -> Self {
        Self { smooth: Self::SMOOTH, feeler_m: None }
    }
}

/// What the gaps of a set cost.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Cost {
    /// Sum of the losses of the reeds.
    pub loss: f64,
    /// How far a reed stands off its two neighbours in the run, as a ratio of gaps: the root of the mean square of half
    /// the second differences.
    pub uneven: f64,
    /// The whole, with the weight asked for.
    pub whole: f64,
}

/// A set, balanced.
#[derive(Debug, Clone)]
pub struct Balance {
    /// One entry for each row of the sheet, in its order.
    pub reeds: Vec<Result<ReedBalance, RowError>>,
    /// With the gaps as they are; a reed whose tip does not stand above the plate has no part in how even they are.
    pub now: Cost,
    /// With each reed at the gap best for itself.
    pub alone: Cost,
    /// With the gaps wanted.
    pub wanted: Cost,
    /// Step of the feelers (m).
    pub step_m: f64,
    /// Weight of an even run.
    pub smooth: f64,
}

impl Balance {
    /// The reeds that could be balanced.
    pub fn good_rows(&self) -> impl Iterator<Item = &ReedBalance> {
        self.reeds.iter().flatten()
    }

    /// The rows that could not: wrong, half filled or not measured yet.
    pub fn errors(&self) -> impl Iterator<Item = &RowError> {
        self.reeds.iter().filter_map(|reed| reed.as_ref().err())
    }
}

/// Choosing and finding again.
const ROUNDS: usize = 3;

/// Balances a job, on all cores; `done` is called after each reed.
pub fn balance(job: &Job, options: &BalanceOptions, done: impl Fn() + Sync) -> Balance {
    let step_m = options.step_m(job);
    let mut standing: Vec<Standing<'_>> = job
        .reeds
        .par_iter()
        .flatten()
        .map(|reed| {
            let standing = Standing::of(reed, Goal::of_reed(job, reed), step_m);
            done();
            standing
        })
        .collect();
    // By pitch; reeds of one note stay in the order of the sheet.
    standing.sort_by_key(|reed| reed.note());
    let slope = slope(&standing);
    for _ in 0..ROUNDS {
        choose(&mut standing, slope, options.smooth);
        let settled = standing.iter().all(Standing::is_found);
        standing.par_iter_mut().for_each(Standing::find);
        if settled {
            break;
        }
    }
    standing.par_iter_mut().for_each(Standing::stay_in_reach);
    let neighbours = Neighbours::of(job);
    let found: Vec<ReedBalance> = standing.par_iter().map(|reed| reed.balance(&neighbours)).collect();
    let cost = |pick: fn(&ReedBalance) -> Setting| Cost::of(&found, pick, slope, options.smooth);
    let (now, alone, wanted) = (cost(|reed| reed.now), cost(|reed| reed.alone), cost(|reed| reed.wanted));
    let mut by_line: BTreeMap<usize, ReedBalance> = standing.iter().map(Standing::line).zip(found).collect();
    let reeds = job
        .reeds
        .iter()
        .map(|row| row.as_ref().map_err(Clone::clone).map(|reed| by_line.remove(&reed.line).expect("each line once")));
    let reeds = reeds.collect();
    Balance { reeds, now, alone, wanted, step_m, smooth: options.smooth }
}

/// Slope of the run of the gaps that are best for each reed alone, of those that suit (1/semitone); level where they are
/// too few.
fn slope(standing: &[Standing<'_>]) -> f64 {
    let suiting = standing.iter().filter(|reed| reed.can_suit());
    let points: Vec<_> = suiting.map(|reed| (f64::from(reed.note().midi()), reed.alone_m().ln())).collect();
    Trend::through(&points).map_or(0.0, |trend| trend.at(1.0) - trend.at(0.0))
}

/// Height of a gap in the run.
fn height(gap_m: f64, midi: i32, slope: f64) -> f64 {
    gap_m.ln() - slope * f64::from(midi)
}

fn choose(standing: &mut [Standing<'_>], slope: f64, smooth: f64) {
    let choices: Vec<Vec<Choice>> = standing
        .iter()
        .map(|reed| {
            let choice = |(gap_m, room): (f64, Room)| Choice {
                height: height(gap_m, reed.note().midi(), slope),
                cost: room.loss(),
            };
            reed.gaps().into_iter().map(choice).collect()
        })
        .collect();
    let chosen = cheapest_run(&choices, smooth).expect("every reed has a gap");
    for (reed, index) in standing.iter_mut().zip(chosen) {
        reed.choose(index);
    }
}

impl Cost {
    fn of(run: &[ReedBalance], pick: fn(&ReedBalance) -> Setting, slope: f64, smooth: f64) -> Self {
        let loss = run.iter().map(|reed| pick(reed).room.map_or(1.0, |room| room.loss())).sum();
        let above = run.iter().filter(|reed| pick(reed).gap_m > 0.0);
        let heights: Vec<f64> = above.map(|reed| height(pick(reed).gap_m, reed.note.midi(), slope)).collect();
        let squares: Vec<f64> = heights.windows(3).map(|w| kink(w[0], w[1], w[2]).powi(2)).collect();
        let bent: f64 = squares.iter().sum();
        let uneven = if squares.is_empty() { 0.0 } else { 0.5 * (bent / squares.len() as f64).sqrt() };
        Self { loss, uneven, whole: loss + smooth * bent }
    }
}
