//! A piece rehearsed on a set, as JSON and in words.

use std::collections::BTreeMap;

use serde_json::{Map, Value, json};

use super::json;
use super::serve::serve_json;
pub use super::serve::serve_words;
use crate::physics::coefficients::MODEL_VERSION;
use crate::rehearse::{
    Double, Effort, Excess, Otherwise, Outcome, PlayedNote, PressureOff, Rehearsal, TOGETHER_S, notes,
};
use crate::sheet::Note;
use crate::units::{decibel, pascal, seconds, significant};
use crate::workshop::retune::RetunePlan;

/// What the sound of a passage is.
pub const OF_A_MODEL: &str =
    "a model's sound, no recording: each reed from rest, a metre in front, no room, no player's mouth";

/// All of it: times in s, pressures in Pa.
pub fn to_json(rehearsal: &Rehearsal) -> Map<String, Value> {
    let counts: Map<String, Value> =
        Outcome::ALL.iter().map(|outcome| (key(*outcome), rehearsal.count(*outcome).into())).collect();
    json::object(json!({
        "model_version": MODEL_VERSION,
        "quarters_a_minute": rehearsal.bpm,
        "duration_s": rehearsal.duration_s(),
        "notes": rehearsal.notes,
        "counts": counts,
        "effort": rehearsal.effort,
        "doubles": rehearsal.doubles.iter().map(double_json).collect::<Vec<_>>(),
        "asked_too_much": rehearsal.too_much.iter().map(|excess| excess_json(excess, rehearsal.bpm)).collect::<Vec<_>>(),
        "remarks": rehearsal.remarks,
        "assumed": assumed(),
    }))
}

/// The name of an outcome for programs.
fn key(outcome: Outcome) -> String {
    json!(outcome).as_str().expect("a name").to_owned()
}

fn double_json(double: &Double) -> Value {
    json!({
        "lower": double.lower,
        "upper": double.upper,
        "interval": double.interval.map(|interval| interval.name),
        "times": double.times,
        "level_off_db": double.level_off_db,
        "balances": double.level_off_db.map(|_| !double.is_unbalanced()),
        "beats_per_s": double.beats.map(|beats| beats.per_s),
        "beats_meant_per_s": double.beats.map(|beats| beats.meant_per_s),
        "beats_as_meant": double.beats.map(|_| !double.beats_otherwise()),
        "to_retune": double.tuned.as_ref().map(|tuned| {
            let one = |(reed, plan): &(String, RetunePlan)| json!({ "reed": reed, "need_cents": plan.need_cents, "how": plan.title() });
            tuned.retuned.iter().map(one).collect::<Vec<_>>()
        }),
        "beats_then_per_s": double.tuned.as_ref().map(|tuned| tuned.beats.per_s),
    })
}

fn excess_json(excess: &Excess, bpm: Option<f64>) -> Value {
    let failing: Map<String, Value> =
        excess.failing.iter().map(|(outcome, count)| (key(*outcome), (*count).into())).collect();
    let (harder, softer) = match excess.pressure {
        PressureOff::TooSoft(factor) => (Some(factor), None),
        PressureOff::TooHard(factor) => (None, Some(factor)),
        PressureOff::NoPressure => (None, None),
    };
    let mut all = json::object(json!({
        "reed": excess.reed,
        "note": excess.note.to_string(),
        "notes": excess.notes,
        "failing": failing,
        "worst": excess.worst,
        "late_s": excess.late_s,
        "times_as_hard_would_do": harder,
        "times_softer_would_do": softer,
        "to_serve": serve_words(excess, bpm),
    }));
    all.extend(serve_json(excess, bpm));
    Value::Object(all)
}

/// What is told of a note in [`note_row`].
pub const NOTE_HEAD: [&str; 13] = [
    "at",
    "lasts",
    "note",
    "velocity",
    "reed",
    "blown",
    "within",
    "t50",
    "t90",
    "gone",
    "again",
    "level off",
    "outcome",
];

/// A note and what becomes of it, in cells.
pub fn note_row(played: &PlayedNote) -> Vec<String> {
    let note = played.note;
    let name = Note::from_midi(note.midi).map_or(note.midi.to_string(), |note| note.to_string());
    let mut cells = vec![format!("{:.3} s", note.start_s), seconds(note.length_s), name, note.velocity.to_string()];
    let known = |value: Option<f64>, show: fn(f64) -> String| value.map_or("-".to_owned(), show);
    match &played.on {
        None => cells.extend(vec!["-".to_owned(); 8]),
        Some(on) => cells.extend([
            on.reed.clone(),
            pascal(on.pressure_pa),
            seconds(on.allowed_s),
            known(on.t50_s, seconds),
            known(on.t90_s, seconds),
            format!("{} %", significant(100.0 * on.share_gone, 2)),
            known(on.repeat_s, seconds),
            known(on.level_off_db, decibel),
        ]),
    }
    cells.push(played.outcome.words().to_owned());
    cells
}

/// How it is played: how long it lasts, how hard it is blown, and at which tempo and how much higher than written, where that is
/// asked for; part of a sentence.
pub fn played(rehearsal: &Rehearsal, otherwise: &Otherwise, written_bpm: Option<f64>) -> String {
    let tempo = otherwise.bpm.map(|bpm| {
        let written = written_bpm.map_or(String::new(), |written| format!(", written at {}", tempo(written)));
        format!("at {} quarter notes a minute{written}", tempo(bpm))
    });
    let way = if otherwise.semitones > 0 { "higher" } else { "lower" };
    let pitch = match otherwise.semitones.abs() {
        0 => None,
        1 => Some(format!("1 semitone {way} than written")),
        semitones => Some(format!("{semitones} semitones {way} than written")),
    };
    let parts = [Some(seconds(rehearsal.duration_s())), Some(blown(rehearsal)), tempo, pitch];
    parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// Quarter notes a minute, without their unit.
pub fn tempo(bpm: f64) -> String {
    format!("{}", (100.0 * bpm).round() / 100.0)
}

/// How hard it is blown, from the softest note to the hardest: part of a sentence.
fn blown(rehearsal: &Rehearsal) -> String {
    let pressures = || rehearsal.notes.iter().filter_map(|note| note.on.as_ref()).map(|on| on.pressure_pa);
    let (low, high) = pressures().fold((f64::INFINITY, 0.0), |(low, high): (f64, f64), p| (low.min(p), high.max(p)));
    if high > 0.0 {
        format!("blown {} to {}", pascal(low), pascal(high))
    } else {
        "nothing of it can be blown".to_owned()
    }
}

/// How the notes come out: a sentence without its point.
pub fn counts(rehearsal: &Rehearsal) -> String {
    let speak = rehearsal.count(Outcome::Speaks);
    let others = Outcome::ALL.iter().skip(1).map(|outcome| (rehearsal.count(*outcome), outcome.words()));
    let others: Vec<String> =
        others.filter(|(count, _)| *count > 0).map(|(count, words)| format!("{count} {words}")).collect();
    let all = rehearsal.notes.len();
    if others.is_empty() {
        return format!("All {} speak in time and as loud as their neighbours", notes(all));
    }
    format!("{speak} of {} speak as asked; {}", notes(all), others.join(", "))
}

/// What the hands do: a sentence without its point.
pub fn effort(effort: &Effort) -> String {
    let count = |count: u32, one: &str, many: &str| format!("{count} {}", if count == 1 { one } else { many });
    format!(
        "The easiest way through it: {}, {}, {} holes of travel",
        count(effort.breath_changes, "change of breath", "changes of breath"),
        count(effort.slide_changes, "move of the slide", "moves of the slide"),
        0.5 * f64::from(effort.travel_half_holes)
    )
}

/// What fails on a reed and by how much: part of a sentence.
pub fn excess_words(excess: &Excess) -> String {
    let how: Vec<String> =
        excess.failing.iter().map(|(outcome, count)| format!("{count} {}", outcome.words())).collect();
    let late = excess.late_s.map_or(String::new(), |late_s| format!(", at worst by {}", seconds(late_s)));
    format!("of {} {}{late}; {}", notes(excess.notes), how.join(", "), pressure_words(excess))
}

/// Factors of pressure below this are not told: the ends of a window are found to a hundredth.
const HAIR: f64 = 1.01;

fn pressure_words(excess: &Excess) -> String {
    let on = excess.worst.on.as_ref().expect("a note that fails is on a reed");
    let at = pascal(on.pressure_pa);
    match excess.pressure {
        PressureOff::TooSoft(factor) if factor < HAIR => format!("blown {at}, a hair harder would do"),
        PressureOff::TooHard(factor) if factor < HAIR => format!("blown {at}, a hair softer would do"),
        PressureOff::TooSoft(factor) => format!("blown {at}, {} times as hard would do", significant(factor, 3)),
        PressureOff::TooHard(factor) => format!("blown {at}, {} times softer would do", significant(factor, 3)),
        PressureOff::NoPressure => format!("at no pressure within {}", seconds(on.allowed_s)),
    }
}

/// What that does to the worst note: a sentence without its point.
pub fn worst_words(excess: &Excess) -> String {
    let (note, on) = (excess.worst.note, excess.worst.on.as_ref().expect("a note that fails is on a reed"));
    let gone = significant(100.0 * on.share_gone, 2);
    format!(
        "The worst at {:.2} s, of {}: {gone} % of it is gone before the reed is half way",
        note.start_s,
        seconds(note.length_s)
    )
}

/// Reeds that speak in time and stand off the others in level, the furthest first: a sentence without its point; nothing where
/// there are none.
pub fn off_in_level(rehearsal: &Rehearsal) -> Option<String> {
    let mut reeds: BTreeMap<&str, (usize, f64)> = BTreeMap::new();
    let off = rehearsal.notes.iter().filter(|note| matches!(note.outcome, Outcome::TooLoud | Outcome::TooSoft));
    for on in off.filter_map(|note| note.on.as_ref()) {
        let (count, most) = reeds.entry(&on.reed).or_default();
        let db = on.level_off_db.unwrap_or_default();
        *count += 1;
        *most = if db.abs() > most.abs() { db } else { *most };
    }
    let mut reeds: Vec<_> = reeds.into_iter().collect();
    reeds.sort_by(|a, b| b.1.1.abs().total_cmp(&a.1.1.abs()));
    let words = reeds.iter().map(|(reed, (count, db))| {
        format!("{reed} up to {:.1} dB too {} ({})", db.abs(), if *db > 0.0 { "loud" } else { "soft" }, notes(*count))
    });
    let words: Vec<String> = words.collect();
    (!words.is_empty())
        .then(|| format!("Off the level of their neighbours (assess looks for the cause): {}", words.join(", ")))
}

/// Two notes at once that are off: a sentence without its point.
pub fn double_words(double: &Double) -> String {
    let mut words = Vec::new();
    if let Some(beats) = double.beats.filter(|_| double.beats_otherwise()) {
        words.push(format!("beat {:.1} per s, {:.1} meant", beats.per_s, beats.meant_per_s));
    }
    if let Some(off) = double.level_off_db.filter(|_| double.is_unbalanced()) {
        words.push(format!("the upper up to {:.1} dB too {}", off.abs(), if off > 0.0 { "loud" } else { "soft" }));
    }
    let interval = double.interval.map_or(String::new(), |interval| format!(", {}", interval.name));
    let times = if double.times == 1 { "once".to_owned() } else { format!("{} times", double.times) };
    if let Some(tuned) = &double.tuned {
        let plans = tuned.retuned.iter().map(|(reed, plan)| format!("{reed} {}", plan.title()));
        let plans = plans.collect::<Vec<_>>().join(", and ");
        words.push(format!("to serve: {plans} (retune); then {:.1} per s", tuned.beats.per_s));
    }
    format!("{} and {}{interval}, {times}: {}", double.lower, double.upper, words.join("; "))
}

/// What a rehearsal takes for granted: sentences without their points.
pub fn assumed() -> [String; 4] {
    [
        "velocity 1 is the player's soft pressure, 64 the normal, 127 the hard, the logarithm straight between"
            .to_owned(),
        format!(
            "notes within {} begin together; a mouth covers {} holes, the tongue shuts one stretch between them",
            seconds(TOGETHER_S),
            crate::instrument::REACH + 1
        ),
        "a note must speak in half of its length, and in the time the player allows".to_owned(),
        "a reed begins from rest, or from what it still swings of its last note by its ring-down (an estimate)"
            .to_owned(),
    ]
}
