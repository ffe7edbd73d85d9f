//! The whole set: the work in order, gaps that balance gives, rounds with what was expected; computed once for what is typed.

use std::sync::{Arc, MutexGuard, PoisonError};

use serde_json::{Value, json};

use super::background::unless_overtaken;
use super::bench::Bench;
use super::gate::{NotDone, Turn};
use crate::instrument::Assessment;
use crate::instrument::balance::{Balance, BalanceOptions, ReedBalance, balance};
use crate::instrument::rounds::{ReedRound, Rounds, legend};
use crate::instrument::work::{Candidate, Plan, ReedWork, WorkList, work_list};
use crate::print::charts::{charts, gaps_chart, levels_chart, softest_chart};
use crate::print::in_words::in_words;
use crate::print::protocol as print;
use crate::print::work::{minutes, next_words, totals};
use crate::protocol::Protocol;
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
    pub(super) revision: u64,
    /// Whose turn it is, where what is computed of it can be overtaken.
    pub(super) turn: Option<Turn>,
    files: JobFiles,
}

impl Solved {
    /// The set, where nothing is left to solve.
    pub(super) fn of(bench: &Bench, turn: Option<Turn>) -> Option<Self> {
        bench.look(|opened| {
            let open = opened.job()?;
            let (job, files, revision) = (open.job.clone(), open.files.clone(), open.revision);
            Some(Self { job, set: open.whole_set()?, files, revision, turn })
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

    /// Computes in the background, unless it is overtaken.
    fn computed<T: Send>(
        &self,
        bench: &Bench,
        of: impl FnOnce(&(dyn Fn() + Sync)) -> T + Send,
    ) -> Result<Arc<T>, NotDone> {
        unless_overtaken(bench, self.turn.as_ref(), of).map(Arc::new)
    }

    /// The gaps that balance gives, an even run weighing so much.
    pub(super) fn balance(&self, bench: &Bench, smooth: f64) -> Result<Arc<Balance>, NotDone> {
        let known = self.plans(bench).balances.iter().find(|known| known.smooth == smooth).cloned();
        if let Some(known) = known {
            return Ok(known);
        }
        let options = BalanceOptions { smooth, ..BalanceOptions::default() };
        let found = self.computed(bench, |go_on| balance(&self.job, &self.set, &options, go_on))?;
        let mut plans = self.plans(bench);
        let too_many = (plans.balances.len() + 1).saturating_sub(MOST_BALANCES);
        plans.balances.drain(..too_many);
        plans.balances.push(found.clone());
        Ok(found)
    }

    /// What is to be done, in which order.
    pub(super) fn work(&self, bench: &Bench) -> Result<Arc<WorkList>, NotDone> {
        if let Some(known) = self.plans(bench).work.clone() {
            return Ok(known);
        }
        let balance = self.balance(bench, BalanceOptions::SMOOTH)?;
        let found = self.computed(bench, |go_on| work_list(&self.job, &self.set, &balance, &[], go_on))?;
        self.plans(bench).work = Some(found.clone());
        Ok(found)
    }

    /// What was done, expected and measured.
    pub(super) fn rounds(&self, bench: &Bench) -> Result<Arc<Rounds>, NotDone> {
        if let Some(known) = self.plans(bench).rounds.clone() {
            return Ok(known);
        }
        let found = self.computed(bench, |_| Rounds::of(&self.files.stages().unwrap_or_default()))?;
        self.plans(bench).rounds = Some(found.clone());
        Ok(found)
    }
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

/// What to test before the set is signed off, and what was found so far.
pub(super) fn protocol(solved: &Solved) -> Value {
    let protocol = Protocol::of(&solved.job, &solved.set);
    json!({
        "words": print::progress(&protocol),
        "before": print::before(),
        "heads": print::HEAD,
        "rows": print::rows(&protocol),
    })
}

/// The sheet to fill at the bench, which is the next round: as `freereed protocol --csv` writes it.
pub(super) fn protocol_sheet(solved: &Solved) -> Vec<u8> {
    print::to_round(&Protocol::of(&solved.job, &solved.set))
}

/// Names of the charts of a set.
pub(super) const CHARTS: [&str; 6] =
    ["window.svg", "speaking.svg", "pitch.svg", "level.svg", "softest.svg", "gaps.svg"];

/// A chart of the set, by its name; none where there is none of that name.
pub(super) fn chart(bench: &Bench, solved: &Solved, name: &str, smooth: f64) -> Result<Option<String>, NotDone> {
    Ok(match name {
        "gaps.svg" => Some(gaps_chart(&solved.job, &*solved.balance(bench, smooth)?).picture().to_svg()),
        "softest.svg" => Some(softest_chart(&solved.job, &solved.set).picture().to_svg()),
        "level.svg" => Some(levels_chart(&solved.job, &solved.set).picture().to_svg()),
        _ => charts(&solved.job, &solved.set).into_iter().find(|(known, _)| *known == name).map(|(_, svg)| svg),
    })
}
