//! What would serve a reed of which a piece asks too much: another gap, other work, or a slower tempo. Gap and work are planned by
//! those who plan them for the player, for what the piece asks in place of what the player does.

use super::answers::Answers;
use super::excess::{Excess, by_reed, player_of_piece};
use super::played::PlayedNote;
use super::trial::Trial;
use crate::instrument::balance::{BalanceOptions, ReedBalance, balance};
use crate::instrument::work::{ReedWork, Tongues, work_on};
use crate::instrument::{Assessment, ReedAssessment, assess_again};
use crate::physics::ReedModel;
use crate::sheet::Job;
use crate::study::changed::with_tip_gap;

/// What would serve a reed for a piece.
#[derive(Debug, Clone, Default)]
pub struct Serve {
    /// The gap that the set gives the reed where the piece's own demand stands in place of the player's, or why none suits.
    pub balance: Option<ReedBalance>,
    /// That gap, or where none suits the one that suits best; nothing where it is the present one.
    pub gap: Option<PieceGap>,
    /// The work planned for that demand, where notes still fail at the gap. A new tongue only where without one the reed speaks in
    /// time at no tempo.
    pub work: Option<PieceWork>,
    /// How many times as long the piece would have to last for the reed to speak in time once [`Serve::best`] is done, where notes
    /// fail then; nothing where it would at no tempo.
    pub slower: Option<f64>,
}

/// Another gap for a piece.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct PieceGap {
    /// Tip gap (m).
    pub gap_m: f64,
    /// How many notes still fail there.
    pub failing_then: usize,
}

/// Work on a reed for a piece.
#[derive(Debug, Clone)]
pub struct PieceWork {
    /// What is planned on it for what the piece asks of it.
    pub work: ReedWork,
    /// So many of its operations, the first ones, leave the fewest notes failing; 0 where none helps.
    pub steps: usize,
    /// How many notes still fail after them.
    pub failing_then: usize,
}

/// What leaves the fewest notes failing.
#[derive(Debug, Clone, Copy)]
pub enum Best<'a> {
    /// The reed as it is.
    Nothing,
    /// Another gap alone.
    Gap(&'a PieceGap),
    /// A sequence of work.
    Work(&'a PieceWork),
}

impl Serve {
    /// What is best for a reed of which so many notes fail, and how many fail then; of equals what is least to do.
    pub fn best(&self, failing: usize) -> (usize, Best<'_>) {
        let gap = self.gap.as_ref().map(|gap| (gap.failing_then, Best::Gap(gap)));
        let work = self.work.as_ref().map(|work| (work.failing_then, Best::Work(work)));
        let all = [Some((failing, Best::Nothing)), gap, work].into_iter().flatten();
        all.min_by_key(|(failing, _)| *failing).expect("the reed as it is")
    }
}

impl PieceWork {
    /// Of a route the shortest part after which the fewest notes fail.
    fn of(work: ReedWork, failing: impl Fn(&ReedAssessment) -> usize) -> Self {
        let after = |steps: usize| (failing(work.before(steps)), steps);
        let (failing_then, steps) = (0..=work.rounds.len()).map(after).min().expect("the reed as it is");
        Self { work, steps, failing_then }
    }

    /// The reed after those operations.
    fn then(&self) -> &ReedAssessment {
        self.work.before(self.steps)
    }
}

/// Finds what would serve, on all cores; `begin` is told how many steps that is, and `done` is called after each.
pub(super) fn serve(
    job: &Job,
    assessment: &Assessment,
    answers: &Answers<'_>,
    played: &[PlayedNote],
    found: &mut [Excess],
    (begin, done): (&impl Fn(usize), &(impl Fn() + Sync)),
) {
    let notes = by_reed(played);
    // The set for the piece's own demand in place of the player's.
    let of_piece = Job { player: player_of_piece(&job.player, &answers.reeds, played), target: None, ..job.clone() };
    let sounded = |reed: &ReedAssessment| {
        let as_high = |other: &&&ReedAssessment| other.reed.note == reed.reed.note;
        answers.reeds.iter().filter(as_high).any(|other| notes.contains_key(other.reed.id.as_str()))
    };
    let same = |reed: &ReedAssessment| job.target.is_none() && !sounded(reed);
    begin(assessment.reeds.len() + answers.reeds.len() + found.len());
    let again = assess_again(&of_piece, assessment, same, done);
    let balance = balance(&of_piece, &again, &BalanceOptions::default(), done);
    let on_piece = |id: &str| {
        let reed = answers.reeds.iter().find(|reed| reed.reed.id == id).expect("a reed that is played");
        OnPiece { reed, notes: &notes[id] }
    };
    for excess in found.iter_mut() {
        let on_piece = on_piece(&excess.reed);
        excess.serve.balance = balance.reed(&excess.reed).cloned();
        excess.serve.gap = excess.serve.balance.as_ref().and_then(|balance| on_piece.at_its_gap(balance));
    }
    for tongues in [Tongues::Kept, Tongues::NewAtLast { strips_m: &[] }] {
        let is_left = |excess: &&Excess| excess.serve.best(excess.failing()).0 > 0 && excess.serve.slower.is_none();
        let left: Vec<String> = found.iter().filter(is_left).map(|excess| excess.reed.clone()).collect();
        let work = work_on(&of_piece, &again, &balance, tongues, |reed| left.contains(&reed.reed.id), done);
        for work in work {
            let Some(excess) = found.iter_mut().find(|excess| excess.reed == work.now.reed.id) else { continue };
            on_piece(&excess.reed).worked_on(work, excess.failing(), &mut excess.serve);
        }
    }
}

/// A reed and its notes in the piece.
struct OnPiece<'a> {
    reed: &'a ReedAssessment,
    notes: &'a [&'a PlayedNote],
}

impl OnPiece<'_> {
    fn trial<'m>(&self, model: &'m ReedModel) -> Trial<'m> {
        Trial::of(model, self.reed.demand, self.notes)
    }

    fn bent_to(&self, gap_m: f64) -> Option<ReedModel> {
        ReedModel::new(with_tip_gap(&self.reed.reed.checked.reed, gap_m)).ok()
    }

    /// At the gap that the set gives it; where none suits at that which suits best, where another was looked for.
    fn at_its_gap(&self, balance: &ReedBalance) -> Option<PieceGap> {
        let others = [balance.wanted.gap_m, balance.alone.gap_m];
        let gap_m = others.into_iter().find(|gap_m| *gap_m != balance.now.gap_m)?;
        Some(PieceGap { gap_m, failing_then: self.trial(&self.bent_to(gap_m)?).failing(1.0) })
    }

    /// Takes work where it serves more notes than what is known, and tells the tempo for what is best then.
    fn worked_on(&self, work: ReedWork, failing: usize, serve: &mut Serve) {
        let work = PieceWork::of(work, |reed| self.trial(&reed.prediction.model).failing(1.0));
        if serve.work.is_none() || work.failing_then < serve.best(failing).0 {
            serve.work = Some(work);
        }
        serve.slower = match serve.best(failing) {
            (0, _) => None,
            (_, Best::Nothing) => self.trial(&self.reed.prediction.model).in_time_slower(),
            (_, Best::Gap(gap)) => self.bent_to(gap.gap_m).and_then(|model| self.trial(&model).in_time_slower()),
            (_, Best::Work(work)) => self.trial(&work.then().prediction.model).in_time_slower(),
        };
    }
}
