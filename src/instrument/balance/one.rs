//! One reed while its set is balanced: the gaps that it may have, their rooms, the one it is given.

use super::super::assess::ReedAssessment;
use super::super::cause::Failing;
use super::super::neighbours::Neighbours;
use super::LEAST_GAIN;
use super::goal::Goal;
use super::reed::{Bend, NoGap, ReedBalance, Setting, Verdict};
use super::windows::GapWindows;
use crate::answer::Room;
use crate::sheet::{JobReed, Note, keys};
use crate::study::changed::tip_gap_m;
use crate::workshop::regap::nearest_gap_m;

/// A gap that the set may give a reed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Offer {
    /// The gap (m).
    pub gap_m: f64,
    /// What it costs: the loss there, and the price of the bend.
    pub cost: f64,
}

/// A reed while gaps are chosen.
pub(super) struct Standing<'a> {
    reed: &'a JobReed,
    windows: GapWindows<'a>,
    /// Whether what is asked says nothing of it: the whole set fails that alike.
    by_run: bool,
    /// Whether another gap is looked for.
    looked_for: bool,
    now_m: f64,
    /// The gaps to which it may be bent: whole steps of the feeler (m), rising.
    gaps_m: Vec<f64>,
    /// Between which of them one bend safely leads; nothing where that is not known.
    reach: Option<(f64, f64)>,
    alone_m: f64,
    wanted_m: f64,
    told_apart_m: f64,
}

impl<'a> Standing<'a> {
    pub fn of(assessed: &'a ReedAssessment, step_m: f64, looked_for: bool) -> Self {
        let reed = &assessed.reed;
        let physical = &reed.checked.reed;
        let now_m = tip_gap_m(physical);
        // Below the plate it has no place in a run.
        let looked_for = looked_for || now_m <= 0.0;
        let looked_at = if looked_for { GapWindows::of } else { GapWindows::of_no_other };
        let mut windows = looked_at(physical, Goal::of(assessed));
        windows.know(now_m, &assessed.prediction.speaking, assessed.playable);
        let measured = keys::find("tip_gap_mm").and_then(|key| reed.checked.spec.tolerance(key)).unwrap_or(0.0);
        let mut standing = Self {
            reed,
            windows,
            by_run: assessed.is_judged_by_run() && !assessed.asked.is_moved(),
            looked_for,
            now_m,
            gaps_m: Vec::new(),
            reach: None,
            alone_m: now_m,
            wanted_m: now_m,
            told_apart_m: (0.5 * step_m).max(1e-3 * measured),
        };
        if looked_for {
            standing.look_at_steps(step_m);
        }
        standing
    }

    /// Which gaps there are, how far one bend leads, and which is best.
    fn look_at_steps(&mut self, step_m: f64) {
        let (least_m, most_m) = GapWindows::range_m(&self.reed.checked.reed);
        let steps = (least_m / step_m).ceil().max(1.0) as i64..=(most_m / step_m).floor().max(1.0) as i64;
        self.gaps_m = steps.map(|step| step as f64 * step_m).collect();
        let nearest_m = |wanted_m: f64| nearest_gap_m(&self.reed.checked, wanted_m).ok();
        self.reach = nearest_m(self.gaps_m[0]).zip(nearest_m(self.gaps_m[self.gaps_m.len() - 1]));
        self.alone_m = self.search_best();
    }

    /// The gap with the most room of those that a bend reaches, its window found; the present one where none has more. What
    /// the present window alone leads to expect is always looked for.
    fn search_best(&mut self) -> f64 {
        let mut more = 1.0;
        loop {
            let found = self.best(|gap_m| self.windows.is_tried(gap_m) && self.reaches(gap_m));
            let expected = self.best(|gap_m| self.reaches(gap_m));
            if !self.room(found).is_beaten_by(&self.room(expected), more) {
                return found;
            }
            self.windows.search(expected);
            if !self.windows.is_tried(expected) {
                return found;
            }
            more = Room::AS_GOOD;
        }
    }

    fn room(&self, gap_m: f64) -> Room {
        self.windows.room(gap_m)
    }

    /// The first of some gaps with the most room, the present one first.
    fn best(&self, among: impl Fn(f64) -> bool) -> f64 {
        let among = self.gaps_m.iter().copied().filter(|&gap_m| among(gap_m));
        let better = |best, gap_m| if self.room(best).is_beaten_by(&self.room(gap_m), 1.0) { gap_m } else { best };
        among.fold(self.now_m, better)
    }

    /// Whether one bend safely leads there, or that is not known.
    fn reaches(&self, gap_m: f64) -> bool {
        self.reach.is_none_or(|(least_m, most_m)| (least_m..=most_m).contains(&gap_m))
    }

    /// Its line in the sheet.
    pub fn line(&self) -> usize {
        self.reed.line
    }

    pub fn note(&self) -> Note {
        self.reed.note
    }

    /// A gap through which the slope of the run is drawn: the best for a reed that suits there; of one that is judged by the
    /// run its own.
    pub fn sloping_m(&self) -> Option<f64> {
        let gap_m = if self.by_run { self.now_m } else { self.alone_m };
        (gap_m > 0.0 && (self.by_run || self.setting(gap_m).suits())).then_some(gap_m)
    }

    /// The gaps that the set may give it: the present one, and those told apart from it to which one bend leads, at which
    /// the tighter end is no tighter. Of a reed that suits at any of them, those at which it does.
    pub fn offers(&self, only_found: bool) -> Vec<Offer> {
        let least_now = self.windows.found(self.now_m).map_or(0.0, |room| room.least());
        let may = |gap_m: &f64| {
            (gap_m - self.now_m).abs() > self.told_apart_m
                && self.reaches(*gap_m)
                && (!only_found || self.windows.is_tried(*gap_m))
                && (self.by_run || self.room(*gap_m).least() >= least_now)
        };
        let present = Some(self.now_m).filter(|gap_m| *gap_m > 0.0);
        let all: Vec<f64> = present.into_iter().chain(self.gaps_m.iter().copied().filter(may)).collect();
        let suiting: Vec<f64> = all.iter().copied().filter(|&gap_m| self.room(gap_m).suits()).collect();
        let offered = if self.by_run || suiting.is_empty() { all } else { suiting };
        // A tip below the plate that one bend does not raise.
        let offered = if offered.is_empty() { self.gaps_m.first().copied().into_iter().collect() } else { offered };
        let price = |gap_m: f64| if gap_m == self.now_m { 0.0 } else { LEAST_GAIN };
        let offer = |gap_m: f64| Offer { gap_m, cost: self.loss(Some(self.room(gap_m))) + price(gap_m) };
        offered.into_iter().map(offer).collect()
    }

    /// What a room lacks, all of it where there is none; nothing where only the run counts.
    pub fn loss(&self, room: Option<Room>) -> f64 {
        if self.by_run { 0.0 } else { room.map_or(1.0, |room| room.loss()) }
    }

    /// Takes one of [`Standing::offers`].
    pub fn choose(&mut self, gap_m: f64) {
        self.wanted_m = gap_m;
    }

    /// Whether the window at the gap chosen is found, not only expected.
    pub fn is_found(&self) -> bool {
        self.windows.is_tried(self.wanted_m)
    }

    /// Finds it. What is best alone is then the best that was found.
    pub fn find(&mut self) {
        self.windows.search(self.wanted_m);
        if self.room(self.alone_m).is_beaten_by(&self.room(self.wanted_m), 1.0) {
            self.alone_m = self.wanted_m;
        }
    }

    fn setting(&self, gap_m: f64) -> Setting {
        Setting { gap_m, room: self.windows.found(gap_m) }
    }

    pub fn balance(&self, neighbours: &Neighbours) -> ReedBalance {
        let reed = self.reed;
        let [now, alone, wanted] = [self.now_m, self.alone_m, self.wanted_m].map(|gap_m| self.setting(gap_m));
        let suits = !self.looked_for || self.by_run || alone.suits();
        let verdict = match (suits, wanted.gap_m == now.gap_m) {
            (false, _) => Verdict::NoGap(self.why(&alone, neighbours)),
            (true, true) => Verdict::Leave,
            (true, false) => Verdict::Regap,
        };
        ReedBalance {
            id: reed.id.clone(),
            hole: reed.hole,
            note: reed.note,
            breath: reed.breath,
            slide: reed.slide,
            goal: self.windows.goal(),
            now,
            alone,
            wanted,
            looked_for: self.looked_for,
            bend: self.bend(),
            verdict,
        }
    }

    /// Whether one bend leads as far as it would be bent: it does not where the next gap towards the best is out of reach.
    fn bend(&self) -> Bend {
        let Some((least_m, most_m)) = self.reach else { return Bend::NotJudged };
        let farther_m = self.best(|_| true);
        let is_last = |next: Option<&f64>| next.is_some_and(|&gap_m| !self.reaches(gap_m));
        let ends = farther_m > most_m && is_last(self.gaps_m.iter().find(|gap_m| **gap_m > self.wanted_m))
            || farther_m < least_m && is_last(self.gaps_m.iter().rfind(|gap_m| **gap_m < self.wanted_m));
        if ends { Bend::EndsBefore } else { Bend::Leads }
    }

    /// Why no gap suits, judged at the one that is best.
    fn why(&self, alone: &Setting, neighbours: &Neighbours) -> NoGap {
        let goal = self.windows.goal();
        let farther_m = self.best(|_| true);
        if self.room(farther_m).suits() {
            return NoGap::OutOfReach(farther_m);
        }
        let failing = Failing { reed: self.reed, gap_m: alone.gap_m, demand: goal.demand };
        NoGap::Fault(failing.cheapest_cure(&[goal.soft_pa, goal.hard_pa], neighbours))
    }
}
