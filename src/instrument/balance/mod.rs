//! The tip gap of every reed of a set: the widest room for the player at both ends, in a run that is even, for few bends.
//! Whatever tells the gap wanted of a reed of a job asks here.
//!
//! Per reed `i` and gap `g`, with the ends `P_low`, `P_high` of the playable window and what is asked of it, the [`Room`] is
//! `s = P_soft / P_low` to the soft side and `h = P_high / P_hard` to the hard one. Of the present gap and all in whole steps
//! of a feeler the set is given those with the least
//!
//! ```text
//! J = sum_i 1 / (1 + r_i(g_i)^2)  +  w sum_i (y_(i-1) - 2 y_i + y_(i+1))^2  +  p n,   r = (s^-4 + h^-4)^(-1/4),   y_i = ln g_i - b x_i
//! ```
//!
//! over the reeds in order of pitch. `x` is the note in semitones and `b` the slope of the run that the gaps best for each
//! reed alone have: a run that is straight in the logarithm costs nothing, even where two reeds have the same note. The
//! first sum is what each reed asks for itself ([`Room::loss`]), the second is how uneven the run is. `w` is
//! [`BalanceOptions::smooth`]: one reed a tenth off its neighbours costs `6 (0.1)^2 w`, with the usual weight of 2 some
//! 0.12, as much as a fifth of the room of a reed that has half as much pressure again to spare. `n` reeds are bent, each
//! for the price `p` of [`LEAST_GAIN`]: one that would gain less is left alone.
//!
//! A reed with nothing wrong that a gap could mend is left as it is: one that suits is not put at risk for more room, unless
//! that is asked for ([`BalanceOptions::all`]). A reed that suits the player at some gap is given none at which it does not,
//! however even that were; and none is bent to where the tighter of its ends, the lesser of `s` and `h`, is tighter than
//! now. Nor is one bent farther than one bend safely leads.
//!
//! Where a set fails its player alike, and a reed is judged by the run of the set, what the player asks says nothing of
//! that reed, but for a word on it: its first term is left out, and so is what its rooms allow. It is then bent for an even
//! run alone, whose slope is that of the gaps as they are.
//!
//! The minimum is the global one ([`run::cheapest_run`]), of rooms that are partly expected from small motion; the window
//! at every gap that is chosen is then searched, and the choice made again with what was found, until it stays (three
//! times at most) and at last among what was found. The rooms that are told are found ones. The tip is raised with the shape
//! it has; the shape that a bend leaves differs a little, which [`workshop::regap`](crate::workshop::regap) plans.

mod goal;
mod one;
mod reed;
pub mod run;
mod windows;

pub use crate::answer::Room;
pub use goal::Goal;
pub use reed::{Bend, NoGap, ReedBalance, Setting, Verdict};
pub use windows::UPPER_END_BY_GAP;

use std::collections::BTreeMap;

use rayon::prelude::*;
use serde::Serialize;

use super::assess::Assessment;
use super::finding::Finding;
use super::neighbours::Neighbours;
use crate::sheet::keys::find;
use crate::sheet::{Job, Note, RowError};
use crate::trend::Trend;
use one::{Offer, Standing};
use run::{Choice, cheapest_run, kink};

/// What work on a reed is to gain at the least, as a fall of what it lacks ([`Room::loss`]): a twentieth of a demand.
///
/// A window is found to 3 % at each of two gaps, and a gap is set to a feeler's step, some 4 % of it, with which the ends go
/// as the power 1.2: together 6.4 % of `r`. Of that the loss moves by a half at most, as `dL/d ln r = -2 r^2/(1 + r^2)^2`:
/// what gains less than 0.03 cannot be told from nothing, and at one and a half times that it can as a rule.
pub const LEAST_GAIN: f64 = 0.05;

/// How to balance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BalanceOptions {
    /// What an even run is worth: 0 gives each reed what suits it best by itself, [`BalanceOptions::MOST_SMOOTH`] hardly
    /// lets a reed stand off its neighbours.
    pub smooth: f64,
    /// Step of the feelers (m); without it the tolerance that the job states for `tip_gap_mm`, else
    /// [`BalanceOptions::FEELER_M`].
    pub feeler_m: Option<f64>,
    /// Whether reeds with nothing wrong may be bent too, for more room or a more even run.
    pub all: bool,
}

impl BalanceOptions {
    /// The usual weight.
    pub const SMOOTH: f64 = 2.0;
    /// The largest that makes sense.
    pub const MOST_SMOOTH: f64 = 100.0;
    /// Its range in words.
    pub const SMOOTH_WORDS: &str = "the weight of an even run is 0 to 100";
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
        Self { smooth: Self::SMOOTH, feeler_m: None, all: false }
    }
}

/// What the gaps of a set cost.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Cost {
    /// Sum of the losses of the reeds, of those apart that are judged by the run.
    pub loss: f64,
    /// How far a reed stands off its two neighbours in the run, as a ratio of gaps: the root of the mean square of half
    /// the second differences.
    pub uneven: f64,
    /// Reeds that are bent for it.
    pub bends: usize,
    /// The whole, with the weight asked for and [`LEAST_GAIN`] for each bend.
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

    /// One of them.
    pub fn reed(&self, id: &str) -> Option<&ReedBalance> {
        self.good_rows().find(|reed| reed.id == id)
    }

    /// The rows that could not: wrong, half filled or not measured yet.
    pub fn errors(&self) -> impl Iterator<Item = &RowError> {
        self.reeds.iter().filter_map(|reed| reed.as_ref().err())
    }
}

/// Choosing and finding again.
const ROUNDS: usize = 3;

/// Balances a job that was assessed, on all cores; `done` is called after each reed.
pub fn balance(job: &Job, assessment: &Assessment, options: &BalanceOptions, done: impl Fn() + Sync) -> Balance {
    let step_m = options.step_m(job);
    let assessed: Vec<_> = assessment.good_rows().collect();
    let mut standing: Vec<Standing<'_>> = assessed
        .par_iter()
        .map(|reed| {
            let asks =
                |found: &Finding| found.may_be_the_gap() && (found.asks_for_work(reed) || !reed.is_judged_by_run());
            let standing = Standing::of(reed, step_m, options.all || reed.findings.iter().any(asks));
            done();
            standing
        })
        .collect();
    // By pitch; reeds of one note stay in the order of the sheet.
    standing.sort_by_key(|reed| reed.note());
    let run = Run { slope: slope(&standing), smooth: options.smooth };
    for _ in 0..ROUNDS {
        run.choose(&mut standing, false);
        if standing.iter().all(Standing::is_found) {
            break;
        }
        standing.par_iter_mut().for_each(Standing::find);
    }
    run.choose(&mut standing, true);
    let neighbours = Neighbours::of(job);
    let found: Vec<ReedBalance> = standing.par_iter().map(|reed| reed.balance(&neighbours)).collect();
    let cost = |pick: fn(&ReedBalance) -> Setting| run.cost(&standing, &found, pick);
    let (now, alone, wanted) = (cost(|reed| reed.now), cost(|reed| reed.alone), cost(|reed| reed.wanted));
    let mut by_line: BTreeMap<usize, ReedBalance> = standing.iter().map(Standing::line).zip(found).collect();
    let reeds = assessment.reeds.iter().map(|row| {
        row.as_ref().map_err(Clone::clone).map(|reed| by_line.remove(&reed.reed.line).expect("each line once"))
    });
    let reeds = reeds.collect();
    Balance { reeds, now, alone, wanted, step_m, smooth: options.smooth }
}

/// Slope of the run (1/semitone); level where too few reeds have a gap that tells it.
fn slope(standing: &[Standing<'_>]) -> f64 {
    let point = |reed: &Standing<'_>| Some((f64::from(reed.note().midi()), reed.sloping_m()?.ln()));
    let points: Vec<_> = standing.iter().filter_map(point).collect();
    Trend::through(&points).map_or(0.0, |trend| trend.at(1.0) - trend.at(0.0))
}

/// How even a run is.
#[derive(Clone, Copy)]
struct Run {
    /// Of the gaps that cost nothing (1/semitone).
    slope: f64,
    smooth: f64,
}

impl Run {
    /// Height of a gap in the run.
    fn height(&self, gap_m: f64, note: Note) -> f64 {
        gap_m.ln() - self.slope * f64::from(note.midi())
    }

    /// Gives each reed the gap of the cheapest run.
    fn choose(&self, standing: &mut [Standing<'_>], only_found: bool) {
        let offers: Vec<_> = standing.iter().map(|reed| (reed.note(), reed.offers(only_found))).collect();
        let choices: Vec<Vec<Choice>> = offers
            .iter()
            .map(|(note, offers)| {
                let choice = |offer: &Offer| Choice { height: self.height(offer.gap_m, *note), cost: offer.cost };
                offers.iter().map(choice).collect()
            })
            .collect();
        // A reed without an offer has neither a gap above the plate nor one that a bend leads to.
        let Some(chosen) = cheapest_run(&choices, self.smooth) else { return };
        for ((reed, (_, offers)), index) in standing.iter_mut().zip(&offers).zip(chosen) {
            reed.choose(offers[index].gap_m);
        }
    }

    fn cost(&self, standing: &[Standing<'_>], reeds: &[ReedBalance], pick: fn(&ReedBalance) -> Setting) -> Cost {
        let settings = || reeds.iter().map(pick);
        let loss = standing.iter().zip(settings()).map(|(reed, it)| reed.loss(it.room)).sum();
        let bends = reeds.iter().filter(|reed| pick(reed).gap_m != reed.now.gap_m).count();
        let above = reeds.iter().filter(|reed| pick(reed).gap_m > 0.0);
        let heights: Vec<f64> = above.map(|reed| self.height(pick(reed).gap_m, reed.note)).collect();
        let squares: Vec<f64> = heights.windows(3).map(|w| kink(w[0], w[1], w[2]).powi(2)).collect();
        let bent: f64 = squares.iter().sum();
        let uneven = if squares.is_empty() { 0.0 } else { 0.5 * (bent / squares.len() as f64).sqrt() };
        Cost { loss, uneven, bends, whole: loss + self.smooth * bent + LEAST_GAIN * bends as f64 }
    }
}
