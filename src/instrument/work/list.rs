//! The work of the whole set, in the order in which to do it.

use super::candidate::Candidate;
use super::one::ReedWork;

/// The work that a set needs.
#[derive(Debug, Clone)]
pub struct WorkList {
    /// Every reed that could be assessed, those without work too: in the order in which to work on them, then as the sheet
    /// has them.
    pub reeds: Vec<ReedWork>,
    /// Rows of the sheet that could not be assessed.
    pub failed_rows: usize,
    /// Rows that are not measured yet.
    pub not_measured: usize,
}

impl WorkList {
    /// By the stage of what is next, then by its gain for each minute.
    pub(super) fn of(mut reeds: Vec<ReedWork>, failed_rows: usize, not_measured: usize) -> Self {
        // None of the stages comes last; a stable sort keeps the order of the sheet.
        let key = |work: &ReedWork| work.next().map(|next| (next.stage(), next.rank()));
        reeds.sort_by(|a, b| match (key(a), key(b)) {
            (Some(a), Some(b)) => a.0.cmp(&b.0).then(b.1.total_cmp(&a.1)),
            (a, b) => b.is_some().cmp(&a.is_some()),
        });
        Self { reeds, failed_rows, not_measured }
    }

    /// The reeds that need work, each with what is next, in order.
    pub fn work(&self) -> impl Iterator<Item = (&ReedWork, &Candidate)> {
        self.reeds.iter().filter_map(|work| Some((work, work.next()?)))
    }

    /// Reeds that suit the player, and are bent for more room and an even run.
    pub fn bent_though_they_suit(&self) -> usize {
        self.work().filter(|(work, _)| work.now.findings.is_empty()).count()
    }

    /// Minutes for what is next on every reed.
    pub fn minutes_next(&self) -> f64 {
        self.work().map(|(_, next)| next.minutes).sum()
    }

    /// Minutes for everything, what comes after the next included.
    pub fn minutes_all(&self) -> f64 {
        self.reeds.iter().flat_map(ReedWork::route).map(|one| one.minutes).sum()
    }

    /// Reeds that suit the player as they are: nothing is wrong with them.
    pub fn suit_now(&self) -> usize {
        self.reeds.iter().filter(|work| work.now.findings.is_empty()).count()
    }

    /// Reeds that suit the player after everything, by the model.
    pub fn suit_then(&self) -> usize {
        self.reeds.iter().filter(|work| work.then().findings.is_empty()).count()
    }

    /// Reeds that may need work: what was measured of them does not tell.
    pub fn in_doubt(&self) -> usize {
        let doubtful = |work: &&ReedWork| work.now.findings.iter().all(|found| !found.asks_for_work(&work.now));
        self.reeds.iter().filter(|work| !work.now.findings.is_empty()).filter(doubtful).count()
    }

    /// Reeds of which nobody knows what they need before they are measured.
    pub fn wait_for_measuring(&self) -> usize {
        self.reeds.iter().filter(|work| work.waits_for_measuring()).count()
    }
}
