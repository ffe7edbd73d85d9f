//! What would serve a reed of which a piece asks too much: another gap, other work, or a slower tempo. Gap and work are planned by
//! those who plan them for the player, for what the piece asks in place of what the player does.

use super::answers::Answers;
use super::excess::{Excess, by_reed, player_of_piece};
use super::played::PlayedNote;
use super::trial::{Left, Trial};
use crate::instrument::balance::{BalanceOptions, ReedBalance, balance};
use crate::instrument::work::{ReedWork, Tongues, work_on};
use crate::instrument::{Assessment, ReedAssessment, assess_again};
use crate::physics::ReedModel;
use crate::sheet::Job;
use crate::study::changed::with_tip_gap;

/// What would serve a reed for a piece.
#[derive(Debug, Clone)]
pub struct Serve {
    /// As the reed is.
    pub now: Left,
    /// The gap that the set gives the reed where the piece's own demand stands in place of the player's, or why none suits.
    pub balance: Option<ReedBalance>,
    /// That gap, or where none suits the one that suits best; nothing where it is the present one.
    pub gap: Option<PieceGap>,
    /// The work planned for that demand, where notes still fail at the gap. A new tongue only where without one the reed speaks in
    /// time at no tempo.
    pub work: Option<PieceWork>,
}

/// Another gap for a piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PieceGap {
    /// Tip gap (m).
    pub gap_m: f64,
    /// What is left there.
    pub then: Left,
}

/// Work on a reed for a piece.
#[derive(Debug, Clone)]
pub struct PieceWork {
    /// What is planned on it for what the piece asks of it.
    pub work: ReedWork,
    /// So many of its operations, the first ones, leave least undone; 0 where none helps.
    pub steps: usize,
    /// What is left after them.
    pub then: Left,
}

/// What leaves least undone.
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
    /// What leaves least undone, and what that is; of equals what is least to do.
    pub fn best(&self) -> (Left, Best<'_>) {
        let gap = self.gap.as_ref().map(|gap| (gap.then, Best::Gap(gap)));
        let work = self.work.as_ref().map(|work| (work.then, Best::Work(work)));
        let all = gap.into_iter().chain(work);
        all.fold((self.now, Best::Nothing), |best, other| if other.0.is_less_than(&best.0) { other } else { best })
    }
}

impl PieceWork {
    /// Of a route the shortest part that leaves least.
    fn of(work: ReedWork, left: impl Fn(&ReedAssessment) -> Left) -> Self {
        let after = |steps: usize| (left(work.before(steps)), steps);
        let all = (1..=work.rounds.len()).map(after);
        let (then, steps) = all.fold(after(0), |best, next| if next.0.is_less_than(&best.0) { next } else { best });
        Self { work, steps, then }
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
        let last = matches!(tongues, Tongues::NewAtLast { .. });
        let is_left = |left: Left| left.failing > 0 && !(last && left.slower.is_some());
        let left: Vec<String> =
            found.iter().filter(|it| is_left(it.serve.best().0)).map(|excess| excess.reed.clone()).collect();
        let planned = work_on(&of_piece, &again, &balance, tongues, |reed| left.contains(&reed.reed.id), done);
        for work in planned {
            let Some(excess) = found.iter_mut().find(|excess| excess.reed == work.now.reed.id) else { continue };
            let on_piece = on_piece(&excess.reed);
            let work = PieceWork::of(work, |reed| on_piece.left(&reed.prediction.model));
            if excess.serve.work.is_none() || work.then.is_less_than(&excess.serve.best().0) {
                excess.serve.work = Some(work);
            }
        }
    }
}

/// A reed and its notes in the piece.
struct OnPiece<'a> {
    reed: &'a ReedAssessment,
    notes: &'a [&'a PlayedNote],
}

impl OnPiece<'_> {
    fn left(&self, model: &ReedModel) -> Left {
        Trial::of(model, self.reed.demand, self.notes).left()
    }

    /// At the gap that the set gives it; where none suits at that which suits best, where another was looked for.
    fn at_its_gap(&self, balance: &ReedBalance) -> Option<PieceGap> {
        let others = [balance.wanted.gap_m, balance.alone.gap_m];
        let gap_m = others.into_iter().find(|gap_m| *gap_m != balance.now.gap_m)?;
        let bent = ReedModel::new(with_tip_gap(&self.reed.reed.checked.reed, gap_m)).ok()?;
        Some(PieceGap { gap_m, then: self.left(&bent) })
    }
}
