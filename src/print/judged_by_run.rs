//! What is said of a set that is judged by its run.

use super::to_measure::Unknown;
use crate::instrument::Assessment;
use crate::sheet::Job;

/// That the set is judged by its run, and why: a sentence without its point; nothing where what the player asks stands.
pub fn why_by_run(assessment: &Assessment) -> Option<String> {
    let (failing, count) = (assessment.fail_alike?, assessment.good_rows().count());
    Some(format!(
        "{failing} of {count} reeds do not do what this player is said to ask. So many alike speak of what is asked or \
         assumed, not of the reeds: they are judged by the run of the set instead"
    ))
}

/// The same, with what would tell more.
pub fn judged_by_run(job: &Job, assessment: &Assessment) -> Option<String> {
    let why = why_by_run(assessment)?;
    let assumed = Unknown::OF_THE_SET.into_iter().filter(|unknown| unknown.is_assumed(job, assessment));
    let measure: Vec<&str> = assumed.map(Unknown::words).collect();
    let measure = if measure.is_empty() {
        "measure again what the player is said to ask".to_owned()
    } else {
        format!("to know more, measure {}", measure.join("; "))
    };
    Some(format!("{why}; {measure}."))
}
