//! What if: a reed as it is beside the same reed changed, what is quick to compute first.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use rayon::prelude::*;
use serde::Deserialize;
use serde_json::{Map, Value, json};

use super::bench::Bench;
use super::gate::Turn;
use super::knobs::is_knob;
use super::reed::Subject;
use super::tongue::tongue;
use crate::answer::{Answer, Comparing, Conditions, Line, Quantity, Solved, swing_scale};
use crate::physics::ReedModel;
use crate::physics::onset::Search;
use crate::sheet::{CheckedReed, SheetError};
use crate::units;

/// Computed at once.
const QUICK: [Quantity; 3] = [Quantity::Plucked, Quantity::Onset, Quantity::Choke];
/// Computed next: the playable window.
const WINDOW: [Quantity; 2] = [Quantity::PlayableLow, Quantity::PlayableHigh];
/// Computed after that, at each of the player's pressures, from whole attacks as an assessment takes them.
const SETTLED: [Quantity; 3] = [Quantity::HalfTime, Quantity::LevelA, Quantity::Sounding];
/// Computed over pressures, after that.
const CURVES: [Quantity; 2] = [Quantity::HalfTime, Quantity::LevelA];
/// So many pressures, in even ratios, and how far they go beyond the player's soft and hard; of a reed without a player, to
/// either side of the pressure at which it is blown.
const POINTS: i32 = 9;
const BEYOND: f64 = 1.5;
const WITHOUT_PLAYER: f64 = 4.0;
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
    /// The playable window, sought from where the last change left it: in fewer attacks, to the same accuracy.
    Window,
    /// The same as an assessment finds it, and speaking times, levels and sounding pitches.
    Settled,
    /// Speaking time and level over pressures.
    Curves,
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
    /// The last change of it that was solved: the next is seldom far from that.
    last: Mutex<Option<Solved>>,
}

impl Remembered {
    fn last(&self) -> MutexGuard<'_, Option<Solved>> {
        self.last.lock().unwrap_or_else(PoisonError::into_inner)
    }
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
    let before = remembered(bench, &subject, attempt, &go_on)?;
    let parts = parts(&subject, attempt.stage);
    let is_window = attempt.stage == Stage::Window;
    let last = before.last().clone().filter(|last| last.playable.is_some());
    let like = last.as_ref().or(before.solved.first()).filter(|_| is_window);
    let after: Vec<Solved> = solved(&changed, &parts, before.swing_scale, like, &go_on)?;
    if is_window {
        *before.last() = after.first().cloned();
    }
    let told = |(part, (a, b)): (&Part, (&Solved, &Solved))| part.told(a, b);
    let all: Vec<Value> = parts.iter().zip(before.solved.iter().zip(&after)).map(told).collect();
    let mut answer = json!({
        "results": all.first(),
        "each": all[1..],
        "allowed": units::seconds(subject.conditions.allowed_s),
    });
    if attempt.stage == Stage::Quick {
        answer["tongue"] = json!({ "before": tongue(&subject.checked), "after": tongue(&changed) });
    }
    Ok(answer)
}

/// What is solved at one pressure.
struct Part {
    conditions: Conditions,
    of: &'static [Quantity],
}

impl Part {
    /// Every result before and after, with its words.
    fn told(&self, before: &Solved, after: &Solved) -> Value {
        let one = |&quantity: &Quantity| {
            let (before, after) = (before.answer(quantity), after.answer(quantity));
            let line = Line { before, after, uncertainty: None, mostly: None, or_more: false };
            (quantity.row().json.to_owned(), told(&line, &self.conditions))
        };
        let mut all: Map<String, Value> = self.of.iter().map(one).collect();
        all.insert("pressure".to_owned(), json!(units::pascal(self.conditions.pressure_pa)));
        all.insert("pressure_pa".to_owned(), json!(self.conditions.pressure_pa));
        Value::Object(all)
    }
}

/// What is solved in a stage: what goes with the player's normal playing first, then each of the three pressures.
fn parts(subject: &Subject, stage: Stage) -> Vec<Part> {
    let own = subject.conditions;
    let pressures = subject.pressures_pa.map_or(vec![own.pressure_pa], |pressures| pressures.to_vec());
    let at_own = |of: &'static [Quantity]| vec![Part { conditions: own, of }];
    let each = |of: &'static [Quantity]| {
        let at = move |pressure_pa: f64| Part { conditions: Conditions { pressure_pa, ..own }, of };
        pressures.into_iter().map(at).collect::<Vec<_>>()
    };
    match stage {
        Stage::Quick => at_own(&QUICK),
        // The curve of growth only leads to the ends, which whole attacks find.
        Stage::Window => vec![Part { conditions: Conditions { search: Search::COARSE, ..own }, of: &WINDOW }],
        Stage::Settled => at_own(&WINDOW).into_iter().chain(each(&SETTLED)).collect(),
        Stage::Curves => at_own(&[]).into_iter().chain(curves(subject)).collect(),
        Stage::Sure => Vec::new(),
    }
}

/// Pressures over which speaking time and level are computed.
fn curves(subject: &Subject) -> impl Iterator<Item = Part> {
    let own = subject.conditions;
    let (soft_pa, hard_pa) = match subject.pressures_pa {
        Some([soft_pa, _, hard_pa]) => (soft_pa / BEYOND, hard_pa * BEYOND),
        None => (own.pressure_pa / WITHOUT_PLAYER, own.pressure_pa * WITHOUT_PLAYER),
    };
    let share = |k: i32| f64::from(k) / f64::from(POINTS - 1);
    let pressure_pa = move |k: i32| soft_pa * (hard_pa / soft_pa).powf(share(k));
    (0..POINTS).map(move |k| Part { conditions: Conditions { pressure_pa: pressure_pa(k), ..own }, of: &CURVES })
}

/// Solves every part, and looks before each whether it is still wanted.
fn solved(
    reed: &CheckedReed,
    parts: &[Part],
    swing_scale: f64,
    like: Option<&Solved>,
    go_on: &(impl Fn() -> Result<(), NoAttempt> + Sync),
) -> Result<Vec<Solved>, NoAttempt> {
    let one = |part: &Part| {
        go_on()?;
        let solved = Solved::with_window_like(&reed.reed, part.of, &part.conditions, swing_scale, like);
        Ok(solved.expect("a checked reed can be solved"))
    };
    parts.par_iter().with_max_len(1).map(one).collect()
}

/// The reed as it is: solved anew only where another was asked before.
fn remembered(
    bench: &Bench,
    subject: &Subject,
    attempt: &Attempt,
    go_on: &(impl Fn() -> Result<(), NoAttempt> + Sync),
) -> Result<Arc<Remembered>, NoAttempt> {
    let lock = || bench.remembered[attempt.stage as usize].lock().unwrap_or_else(PoisonError::into_inner);
    let known = lock().clone();
    let is_it = |known: &Arc<Remembered>| {
        (known.id.as_str(), known.revision, known.stage) == (attempt.id.as_str(), subject.revision, attempt.stage)
    };
    if let Some(known) = known.filter(is_it) {
        return Ok(known);
    }
    let swing_scale = scale_of(subject);
    let solved = solved(&subject.checked, &parts(subject, attempt.stage), swing_scale, None, go_on)?;
    let (id, revision, stage) = (attempt.id.clone(), subject.revision, attempt.stage);
    let known = Arc::new(Remembered { id, revision, stage, swing_scale, solved, last: Mutex::default() });
    *lock() = Some(known.clone());
    Ok(known)
}

fn scale_of(subject: &Subject) -> f64 {
    let model = ReedModel::new(subject.checked.reed.clone()).expect("a checked reed can be solved");
    swing_scale(&model, &mut subject.checked.clone())
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
