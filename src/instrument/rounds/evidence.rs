//! What a set and its rounds measured that tells of loss and stray leak.
//!
//! A loss belongs to a tongue in its fastening, a leak to valve, comb and plate: `replace` and `fasten` end the one,
//! `seal` ends the other. What was measured before still tells of the set.

use std::collections::HashMap;

use rayon::prelude::*;

use super::blow::{Blow, BlowGroup};
use crate::physics::coefficients::usual_quality_factor;
use crate::sheet::{Job, JobReed, Operation, Place};

/// A ring-down, or a quality factor, that was measured.
#[derive(Debug, Clone)]
pub(super) struct Ring {
    /// Which loss it tells of.
    pub(super) loss: usize,
    pub(super) quality_factor: f64,
    pub(super) tolerance: f64,
}

/// A stray leak that was measured.
#[derive(Debug, Clone)]
pub(super) struct LeakTest {
    /// Which leak it tells of.
    pub(super) leak: usize,
    pub(super) area_m2: f64,
    pub(super) tolerance_m2: f64,
}

/// Which loss and which leak a reed has now, of those that something was measured of.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Current {
    pub(super) loss: Option<usize>,
    pub(super) leak: Option<usize>,
}

/// All that was measured.
#[derive(Debug, Default)]
pub(super) struct Evidence {
    pub(super) rings: Vec<Ring>,
    pub(super) leak_tests: Vec<LeakTest>,
    pub(super) blows: Vec<BlowGroup>,
    /// How many losses something was measured of.
    pub(super) losses: usize,
    /// What is assumed of each leak that something was measured of (m2).
    pub(super) assumed_leak_m2: Vec<f64>,
    /// Quality factor assumed of the set.
    pub(super) assumed_quality: f64,
    pub(super) current: HashMap<String, Current>,
    /// What was measured and cannot be used, with the reason.
    pub(super) unused: Vec<String>,
    /// Onsets solved to weigh the softest blows.
    pub(super) onsets: usize,
}

/// No ring-down is known better than this, as a share of it.
const FINEST: f64 = 1e-4;

impl Evidence {
    /// Gathers from a set at every stage: before any round, after the first, and so on.
    pub(super) fn of(stages: &[Job]) -> Self {
        let mut evidence = Self { assumed_quality: assumed_quality(stages), ..Self::default() };
        let rows = stages.last().map_or(0, |job| job.reeds.len());
        let mut blows = Vec::new();
        for row in 0..rows {
            let mut reed = Course { evidence: &mut evidence, spells: Current::default(), blows: Vec::new() };
            reed.follow(stages, row);
            blows.push(reed.blows);
        }
        let quality = evidence.assumed_quality;
        let weighed: Vec<_> = blows.into_par_iter().map(|blows| BlowGroup::weigh(blows, quality)).collect();
        for group in weighed {
            evidence.onsets += group.onsets;
            evidence.unused.extend(group.unused.iter().cloned());
            evidence.blows.extend((!group.blows.is_empty()).then_some(group));
        }
        evidence
    }

    /// Whether anything was measured at all.
    pub(super) fn is_empty(&self) -> bool {
        self.rings.is_empty() && self.leak_tests.is_empty() && self.blows.is_empty()
    }
}

/// Mean of what is assumed of reeds whose loss no sheet says, in the logarithm; the usual value where there is none.
fn assumed_quality(stages: &[Job]) -> f64 {
    let reeds = stages.iter().flat_map(|job| job.reeds.iter().flatten().map(move |reed| (job, reed)));
    let assumed =
        reeds.filter(|(job, reed)| typed_in_sheet(job, reed, LOSS[0]).or(typed_in_sheet(job, reed, LOSS[1])).is_none());
    let logs: Vec<f64> = assumed.map(|(_, reed)| reed.checked.reed.quality_factor.ln()).collect();
    if logs.is_empty() { usual_quality_factor(A4_HZ) } else { (logs.iter().sum::<f64>() / logs.len() as f64).exp() }
}

/// Where the middle of a keyboard lies.
const A4_HZ: f64 = 440.0;

const LOSS: [&str; 2] = ["ring_down_s", "quality_factor"];

/// Where a key stands in the set's sheet or in a round; what holds for the whole job is no measurement of one reed.
fn typed_in_sheet<'a>(job: &Job, reed: &'a JobReed, key: &str) -> Option<&'a Place> {
    let (_, place) = reed.checked.spec.typed(key)?;
    let of_a_sheet = place.file() == job.sheet_name || job.rounds.iter().any(|round| round.file == place.file());
    of_a_sheet.then_some(place)
}

/// One reed followed through the stages.
struct Course<'a> {
    evidence: &'a mut Evidence,
    spells: Current,
    blows: Vec<Blow>,
}

impl Course<'_> {
    fn follow(&mut self, stages: &[Job], row: usize) {
        let mut before: Option<(&Job, &JobReed)> = None;
        for (k, job) in stages.iter().enumerate() {
            let Ok(reed) = &job.reeds[row] else { continue };
            let done = k.checked_sub(1).and_then(|k| job.rounds[k].row(&reed.id)?.as_ref().ok());
            if done.is_some_and(|row| row.replaced || row.operation.is_some_and(Operation::may_change_loss)) {
                self.spells.loss = None;
            }
            if done.is_some_and(|row| row.operation == Some(Operation::Seal)) {
                self.spells.leak = None;
            }
            let place = |(job, reed): (&Job, &JobReed), key: &str| {
                typed_in_sheet(job, reed, key).map(|place| (place.file().to_owned(), place.line(), place.column()))
            };
            let is_new = |key: &str| {
                let now = place((job, reed), key);
                now.is_some() && now != before.and_then(|before| place(before, key))
            };
            self.note(reed, is_new);
            before = Some((job, reed));
            self.evidence.current.insert(reed.id.clone(), self.spells);
        }
    }

    /// What is newly measured of a reed.
    fn note(&mut self, reed: &JobReed, is_new: impl Fn(&str) -> bool) {
        let checked = &reed.checked;
        if let Some(key) = LOSS.into_iter().find(|key| is_new(key)) {
            let (quality_factor, loss) = (checked.reed.quality_factor, self.loss());
            let relative = checked.spec.relative_tolerance(key).map_or(1.0, |share| share.max(FINEST));
            let tolerance = relative * quality_factor;
            self.evidence.rings.push(Ring { loss, quality_factor, tolerance });
        }
        if is_new("leak_mm2") {
            let tolerance_m2 = 1e-6 * checked.spec.tolerances().of("leak_mm2").unwrap_or(0.0).max(1e-6);
            let leak = self.leak(0.0);
            let area_m2 = checked.reed.slot.leak_area_m2;
            self.evidence.leak_tests.push(LeakTest { leak, area_m2, tolerance_m2 });
        }
        if is_new("softest_blow_pa") {
            let (loss, leak) = (self.loss(), self.leak(checked.reed.slot.leak_area_m2));
            self.blows.extend(Blow::of(reed, loss, leak));
        }
    }

    fn loss(&mut self) -> usize {
        *self.spells.loss.get_or_insert_with(|| {
            self.evidence.losses += 1;
            self.evidence.losses - 1
        })
    }

    fn leak(&mut self, assumed_m2: f64) -> usize {
        *self.spells.leak.get_or_insert_with(|| {
            self.evidence.assumed_leak_m2.push(assumed_m2);
            self.evidence.assumed_leak_m2.len() - 1
        })
    }
}
