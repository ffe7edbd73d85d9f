//! Every reed of a job against its player.

use rayon::prelude::*;
use serde::Serialize;

use super::cause::Neighbours;
use super::evenness::{OctaveEvenness, evenness};
use super::finding::{Finding, findings};
use crate::answer::{Conditions, swing_scale};
use crate::physics::attack::{Attack, Blow, Stop};
use crate::physics::onset::Search;
use crate::physics::playable::{Demand, Playable};
use crate::predict::{Prediction, Question};
use crate::sheet::{Job, JobReed, Note, PlayerProfile, RowError, notes};

/// The player's three pressures at one note (Pa).
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Pressures {
    /// Playing softly.
    pub soft_pa: f64,
    /// Playing as usual.
    pub normal_pa: f64,
    /// Playing hard.
    pub hard_pa: f64,
}

impl Pressures {
    /// A player's, at a note.
    pub fn of(player: &PlayerProfile, note: Note) -> Self {
        Self {
            soft_pa: player.soft_pa.at(note),
            normal_pa: player.normal_pa.at(note),
            hard_pa: player.hard_pa.at(note),
        }
    }

    /// Soft, normal, hard.
    pub fn all(&self) -> [f64; 3] {
        [self.soft_pa, self.normal_pa, self.hard_pa]
    }
}

/// Where a pitch comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum PitchFrom {
    /// Measured sounding, brought to the normal pressure by the model's change of pitch with pressure.
    Sounding,
    /// Measured plucked; the sounding pitch lies some cents lower.
    Plucked,
    /// Computed from the sizes; far less sure than any measurement.
    Computed,
}

/// A reed's pitch beside its target.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Pitch {
    /// Frequency (Hz).
    pub frequency_hz: f64,
    /// Frequency it should have (Hz).
    pub target_hz: f64,
    /// Cents above the target.
    pub cents: f64,
    /// Where the frequency comes from.
    pub from: PitchFrom,
}

/// One reed, assessed.
#[derive(Debug, Clone)]
pub struct ReedAssessment {
    /// The reed as the job gives it.
    pub reed: JobReed,
    /// What it will do.
    pub prediction: Prediction,
    /// Its pitch.
    pub pitch: Pitch,
    /// The player's pressures at its note.
    pub pressures: Pressures,
    /// What the player asks of it.
    pub demand: Demand,
    /// Attacks at the three pressures, without their steps.
    pub attacks: [Attack; 3],
    /// Where it speaks within the time allowed.
    pub playable: Option<Playable>,
    /// What is wrong with it; nothing where it is good.
    pub findings: Vec<Finding>,
}

impl ReedAssessment {
    /// Its player's normal playing, as results are asked under.
    pub fn conditions(&self) -> Conditions {
        Conditions {
            pressure_pa: self.pressures.normal_pa,
            rise_s: self.demand.rise_s,
            allowed_s: self.demand.allowed_s,
            ..Conditions::default()
        }
    }
}

/// A set, assessed.
#[derive(Debug, Clone)]
pub struct Assessment {
    /// One entry for each row of the sheet, in its order.
    pub reeds: Vec<Result<ReedAssessment, RowError>>,
    /// Evenness, octave by octave.
    pub evenness: Vec<OctaveEvenness>,
}

impl Assessment {
    /// The reeds that could be assessed.
    pub fn good_rows(&self) -> impl Iterator<Item = &ReedAssessment> {
        self.reeds.iter().flatten()
    }

    /// Rows that could not be assessed, those apart that are not measured yet.
    pub fn bad_rows(&self) -> impl Iterator<Item = &RowError> {
        self.reeds.iter().filter_map(|reed| reed.as_ref().err()).filter(|row| !row.not_measured())
    }

    /// Rows that are not measured yet.
    pub fn not_measured(&self) -> impl Iterator<Item = &RowError> {
        self.reeds.iter().filter_map(|reed| reed.as_ref().err()).filter(|row| row.not_measured())
    }
}

/// How a player blows a note, and in which time it is to speak.
pub(super) fn demand(player: &PlayerProfile, note: Note) -> Demand {
    Demand { rise_s: player.attack_rise_s, allowed_s: player.time_allowed_s.at(note), stress_limit_pa: None }
}

/// Assesses every reed of a job, on all cores; `done` is called after each.
pub fn assess(job: &Job, done: impl Fn() + Sync) -> Assessment {
    let neighbours = Neighbours::of(job);
    let one = |entry: &Result<JobReed, RowError>| {
        let assessed = entry.as_ref().map_err(Clone::clone).map(|reed| one_reed(job, reed, &neighbours));
        done();
        assessed
    };
    let reeds: Vec<_> = job.reeds.par_iter().map(one).collect();
    let evenness = evenness(reeds.iter().flatten());
    Assessment { reeds, evenness }
}

pub(super) fn one_reed(job: &Job, reed: &JobReed, neighbours: &Neighbours) -> ReedAssessment {
    let pressures = Pressures::of(&job.player, reed.note);
    let demand = demand(&job.player, reed.note);
    let question = Question { at_pa: pressures.all().to_vec(), search: Search::default() };
    let prediction = Prediction::of(&reed.checked, &question).expect("a checked reed can be solved");
    let blow = |pressure_pa: f64| Blow { pressure_pa, rise_s: demand.rise_s };
    let mut reed = reed.clone();
    let swing_scale = swing_scale(&prediction.model, &mut reed.checked);
    let attacks = pressures.all().map(|p| {
        let attack = prediction.model.attack(&blow(p), Stop::WhenSteady).without_trace();
        Attack { steady: attack.steady.map(|steady| steady.with_swing_scaled(swing_scale)), ..attack }
    });
    let playable = prediction.model.playable(&prediction.speaking, demand);
    let pitch = pitch(&reed, &prediction, &attacks[1]);
    let mut assessed =
        ReedAssessment { reed, prediction, pitch, pressures, demand, attacks, playable, findings: Vec::new() };
    assessed.findings = findings(&assessed, neighbours);
    assessed
}

/// The best known pitch: measured sounding, else measured plucked, else computed.
fn pitch(reed: &JobReed, prediction: &Prediction, normal: &Attack) -> Pitch {
    let measured = &reed.checked.measured;
    let sounding = measured.sounding_hz.zip(measured.at_pa).zip(normal.steady.as_ref());
    let (frequency_hz, from) = match (sounding, measured.pluck_hz) {
        (Some(((hz, at_pa), steady)), _) => {
            let there = prediction.model.attack(&Blow::to(at_pa), Stop::WhenSteady).steady;
            (hz * there.map_or(1.0, |there| steady.frequency_hz / there.frequency_hz), PitchFrom::Sounding)
        }
        (None, Some(hz)) => (hz, PitchFrom::Plucked),
        (None, None) => (prediction.natural_frequency_hz, PitchFrom::Computed),
    };
    Pitch { frequency_hz, target_hz: reed.target_hz, cents: notes::cents(frequency_hz, reed.target_hz), from }
}
