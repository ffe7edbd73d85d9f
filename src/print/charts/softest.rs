//! How softly the reeds of a set start, as a chart.

use super::set::{label, set_name, small_print};
use crate::chart::{SoftestChart, SoftestReed};
use crate::instrument::{Assessment, ReedAssessment};
use crate::sheet::Job;

/// The softest blow of each reed, as measured and as computed, beside the player's soft.
pub fn softest_chart(job: &Job, assessment: &Assessment) -> SoftestChart {
    let one = |reed: &ReedAssessment| SoftestReed {
        reed: label(reed),
        measured_pa: reed.reed.checked.measured.softest_blow_pa,
        computed_pa: reed.playable.map(|window| window.low.pressure_pa),
        soft_pa: reed.pressures.soft_pa,
    };
    SoftestChart {
        set_name: set_name(job),
        reeds: assessment.good_rows().map(one).collect(),
        small_print: small_print(job, assessment),
    }
}
