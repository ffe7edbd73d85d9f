//! Every reed of a job against its player.

use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use super::alike;
use super::asked::{Asked, Pressures};
use super::blown::off_alike;
use super::evenness::{OctaveEvenness, evenness};
use super::figure::Figures;
use super::finding::Finding;
use super::findings::findings;
use super::group::{GroupEvenness, groups};
use super::judged::one_reed;
use super::jump::{Jump, LOOKED_AT, jumps};
use super::known::Uncertainties;
use super::margin::{Against, Margin, MarginOf, Verdict};
use super::margins::{self, LeakCost};
use super::neighbours::Neighbours;
use super::pairs::{LEVEL_PASSES_DB, PairAssessment, pairs};
use super::run::{OffRun, off_runs};
use super::surety::Surety;
use super::word;
use crate::answer::{Conditions, Room};
use crate::physics::attack::Attack;
use crate::physics::playable::{Demand, Playable};
use crate::predict::Prediction;
use crate::sheet::{Feel, Job, JobReed, RowError, notes};
use crate::workshop::align::Fit;

/// Where a pitch comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
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
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
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

/// The counterpart in the target set, at the same pressures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Counterpart {
    /// Its figures.
    pub figures: Figures,
    /// How well they are known.
    pub uncertainties: Uncertainties,
    /// Its tip gap (m).
    pub tip_gap_m: f64,
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
    /// How the tongue fits its slot when played.
    pub fit: Option<Fit>,
    /// What a measured leak costs.
    pub leak_cost: Option<LeakCost>,
    /// Its counterpart in the target set, where the job has one.
    pub counterpart: Option<Counterpart>,
    /// What is asked of it.
    pub asked: Asked,
    /// The player's word on it, where that was said of it as it is.
    pub says: Option<Feel>,
    /// What it is judged by.
    pub figures: Figures,
    /// How well that is known.
    pub uncertainties: Uncertainties,
    /// What the figures change by in each sample, where samples were asked for.
    pub(super) samples: Vec<Figures>,
    /// How far its level at the normal pressure is from the run of its neighbours (dB), once the set is known.
    pub level_off_db: Option<f64>,
    /// How far it is from failing, in each respect that can be told.
    pub margins: Vec<Margin>,
    /// What is wrong with it; nothing where it is good.
    pub findings: Vec<Finding>,
}

impl ReedAssessment {
    pub(super) fn judge(&mut self, neighbours: &Neighbours) {
        self.margins = margins::margins(self);
        self.findings = findings(self, neighbours);
    }

    /// Whether it speaks too late, or not at all, at the soft (0), normal (1) or hard (2) pressure.
    pub fn is_late(&self, playing: usize) -> bool {
        self.attacks[playing].t50_s.is_none_or(|t50_s| t50_s > self.demand.allowed_s)
    }

    /// A margin.
    pub fn margin(&self, of: MarginOf) -> Option<&Margin> {
        self.margins.iter().find(|margin| margin.of == of)
    }

    /// The room that its window leaves for what is asked; nothing where it speaks in time at no pressure. It suits where soft
    /// and hard start have margins above zero, which are its logarithms.
    pub fn room(&self) -> Option<Room> {
        let (soft_pa, hard_pa) = (self.asked.soft_pa.value, self.asked.hard_pa.value);
        self.playable.map(|window| Room::of(soft_pa, hard_pa, &window))
    }

    /// Whether it is judged by the run of its set, which fails its player alike.
    pub fn is_judged_by_run(&self) -> bool {
        self.margins.iter().any(|margin| margin.against == Against::Run)
    }

    /// The verdict on the whole reed: what matters most where something is wrong, else what is least sure to be good.
    pub fn verdict(&self) -> Verdict {
        match self.findings.first() {
            Some(first) => Verdict { good: false, surety: first.surety(self) },
            None => {
                let deciding = self.margins.iter().filter(|margin| margin.of.decides());
                let least = deciding.map(|margin| margin.probability_good).fold(1.0, f64::min);
                Verdict { good: true, surety: Surety::of(least) }
            }
        }
    }

    /// What became of the player's word on it, as a sentence without its point.
    pub fn players_word(&self) -> Option<String> {
        word::sentence(self)
    }

    /// Above the plucked pitch when it sounds at the normal pressure (cents), by the model, which is weak here.
    pub fn sounding_shift_cents(&self) -> Option<f64> {
        let steady = self.attacks[1].steady?;
        Some(notes::cents(steady.frequency_hz, self.prediction.natural_frequency_hz))
    }

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
    /// Blow beside draw, slide out beside slide in.
    pub groups: Vec<GroupEvenness>,
    /// Reeds that jump out of the run of their neighbours.
    pub jumps: Vec<Jump>,
    /// Notes that sound together.
    pub pairs: Vec<PairAssessment>,
    /// How many reeds fail what the player asks, where they are so many that all are judged by the run of the set instead.
    pub fail_alike: Option<usize>,
    /// By how many times the softest blows are off what is computed, where they are off alike: above the softest playable
    /// pressures, or, below 1, under the onsets.
    pub blown_off: Option<f64>,
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

    /// Pairs that are off in level or beats, the furthest first.
    pub fn pairs_off(&self) -> Vec<&PairAssessment> {
        let mut off: Vec<&PairAssessment> = self.pairs.iter().filter(|pair| pair.is_off()).collect();
        off.sort_by(|a, b| b.worst().total_cmp(&a.worst()));
        off
    }

    /// Each reed that is likely to be out of the run of its neighbours, and by how much: part of a sentence.
    pub fn jumps_by_reed(&self) -> Vec<(&str, String)> {
        let mut reeds: Vec<(&str, String)> = Vec::new();
        for jump in self.jumps.iter().filter(|jump| jump.surety >= Surety::Likely) {
            let words = format!("{} ({})", jump.words(), jump.surety.words());
            match reeds.iter_mut().find(|(reed, _)| *reed == jump.reed) {
                Some((_, told)) => *told = format!("{told}, {words}"),
                None => reeds.push((&jump.reed, words)),
            }
        }
        reeds
    }

    /// Rows that are not measured yet.
    pub fn not_measured(&self) -> impl Iterator<Item = &RowError> {
        self.reeds.iter().filter_map(|reed| reed.as_ref().err()).filter(|row| row.not_measured())
    }
}

/// Assesses every reed of a job, on all cores; `done` is called after each.
pub fn assess(job: &Job, done: impl Fn() + Sync) -> Assessment {
    assess_sampled(job, 0, done)
}

/// As [`assess`], with the doubt in soft start, hard start and speaking time from so many samples of what the reeds may be,
/// in place of derivatives: slower, and right where an answer does not follow its inputs in proportion.
pub fn assess_sampled(job: &Job, samples: usize, done: impl Fn() + Sync) -> Assessment {
    assessed(job, Some(samples), done)
}

/// Without samples nobody asks how sure it is; none of them are derivatives.
fn assessed(job: &Job, samples: Option<usize>, done: impl Fn() + Sync) -> Assessment {
    let neighbours = Neighbours::of(job);
    let one = |entry: &Result<JobReed, RowError>| {
        let assessed = entry.as_ref().map_err(Clone::clone).map(|reed| one_reed(job, reed, &neighbours, samples));
        done();
        assessed
    };
    as_a_set(job, &neighbours, job.reeds.par_iter().map(one).collect())
}

/// What only all reeds together tell.
pub(super) fn as_a_set(
    job: &Job,
    neighbours: &Neighbours,
    mut reeds: Vec<Result<ReedAssessment, RowError>>,
) -> Assessment {
    let fail_alike = alike::by_the_run(&mut reeds, neighbours);
    of_reeds(job, reeds, fail_alike)
}

pub(super) fn of_reeds(
    job: &Job,
    mut reeds: Vec<Result<ReedAssessment, RowError>>,
    fail_alike: Option<usize>,
) -> Assessment {
    let evenness = evenness(reeds.iter().flatten());
    let good: Vec<&ReedAssessment> = reeds.iter().flatten().collect();
    let off = LOOKED_AT.map(|(figure, _)| off_runs(figure, &good));
    let jumps = LOOKED_AT.into_iter().zip(&off).flat_map(|((figure, passes), off)| jumps(figure, passes, &good, off));
    let (jumps, groups, pairs) = (jumps.collect(), groups(&good, &off), pairs(job, &good, &off[2]));
    for (reed, level) in reeds.iter_mut().flatten().zip(&off[2]) {
        reed.level_off_db = level.map(|level| level.off);
        if reed.margin(MarginOf::Level).is_none() {
            let margin =
                |level: &OffRun| Margin::two_sided(MarginOf::Level, LEVEL_PASSES_DB, level.off, &level.uncertainty);
            reed.margins.extend(level.as_ref().map(margin));
        }
    }
    let blown_off = off_alike(reeds.iter().flatten());
    Assessment { reeds, evenness, groups, jumps, pairs, fail_alike, blown_off }
}
