//! What would serve a reed of which a piece asks too much, as JSON and in words.

use serde_json::{Map, Value, json};

use super::balance::fails;
use super::json;
use super::rehearse::tempo;
use crate::instrument::Cause;
use crate::instrument::balance::{NoGap, ReedBalance, Verdict};
use crate::instrument::work::{Candidate, Plan, Remeasure};
use crate::rehearse::{Best, Excess, Otherwise, PieceWork, Serve, notes};
use crate::units::{metres, significant};

/// The gap, the work and the tempo that would serve; `bpm` is the tempo of the piece as it is played.
pub(super) fn serve_json(excess: &Excess, bpm: Option<f64>) -> Map<String, Value> {
    let Serve { balance, gap, work, .. } = &excess.serve;
    let (left, _) = excess.serve.best();
    let one = |next: &Candidate| json!({ "operation": next.operation().name(), "how": next.plan.title() });
    let work = work.as_ref().filter(|work| work.steps > 0);
    json::object(json!({
        "gap_now_m": balance.as_ref().map(|balance| balance.now.gap_m),
        "gap_wanted_m": balance.as_ref().map(|balance| balance.wanted.gap_m),
        "verdict": balance.as_ref().map(|balance| balance.verdict.kind()),
        "gap_m": gap.map(|gap| gap.gap_m),
        "gap_failing_then": gap.map(|gap| gap.then.failing),
        "work": work.map(|work| steps(work).map(one).collect::<Vec<_>>()),
        "work_failing_then": work.map(|work| work.then.failing),
        "failing_then": left.failing,
        "times_slower_would_do": left.slower,
        "quarters_a_minute_would_do": left.slower.zip(bpm).map(|(slower, bpm)| bpm / slower),
    }))
}

/// The operations that serve the piece.
fn steps(work: &PieceWork) -> impl Iterator<Item = &Candidate> {
    work.work.route().take(work.steps)
}

/// What would serve: part of a sentence; `bpm` is the tempo of the piece as it is played.
pub fn serve_words(excess: &Excess, bpm: Option<f64>) -> String {
    let serve = &excess.serve;
    let (left, best) = serve.best();
    let then = match left.failing {
        0 => "all its notes speak then".to_owned(),
        failing => format!("{failing} of {} fail then", notes(excess.notes)),
    };
    let (done, state) = match (best, &serve.balance) {
        (Best::Work(work), _) => (format!("{}; {then}", route(work)), "then"),
        (Best::Gap(gap), Some(balance)) => (format!("{}; {then}", bend(balance, gap.gap_m)), "then"),
        _ => (unserved(serve), "as it is"),
    };
    match (left.failing, left.slower) {
        (0, _) => done,
        (_, Some(slower)) => format!("{done}; {} all its notes speak {state}", slow_tempo(slower, bpm)),
        (_, None) => format!("{done}; nor would a slower tempo do"),
    }
}

fn bend(balance: &ReedBalance, gap_m: f64) -> String {
    let way = if gap_m > balance.now.gap_m { "open" } else { "close" };
    format!("{way} the tip gap from {} to {} (regap)", metres(balance.now.gap_m), metres(gap_m))
}

/// Why, and what is done, in its order.
fn route(work: &PieceWork) -> String {
    let why = work.work.now.findings.iter().find_map(|found| found.why()).filter(|why| is_known(&why.cause));
    let why = why.map_or(String::new(), |why| format!("{}: ", why.phrase()));
    let first = steps(work).take(1).map(|next| next.plan.title());
    let later = steps(work).skip(1).map(|next| format!("then {}", next.plan.short()));
    format!("{why}{}", first.chain(later).collect::<Vec<_>>().join(", "))
}

fn is_known(cause: &Cause) -> bool {
    !matches!(cause, Cause::TongueOrChamber | Cause::NothingToCompare)
}

/// Where neither a gap nor other work lets more of its notes speak.
fn unserved(serve: &Serve) -> String {
    let measure = |next: &&Candidate| matches!(&next.plan, Plan::Measure(what) if *what != Remeasure::NothingMends);
    if let Some(next) = serve.work.as_ref().and_then(|work| work.work.route().find(measure)) {
        return format!("{}; what work would serve is known only then", next.plan.title());
    }
    match serve.balance.as_ref().map(|balance| (balance, balance.verdict)) {
        Some((balance, Verdict::NoGap(NoGap::Fault(cause)))) if is_known(&cause) => {
            format!("{}: {}; {}", fails(balance), cause.phrase(), cause.cure())
        }
        Some((balance, Verdict::NoGap(why @ NoGap::OutOfReach(_)))) => {
            format!("{}; {}", why.sentence(balance), why.cure())
        }
        _ => "no work on the reed".to_owned(),
    }
}

/// The tempo of a piece that lasts so many times as long.
fn slow_tempo(slower: f64, bpm: Option<f64>) -> String {
    let share = format!("{} times as fast", significant(1.0 / slower, 2));
    // Rounded to the slower side: there it is in time.
    let told = bpm.map(|bpm| (10.0 * bpm / slower).floor() / 10.0).filter(|bpm| Otherwise::BPM.contains(bpm));
    told.map_or(share.clone(), |bpm| format!("at {} quarter notes a minute ({share})", tempo(bpm)))
}
