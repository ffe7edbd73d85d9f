//! The gaps of a balanced set as a chart.

use crate::chart::{GapsChart, GapsReed, ReedLabel};
use crate::instrument::balance::{Balance, ReedBalance, Verdict};
use crate::physics::coefficients::MODEL_VERSION;
use crate::sheet::Job;
use crate::units;

/// The gap now, wanted and best alone over the notes of a set.
pub fn gaps_chart(job: &Job, balance: &Balance) -> GapsChart {
    GapsChart {
        set_name: job.instrument.name.clone().unwrap_or_else(|| "This set".to_owned()),
        reeds: balance.good_rows().map(gaps_reed).collect(),
        small_print: format!(
            "Model {MODEL_VERSION}. Gaps in steps of {}; an even run weighs {}. Order of gaps: sure; how much each matters: \
             fair.",
            units::metres(balance.step_m),
            units::significant(balance.smooth, 2)
        ),
    }
}

fn gaps_reed(reed: &ReedBalance) -> GapsReed {
    GapsReed {
        reed: ReedLabel {
            id: reed.id.clone(),
            hole: reed.hole,
            note: reed.note.to_string(),
            midi_note: reed.note.midi(),
            breath: reed.breath,
            slide: reed.slide,
        },
        now_m: reed.now.gap_m,
        wanted_m: reed.wanted.gap_m,
        alone_m: reed.alone.gap_m,
        is_left: reed.verdict == Verdict::Leave,
        suits: !matches!(reed.verdict, Verdict::NoGap(_)),
    }
}
