//! The whole set: the work in order, gaps that balance gives, rounds with what was expected; computed once for what is typed.

use std::sync::{Arc, MutexGuard, PoisonError};

use serde_json::{Value, json};

use super::bench::Bench;
use crate::instrument::Assessment;
use crate::instrument::balance::{Balance, BalanceOptions, ReedBalance, balance};
use crate::instrument::rounds::{ReedRound, Rounds, legend};
use crate::instrument::work::{Candidate, Plan, ReedWork, WorkList, work_list};
use crate::print::charts::{charts, gaps_chart, levels_chart};
use crate::print::in_words::in_words;
use crate::print::work::{minutes, next_words, totals};
use crate::sheet::{Job, JobFiles, notes};
use crate::units;

/// So many weights of an even run are kept.
const MOST_BALANCES: usize = 8;

/// What was computed of a set, for the job as it was then.
#[derive(Debug, Default)]
pub(super) struct Plans {
    revision: u64,
    balances: Vec<Arc<Balance>>,
    work: Option<Arc<WorkList>>,
    rounds: Option<Arc<Rounds>>,
}

/// A set with nothing left to solve.
#[derive(Debug, Clone)]
pub(super) struct Solved {
    pub(super) job: Arc<Job>,
    pub(super) set: Arc<Assessment>,
    files: JobFiles,
    revision: u64,
}

impl Solved {
    /// The set, where nothing is left to solve.
    pub(super) fn of(bench: &Bench) -> Option<Self> {
        bench.look(|opened| {
            let open = opened.job()?;
            let (job, files, revision) = (open.job.clone(), open.files.clone(), open.revision);
            Some(Self { job, set: open.whole_set()?, files, revision })
        })
    }

    /// What was computed of it so far.
    fn plans<'a>(&self, bench: &'a Bench) -> MutexGuard<'a, Plans> {
        let mut plans = bench.plans.lock().unwrap_or_else(PoisonError::into_inner);
        if plans.revision != self.revision {
            *plans = Plans { revision: self.revision, ..Plans::default() };
        }
        plans
    }

    /// The gaps that balance gives, an even run weighing so much.
    pub(super) fn balance(&self, bench: &Bench, smooth: f64) -> Arc<Balance> {
        let known = self.plans(bench).balances.iter().find(|known| known.smooth == smooth).cloned();
        known.unwrap_or_else(|| {
            let options = BalanceOptions { smooth, ..BalanceOptions::default() };
            let found = computed(bench, || balance(&self.job, &self.set, &options, || ()));
            let mut plans = self.plans(bench);
            let too_many = (plans.balances.len() + 1).saturating_sub(MOST_BALANCES);
            plans.balances.drain(..too_many);
            plans.balances.push(found.clone());
            found
        })
    }

    /// What is to be done, in which order.
    pub(super) fn work(&self, bench: &Bench) -> Arc<WorkList> {
        let known = self.plans(bench).work.clone();
        known.unwrap_or_else(|| {
            let balance = self.balance(bench, BalanceOptions::SMOOTH);
            let found = computed(bench, || work_list(&self.job, &self.set, &balance, &[], || ()));
            self.plans(bench).work = Some(found.clone());
            found
        })
    }

    /// What was done, expected and measured.
    pub(super) fn rounds(&self, bench: &Bench) -> Arc<Rounds> {
        let known = self.plans(bench).rounds.clone();
        known.unwrap_or_else(|| {
            let found = computed(bench, || Rounds::of(&self.files.stages().unwrap_or_default()));
            self.plans(bench).rounds = Some(found.clone());
            found
        })
    }
}

/// Computes in the background: a core is left to what is asked by hand.
fn computed<T: Send>(bench: &Bench, compute: impl FnOnce() -> T + Send) -> Arc<T> {
    Arc::new(bench.background.install(compute))
}

/// The work in order.
pub(super) fn work(solved: &Solved, list: &WorkList) -> Value {
    json!({
        "totals": totals(list),
        "work": list.work().enumerate().map(|(k, (work, next))| item(k + 1, work, next)).collect::<Vec<_>>(),
        "revision": solved.revision,
    })
}

fn item(number: usize, work: &ReedWork, next: &Candidate) -> Value {
    let [gap_mm, pluck_hz] = aims(work, next);
    json!({
        "number": number,
        "id": work.now.reed.id,
        "note": work.now.reed.note.to_string(),
        "operation": next.operation().name(),
        "minutes": minutes(next.minutes),
        "parts": next_words(work, next).iter().map(|part| in_words(part)).collect::<Vec<_>>(),
        "aimed_gap_mm": gap_mm,
        "aimed_pluck_hz": pluck_hz,
    })
}

/// The gap (mm) and the plucked pitch (Hz) at which the next operation aims, as a round writes them.
fn aims(work: &ReedWork, next: &Candidate) -> [Option<String>; 2] {
    match &next.plan {
        Plan::Regap(plan) => [Some(format!("{:.3}", 1e3 * plan.bend.wanted_gap_m)), None],
        Plan::RegapUnknown { wanted_m, .. } => [Some(format!("{:.3}", 1e3 * wanted_m)), None],
        Plan::Retune(plan) => {
            let pluck_hz = work.now.reed.checked.measured.pluck_hz;
            [None, pluck_hz.map(|hz| format!("{:.1}", notes::raised(hz, plan.pluck_cents)))]
        }
        _ => [None, None],
    }
}

/// The gaps that balance gives: how many are bent and how even they are.
pub(super) fn gaps(balance: &Balance) -> Value {
    let bent: Vec<&ReedBalance> = balance.good_rows().filter(|reed| reed.is_to_be_bent()).collect();
    let percent = |share: f64| format!("{} %", units::significant(100.0 * share, 2));
    let suit = |pick: fn(&ReedBalance) -> bool| balance.good_rows().filter(|reed| pick(reed)).count();
    json!({
        "words": format!(
            "{} to bend. {} of {} suit the player now, {} then. A reed stands {} off the run of its neighbours now, {} then.",
            bent.len(), suit(|reed| reed.now.suits()), balance.good_rows().count(), suit(|reed| reed.wanted.suits()),
            percent(balance.now.uneven), percent(balance.wanted.uneven)
        ),
        "bent": bent.iter().map(|reed| json!({
            "id": reed.id,
            "note": reed.note.to_string(),
            "now": units::metres(reed.now.gap_m),
            "to": units::metres(reed.wanted.gap_m),
        })).collect::<Vec<_>>(),
    })
}

/// The rounds as a table.
pub(super) fn rounds(rounds: &Rounds) -> Value {
    let row = |row: &ReedRound| {
        let lines = row.lines();
        json!({ "round": row.round, "id": row.id, "done": row.done(), "lines": lines })
    };
    json!({
        "heads": ReedRound::HEAD,
        "rows": rounds.rows.iter().map(row).collect::<Vec<_>>(),
        "legend": legend(&rounds.rows),
        "minutes": rounds.minutes,
    })
}

/// Names of the charts of a set.
pub(super) const CHARTS: [&str; 5] = ["window.svg", "speaking.svg", "pitch.svg", "level.svg", "gaps.svg"];

/// A chart of the set, by its name.
pub(super) fn chart(bench: &Bench, solved: &Solved, name: &str, smooth: f64) -> Option<String> {
    match name {
        "gaps.svg" => Some(gaps_chart(&solved.job, &solved.balance(bench, smooth)).to_svg()),
        "level.svg" => Some(levels_chart(&solved.job, &solved.set).to_svg()),
        _ => charts(&solved.job, &solved.set).into_iter().find(|(known, _)| *known == name).map(|(_, svg)| svg),
    }
}
