//! The levels of a set as a chart.

use super::set::{label, set_name, small_print};
use crate::chart::{LevelsChart, LevelsReed};
use crate::instrument::{Assessment, ReedAssessment};
use crate::sheet::Job;
use crate::study::{Trend, median};

/// So many reeds nearest in pitch make the run.
const NEIGHBOURS: usize = 8;
/// What is let pass at least (dB): differences in level under a decibel or so are hardly heard (from memory: the just
/// noticeable difference is 0.5 to 1 dB; Zwicker and Fastl, Psychoacoustics, ch. 7).
const PASSES_DB: f64 = 1.0;
/// Standard deviations of the set's own scatter that are let pass.
const SCATTERS: f64 = 3.0;
/// Standard deviation of a normal distribution over its median absolute deviation (any book on robust statistics).
const BY_MEDIAN: f64 = 1.4826;

/// The level of each reed at normal playing over the notes of a set, beside the run of its neighbours: a straight line over
/// pitch, robust against odd reeds, through the eight others nearest in pitch.
pub fn levels_chart(job: &Job, assessment: &Assessment) -> LevelsChart {
    let assessed: Vec<&ReedAssessment> = assessment.good_rows().collect();
    let one = |(place, reed): (usize, &&ReedAssessment)| LevelsReed {
        reed: label(reed),
        level_db: level_db(reed),
        run_db: run_db(place, &assessed),
    };
    let reeds: Vec<LevelsReed> = assessed.iter().enumerate().map(one).collect();
    let off = reeds.iter().filter_map(|reed| Some((reed.level_db? - reed.run_db?).abs()));
    let scatter = BY_MEDIAN * median(off.collect()).unwrap_or(0.0);
    LevelsChart {
        set_name: set_name(job),
        reeds,
        passes_db: PASSES_DB.max(SCATTERS * scatter),
        small_print: small_print(job, assessment),
    }
}

fn level_db(reed: &ReedAssessment) -> Option<f64> {
    reed.attacks[1].steady.as_ref().map(|steady| steady.level.db)
}

/// What the run has in the place of a reed (dB).
fn run_db(place: usize, reeds: &[&ReedAssessment]) -> Option<f64> {
    let midi = |reed: &ReedAssessment| reed.reed.note.midi();
    let own = midi(reeds[place]);
    let others = reeds.iter().enumerate().filter(|(k, _)| *k != place);
    let mut others: Vec<(i32, f64)> = others.filter_map(|(_, other)| Some((midi(other), level_db(other)?))).collect();
    others.sort_by_key(|(midi, _)| (midi - own).abs());
    others.truncate(NEIGHBOURS);
    let points: Vec<(f64, f64)> = others.into_iter().map(|(midi, db)| (f64::from(midi), db)).collect();
    Trend::through(&points).map(|run| run.at(f64::from(own)))
}
