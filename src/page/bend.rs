//! Another gap as steps for the hands.

use serde_json::{Value, json};

use super::attempt::NoAttempt;
use super::bench::Bench;
use super::reed::Subject;
use crate::print::in_words::in_words;
use crate::sheet::keys;
use crate::workshop::Caution;
use crate::workshop::regap::{RegapOptions, WantedGap, regap};

/// The plan of a bend to a gap (mm), or why there is none.
///
/// # Errors
/// There is no such reed.
pub(super) fn bend(bench: &Bench, id: &str, to_mm: f64) -> Result<Value, NoAttempt> {
    let subject = bench.look(|opened| Subject::find(opened, id)).ok_or(NoAttempt::NoSuchReed)?;
    if let Some(key) = keys::find("tip_gap_mm").filter(|key| !(key.least..=key.most).contains(&to_mm)) {
        return Ok(json!({ "refused": format!("a tip gap is {}", key.bounds_text()) }));
    }
    let options = RegapOptions::to(WantedGap::Gap(1e-3 * to_mm), subject.conditions);
    Ok(match regap(&subject.checked, &options) {
        Ok(plan) => {
            let steps = plan.steps();
            json!({
                "title": plan.title(),
                "steps": steps.steps,
                "stop": steps.stop,
                "cautions": Caution::sentences(&plan.cautions()),
            })
        }
        Err(refusal) => json!({ "refused": in_words(&refusal.to_string()) }),
    })
}
