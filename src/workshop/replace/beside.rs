//! The neighbours of a reed in its set: how long they are and from where they speak, at its note.

use rayon::prelude::*;

use crate::physics::ReedModel;
use crate::physics::onset::Search;
use crate::sheet::{Job, JobReed, NEAR_SEMITONES};
use crate::trend::Trend;

/// What the run of the neighbours has at the reed's note; nothing where there are too few.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Beside {
    /// Length (m).
    pub length_m: Option<f64>,
    /// Onset pressure (Pa).
    pub onset_pa: Option<f64>,
    /// How many neighbours there are.
    pub count: usize,
}

impl Beside {
    /// Of the reed called `id` in a job; that reed itself does not count.
    pub fn of(job: &Job, id: &str) -> Self {
        let Some(own) = job.reeds.iter().flatten().find(|reed| reed.id == id) else { return Self::default() };
        let midi = own.note.midi();
        let near: Vec<&JobReed> = job
            .reeds
            .iter()
            .flatten()
            .filter(|reed| reed.id != id && (reed.note.midi() - midi).abs() <= NEAR_SEMITONES)
            .collect();
        let run = |points: &[(f64, f64)]| Trend::through(points).map(|trend| trend.at(f64::from(midi)).exp());
        let point = |reed: &JobReed, value: f64| (f64::from(reed.note.midi()), value.ln());
        let lengths: Vec<_> = near.iter().map(|reed| point(reed, reed.checked.reed.beam.length_m)).collect();
        let onset = |reed: &&JobReed| {
            let model = ReedModel::new(reed.checked.reed.clone()).ok()?;
            Some(point(reed, model.speaking(&Search::default()).onset?.pressure_pa))
        };
        let onsets: Vec<_> = near.par_iter().filter_map(onset).collect();
        Self { length_m: run(&lengths), onset_pa: run(&onsets), count: near.len() }
    }
}
