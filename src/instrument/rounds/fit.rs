//! The set as its rounds make it out: loss and stray leak of every reed, with confidence.

use serde::Serialize;

use super::blow::{OnsetOf, size_doubts};
use super::evidence::{Current, Evidence};
use super::solve::{FOUR_OF_FIVE, Found, LEAK_DOUBT_M2, SCATTER, Solution, loss_doubt, solve};
use super::spread::of_a_pluck;
use crate::physics::coefficients::PLAUSIBLE_SHARES;
use crate::sheet::{Assumed, BEYOND_ONSET, CheckedReed, Job, JobReed, own_doubt};

/// A value and the range that holds the true one four times in five, if what is assumed is right.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Estimate {
    /// The value.
    pub value: f64,
    /// The low end of the range.
    pub low: f64,
    /// The high end.
    pub high: f64,
}

impl Estimate {
    fn quality(found: Found) -> Self {
        let off = FOUR_OF_FIVE * found.error;
        Self { value: found.value.exp(), low: (found.value - off).exp(), high: (found.value + off).exp() }
    }

    /// There is no leak below none.
    fn leak(found: Found) -> Self {
        let off = FOUR_OF_FIVE * found.error;
        Self { value: found.value, low: (found.value - off).max(0.0), high: found.value + off }
    }
}

/// Whether loss and leak of a reed can be told apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Apart {
    /// Nothing was measured of the reed as it is now.
    NothingMeasured,
    /// Only one of the two was measured, by itself: there is nothing to tell apart.
    OneMeasured,
    /// Yes.
    Yes,
    /// No: one combination of the two is known, another no better than was assumed.
    No,
    /// The loss is known, the leak no better than was assumed.
    LeakNotKnown,
    /// The leak is known, the loss no better than was assumed.
    LossNotKnown,
}

/// What the fit says of one reed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReedFit {
    /// Which reed.
    pub id: String,
    /// Its quality factor; that of the set where nothing was measured of it.
    pub quality_factor: Estimate,
    /// Its stray leak (m2); nothing where neither softest blow nor leak test was made.
    pub leak_m2: Option<Estimate>,
    /// Whether the two can be told apart.
    pub apart: Apart,
    /// Thickness by the newest pluck over thickness measured, with its standard error by tuner and micrometer; nothing
    /// where one of the two is missing.
    pub thickness_scale: Option<(f64, f64)>,
    #[serde(skip)]
    current: Current,
}

/// Work done by a fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct Work {
    /// Steps of the iteration.
    pub steps: usize,
    /// Onsets solved.
    pub onsets: usize,
}

/// A set fitted to all that was measured of it.
#[derive(Debug, Clone)]
pub struct Fit {
    /// Quality factor that the set has in common.
    pub common: Estimate,
    /// Scatter from reed to reed, of the logarithm of the quality factor.
    pub scatter: f64,
    /// Every reed that the newest stage has, in the order of the sheet.
    pub reeds: Vec<ReedFit>,
    /// What was measured and could not be used, with the reason.
    pub unused: Vec<String>,
    /// What the fit leans on besides the measurements.
    pub assumed: Vec<Assumed>,
    /// Ring-downs, leak tests and softest blows it leans on.
    pub counts: [usize; 3],
    /// Whether the iteration came to its end.
    pub converged: bool,
    /// Work done.
    pub work: Work,
    solution: Solution,
}

/// What a softest blow is expected to be.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct ExpectedOnset {
    /// The model's onset (Pa).
    pub onset_pa: f64,
    /// Standard deviation that a measurement has from it, of its logarithm: by loss and leak, by the tolerances of gap and
    /// clearance, by the measurement itself.
    pub doubt: f64,
}

impl Fit {
    /// Fits a set, given as [`Job::stages`] has it: before any round, after the first, and so on. Nothing where nothing
    /// that tells of loss or leak was measured.
    pub fn of(stages: &[Job]) -> Option<Self> {
        let evidence = Evidence::of(stages);
        if evidence.is_empty() {
            return None;
        }
        let solution = solve(&evidence);
        let reeds = stages.last()?.reeds.iter().flatten().map(|reed| reed_fit(reed, &evidence, &solution)).collect();
        let blows = evidence.blows.iter().map(|group| group.blows.len()).sum();
        Some(Self {
            common: Estimate::quality(solution.common()),
            scatter: solution.scatter,
            reeds,
            counts: [evidence.rings.len(), evidence.leak_tests.len(), blows],
            converged: solution.converged,
            work: Work { steps: solution.steps, onsets: evidence.onsets + solution.onsets },
            assumed: assumed(&evidence),
            unused: evidence.unused,
            solution,
        })
    }

    /// What the fit says of a reed.
    pub fn reed(&self, id: &str) -> Option<&ReedFit> {
        self.reeds.iter().find(|reed| reed.id == id)
    }

    /// The job with every reed's loss, and its leak where one was found, as the fit has them. They are then neither
    /// measured nor assumed: [`ReedSpec::is_fitted`](crate::sheet::ReedSpec::is_fitted) tells. A reed that cannot take its
    /// values stays as it is.
    #[must_use]
    pub fn applied(&self, job: &Job) -> Job {
        let mut job = job.clone();
        for reed in job.reeds.iter_mut().flatten() {
            let fitted = self.reed(&reed.id).and_then(|found| applied(&reed.checked, found));
            reed.checked = fitted.unwrap_or_else(|| reed.checked.clone());
        }
        job
    }

    /// The softest blow to expect of a reed; `same` says whether its tongue, fastening and seals are those that were
    /// measured. Nothing where the model's reed does not speak.
    pub fn expected_onset(&self, checked: &CheckedReed, id: &str, same: Same, near_pa: f64) -> Option<ExpectedOnset> {
        let current = self.reed(id).map(|reed| reed.current).unwrap_or_default();
        let loss = current.loss.filter(|_| same.loss);
        let leak = current.leak.filter(|_| same.leak);
        let ln_quality = self.solution.ln_quality(loss);
        let stated = Found { value: checked.reed.slot.leak_area_m2, error: LEAK_DOUBT_M2 };
        let leak_m2 = leak.map_or(stated, |leak| self.solution.leak_m2(leak));
        let mixed = loss.zip(leak).map_or(0.0, |(loss, leak)| self.solution.both(loss, leak).covariance_m2);
        expected(checked, near_pa, ln_quality, leak_m2, mixed)
    }

    /// The quality factor to expect of a reed.
    pub fn expected_quality(&self, id: &str, same: Same) -> Estimate {
        let current = self.reed(id).map(|reed| reed.current).unwrap_or_default();
        Estimate::quality(self.solution.ln_quality(current.loss.filter(|_| same.loss)))
    }
}

/// Whether what was measured of a reed still holds for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Same {
    /// Tongue and fastening.
    pub loss: bool,
    /// Valve, comb and plate.
    pub leak: bool,
}

/// The softest blow to expect where nothing was ever measured of loss and leak.
pub(super) fn expected_unfitted(checked: &CheckedReed, near_pa: f64) -> Option<ExpectedOnset> {
    let ln_quality = Found { value: checked.reed.quality_factor.ln(), error: loss_doubt() };
    let leak_m2 = Found { value: checked.reed.slot.leak_area_m2, error: LEAK_DOUBT_M2 };
    expected(checked, near_pa, ln_quality, leak_m2, 0.0)
}

fn expected(checked: &CheckedReed, near_pa: f64, loss: Found, leak: Found, mixed: f64) -> Option<ExpectedOnset> {
    let [ln_onset, by_loss, by_leak] = OnsetOf::new(checked, near_pa)?.slopes(loss.value, leak.value)?;
    let of_fit = (by_loss * loss.error).powi(2) + (by_leak * leak.error).powi(2) + 2.0 * by_loss * by_leak * mixed;
    let (sizes, _) = size_doubts(checked, near_pa, loss.value);
    let of_sizes: f64 = sizes.iter().map(|(_, size)| size * size).sum();
    let own = own_doubt(checked, near_pa);
    Some(ExpectedOnset { onset_pa: ln_onset.exp(), doubt: (of_fit.max(0.0) + of_sizes + own * own).sqrt() })
}

fn applied(checked: &CheckedReed, fit: &ReedFit) -> Option<CheckedReed> {
    let mut numbers = vec![("quality_factor", fit.quality_factor.value)];
    numbers.extend(fit.leak_m2.map(|leak| ("leak_mm2", 1e6 * leak.value)));
    checked.with_fitted(&numbers).ok()
}

fn reed_fit(reed: &JobReed, evidence: &Evidence, solution: &Solution) -> ReedFit {
    let current = evidence.current.get(&reed.id).copied().unwrap_or_default();
    let apart = match (current.loss, current.leak) {
        (None, None) => Apart::NothingMeasured,
        (Some(loss), Some(leak)) => apart(solution.both(loss, leak).by_data),
        _ => Apart::OneMeasured,
    };
    let thickness = reed.checked.thickness.filter(|found| found.measured).zip(reed.checked.measured.pluck_hz);
    let gauge = reed.checked.spec.relative_tolerance("thickness_mm").unwrap_or(0.0);
    ReedFit {
        id: reed.id.clone(),
        quality_factor: Estimate::quality(solution.ln_quality(current.loss)),
        leak_m2: current.leak.map(|leak| Estimate::leak(solution.leak_m2(leak))),
        apart,
        thickness_scale: thickness
            .map(|(found, hz)| (found.scale, found.scale * of_a_pluck(&reed.checked, hz).hypot(gauge))),
        current,
    }
}

/// Whether the data alone know every combination of loss and leak better than was assumed: the larger eigenvalue of their
/// covariance, in units of the doubts assumed, is below one. Where it is not, the diagonal tells whether it is one of the two that is unknown.
fn apart([[a, b], [_, c]]: [[f64; 2]; 2]) -> Apart {
    let largest = 0.5 * (a + c) + (0.25 * (a - c).powi(2) + b * b).sqrt();
    match (a < 1.0, c < 1.0) {
        _ if largest < 1.0 => Apart::Yes,
        (true, false) => Apart::LeakNotKnown,
        (false, true) => Apart::LossNotKnown,
        _ => Apart::No,
    }
}

fn assumed(evidence: &Evidence) -> Vec<Assumed> {
    let (low, high) = PLAUSIBLE_SHARES;
    let entry = |key: &str, value: String, why: &str| Assumed { key: key.to_owned(), value, why: why.to_owned() };
    vec![
        entry(
            "fit.quality_factor",
            format!(
                "{:.0}, four times in five within a factor of {:.1}",
                evidence.assumed_quality,
                (high / low).sqrt()
            ),
            "where measurements say little, the fit leans on what the sheet assumes",
        ),
        entry(
            "fit.scatter",
            format!(
                "{:.0} % from reed to reed, as good as {} reeds measured",
                100.0 * SCATTER,
                super::solve::SCATTER_WEIGHT
            ),
            "tongues of one set lose alike, not the same; no source",
        ),
        entry(
            "fit.leak_mm2",
            format!("as stated, give or take {} mm2", 1e6 * LEAK_DOUBT_M2),
            "a stray leak that was not measured; no source",
        ),
        entry(
            "fit.softest_blow_pa",
            format!(
                "the model's onset, give or take {:.0} %, the manometer and the tolerances of gap and clearance",
                100.0 * BEYOND_ONSET
            ),
            "a blow just above onset takes long to start; that and what the model leaves out",
        ),
    ]
}

/// The quality factor to expect where nothing was ever measured of loss and leak.
pub(super) fn unfitted_quality(checked: &CheckedReed) -> Estimate {
    Estimate::quality(Found { value: checked.reed.quality_factor.ln(), error: loss_doubt() })
}

/// Standard error of the logarithm of an estimate that is given by its logarithm.
pub(super) fn relative_doubt(estimate: Estimate) -> f64 {
    0.5 * (estimate.high / estimate.low).ln() / FOUR_OF_FIVE
}
