//! What the neighbours of a reed in pitch have in its place, of what is measured.

use super::cause::Cause;
use super::finding::IN_TUNE_CENTS;
use super::jump::beyond_scatter;
use super::run::NEIGHBOURS;
use crate::physics::{Profile, Reed};
use crate::sheet::{CheckedReed, Job, JobReed};
use crate::study::changed::tip_gap_m;
use crate::trend::{Trend, median};

/// Departure from the run that counts.
pub(super) const ODD: f64 = 0.1;
/// A leak is read to half of it: of slits the reading says no more (common practice, no source).
pub(super) const LEAK_READ_TO: f64 = 0.5;

/// A cent, as a logarithm.
const LN_CENT: f64 = std::f64::consts::LN_2 / 1200.0;

/// The run of gap, clearance, loss, channel and plucked pitch over the set, robust against odd reeds.
#[derive(Debug, Clone)]
pub struct Neighbours {
    gap: Run,
    clearance: Run,
    quality: Run,
    channel: Run,
    /// Plucked pitch over the target.
    pluck: Run,
    leak_m2: f64,
}

/// A quantity over pitch: the logarithm, a straight line through what is near.
#[derive(Debug, Clone)]
struct Run {
    points: Vec<Point>,
    /// From here on a reed is out of it, as a logarithm and as a difference: three times the scatter of the set, whose maker
    /// works by steps of a tool and not by shares.
    limits: [f64; 2],
}

/// A reed in a run.
#[derive(Debug, Clone)]
struct Point {
    id: String,
    semitones: f64,
    height: f64,
}

impl Run {
    /// Of a value of the reeds, from what departure on one may be out of it.
    fn of(job: &Job, passes: f64, value: impl Fn(&JobReed) -> Option<f64>) -> Self {
        let reeds = || job.reeds.iter().flatten();
        let point = |reed: &JobReed| {
            let height = value(reed).filter(|v| *v > 0.0)?.ln();
            Some(Point { id: reed.id.clone(), semitones: semitones(reed), height })
        };
        let mut run = Self { points: reeds().filter_map(point).collect(), limits: [passes, 0.0] };
        let pairs: Vec<(f64, f64)> = reeds().filter_map(|reed| Some((value(reed)?, run.usual(reed)?))).collect();
        run.limits = [
            beyond_scatter(passes, pairs.iter().map(|(own, usual)| (own / usual).ln())),
            beyond_scatter(0.0, pairs.iter().map(|(own, usual)| own - usual)),
        ];
        run
    }

    /// What the others near in pitch have in the place of a reed.
    fn usual(&self, reed: &JobReed) -> Option<f64> {
        let x = semitones(reed);
        let others = self.points.iter().filter(|point| point.id != reed.id);
        let mut near: Vec<(f64, f64)> = others.map(|point| (point.semitones, point.height)).collect();
        near.sort_by(|a, b| (a.0 - x).abs().total_cmp(&(b.0 - x).abs()));
        near.truncate(NEIGHBOURS);
        Trend::through(&near).map(|line| line.at(x).exp())
    }

    fn is_out(&self, own: f64, usual: f64) -> bool {
        (own / usual).ln().abs() > self.limits[0] && (own - usual).abs() > self.limits[1]
    }
}

fn semitones(reed: &JobReed) -> f64 {
    f64::from(reed.note.midi())
}

impl Neighbours {
    /// The run of a job's good rows.
    pub fn of(job: &Job) -> Self {
        let leaks = job.reeds.iter().flatten().map(|reed| reed.checked.reed.slot.leak_area_m2).collect();
        Self {
            gap: Run::of(job, ODD, |reed| Some(tip_gap_m(&reed.checked.reed))),
            clearance: Run::of(job, ODD, |reed| Some(mean_clearance_m(&reed.checked.reed))),
            quality: Run::of(job, ODD, |reed| measured_quality(&reed.checked)),
            channel: Run::of(job, ODD, |reed| Some(reed.checked.reed.chamber.as_ref()?.channel_area_m2)),
            pluck: Run::of(job, IN_TUNE_CENTS * LN_CENT, pluck_over_target),
            leak_m2: median(leaks).unwrap_or(0.0),
        }
    }

    /// Usual tip gap in the place of a reed (m).
    pub fn gap_m(&self, reed: &JobReed) -> Option<f64> {
        self.gap.usual(reed)
    }

    /// Usual side clearance in the place of a reed (m).
    pub fn clearance_m(&self, reed: &JobReed) -> Option<f64> {
        self.clearance.usual(reed)
    }

    /// Usual quality factor in the place of a reed, of those that were measured.
    pub fn quality(&self, reed: &JobReed) -> Option<f64> {
        self.quality.usual(reed)
    }

    /// Usual cross-section of the channel in the place of a reed (m2).
    pub fn channel_m2(&self, reed: &JobReed) -> Option<f64> {
        self.channel.usual(reed)
    }

    /// Whether what may be a cause is off by more than the set scatters.
    pub(super) fn is_out(&self, cause: &Cause) -> bool {
        let run = match *cause {
            Cause::GapTooWide { .. } | Cause::GapTooClose { .. } => &self.gap,
            Cause::Clearance { .. } => &self.clearance,
            Cause::Loss { .. } => &self.quality,
            Cause::Channel { .. } => &self.channel,
            Cause::Leak { area_m2 } => return area_m2 * (1.0 - LEAK_READ_TO) > self.leak_m2,
            Cause::TongueOrChamber | Cause::NothingToCompare => return false,
        };
        cause.own_and_usual().is_some_and(|(own, usual)| run.is_out(own, usual))
    }

    /// Whether a plucked pitch is off those around it by more than the set scatters; nothing where it has no run.
    pub(super) fn is_out_of_tune(&self, reed: &JobReed) -> Option<bool> {
        Some(self.pluck.is_out(pluck_over_target(reed)?, self.pluck.usual(reed)?))
    }

    /// Whether there are enough reeds to tell what is usual.
    pub(super) fn are_enough(&self) -> bool {
        self.clearance.points.len() > Trend::FEWEST
    }
}

fn pluck_over_target(reed: &JobReed) -> Option<f64> {
    Some(reed.checked.measured.pluck_hz? / reed.target_hz)
}

pub(super) fn measured_quality(checked: &CheckedReed) -> Option<f64> {
    let assumed = checked.assumed.iter().any(|assumed| assumed.key == "quality_factor");
    (!assumed).then_some(checked.reed.quality_factor)
}

/// Mean of both sides' clearance, along the reed (m).
pub(super) fn mean_clearance_m(reed: &Reed) -> f64 {
    let length = reed.beam.length_m;
    let mean = |profile: &Profile| (0..=8).map(|k| profile.at(length * f64::from(k) / 8.0)).sum::<f64>() / 9.0;
    0.5 * (mean(&reed.slot.left_clearance_m) + mean(&reed.slot.right_clearance_m))
}
