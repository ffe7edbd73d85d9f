//! What was measured of single reeds, as rows of a regression on what they have in common.

use super::common::{Priors, Row, Square, Unknown, by_habit, ln_above_onset, unit};
use super::{INFERRED, frequency_hz, is_assumed};
use crate::physics::coefficients::usual_quality_factor;
use crate::physics::{Coefficients, ReedModel};
use crate::sheet::checked::CheckedReed;

/// How far a softest blow may lie from the model's onset, besides what tolerances make of it (relative; assumed).
pub const BEYOND_ONSET: f64 = 0.05;

/// Relative doubt of a softest blow that is its own: manometer and what lies beyond onset.
pub(crate) fn own_doubt(checked: &CheckedReed, pressure_pa: f64) -> f64 {
    let read_pa = checked.spec.tolerances().of("softest_blow_pa").unwrap_or(0.0);
    BEYOND_ONSET.hypot(read_pa / pressure_pa)
}

/// What tolerances of gap and slot, and unmeasured weight, curve and leak of a reed, make of its onset (relative, a standard
/// deviation; computed to be 0.06 to 0.15 over the reeds of a set).
const OTHERWISE: f64 = 0.1;
/// Degrees of freedom of Student's distribution.
const TAILS: f64 = 4.0;

/// A row of the regression.
#[derive(Debug, Clone)]
pub(super) struct Reading {
    by: Row,
    off: f64,
    own_variance: f64,
}

/// A ring-down, or a quality factor.
pub(super) fn ring(reed: &CheckedReed, priors: &Priors) -> Option<Reading> {
    if is_assumed(reed, INFERRED[0]) {
        return None;
    }
    let frequency_hz = frequency_hz(reed);
    let read = ["ring_down_s", "quality_factor"].into_iter().find_map(|key| reed.spec.relative_tolerance(key));
    Some(Reading {
        by: priors.by_loss(frequency_hz),
        off: (reed.reed.quality_factor / usual_quality_factor(frequency_hz)).ln(),
        own_variance: priors.loss.own_variance() + read.unwrap_or(0.0).powi(2),
    })
}

/// A softest blow, and the reed that answered it.
pub(super) struct Blow<'a> {
    reed: &'a CheckedReed,
    pressure_pa: f64,
    frequency_hz: f64,
    /// What the logarithm of onset goes with.
    by: Row,
    own_variance: f64,
    /// Onset where the set is as assumed (Pa), where the reed speaks so.
    near_pa: Option<f64>,
}

impl<'a> Blow<'a> {
    pub(super) fn of(reed: &'a CheckedReed, priors: &Priors) -> Option<Self> {
        let pressure_pa = reed.measured.softest_blow_pa?;
        let frequency_hz = frequency_hz(reed);
        let mut blow = Self { reed, pressure_pa, frequency_hz, by: Row::zeros(), own_variance: 0.0, near_pa: None };
        let here = blow.ln_onset(&Row::zeros(), priors);
        blow.near_pa = here.map(f64::exp);
        let slope = |z: Row| match [1.0, -1.0].map(|way| blow.ln_onset(&(z * way), priors)) {
            [Some(up), Some(down)] => Some(0.5 * (up - down)),
            [up, down] => up.zip(here).map(|(up, here)| up - here).or_else(|| Some(here? - down?)),
        };
        // A standard deviation of the loss that all have in common moves onset as one of the reed's own does.
        let by_own_loss = slope(unit(Unknown::Loss))? / priors.loss.shared();
        let by_air = slope(unit(Unknown::Inertance))?;
        blow.by =
            by_own_loss * priors.by_loss(frequency_hz) + by_air * unit(Unknown::Inertance) + by_habit(frequency_hz);
        blow.own_variance =
            by_own_loss.powi(2) * priors.loss.own_variance() * f64::from(u8::from(is_assumed(reed, INFERRED[0])))
                + own_doubt(reed, pressure_pa).powi(2)
                + OTHERWISE.powi(2);
        Some(blow)
    }

    /// The logarithm of onset where the set is so; nothing where the reed does not speak.
    fn ln_onset(&self, at: &Row, priors: &Priors) -> Option<f64> {
        let mut reed = self.reed.reed.clone();
        if is_assumed(self.reed, INFERRED[0]) {
            let ln_times = priors.by_loss(self.frequency_hz).dot(at);
            reed.quality_factor = usual_quality_factor(self.frequency_hz) * ln_times.exp();
        }
        if is_assumed(self.reed, INFERRED[1]) {
            let times = priors.by_inertance().dot(at).exp();
            reed.coefficients =
                Coefficients { inertance_factor: times * reed.coefficients.inertance_factor, ..reed.coefficients };
        }
        let onset = ReedModel::new(reed).ok()?.onset_near(self.near_pa)?;
        Some(onset.pressure_pa.ln())
    }

    /// The row, as it is where the set is as found so far.
    pub(super) fn reading(&self, found: &Row, priors: &Priors) -> Option<Reading> {
        let off = self.pressure_pa.ln() - self.ln_onset(found, priors)?;
        let above = ln_above_onset(found, self.frequency_hz);
        Some(Reading { by: self.by, off: off - above + self.by.dot(found), own_variance: self.own_variance })
    }
}

/// The estimate and its covariance, from an estimate before.
pub(super) fn regression(readings: &[Reading], before: Row) -> (Row, Square) {
    const ROUNDS: usize = 20;
    let mut found = before;
    let mut covariance = Square::identity();
    for _ in 0..ROUNDS {
        let (mut information, mut pull) = (Square::identity(), Row::zeros());
        for reading in readings {
            let left = reading.off - reading.by.dot(&found);
            let weight = (TAILS + 1.0) / (TAILS + left * left / reading.own_variance) / reading.own_variance;
            information += weight * reading.by * reading.by.transpose();
            pull += weight * reading.off * reading.by;
        }
        let Some(inverse) = information.try_inverse() else { break };
        (found, covariance) = (inverse * pull, inverse);
    }
    (found, covariance)
}
