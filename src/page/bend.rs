//! Another gap as steps for the hands.

use serde_json::{Value, json};

use super::attempt::NoAttempt;
use super::bench::Bench;
use super::reed::Subject;
use crate::print::in_words::in_words;
use crate::workshop::regap::{RegapOptions, WantedGap, regap};

/// Range of a gap (m), as it can be asked for.
const GAPS_M: std::ops::RangeInclusive<f64> = -0.5e-3..=3e-3;

/// The plan of a bend to a gap (mm), or why there is none.
///
/// # Errors
/// There is no such reed.
pub(super) fn bend(bench: &Bench, id: &str, to_mm: f64) -> Result<Value, NoAttempt> {
    let subject = bench.look(|opened| Subject::find(opened, id)).ok_or(NoAttempt::NoSuchReed)?;
    let gap_m = 1e-3 * to_mm;
    if !GAPS_M.contains(&gap_m) {
        return Ok(json!({ "refused": "a tip gap is -0.5 to 3 mm" }));
    }
    let options = RegapOptions::to(WantedGap::Gap(gap_m), subject.conditions);
    Ok(match regap(&subject.checked, &options) {
        Ok(plan) => {
            let steps = plan.steps();
            json!({
                "title": plan.title(),
                "steps": steps.steps,
                "stop": steps.stop,
                "cautions": plan.cautions().iter().map(crate::workshop::Caution::sentence).collect::<Vec<_>>(),
            })
        }
        Err(refusal) => json!({ "refused": in_words(&refusal.to_string()) }),
    })
}
