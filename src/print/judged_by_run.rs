//! What is said of a set that fails alike.

use super::to_measure::Unknown;
use crate::instrument::balance::UPPER_END_BY_GAP;
use crate::instrument::{Assessment, ReedAssessment};
use crate::sheet::Job;
use crate::trend::{Trend, median};
use crate::units::significant;

/// That the set is judged by its run, and why: a sentence without its point; nothing where what the player asks stands.
pub fn why_by_run(assessment: &Assessment) -> Option<String> {
    let (failing, count) = (assessment.fail_alike?, assessment.good_rows().count());
    Some(format!(
        "{failing} of {count} reeds fail what this player is said to ask: so many alike speak of what is asked or assumed, \
         so each is judged by the run of the set"
    ))
}

/// How many are late at which pressure, and what would have to be otherwise: the pressures, or the gaps of them all. A
/// sentence.
pub fn would_do(assessment: &Assessment) -> String {
    let late = |playing: usize| assessment.good_rows().filter(move |reed| reed.is_late(playing));
    let [soft, normal, hard] = [0, 1, 2].map(|index| late(index).count());
    let middle = |ratios: Vec<f64>| Some(ratios).filter(|all| all.len() >= Trend::FEWEST).and_then(median);
    let low = |reed: &ReedAssessment| reed.playable.map(|window| window.low.pressure_pa / reed.pressures.soft_pa);
    let softer = match middle(late(0).map(|reed| low(reed).unwrap_or(f64::INFINITY)).collect()) {
        Some(times) if times.is_finite() => {
            format!(" (half would do with {} times that pressure)", significant(times.max(1.0), 2))
        }
        Some(_) => " (most at any pressure: is the time allowed right?)".to_owned(),
        None => String::new(),
    };
    let high = |reed: &ReedAssessment| reed.playable.map(|window| window.high.pressure_pa / reed.pressures.hard_pa);
    let share = middle(late(2).filter_map(high).collect()).filter(|share| *share < 1.0);
    let harder = share.map_or(String::new(), |share| {
        let wider = significant(share.powf(-1.0 / UPPER_END_BY_GAP), 2);
        format!(" (half would do with {} of it, or with gaps {wider} times as wide)", significant(share, 2))
    });
    format!("Late: {soft} at soft{softer}, {normal} at normal, {hard} at hard{harder}.")
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
    Some(format!("{why}; {measure}. {}", would_do(assessment)))
}

/// That the softest blows are off what is computed, all alike: a sentence without its point.
pub fn blown_off(assessment: &Assessment) -> Option<String> {
    let times = assessment.blown_off?;
    let (times, what) =
        if times > 1.0 { (times, "times the softest playable pressures") } else { (times, "of the onsets") };
    Some(format!(
        "The softest blows are {} {what} that are computed, over the whole set: no single reed is to blame; look at how they \
         were read (hose, manometer, how slowly the pressure rose) and at what is assumed of player and air",
        significant(times, 2)
    ))
}
