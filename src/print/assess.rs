//! An assessment as JSON and as a CSV table.

use serde_json::{Map, Value, json};

use super::json;
use crate::answer::edge;
use crate::instrument::{
    Against, Assessment, Figure, Finding, IN_TUNE_CENTS, Jump, Margin, MarginOf, PairAssessment, ReedAssessment,
};
use crate::physics::attack::Attack;
use crate::physics::coefficients::MODEL_VERSION;
use crate::sheet::{Job, RowError};
use crate::units;

/// The whole assessment as JSON.
pub fn to_json(job: &Job, assessment: &Assessment) -> Map<String, Value> {
    let reeds: Vec<Value> = assessment.reeds.iter().map(entry).collect();
    let with_findings = assessment.good_rows().filter(|reed| !reed.findings.is_empty()).count();
    json::object(json!({
        "model_version": MODEL_VERSION,
        "reeds": reeds,
        "set": {
            "instrument": job.instrument,
            "reeds": assessment.reeds.len(),
            "failed_rows": assessment.bad_rows().count(),
            "not_measured": assessment.not_measured().count(),
            "failed_rows_elsewhere": job.bad_rows_elsewhere().map(|row| row.to_string()).collect::<Vec<_>>(),
            "with_findings": with_findings,
            "fail_alike": assessment.fail_alike,
            "softest_blows_times_computed": assessment.blown_off,
            "in_tune_cents": IN_TUNE_CENTS,
            "evenness": assessment.evenness,
            "groups": assessment.groups,
            "jumps": assessment.jumps.iter().map(jump).collect::<Vec<_>>(),
            "pairs": assessment.pairs.iter().map(pair).collect::<Vec<_>>(),
            "assumed": job.assumed,
            "notes": job.notes,
        },
    }))
}

fn entry(entry: &Result<ReedAssessment, RowError>) -> Value {
    match entry {
        Ok(reed) => Value::Object(reed_json(reed)),
        Err(error) => json!({
            "id": error.id,
            "line": error.line,
            "error": error.to_string(),
            "not_measured": error.not_measured(),
            "still_needs": error.still_needs(),
            "problems": error.error.problems,
        }),
    }
}

fn reed_json(assessed: &ReedAssessment) -> Map<String, Value> {
    let reed = &assessed.reed;
    let mut all = json::object(json!({
        "id": reed.id,
        "hole": reed.hole,
        "breath": reed.breath,
        "slide": reed.slide,
        "note": reed.note.to_string(),
        "line": reed.line,
        "valve": reed.valve,
        "feel": reed.feel,
        "remark": reed.remark,
        "tongue_since": reed.tongue_since,
        "pitch": assessed.pitch,
        "player": assessed.pressures,
        "time_allowed_s": assessed.demand.allowed_s,
        "playable_low_pa": assessed.playable.map(|window| window.low.pressure_pa),
        "playable_low_reason": assessed.playable.map(|window| edge(window.low)),
        "playable_high_pa": assessed.playable.map(|window| window.high.pressure_pa),
        "playable_high_reason": assessed.playable.map(|window| edge(window.high)),
        "sounding_shift_cents": assessed.sounding_shift_cents(),
        "fastest_notes_per_s": assessed.attacks[1].t50_s.map(|time| 1.0 / time),
        "verdict": verdict(&assessed.findings),
        "surety": assessed.verdict().surety,
        "players_word": assessed.players_word(),
        "margins": assessed.margins.iter().map(|m| (m.of.key().to_owned(), margin(m))).collect::<Map<_, _>>(),
        "findings": assessed.findings.iter().map(|found| finding(found, assessed)).collect::<Vec<_>>(),
        "attacks": assessed.attacks.iter().map(json::attack).collect::<Vec<_>>(),
    }));
    all.extend(json::prediction(&assessed.prediction, &reed.checked));
    all
}

fn finding(finding: &Finding, of: &ReedAssessment) -> Value {
    json!({ "kind": finding.kind(), "sentence": finding.sentence(), "surety": finding.surety(of) })
}

fn margin(margin: &Margin) -> Value {
    let verdict = margin.verdict();
    json!({
        "value": margin.value,
        "expected": margin.expected(),
        "uncertainty_80_percent": margin.uncertainty,
        "or_more": margin.or_more,
        "probability_good": margin.probability_good,
        "good": verdict.good,
        "surety": verdict.surety,
        "decides": margin.of.decides(),
        "against": match margin.against {
            Against::Demand => "demand",
            Against::Target => "target",
            Against::Run => "run",
            Against::Word { .. } => "word",
        },
        "by_model": match margin.against {
            Against::Word { by_model } => by_model,
            _ => margin.value,
        },
    })
}

fn jump(jump: &Jump) -> Value {
    let (of, key) = match jump.figure {
        Figure::Level => ("level", "off_db"),
        Figure::Onset => ("onset", "off_log"),
        _ => ("time", "off_log"),
    };
    json!({ "id": jump.reed, "of": of, key: jump.off, "uncertainty_80_percent": jump.uncertainty, "surety": jump.surety })
}

fn pair(pair: &PairAssessment) -> Value {
    json!({
        "lower": pair.lower,
        "upper": pair.upper,
        "interval": pair.interval.map(|interval| interval.name),
        "just_ratio": pair.interval.map(|interval| [interval.ratio.0, interval.ratio.1]),
        "level_difference_db": pair.level_difference_db,
        "level_off_db": pair.level_off_db,
        "level_margin_db": pair.level.as_ref().map(margin),
        "beats_per_s": pair.beats.map(|beats| beats.per_s),
        "beats_meant_per_s": pair.beats.map(|beats| beats.meant_per_s),
        "beats_uncertainty_80_percent_per_s": pair.beats.map(|beats| beats.uncertainty_per_s),
        "wide_cents": pair.beats.map(|beats| beats.wide_cents),
        "interval_margin_cents": pair.beats.as_ref().map(|beats| margin(&beats.margin)),
    })
}

/// The verdict in a word or two: "good", or what matters most.
pub fn verdict(findings: &[Finding]) -> String {
    match findings {
        [] => "good".to_owned(),
        [only] => only.kind().to_owned(),
        [first, rest @ ..] => format!("{}, +{}", first.kind(), rest.len()),
    }
}

/// The verdict and how sure it is.
pub fn verdict_with_surety(assessed: &ReedAssessment) -> String {
    format!("{}, {}", verdict(&assessed.findings), assessed.verdict().surety.words())
}

/// One line a reed, for a spreadsheet.
///
/// # Panics
/// Never: the table is written to memory.
pub fn to_csv(assessment: &Assessment) -> Vec<u8> {
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(HEAD).expect("memory takes all");
    for entry in &assessment.reeds {
        let record = match entry {
            Ok(reed) => row(reed),
            Err(error) => bad_row(error),
        };
        table.write_record(record).expect("memory takes all");
    }
    table.into_inner().expect("memory takes all")
}

const HEAD: [&str; 28] = [
    "id",
    "note",
    "pitch_hz",
    "pitch_from",
    "cents_from_target",
    "plucked_hz",
    "onset_pa",
    "choke_pa",
    "soft_pa",
    "normal_pa",
    "hard_pa",
    "t50_soft_ms",
    "t50_normal_ms",
    "t50_hard_ms",
    "time_allowed_ms",
    "level_soft_db",
    "level_normal_db",
    "level_hard_db",
    "playable_low_pa",
    "playable_high_pa",
    "quality_factor",
    "soft_margin_log",
    "hard_margin_log",
    "time_margin_log",
    "verdict",
    "surety",
    "findings",
    "assumed",
];

fn row(assessed: &ReedAssessment) -> Vec<String> {
    let number = |value: Option<f64>, decimals: usize| value.map_or(String::new(), |v| format!("{v:.decimals$}"));
    let some = |value: f64, decimals: usize| number(Some(value), decimals);
    let of = |attack: &Attack, pick: fn(&Attack) -> Option<f64>, decimals| number(pick(attack), decimals);
    let (prediction, pitch) = (&assessed.prediction, &assessed.pitch);
    let pitch_from = serde_json::to_value(pitch.from).ok().and_then(|v| v.as_str().map(str::to_owned));
    let mut record = vec![
        assessed.reed.id.clone(),
        assessed.reed.note.to_string(),
        some(pitch.frequency_hz, 2),
        pitch_from.unwrap_or_default(),
        some(pitch.cents, 1),
        some(prediction.natural_frequency_hz, 2),
        number(prediction.onset_pa(), 1),
        number(prediction.speaking.choke.pressure_pa(), 0),
    ];
    record.extend(assessed.pressures.all().map(|p| some(p, 0)));
    record.extend(assessed.attacks.iter().map(|attack| of(attack, |a| a.t50_s.map(|t| 1e3 * t), 1)));
    record.push(some(1e3 * assessed.demand.allowed_s, 0));
    record.extend(assessed.attacks.iter().map(|attack| of(attack, |a| a.steady.map(|s| s.level.db), 1)));
    let margin_of = |of| number(assessed.margin(of).and_then(|margin| margin.value), 3);
    let sentences: Vec<_> = assessed.findings.iter().map(Finding::sentence).collect();
    let assumed: Vec<_> = assessed.reed.checked.assumed.iter().map(|a| format!("{} {}", a.key, a.value)).collect();
    record.extend([
        number(assessed.playable.map(|window| window.low.pressure_pa), 0),
        number(assessed.playable.map(|window| window.high.pressure_pa), 0),
        some(prediction.model.reed().quality_factor, 1),
        margin_of(MarginOf::Soft),
        margin_of(MarginOf::Hard),
        margin_of(MarginOf::Time),
        verdict(&assessed.findings),
        assessed.verdict().surety.words().to_owned(),
        sentences.join("; "),
        assumed.join("; "),
    ]);
    record
}

fn bad_row(error: &RowError) -> Vec<String> {
    let mut record = vec![String::new(); HEAD.len()];
    record[0] = error.name();
    record[HEAD.len() - 4] = if error.not_measured() { "not measured yet" } else { "not assessed" }.to_owned();
    record[HEAD.len() - 2] = error.to_string();
    record
}

/// The choke of a reed for a table, in kilopascal; `beyond` stands before the end of the search where there is none below it,
/// a dash for a reed that never speaks.
pub fn choke_kpa(reed: &ReedAssessment, beyond: &str) -> String {
    let speaking = &reed.prediction.speaking;
    let kilo = |pressure_pa: f64| units::significant(pressure_pa / 1e3, 3);
    match (speaking.onset, speaking.choke.pressure_pa()) {
        (None, _) => "-".to_owned(),
        (Some(_), Some(pressure_pa)) => kilo(pressure_pa),
        (Some(_), None) => format!("{beyond}{}", kilo(speaking.limit_pa)),
    }
}
