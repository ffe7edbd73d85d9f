//! Notes of a piece that sound together: do they balance, do they beat as meant.

use std::collections::BTreeMap;

use super::answers::Answers;
use super::piece::PieceNote;
use super::route::Fate;
use super::voice::moments;
use crate::instrument::work::to_its_note;
use crate::instrument::{Beats, Interval, LEVEL_PASSES_DB, ReedAssessment, beats};
use crate::workshop::retune::RetunePlan;

/// Two reeds that sound together in the piece.
#[derive(Debug, Clone)]
pub struct Double {
    /// Id of the lower reed.
    pub lower: String,
    /// Id of the upper.
    pub upper: String,
    /// The interval, where it is one whose beats are heard.
    pub interval: Option<Interval>,
    /// How often they sound together.
    pub times: usize,
    /// Level of the upper less that of the lower, beyond what the run of the set has between them at their velocities (dB): the
    /// most it comes to.
    pub level_off_db: Option<f64>,
    /// How they beat, where both pitches were measured.
    pub beats: Option<Beats>,
    /// What would let them beat as meant, where they do not and that can be planned.
    pub tuned: Option<Tuned>,
}

/// Reeds of a pair brought to their notes.
#[derive(Debug, Clone)]
pub struct Tuned {
    /// Which, the one further off first, and how.
    pub retuned: Vec<(String, RetunePlan)>,
    /// How the two beat then.
    pub beats: Beats,
}

impl Double {
    /// Whether one drowns the other.
    pub fn is_unbalanced(&self) -> bool {
        self.level_off_db.is_some_and(|off| off.abs() > LEVEL_PASSES_DB)
    }

    /// Whether they beat otherwise than the job's tuning means.
    pub fn beats_otherwise(&self) -> bool {
        self.beats.is_some_and(|beats| !beats.margin.verdict().good)
    }

    /// Whether anything is off.
    pub fn is_off(&self) -> bool {
        self.is_unbalanced() || self.beats_otherwise()
    }
}

/// Every two reeds that sound together, the lower ones first.
pub(super) fn doubles(notes: &[PieceNote], fates: &[Fate], answers: &Answers<'_>) -> Vec<Double> {
    let on_reeds: Vec<(PieceNote, usize)> = notes
        .iter()
        .zip(fates)
        .filter_map(|(note, fate)| if let Fate::Reed(place) = fate { Some((*note, *place)) } else { None })
        .collect();
    let sounding: Vec<PieceNote> = on_reeds.iter().map(|on| on.0).collect();
    let mut found: BTreeMap<(usize, usize), (usize, Option<f64>)> = BTreeMap::new();
    for moment in moments(&sounding) {
        let all: Vec<usize> = moment.begins.iter().chain(&moment.held).copied().collect();
        for (k, &a) in moment.begins.iter().enumerate() {
            for &b in &all[k + 1..] {
                let (low, high) = if sounding[a].midi < sounding[b].midi { (a, b) } else { (b, a) };
                let level = |place: usize| answers.at((on_reeds[place].1, sounding[place].velocity)).level_off_db;
                let off = level(high).zip(level(low)).map(|(high, low)| high - low);
                let (times, most) = found.entry((on_reeds[low].1, on_reeds[high].1)).or_default();
                *times += 1;
                *most = [*most, off].into_iter().flatten().max_by(|a, b| a.abs().total_cmp(&b.abs()));
            }
        }
    }
    found.into_iter().map(|((low, high), (times, off))| double(low, high, times, off, answers)).collect()
}

fn double(low: usize, high: usize, times: usize, level_off_db: Option<f64>, answers: &Answers<'_>) -> Double {
    let (lower, upper) = (answers.reeds[low], answers.reeds[high]);
    let interval = Interval::of(upper.reed.note.midi() - lower.reed.note.midi());
    let mut double = Double {
        lower: lower.reed.id.clone(),
        upper: upper.reed.id.clone(),
        interval,
        times,
        level_off_db,
        beats: interval.and_then(|interval| beats(&interval, lower, upper)),
        tuned: None,
    };
    if double.beats_otherwise() {
        double.tuned = interval.and_then(|interval| tuned(&interval, lower, upper));
    }
    double
}

/// The one further off its pitch brought to its note; both, where one does not do.
fn tuned(interval: &Interval, lower: &ReedAssessment, upper: &ReedAssessment) -> Option<Tuned> {
    let mut pair = [lower.clone(), upper.clone()];
    let mut order = [0, 1];
    order.sort_by(|a, b| pair[*b].pitch.cents.abs().total_cmp(&pair[*a].pitch.cents.abs()));
    let mut retuned = Vec::new();
    for place in order {
        let reed = &mut pair[place];
        retuned.push((reed.reed.id.clone(), to_its_note(reed).ok()?));
        (reed.pitch.frequency_hz, reed.pitch.cents) = (reed.pitch.target_hz, 0.0);
        let beats = beats(interval, &pair[0], &pair[1])?;
        if beats.margin.verdict().good {
            return Some(Tuned { retuned, beats });
        }
    }
    None
}
