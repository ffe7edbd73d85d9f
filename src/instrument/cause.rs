//! Why a reed fails: which single change would mend it.

use crate::physics::attack::{Blow, Promptness};
use crate::physics::{Profile, Reed, ReedModel, RestShape};
use crate::sheet::{Job, Note};
use crate::study::Trend;

use super::assess::ReedAssessment;

/// What, if it were as on the neighbours, would let the reed speak in time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Cause {
    /// The tip gap is wider than its neighbours' would be at this note (both m).
    GapTooWide {
        /// Its gap.
        gap_m: f64,
        /// The gap the run of its neighbours has here.
        usual_m: f64,
    },
    /// The tip gap is closer than its neighbours'.
    GapTooClose {
        /// Its gap.
        gap_m: f64,
        /// The gap the run of its neighbours has here.
        usual_m: f64,
    },
    /// A stray leak: valve, comb or plate (m2).
    Leak {
        /// Effective area.
        area_m2: f64,
    },
    /// The slot is wider than its neighbours' (both m).
    Clearance {
        /// Mean side clearance.
        clearance_m: f64,
        /// What the run of its neighbours has here.
        usual_m: f64,
    },
    /// No one of these alone: the tongue, its loss or its chamber.
    TongueOrChamber,
    /// None of what can be judged by itself, and too few reeds to tell what gap and slot are usual.
    NothingToCompare,
}

/// The run of gap and clearance over the set: a straight line of the logarithm over pitch, robust against odd reeds.
#[derive(Debug, Clone)]
pub struct Neighbours {
    gap: Option<Trend>,
    clearance: Option<Trend>,
}

/// Departure from the run that counts.
const ODD: f64 = 0.1;

impl Neighbours {
    /// The run of a job's good rows.
    pub fn of(job: &Job) -> Self {
        let reeds: Vec<_> = job.reeds.iter().flatten().collect();
        let line = |value: fn(&Reed) -> f64| {
            let point = |reed: &&crate::sheet::JobReed| (f64::from(reed.note.midi()), value(&reed.checked.reed));
            let points: Vec<_> =
                reeds.iter().map(point).filter(|point| point.1 > 0.0).map(|(x, y)| (x, y.ln())).collect();
            Trend::through(&points)
        };
        Self { gap: line(tip_gap_m), clearance: line(mean_clearance_m) }
    }

    /// Usual tip gap at a note (m).
    pub fn gap_m(&self, note: Note) -> Option<f64> {
        self.gap.as_ref().map(|line| line.at(f64::from(note.midi())).exp())
    }

    /// Usual side clearance at a note (m).
    pub fn clearance_m(&self, note: Note) -> Option<f64> {
        self.clearance.as_ref().map(|line| line.at(f64::from(note.midi())).exp())
    }
}

/// Height of the tip above the plate at rest (m).
pub(super) fn tip_gap_m(reed: &Reed) -> f64 {
    reed.rest.height_m(reed.beam.length_m, reed.beam.length_m)
}

/// Mean of both sides' clearance, along the reed (m).
pub(super) fn mean_clearance_m(reed: &Reed) -> f64 {
    let length = reed.beam.length_m;
    let mean = |profile: &Profile| (0..=8).map(|k| profile.at(length * f64::from(k) / 8.0)).sum::<f64>() / 9.0;
    0.5 * (mean(&reed.slot.left_clearance_m) + mean(&reed.slot.right_clearance_m))
}

/// Which single change would let the reed speak in time at `pressure_pa`; of several, the one that lets it grow fastest.
pub(super) fn cause_at(pressure_pa: f64, assessed: &ReedAssessment, neighbours: &Neighbours) -> Cause {
    let mended = candidates(assessed, neighbours).into_iter().filter_map(|(cause, reed)| {
        let model = ReedModel::new(reed).ok()?;
        let growth = model.growth(&[pressure_pa])[0].map_or(f64::NEG_INFINITY, |growth| growth.growth_per_s);
        let blow = Blow { pressure_pa, rise_s: assessed.demand.rise_s };
        let trial = model.trial(&blow, assessed.demand.allowed_s, growth);
        (trial.promptness == Promptness::InTime).then_some((cause, growth))
    });
    let none = if neighbours.clearance.is_some() { Cause::TongueOrChamber } else { Cause::NothingToCompare };
    mended.max_by(|a, b| a.1.total_cmp(&b.1)).map_or(none, |(cause, _)| cause)
}

fn candidates(assessed: &ReedAssessment, neighbours: &Neighbours) -> Vec<(Cause, Reed)> {
    let reed = &assessed.reed.checked.reed;
    let note = assessed.reed.note;
    let mut all = Vec::new();
    let gap_m = tip_gap_m(reed);
    if let Some(usual_m) = neighbours.gap_m(note).filter(|usual| (gap_m / usual - 1.0).abs() > ODD) {
        let wide = gap_m > usual_m;
        let cause = if wide { Cause::GapTooWide { gap_m, usual_m } } else { Cause::GapTooClose { gap_m, usual_m } };
        all.push((cause, with_gap(reed, usual_m)));
    }
    if reed.slot.leak_area_m2 > 0.0 {
        let mut tight = reed.clone();
        tight.slot.leak_area_m2 = 0.0;
        all.push((Cause::Leak { area_m2: reed.slot.leak_area_m2 }, tight));
    }
    let clearance_m = mean_clearance_m(reed);
    if let Some(usual_m) = neighbours.clearance_m(note).filter(|usual| clearance_m / usual - 1.0 > ODD) {
        let mut closed = reed.clone();
        closed.slot.left_clearance_m = Profile::constant(usual_m);
        closed.slot.right_clearance_m = Profile::constant(usual_m);
        all.push((Cause::Clearance { clearance_m, usual_m }, closed));
    }
    all
}

/// The reed with its tip at another height, its rest shape raised in proportion along the reed.
fn with_gap(reed: &Reed, gap_m: f64) -> Reed {
    let length = reed.beam.length_m;
    let rise = gap_m - tip_gap_m(reed);
    let rest = match &reed.rest {
        RestShape::Power { root_gap_m, exponent, .. } => {
            RestShape::Power { root_gap_m: *root_gap_m, tip_gap_m: gap_m, exponent: *exponent }
        }
        RestShape::Stations(stations) => {
            RestShape::Stations(stations.iter().map(|&(s, y)| (s, y + rise * (s / length).powi(2))).collect())
        }
    };
    Reed { rest, ..reed.clone() }
}
