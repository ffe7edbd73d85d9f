//! How even blow and draw, slide out and slide in are beside each other.

use serde::Serialize;

use super::assess::ReedAssessment;
use super::run::OffRun;
use crate::sheet::{Breath, Slide};
use crate::trend::median;

/// The middle reed of a group beside the run of the set, so that what pitch alone does is left out.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GroupEvenness {
    /// "blow", "draw", "slide out" or "slide in".
    pub group: &'static str,
    /// Reeds in it.
    pub reeds: usize,
    /// `ln` of onset over what the run has there.
    pub onset_off_log: Option<f64>,
    /// The same of the speaking time at the normal pressure.
    pub time_off_log: Option<f64>,
    /// Level at the normal pressure beside the run (dB).
    pub level_off_db: Option<f64>,
}

impl GroupEvenness {
    /// Onset, time and level beside the run, each with its unit; a dash where none can be told.
    pub fn words(&self) -> [String; 3] {
        let percent =
            |off: Option<f64>| off.map_or("-".to_owned(), |off| format!("{:+.0} %", 100.0 * off.exp_m1() + 0.0));
        let level = self.level_off_db.map_or("-".to_owned(), |off| format!("{off:+.1} dB"));
        [percent(self.onset_off_log), percent(self.time_off_log), level]
    }
}

/// The four groups, those of which nothing can be told left out; `off` holds onset, time and level off the run.
pub(super) fn groups(reeds: &[&ReedAssessment], off: &[Vec<Option<OffRun>>; 3]) -> Vec<GroupEvenness> {
    type Is = fn(&ReedAssessment) -> bool;
    let all: [(&str, Is); 4] = [
        ("blow", |reed| reed.reed.breath == Breath::Blow),
        ("draw", |reed| reed.reed.breath == Breath::Draw),
        ("slide out", |reed| reed.reed.slide == Slide::Out),
        ("slide in", |reed| reed.reed.slide == Slide::In),
    ];
    let group = |(group, is): (&'static str, Is)| {
        let members: Vec<usize> = (0..reeds.len()).filter(|&k| is(reeds[k])).collect();
        let middle =
            |off: &[Option<OffRun>]| median(members.iter().filter_map(|&k| off[k].map(|run| run.off)).collect());
        let [onset_off_log, time_off_log, level_off_db] = [0, 1, 2].map(|k| middle(&off[k]));
        GroupEvenness { group, reeds: members.len(), onset_off_log, time_off_log, level_off_db }
    };
    let told = |group: &GroupEvenness| group.onset_off_log.is_some() || group.level_off_db.is_some();
    all.into_iter().map(group).filter(told).collect()
}
