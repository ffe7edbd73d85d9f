//! One reed of a set that is balanced.

use super::super::cause::{Cause, Failing, Neighbours};
use super::goal::{Goal, Room};
use super::windows::GapWindows;
use crate::sheet::{Breath, JobReed, Note, Slide, keys};
use crate::study::changed::tip_gap_m;
use crate::workshop::regap::nearest_gap_m;

/// A gap and the room it leaves.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Setting {
    /// Tip gap (m).
    pub gap_m: f64,
    /// The room in the window there; nothing where the reed speaks in time at no pressure.
    pub room: Option<Room>,
}

impl Setting {
    /// Whether the reed suits the player.
    pub fn suits(&self) -> bool {
        self.room.is_some_and(|room| room.suits())
    }
}

/// Why no gap suits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NoGap {
    /// One would, but one bend does not safely lead there (m).
    OutOfReach(f64),
    /// Something else is wrong: the single change that would let it speak in time at the gap best for it, the cheapest of
    /// several.
    Fault(Cause),
}

/// Whether one bend leads as far as it would be bent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Bend {
    /// It does.
    Leads,
    /// The gap wanted is the last that one bend safely leads to; the set would give it one farther off.
    EndsBefore,
    /// It is not known: the metal's yield strength is not.
    NotJudged,
}

/// What is to be done.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Verdict {
    /// Nothing: the gap wanted is the present one, as near as gaps are told apart.
    Leave,
    /// The gap is to be changed.
    Regap,
    /// At no gap does it suit the player. The gap wanted is then the one that the run has for it, for when it is mended.
    NoGap(NoGap),
}

/// A reed, balanced.
#[derive(Debug, Clone)]
pub struct ReedBalance {
    /// `5-blow-in`.
    pub id: String,
    /// Its note.
    pub note: Note,
    /// Blow or draw.
    pub breath: Breath,
    /// Slide out or in.
    pub slide: Slide,
    /// What is asked of it.
    pub goal: Goal,
    /// As it is.
    pub now: Setting,
    /// At the gap that is best for it by itself.
    pub alone: Setting,
    /// At the gap that it is given in the set.
    pub wanted: Setting,
    /// Whether one bend leads as far as it would be bent.
    pub bend: Bend,
    /// What is to be done.
    pub verdict: Verdict,
}

impl ReedBalance {
    /// How much the gap is to change (m).
    pub fn change_m(&self) -> f64 {
        self.wanted.gap_m - self.now.gap_m
    }
}

/// Windows are found to 3 %: a gap that promises no more than this beyond the best that was found is no better.
const AS_GOOD: f64 = 1.03;

/// A reed while gaps are chosen.
pub(super) struct Standing<'a> {
    reed: &'a JobReed,
    windows: GapWindows<'a>,
    /// Whole steps of the feeler (m), rising.
    gaps_m: Vec<f64>,
    alone: usize,
    chosen: usize,
    step_m: f64,
    bend: Bend,
}

impl<'a> Standing<'a> {
    pub fn of(reed: &'a JobReed, goal: Goal, step_m: f64) -> Self {
        let physical = &reed.checked.reed;
        let mut windows = GapWindows::of(physical, goal);
        windows.search(tip_gap_m(physical));
        let (least_m, most_m) = GapWindows::range_m(physical);
        let steps = (least_m / step_m).ceil().max(1.0) as i64..=(most_m / step_m).floor().max(1.0) as i64;
        let gaps_m = steps.map(|step| step as f64 * step_m).collect();
        let mut standing = Self { reed, windows, gaps_m, alone: 0, chosen: 0, step_m, bend: Bend::NotJudged };
        standing.alone = standing.search_best();
        standing.chosen = standing.alone;
        standing
    }

    /// The gap with the most room of those that a bend reaches, its window found.
    fn search_best(&mut self) -> usize {
        let mut found: Option<usize> = None;
        loop {
            let best = self.reached(self.best()).0;
            if let Some(known) = found.filter(|&known| !self.room(known).is_beaten_by(&self.room(best), AS_GOOD)) {
                return known;
            }
            if self.windows.is_tried(self.gaps_m[best]) {
                return best;
            }
            self.windows.search(self.gaps_m[best]);
            found = Some(found.filter(|&known| !self.room(known).is_beaten_by(&self.room(best), 1.0)).unwrap_or(best));
        }
    }

    fn room(&self, index: usize) -> Room {
        self.windows.room(self.gaps_m[index])
    }

    /// The first of the gaps with the most room.
    fn best(&self) -> usize {
        let better = |best, index| if self.room(best).is_beaten_by(&self.room(index), 1.0) { index } else { best };
        (1..self.gaps_m.len()).fold(0, better)
    }

    /// A gap, or the nearest to it that a bend safely leads to, and whether it does.
    fn reached(&self, index: usize) -> (usize, Bend) {
        let wanted_m = self.gaps_m[index];
        let Ok(nearest_m) = nearest_gap_m(&self.reed.checked, wanted_m) else { return (index, Bend::NotJudged) };
        if nearest_m == wanted_m {
            return (index, Bend::Leads);
        }
        let beyond = self.gaps_m.partition_point(|gap_m| *gap_m < nearest_m);
        let last = self.gaps_m.len() - 1;
        let reached = if nearest_m < wanted_m { beyond.saturating_sub(1) } else { beyond.min(last) };
        (reached, if reached == index { Bend::Leads } else { Bend::EndsBefore })
    }

    /// Its line in the sheet.
    pub fn line(&self) -> usize {
        self.reed.line
    }

    pub fn note(&self) -> Note {
        self.reed.note
    }

    pub fn alone_m(&self) -> f64 {
        self.gaps_m[self.alone]
    }

    pub fn can_suit(&self) -> bool {
        self.setting(self.alone_m()).suits()
    }

    /// The gaps that the set may give it, with their rooms: of a reed that can suit, those at which it does.
    pub fn gaps(&self) -> Vec<(f64, Room)> {
        self.allowed().map(|index| (self.gaps_m[index], self.room(index))).collect()
    }

    fn allowed(&self) -> impl Iterator<Item = usize> {
        let any = !self.room(self.best()).suits();
        let suits = move |index: &usize| any || self.room(*index).suits();
        (0..self.gaps_m.len()).filter(suits)
    }

    /// Takes one of [`Standing::gaps`].
    pub fn choose(&mut self, index: usize) {
        let chosen = self.allowed().nth(index);
        self.chosen = chosen.unwrap_or(self.alone);
    }

    /// Whether the window at the gap chosen is found, not only expected.
    pub fn is_found(&self) -> bool {
        self.windows.is_tried(self.gaps_m[self.chosen])
    }

    pub fn find(&mut self) {
        self.windows.search(self.gaps_m[self.chosen]);
    }

    /// Goes no farther than one bend safely leads. What is best alone is then the best that was found.
    pub fn stay_in_reach(&mut self) {
        let (reached, bend) = self.reached(self.chosen);
        (self.chosen, self.bend) = (reached, bend);
        self.find();
        if self.room(self.alone).is_beaten_by(&self.room(reached), 1.0) {
            self.alone = reached;
        }
    }

    fn setting(&self, gap_m: f64) -> Setting {
        Setting { gap_m, room: self.windows.found(gap_m) }
    }

    pub fn balance(&self, neighbours: &Neighbours) -> ReedBalance {
        let reed = self.reed;
        let [now, alone, wanted] =
            [tip_gap_m(&reed.checked.reed), self.alone_m(), self.gaps_m[self.chosen]].map(|gap_m| self.setting(gap_m));
        let measured = |name| keys::find(name).and_then(|key| reed.checked.spec.tolerance(key)).unwrap_or(0.0);
        let told_apart_m = (0.5 * self.step_m).max(1e-3 * measured("tip_gap_mm"));
        let verdict = match (alone.suits(), now.suits()) {
            (false, _) => Verdict::NoGap(self.why(&alone, neighbours)),
            (true, true) if (wanted.gap_m - now.gap_m).abs() <= told_apart_m => Verdict::Leave,
            (true, _) => Verdict::Regap,
        };
        ReedBalance {
            id: reed.id.clone(),
            note: reed.note,
            breath: reed.breath,
            slide: reed.slide,
            goal: self.windows.goal(),
            now,
            alone,
            wanted,
            bend: self.bend,
            verdict,
        }
    }

    /// Why no gap suits, judged at the one that is best.
    fn why(&self, alone: &Setting, neighbours: &Neighbours) -> NoGap {
        let goal = self.windows.goal();
        let farther = self.best();
        if self.room(farther).suits() {
            return NoGap::OutOfReach(self.gaps_m[farther]);
        }
        let failing =
            Failing { checked: &self.reed.checked, gap_m: alone.gap_m, note: self.reed.note, demand: goal.demand };
        NoGap::Fault(failing.cheapest_cure(&[goal.soft_pa, goal.hard_pa], neighbours))
    }
}
