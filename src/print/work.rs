//! A list of work as JSON, and the words that its lists for the bench share.

use serde_json::{Map, Value, json};

use super::still_to_measure::NOTHING_YET;
use super::{json, regap, retune};
use crate::instrument::ReedAssessment;
use crate::instrument::work::{Candidate, Plan, ReedWork, Refused, Remeasure, Round, WorkList};
use crate::physics::coefficients::MODEL_VERSION;
use crate::sheet::{Job, Operation};

/// All of it; reeds in the order in which to work on them, those without work last.
pub fn to_json(job: &Job, list: &WorkList) -> Map<String, Value> {
    let rates = Operation::ALL.iter().map(|row| (row.key.to_owned(), json!(job.rates.minutes(row.operation))));
    json::object(json!({
        "model_version": MODEL_VERSION,
        "reeds": list.reeds.iter().enumerate().map(|(index, work)| reed(index, work)).collect::<Vec<_>>(),
        "set": {
            "instrument": job.instrument,
            "reeds": list.reeds.len(),
            "failed_rows": list.failed_rows,
            "not_measured": list.not_measured,
            "with_work": list.work().count(),
            "bent_though_they_suit": list.bent_though_they_suit(),
            "minutes_next": list.minutes_next(),
            "minutes_all": list.minutes_all(),
            "suit_now": list.suit_now(),
            "suit_then": list.suit_then(),
            "in_doubt": list.in_doubt(),
            "wait_for_measuring": list.wait_for_measuring(),
            "rates": rates.collect::<Map<_, _>>(),
            "assumed": job.assumed.iter().cloned().chain(job.rates.assumed(operations(list))).collect::<Vec<_>>(),
            "notes": job.notes,
        },
    }))
}

/// Minutes to a tenth, without a zero after the point.
pub fn minutes(value: f64) -> String {
    format!("{} min", (10.0 * value).round() / 10.0)
}

/// The work on a reed: what to do next, what after that, what it all brings, what can go wrong.
pub fn next_words(work: &ReedWork, next: &Candidate) -> Vec<String> {
    let mut parts = vec![next.plan.title()];
    parts.extend(work.route().skip(1).map(|it| format!("then {} ({})", it.plan.short(), minutes(it.minutes))));
    parts.extend(work.effect());
    parts.extend(next.plan.risk().map(|risk| format!("risk: {risk}")));
    parts
}

/// How much there is to do, and what it brings: sentences.
pub fn totals(list: &WorkList) -> Vec<String> {
    let count = list.work().count();
    let suit = |count: usize| format!("{count} of {} reeds suit the player", list.reeds.len());
    if list.reeds.is_empty() && list.failed_rows == 0 {
        return vec![NOTHING_YET.to_owned()];
    }
    if count == 0 {
        return vec![format!("Nothing to do: {}.", suit(list.suit_now()))];
    }
    let (next, all) = (list.minutes_next(), list.minutes_all());
    let later =
        if all > next { format!(", {} with what follows on the same reeds", minutes(all)) } else { String::new() };
    let mut lines = vec![format!(
        "{count} {} to work on: {}{later}. Now {}; after that {} by the model.",
        if count == 1 { "reed" } else { "reeds" },
        minutes(next),
        suit(list.suit_now()),
        list.suit_then()
    )];
    match list.bent_though_they_suit() {
        0 => {}
        1 => lines.push("1 of them suits as it is and is bent for more room and an even run.".to_owned()),
        bent => lines.push(format!("{bent} of them suit as they are and are bent for more room and an even run.")),
    }
    match list.in_doubt() {
        0 => {}
        1 => lines.push("1 more may need work: what was measured of it does not tell.".to_owned()),
        doubtful => lines.push(format!("{doubtful} more may need work: what was measured of them does not tell.")),
    }
    match list.wait_for_measuring() {
        0 => {}
        1 => lines.push("What 1 of them needs is known only when it is measured: then plan again.".to_owned()),
        waiting => {
            lines.push(format!("What {waiting} of them need is known only when they are measured: then plan again."));
        }
    }
    lines
}

/// The rates that the list leans on and the job does not state, as a line; nothing where it states them.
pub fn rates_assumed(job: &Job, list: &WorkList) -> Option<String> {
    let rates: Vec<String> =
        job.rates.assumed(operations(list)).iter().map(|it| format!("{} {}", it.key, it.value)).collect();
    (!rates.is_empty()).then(|| format!("Assumed, as the job states no rate: {}.", rates.join("; ")))
}

/// Every kind of work that the list considers, in the order of the table of rates.
pub fn operations(list: &WorkList) -> Vec<Operation> {
    let all = || list.reeds.iter().flat_map(|work| &work.rounds).flat_map(|round| &round.considered);
    // A new tongue is tuned too.
    let counts = |operation: Operation| {
        all().any(|one| {
            one.operation() == operation || operation == Operation::Retune && one.operation() == Operation::Replace
        })
    };
    Operation::ALL.iter().map(|row| row.operation).filter(|&operation| counts(operation)).collect()
}

fn reed(index: usize, work: &ReedWork) -> Value {
    let reed = &work.now.reed;
    let findings = |reed: &ReedAssessment| {
        reed.findings.iter().map(|it| json!({ "kind": it.kind(), "sentence": it.sentence() })).collect::<Vec<_>>()
    };
    json!({
        "order": work.next().map(|_| index + 1),
        "id": reed.id,
        "hole": reed.hole,
        "breath": reed.breath,
        "slide": reed.slide,
        "note": reed.note.to_string(),
        "findings": findings(&work.now),
        "demands": work.demands,
        "missing": work.demands.loss(),
        "rounds": work.rounds.iter().enumerate().map(|(k, it)| round(it, work.before(k))).collect::<Vec<_>>(),
        "findings_then": findings(work.then()),
    })
}

fn round(round: &Round, before: &ReedAssessment) -> Value {
    json!({
        "next": round.chosen,
        "considered": round.considered.iter().map(|it| candidate(it, round, before)).collect::<Vec<_>>(),
        "refused": round.refused.iter().map(refused).collect::<Vec<_>>(),
    })
}

fn refused(refused: &Refused) -> Value {
    json!({ "operation": refused.operation, "why": refused.why })
}

fn candidate(candidate: &Candidate, round: &Round, before: &ReedAssessment) -> Value {
    let outcome = candidate.outcome.as_ref();
    let after = outcome.map(|outcome| &outcome.after);
    json!({
        "operation": candidate.operation(),
        "stage": candidate.stage(),
        "minutes": candidate.minutes,
        "gain": candidate.gain(),
        "gain_per_minute": candidate.gain_per_minute(),
        "what": candidate.plan.title(),
        "effect": round.effect(before, candidate),
        "risk": candidate.plan.risk(),
        "mends": outcome.map(|outcome| &outcome.mends),
        "spoils": outcome.map(|outcome| &outcome.spoils),
        "demands_then": outcome.map(|outcome| outcome.demands),
        "then": after.map(|after| json!({
            "cents": after.pitch.cents,
            "onset_pa": after.prediction.onset_pa(),
            "playable_low_pa": after.playable.map(|window| window.low.pressure_pa),
            "playable_high_pa": after.playable.map(|window| window.high.pressure_pa),
            "t50_s": after.attacks.iter().map(|attack| attack.t50_s).collect::<Vec<_>>(),
        })),
        "plan": plan(&candidate.plan),
    })
}

fn plan(plan: &Plan) -> Value {
    match plan {
        Plan::Measure(what) => json!({ "measure": match what {
            Remeasure::Contradiction => vec!["thickness_mm", "length_mm", "measured_pluck_hz"],
            Remeasure::Pitch => vec!["measured_pluck_hz"],
            Remeasure::Leak => vec!["leak_mm2"],
            Remeasure::NothingMends => vec!["length_mm", "width_mm", "side_clearance_mm", "leak_mm2", "ring_down_s"],
        } }),
        Plan::Clean(suspicion) => json!({ "care": suspicion.care() }),
        Plan::Fasten { quality, usual, pluck_hz } => {
            json!({ "quality_factor": quality, "quality_factor_of_neighbours": usual, "pluck_hz": pluck_hz })
        }
        Plan::Replace(reed) => json!({
            "strip_m": reed.tongue.strip_m,
            "length_m": reed.tongue.length_m,
            "profile": reed.tongue.profile.name(),
            "pluck_hz": reed.pluck_hz,
            "raw_cents": reed.raw_cents,
        }),
        Plan::Align(plan) => json!({
            "shift_to_right_m": plan.way.shift_m,
            "turn_to_right_rad": plan.turn_rad,
            "tip_to_right_m": plan.tip_move_m(),
            "closest_when_played_m": plan.now.played_m,
            "closest_when_played_then_m": plan.then.played_m,
        }),
        Plan::Seal(plan) => json!({
            "leak_m2": plan.found.area_m2,
            "leak_wanted_m2": plan.small_m2,
            "onset_tight_pa": plan.tight_onset_pa,
        }),
        Plan::CloseEdges { clearance_m, usual_m } => {
            json!({ "clearance_m": clearance_m, "clearance_of_neighbours_m": usual_m })
        }
        Plan::Retune(plan) => Value::Object(retune::to_json(plan)),
        Plan::Regap(plan) => Value::Object(regap::to_json(plan)),
        Plan::RegapUnknown { gap_m, wanted_m, why } => json!({ "gap_m": gap_m, "wanted_gap_m": wanted_m, "why": why }),
    }
}
