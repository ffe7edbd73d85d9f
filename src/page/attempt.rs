//! What if: a reed as it is beside the same reed changed, what is quick to compute first.

use std::sync::Arc;

use serde::Deserialize;
use serde_json::{Value, json};

use super::bench::Bench;
use super::gate::Turn;
use super::knobs::is_knob;
use super::reed::Subject;
use super::tongue::tongue;
use crate::answer::{Answer, Comparing, Conditions, Line, Quantity, Solved, swing_scale};
use crate::physics::ReedModel;
use crate::sheet::{CheckedReed, SheetError};
use crate::units;

/// Computed at once.
const QUICK: [Quantity; 3] = [Quantity::Plucked, Quantity::Onset, Quantity::Choke];
/// Computed next, at the player's normal pressure.
const WINDOW: [Quantity; 6] = [
    Quantity::PlayableLow,
    Quantity::PlayableHigh,
    Quantity::HalfTime,
    Quantity::LevelA,
    Quantity::Sounding,
    Quantity::Shift,
];
/// Computed at soft and hard pressure too.
const AT_EACH: [Quantity; 2] = [Quantity::HalfTime, Quantity::LevelA];
/// What is told with how sure it is.
const SURE: [Quantity; 6] = [
    Quantity::Plucked,
    Quantity::Onset,
    Quantity::Choke,
    Quantity::HalfTime,
    Quantity::PlayableLow,
    Quantity::PlayableHigh,
];

/// How far a change is computed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum Stage {
    /// Onset, choke and pitch.
    Quick,
    /// The playable window, times and levels.
    Window,
    /// How sure the differences are.
    Sure,
}

/// A change to try.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Attempt {
    pub(super) turn: Turn,
    pub(super) id: String,
    /// Keys and values, as typed.
    pub(super) set: Vec<(String, String)>,
    pub(super) stage: Stage,
}

/// The reed as it is, solved once for all that is tried on it.
#[derive(Debug)]
pub(super) struct Remembered {
    id: String,
    revision: u64,
    stage: Stage,
    swing_scale: f64,
    solved: Vec<Solved>,
}

/// Why nothing came of it.
#[derive(Debug)]
pub(super) enum NoAttempt {
    NoSuchReed,
    NoKnob(String),
    Wrong(SheetError),
    Overtaken,
}

/// Checks that a change turns only what the page offers.
pub(super) fn changed(subject: &Subject, set: &[(String, String)]) -> Result<CheckedReed, NoAttempt> {
    if let Some((key, _)) = set.iter().find(|(key, _)| !is_knob(key)) {
        return Err(NoAttempt::NoKnob(key.clone()));
    }
    let texts = set.iter().map(|(key, typed)| (key.as_str(), typed.as_str()));
    subject.checked.with_texts(texts).map_err(NoAttempt::Wrong)
}

/// Computes a change as far as is asked.
///
/// # Errors
/// What is wrong with it, or that it was overtaken.
pub(super) fn attempt(bench: &Bench, attempt: &Attempt) -> Result<Value, NoAttempt> {
    let subject = bench.look(|opened| Subject::find(opened, &attempt.id)).ok_or(NoAttempt::NoSuchReed)?;
    let changed = changed(&subject, &attempt.set)?;
    let go_on = || if bench.gate.is_overtaken(&attempt.turn) { Err(NoAttempt::Overtaken) } else { Ok(()) };
    go_on()?;
    if attempt.stage == Stage::Sure {
        return sure(&subject, attempt);
    }
    let before = remembered(bench, &subject, attempt);
    go_on()?;
    let mut after = Vec::new();
    for (conditions, of) in parts(&subject, attempt.stage) {
        go_on()?;
        after.push(solve(&changed, of, &conditions, before.swing_scale));
    }
    let lines = before.solved.iter().zip(&after).zip(parts(&subject, attempt.stage));
    let mut all = json!({
        "results": lines.clone().next().map(|((a, b), (conditions, of))| results(a, b, of, &conditions)),
    });
    match attempt.stage {
        Stage::Quick => {
            all["tongue"] = json!({ "before": tongue(&subject.checked), "after": tongue(&changed) });
        }
        _ => {
            let each = lines.skip(1).map(|((a, b), (conditions, of))| {
                let mut one = results(a, b, of, &conditions);
                one["pressure_pa"] = json!(conditions.pressure_pa);
                one["pressure"] = json!(units::pascal(conditions.pressure_pa));
                one
            });
            all["each"] = each.collect();
            all["allowed_s"] = json!(subject.conditions.allowed_s);
            all["allowed"] = json!(units::seconds(subject.conditions.allowed_s));
        }
    }
    Ok(all)
}

/// What is solved in a stage: the player's normal playing first, then each of the three pressures.
fn parts(subject: &Subject, stage: Stage) -> Vec<(Conditions, &'static [Quantity])> {
    let own = subject.conditions;
    if stage == Stage::Quick {
        return vec![(own, &QUICK)];
    }
    let at = |pressure_pa: f64| (Conditions { pressure_pa, ..own }, AT_EACH.as_slice());
    let each = subject.pressures_pa.map_or(vec![own.pressure_pa], |pressures| pressures.to_vec());
    [(own, WINDOW.as_slice())].into_iter().chain(each.into_iter().map(at)).collect()
}

fn solve(reed: &CheckedReed, of: &[Quantity], conditions: &Conditions, swing_scale: f64) -> Solved {
    Solved::of(&reed.reed, of, conditions, swing_scale).expect("a checked reed can be solved")
}

/// The reed as it is: solved anew only where another was asked before.
fn remembered(bench: &Bench, subject: &Subject, attempt: &Attempt) -> Arc<Remembered> {
    let lock = || bench.remembered[attempt.stage as usize].lock().unwrap_or_else(std::sync::PoisonError::into_inner);
    let known = lock().clone();
    let is_it = |known: &Arc<Remembered>| {
        (known.id.as_str(), known.revision, known.stage) == (attempt.id.as_str(), subject.revision, attempt.stage)
    };
    if let Some(known) = known.filter(is_it) {
        return known;
    }
    let scale = scale_of(subject);
    let solved = parts(subject, attempt.stage).iter().map(|(at, of)| solve(&subject.checked, of, at, scale)).collect();
    let (id, revision, stage) = (attempt.id.clone(), subject.revision, attempt.stage);
    let known = Arc::new(Remembered { id, revision, stage, swing_scale: scale, solved });
    *lock() = Some(known.clone());
    known
}

fn scale_of(subject: &Subject) -> f64 {
    let model = ReedModel::new(subject.checked.reed.clone()).expect("a checked reed can be solved");
    swing_scale(&model, &mut subject.checked.clone())
}

/// Every result before and after, with its words.
fn results(before: &Solved, after: &Solved, of: &[Quantity], conditions: &Conditions) -> Value {
    let one = |&quantity: &Quantity| {
        let (before, after) = (before.answer(quantity), after.answer(quantity));
        let line = Line { before, after, uncertainty: None, mostly: None, or_more: false };
        (quantity.row().json.to_owned(), told(&line, conditions))
    };
    Value::Object(of.iter().map(one).collect())
}

fn told(line: &Line, conditions: &Conditions) -> Value {
    json!({
        "before": answer(&line.before),
        "after": answer(&line.after),
        "words": line.words(conditions),
        "trust": line.before.quantity.row().trust,
    })
}

fn answer(answer: &Answer) -> Value {
    let shown = match (answer.value, answer.note) {
        (Some(value), Some("limit of the search")) => format!("> {}", units::of(answer.quantity.row().unit, value)),
        (Some(value), _) => units::of(answer.quantity.row().unit, value),
        (None, note) => note.unwrap_or("-").to_owned(),
    };
    json!({ "value": answer.value, "shown": shown, "note": answer.note })
}

/// The differences with how sure each is, in words.
fn sure(subject: &Subject, attempt: &Attempt) -> Result<Value, NoAttempt> {
    let comparing = Comparing {
        reed: &subject.checked,
        changes: &attempt.set,
        of: &SURE,
        conditions: subject.conditions,
        swing_scale: scale_of(subject),
    };
    let comparison = comparing.run(&|| ()).map_err(NoAttempt::Wrong)?;
    let one = |line: &Line| {
        let words = line.words(&subject.conditions)?;
        Some(json!({ "words": words, "sure": line.is_sure(), "mostly": line.mostly.map(crate::sheet::Key::words) }))
    };
    Ok(json!({ "words": comparison.lines.iter().filter_map(one).collect::<Vec<_>>() }))
}
