//! What was tried as steps for the hands: another gap is bent, another pitch is filed or weighed.

use serde_json::{Value, json};

use super::attempt::{NoAttempt, changed};
use super::bench::Bench;
use super::reed::Subject;
use crate::answer::{Quantity, Solved};
use crate::print::in_words::in_words;
use crate::sheet::{CheckedReed, keys, notes};
use crate::study::changed::tip_gap_m;
use crate::workshop::regap::{RegapOptions, WantedGap, regap};
use crate::workshop::retune::{Method, RetuneOptions, Target, retune};
use crate::workshop::{Caution, Steps};

/// Keys that another gap is, that filing changes, and that a weight is.
const GAP: &str = "reed.tip_gap_mm";
const FILED: &str = "reed.thickness_mm";
const WEIGHED: &str = "reed.tip_mass_mg";

/// The plans for a change, one for each operation that it takes, and what no operation of the page makes.
///
/// # Errors
/// There is no such reed, or the change is wrong.
pub(super) fn plans(bench: &Bench, id: &str, set: &[(String, String)]) -> Result<Value, NoAttempt> {
    let subject = bench.look(|opened| Subject::find(opened, id)).ok_or(NoAttempt::NoSuchReed)?;
    changed(&subject, set)?;
    let mut plans = Vec::new();
    for (key, method) in [(FILED, Method::File), (WEIGHED, Method::Weight)] {
        if let Some(part) = set.iter().find(|(known, _)| known == key) {
            let after = changed(&subject, std::slice::from_ref(part))?;
            plans.push(pitch(&subject, &after, method));
        }
    }
    // A tongue is filed before its gap is set: filing bends it a little.
    if let Some(part) = set.iter().find(|(known, _)| known == GAP) {
        plans.push(gap(&subject, tip_gap_m(&changed(&subject, std::slice::from_ref(part))?.reed)));
    }
    let others = set.iter().filter(|(key, _)| ![GAP, FILED, WEIGHED].contains(&key.as_str()));
    let others: Vec<String> = others.filter_map(|(key, _)| Some(keys::find(key)?.words())).collect();
    Ok(json!({ "plans": plans, "others": others }))
}

fn gap(subject: &Subject, wanted_m: f64) -> Value {
    let plan = regap(&subject.checked, &RegapOptions::to(WantedGap::Gap(wanted_m), subject.conditions));
    told(plan.map(|plan| (plan.title(), plan.steps(), plan.cautions())))
}

/// The plan to the pitch that the changed reed would have when plucked.
fn pitch(subject: &Subject, after: &CheckedReed, method: Method) -> Value {
    let pluck_hz = |checked: &CheckedReed| {
        let solved = Solved::with_window_like(&checked.reed, &[Quantity::Plucked], &subject.conditions, 1.0, None);
        solved.expect("a checked reed can be solved").answer(Quantity::Plucked).value
    };
    let cents = pluck_hz(after).zip(pluck_hz(&subject.checked)).map_or(0.0, |(to, from)| notes::cents(to, from));
    let options = RetuneOptions { method, ..RetuneOptions::to(Target::Cents(cents), subject.conditions.pressure_pa) };
    let plan = retune(&subject.checked, &options);
    told(plan.map(|plan| (plan.title(), plan.steps(), plan.cautions())))
}

/// An operation as the page tells it.
fn told<E: std::fmt::Display>(plan: Result<(String, Steps, Vec<Caution>), E>) -> Value {
    match plan {
        Ok((title, steps, cautions)) => json!({
            "title": title,
            "steps": steps.steps.iter().map(|step| in_words(step)).collect::<Vec<_>>(),
            "stop": in_words(&steps.stop),
            "cautions": Caution::sentences(&cautions),
        }),
        Err(refusal) => json!({ "refused": in_words(&refusal.to_string()) }),
    }
}
