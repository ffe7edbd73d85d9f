//! What is said of a set that is judged by its run.

use crate::instrument::Assessment;
use crate::sheet::Job;

/// That the set is judged by its run, why, and what would tell more; nothing where what the player asks stands.
pub fn judged_by_run(job: &Job, assessment: &Assessment) -> Option<String> {
    let (failing, count) = (assessment.fail_alike?, assessment.good_rows().count());
    let of_player = |names: &[&str]| {
        let named = |key: &str| names.iter().any(|name| key.strip_prefix("player.") == Some(name));
        job.assumed.iter().any(|assumed| named(&assumed.key))
    };
    let of_reeds = |name: &str| {
        assessment.good_rows().any(|reed| reed.reed.checked.assumed.iter().any(|assumed| assumed.key.contains(name)))
    };
    let doubts = [
        (of_player(&["soft_pa", "normal_pa", "hard_pa"]), "the player's pressures with a water gauge"),
        (of_player(&["time_allowed_ms"]), "how quick the music is"),
        (of_reeds("volume_mm3"), "a chamber and its channel"),
        (of_reeds("quality_factor"), "the ring-down of a few reeds"),
    ];
    let measure: Vec<&str> = doubts.into_iter().filter_map(|(assumed, what)| assumed.then_some(what)).collect();
    let measure = if measure.is_empty() {
        "measure again what the player is said to ask".to_owned()
    } else {
        format!("to know more, measure {}", measure.join("; "))
    };
    Some(format!(
        "{failing} of {count} reeds do not do what this player is said to ask. So many alike speak of what is asked or \
         assumed, not of the reeds: they are judged by the run of the set instead; {measure}."
    ))
}
