//! The levels of a set as a chart.

use super::set::{label, set_name, small_print};
use crate::chart::{LevelsChart, LevelsReed};
use crate::instrument::{Assessment, HEARD_DB, ReedAssessment, beyond_scatter};
use crate::sheet::Job;

/// The level of each reed at normal playing over the notes of a set, beside the run of its neighbours.
pub fn levels_chart(job: &Job, assessment: &Assessment) -> LevelsChart {
    let one = |reed: &ReedAssessment| {
        let level_db = reed.attacks[1].steady.as_ref().map(|steady| steady.level.db);
        let run_db = level_db.zip(reed.level_off_db).map(|(level, off)| level - off);
        LevelsReed { reed: label(reed), level_db, run_db }
    };
    LevelsChart {
        set_name: set_name(job),
        reeds: assessment.good_rows().map(one).collect(),
        passes_db: beyond_scatter(HEARD_DB, assessment.good_rows().filter_map(|reed| reed.level_off_db)),
        small_print: small_print(job, assessment),
    }
}
