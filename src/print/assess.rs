//! An assessment as JSON and as a CSV table.

use serde_json::{Map, Value, json};

use super::json;
use crate::answer::edge;
use crate::instrument::{Assessment, Finding, IN_TUNE_CENTS, ReedAssessment};
use crate::physics::attack::Attack;
use crate::physics::coefficients::MODEL_VERSION;
use crate::sheet::{Job, RowError};

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
            "in_tune_cents": IN_TUNE_CENTS,
            "evenness": assessment.evenness,
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
        "verdict": verdict(&assessed.findings),
        "findings": assessed.findings.iter().map(finding).collect::<Vec<_>>(),
        "attacks": assessed.attacks.iter().map(json::attack).collect::<Vec<_>>(),
    }));
    all.extend(json::prediction(&assessed.prediction, &reed.checked));
    all
}

fn finding(finding: &Finding) -> Value {
    json!({ "kind": finding.kind(), "sentence": finding.sentence() })
}

/// The verdict in a word or two: "good", or what matters most.
pub fn verdict(findings: &[Finding]) -> String {
    match findings {
        [] => "good".to_owned(),
        [only] => only.kind().to_owned(),
        [first, rest @ ..] => format!("{}, +{}", first.kind(), rest.len()),
    }
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

const HEAD: [&str; 24] = [
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
    "verdict",
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
    let sentences: Vec<_> = assessed.findings.iter().map(Finding::sentence).collect();
    let assumed: Vec<_> = assessed.reed.checked.assumed.iter().map(|a| format!("{} {}", a.key, a.value)).collect();
    record.extend([
        number(assessed.playable.map(|window| window.low.pressure_pa), 0),
        number(assessed.playable.map(|window| window.high.pressure_pa), 0),
        some(prediction.model.reed().quality_factor, 1),
        verdict(&assessed.findings),
        sentences.join("; "),
        assumed.join("; "),
    ]);
    record
}

fn bad_row(error: &RowError) -> Vec<String> {
    let mut record = vec![String::new(); HEAD.len()];
    record[0] = error.name();
    record[HEAD.len() - 3] = if error.not_measured() { "not measured yet" } else { "not assessed" }.to_owned();
    record[HEAD.len() - 2] = error.to_string();
    record
}
