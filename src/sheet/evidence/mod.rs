//! What was measured of the reeds of a set says of what was measured of none: loss, and the inertia of the air.
//!
//! All that tells is taken at once, in logarithms. A ring-down (or quality factor) tells how far the loss of its tongue is
//! from the usual one at its pitch, a softest blow how far onset is from the one computed. What the reeds have in common is
//! unknown in five ways (`Unknown`), each near zero before anything is measured; the spreads of the keys say how far each
//! may be off, and how much of that is the single reed's own. With rows `r = A z + own`, `z` of unit variance, the estimate is
//! `z = (1 + A' W A)^-1 A' W r`, a linear regression with what is assumed as its prior (any text on Bayesian estimation),
//! repeated since onset does not follow quite in proportion. The weights `W` are those of Student's distribution with four
//! degrees of freedom (K. L. Lange, R. J. A. Little and J. M. G. Taylor, *J. Am. Stat. Assoc.* 84 (1989) 881; from memory), so
//! that a cracked reed does not speak for its set. What is one reed's own is not inferred here: it stands out of the run.

mod common;
mod readings;

use rayon::prelude::*;

use super::checked::CheckedReed;
use super::keys::{Key, find};
use super::reed_spec::ReedSpec;
use super::spread::{Law, Spread};
use super::value::Value;
use common::{Prior, Priors, Row, Square, ln_above_onset};
pub use readings::BEYOND_ONSET;
pub(crate) use readings::own_doubt;
use readings::{Blow, Reading, regression, ring};

/// Steps in which a finding is told (logarithm): less would have every reed solved anew for each that is measured.
const STEP: f64 = 0.02;

/// What is inferred of a set where it was not measured.
pub(super) const INFERRED: [&str; 2] = ["quality_factor", "inertance_factor"];

/// What the set says of a number that was not measured of a reed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Told {
    /// In place of the value assumed of any reed, so many times that.
    pub(super) times: f64,
    /// How it is spread about that.
    pub(super) spread: Spread,
}

impl Told {
    /// Moved by `ln_times`, with `common` of the variance left in common and `own` each reed's.
    fn of(ln_times: f64, common: f64, own: f64) -> Self {
        let deviation = (common + own).sqrt();
        let times = (Spread::Z_90 * deviation).exp();
        // Upwards, and in steps that one more reading seldom passes.
        let in_common = (20.0 * common / (common + own)).round() / 20.0;
        let spread = Spread { law: Law::Times((20.0 * times).ceil() / 20.0), common: in_common };
        Self { times: in_steps(ln_times), spread }
    }
}

/// So many times, in steps.
fn in_steps(ln_times: f64) -> f64 {
    (STEP * (ln_times / STEP).round()).exp()
}

/// What the set says of one reed.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct OfEvidence {
    loss: Option<Told>,
    inertance: Option<Told>,
    /// Softest blows over what is computed, all alike.
    pub(super) blown_times: Option<f64>,
    /// Ring-downs and softest blows that it leans on.
    counts: [usize; 2],
}

impl OfEvidence {
    /// What is told in place of what is assumed for a key.
    pub(super) fn of(&self, key: &Key) -> Option<Told> {
        let place = INFERRED.iter().position(|name| key.name == *name)?;
        [self.loss, self.inertance][place]
    }

    /// Where it comes from.
    pub(super) fn why(&self) -> String {
        let count = |count: usize, what: &str| match count {
            0 => None,
            1 => Some(format!("1 {what}")),
            _ => Some(format!("{count} {what}s")),
        };
        let [rings, blows] = self.counts;
        let all: Vec<String> =
            [count(rings, "ring-down"), count(blows, "softest blow")].into_iter().flatten().collect();
        format!("not measured; what {} of the set say", all.join(" and "))
    }
}

/// What a set says, over pitch.
#[derive(Debug, Clone)]
pub(super) struct Evidence {
    found: Row,
    covariance: Square,
    priors: Priors,
    counts: [usize; 2],
}

impl Evidence {
    /// Of the reeds of a set; nothing where nothing that tells was measured of any.
    pub(super) fn of(reeds: &[&CheckedReed]) -> Option<Self> {
        let priors = Priors::of_keys()?;
        let rings: Vec<Reading> = reeds.iter().filter_map(|reed| ring(reed, &priors)).collect();
        let blows: Vec<Blow> = reeds.par_iter().filter_map(|reed| Blow::of(reed, &priors)).collect();
        let counts = [rings.len(), blows.len()];
        if counts == [0, 0] {
            return None;
        }
        const ROUNDS: usize = 4;
        let (mut found, mut covariance) = (Row::zeros(), Square::identity());
        for _ in 0..ROUNDS {
            let blown = blows.par_iter().filter_map(|blow| blow.reading(&found, &priors));
            let all: Vec<Reading> = rings.iter().cloned().chain(blown.collect::<Vec<_>>()).collect();
            (found, covariance) = regression(&all, found);
            if blows.is_empty() {
                break;
            }
        }
        Some(Self { found, covariance, priors, counts })
    }

    /// A reed with what this says of it in place of what is assumed of any; as it was where it assumes nothing of that.
    pub(super) fn told(&self, reed: &CheckedReed) -> CheckedReed {
        let of_evidence = self.at(frequency_hz(reed));
        let assumes = reed.assumed_numbers.iter().any(|(key, _)| of_evidence.of(key).is_some());
        let spec = ReedSpec { of_evidence, ..reed.spec.clone() };
        let told = if assumes { spec.checked().ok() } else { None };
        told.unwrap_or_else(|| CheckedReed { spec, ..reed.clone() })
    }

    /// What it says of a reed at a frequency.
    fn at(&self, frequency_hz: f64) -> OfEvidence {
        let told = |by: Row, prior: &Prior| {
            let common = (by.transpose() * self.covariance * by)[0];
            Told::of(by.dot(&self.found), common, prior.own_variance())
        };
        let (priors, of_blows) = (&self.priors, self.counts[1] > 0);
        OfEvidence {
            loss: Some(told(priors.by_loss(frequency_hz), &priors.loss)),
            inertance: of_blows.then(|| told(priors.by_inertance(), &priors.inertance)),
            blown_times: of_blows.then(|| in_steps(ln_above_onset(&self.found, frequency_hz))),
            counts: self.counts,
        }
    }
}

fn is_assumed(reed: &CheckedReed, name: &str) -> bool {
    find(name).is_some_and(|key| reed.assumed_number(key).is_some())
}

/// The frequency at which the loss of a reed is looked up (Hz).
fn frequency_hz(reed: &CheckedReed) -> f64 {
    reed.measured.pluck_hz.unwrap_or_else(|| reed.reed.beam.modes(1)[0].frequency_hz)
}

/// What a reed file would not know of the set: what it says in place of what is assumed of any reed.
pub(super) fn to_write(spec: &ReedSpec) -> Vec<(&'static Key, Value)> {
    let checked = if spec.of_evidence == OfEvidence::default() { None } else { spec.checked().ok() };
    let told = checked.iter().flat_map(|checked| &checked.assumed_numbers);
    told.filter(|(key, _)| spec.of_evidence.of(key).is_some())
        .map(|(key, number)| (*key, Value::Number(*number)))
        .collect()
}
