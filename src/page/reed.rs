//! One reed: one sentence, one action, the reasons, what to measure next, and what was computed of it.

use serde_json::{Value, json};

use super::knobs::knobs;
use super::opened::{Opened, WhatIsOpen};
use super::shares::shares;
use crate::answer::Conditions;
use crate::instrument::{Pressures, ReedAssessment};
use crate::print::in_short::what_is_wrong;
use crate::print::in_words::in_words;
use crate::sheet::{CheckedReed, Job, JobReed, Tuning};
use crate::units;

/// A reed that something is asked of: of a job, or by itself.
#[derive(Debug, Clone)]
pub(super) struct Subject {
    pub(super) name: String,
    pub(super) checked: CheckedReed,
    pub(super) conditions: Conditions,
    pub(super) tuning: Tuning,
    /// Soft, normal and hard pressure of its player (Pa).
    pub(super) pressures_pa: Option<[f64; 3]>,
    /// Changes with what is typed.
    pub(super) revision: u64,
}

impl Subject {
    /// The reed of this name; of a reed by itself whatever the name.
    pub(super) fn find(opened: &Opened, id: &str) -> Option<Self> {
        match &opened.what {
            WhatIsOpen::Nothing { .. } => None,
            WhatIsOpen::Reed { reed, .. } => Some(Self {
                name: "this reed".to_owned(),
                checked: (**reed).clone(),
                conditions: Conditions::default(),
                tuning: Tuning::default(),
                pressures_pa: None,
                revision: 0,
            }),
            WhatIsOpen::Job(open) => {
                let reed = open.job.reeds.iter().flatten().find(|reed| reed.id == id)?;
                Some(Self::of(&open.job, reed, open.revision))
            }
        }
    }

    fn of(job: &Job, reed: &JobReed, revision: u64) -> Self {
        Self {
            name: format!("{} ({})", reed.id, reed.note),
            checked: reed.checked.clone(),
            conditions: Conditions::of(&job.player, reed.note),
            tuning: job.instrument.tuning.clone(),
            pressures_pa: Some(Pressures::of(&job.player, reed.note).all()),
            revision,
        }
    }
}

/// What the page shows of one reed; none where it cannot be solved.
pub(super) fn reed(opened: &Opened, id: &str) -> Option<Value> {
    let subject = Subject::find(opened, id)?;
    let mut all = json!({
        "id": id,
        "name": subject.name,
        "knobs": knobs(&subject.checked),
        "notes": subject.checked.notes,
        "assumed": subject.checked.assumed.iter().map(|it| format!("{} {}", in_words(&it.key), it.value)).collect::<Vec<_>>(),
        "pressures_pa": subject.pressures_pa,
    });
    if let Some((assessed, sure)) = opened.job().and_then(|open| open.assessed(id)) {
        let job = opened.job().map(|open| &open.job)?;
        let (sentence, action) = told(job, assessed);
        all["sentence"] = json!(sentence);
        all["action"] = json!(action);
        all["sure"] = json!(sure);
        all["reasons"] = assessed
            .findings
            .iter()
            .map(|it| json!({ "words": in_words(&it.sentence()), "surety": it.surety(assessed).words() }))
            .collect();
        all["word"] = json!(assessed.players_word());
        all["facts"] = json!(facts(assessed));
        all["shares"] = json!(shares(assessed).filter(|_| sure));
    }
    Some(all)
}

/// What is so, and what to do about it.
fn told(job: &Job, reed: &ReedAssessment) -> (String, String) {
    let Some(whole) = what_is_wrong(job, reed) else {
        let verdict = reed.verdict();
        return if reed.findings.is_empty() {
            (format!("Suits its player ({}).", verdict.surety.words()), "Leave it as it is.".to_owned())
        } else {
            ("It cannot be told whether it suits.".to_owned(), "Measure more of it: see below.".to_owned())
        };
    };
    let whole = in_words(&whole);
    match whole.rsplit_once(": ") {
        Some((what, action)) => (sentence(what), sentence(action)),
        None => (sentence(&whole), String::new()),
    }
}

/// A capital letter in front, a point behind.
fn sentence(text: &str) -> String {
    let bare = text.trim().trim_end_matches('.');
    if bare.is_empty() { String::new() } else { format!("{}.", crate::units::capital(bare)) }
}

/// What was computed, beside what is asked.
fn facts(reed: &ReedAssessment) -> Vec<[String; 3]> {
    let row = |what: &str, own: String, asked: String| [what.to_owned(), own, asked];
    let speaks = |k: usize| {
        reed.attacks[k]
            .t50_s
            .map_or("does not speak".to_owned(), |time| format!("speaks after {}", units::seconds(time)))
    };
    let allowed = format!("{} allowed", units::seconds(reed.demand.allowed_s));
    let pressures = reed.pressures.all();
    let at =
        |k: usize, name: &str| row(&format!("{name}, {}", units::pascal(pressures[k])), speaks(k), allowed.clone());
    let window = reed.playable.map_or("at no pressure".to_owned(), |window| {
        format!("{} to {}", units::pascal(window.low.pressure_pa), units::pascal(window.high.pressure_pa))
    });
    let asked = format!("{} to {}", units::pascal(reed.asked.soft_pa.value), units::pascal(reed.asked.hard_pa.value));
    let onset = reed.prediction.onset_pa().map_or("never".to_owned(), units::pascal);
    vec![
        row("starts from", onset, String::new()),
        row("speaks in time", window, asked),
        at(0, "soft"),
        at(1, "normal"),
        at(2, "hard"),
        row("pitch", units::cents(reed.pitch.cents), "from its target".to_owned()),
    ]
}
