//! What is said of a set that is judged by its run.

use super::to_measure::Unknown;
use crate::instrument::balance::UPPER_END_BY_GAP;
use crate::instrument::{Assessment, ReedAssessment};
use crate::sheet::Job;
use crate::study::{Trend, median};
use crate::units::significant;

/// That the set is judged by its run, and why: a sentence without its point; nothing where what the player asks stands.
pub fn why_by_run(assessment: &Assessment) -> Option<String> {
    let (failing, count) = (assessment.fail_alike?, assessment.good_rows().count());
    Some(format!(
        "{failing} of {count} reeds do not do what this player is said to ask. So many alike speak of what is asked or \
         assumed, not of the reeds: they are judged by the run of the set instead"
    ))
}

/// What would have to be otherwise for the late reeds to speak in time: the pressures, or the gaps of them all. Sentences.
pub fn would_do(assessment: &Assessment) -> Vec<String> {
    let late = |index: usize| {
        let is_late =
            move |reed: &&ReedAssessment| reed.attacks[index].t50_s.is_none_or(|t50_s| t50_s > reed.demand.allowed_s);
        assessment.good_rows().filter(is_late)
    };
    let [soft, normal, hard] = [0, 1, 2].map(|index| late(index).count());
    let mut lines = vec![format!("Late or silent: {soft} at soft, {normal} at normal, {hard} at hard.")];
    let middle = |ratios: Vec<f64>| Some(ratios).filter(|all| all.len() >= Trend::FEWEST).and_then(median);
    let low = |reed: &ReedAssessment| reed.playable.map(|window| window.low.pressure_pa / reed.pressures.soft_pa);
    match middle(late(0).map(|reed| low(reed).unwrap_or(f64::INFINITY)).collect()) {
        Some(times) if times.is_finite() => lines.push(format!(
            "Half of those late at soft would do with {} times that pressure: is it what the player blows?",
            significant(times.max(1.0), 2)
        )),
        Some(_) => {
            lines.push("Most of those late at soft are too slow at any pressure: is the time allowed right?".to_owned())
        }
        None => {}
    }
    let high = |reed: &ReedAssessment| reed.playable.map(|window| window.high.pressure_pa / reed.pressures.hard_pa);
    if let Some(share) = middle(late(2).filter_map(high).collect()).filter(|share| *share < 1.0) {
        lines.push(format!(
            "Half of those that fail at hard would do with {} of that pressure; or all gaps are close: some {} times as wide \
             would do.",
            significant(share, 2),
            significant(share.powf(-1.0 / UPPER_END_BY_GAP), 2)
        ));
    }
    lines
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
    Some(format!("{why}; {measure}. {}", would_do(assessment).join(" ")))
}
