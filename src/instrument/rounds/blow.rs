//! Softest blows as evidence.
//!
//! The softest blow is taken to be the model's onset: the lowest pressure at which small motion grows (the threshold that
//! is measured when pressure is raised slowly, as D. Ricot, R. Causse and N. Misdariis, J. Acoust. Soc. Am. 117 (2005)
//! 2279, do for accordion reeds; from memory). A player or a pump waits for a while only, and just above onset a reed
//! takes long: the pressure read lies somewhat above it. That, and what the model leaves out, is put at [`BEYOND_ONSET`](crate::sheet::BEYOND_ONSET)
//! of the pressure either way (assumed), beside the tolerance of the manometer and of gap and side clearance.

use nalgebra::{DMatrix, DVector};

use crate::answer::Doubt;
use crate::physics::ReedModel;
use crate::physics::onset::Search;
use crate::sheet::{CheckedReed, JobReed, own_doubt};

/// Sizes whose tolerances move onset most.
const SIZES: [&str; 4] = ["tip_gap_mm", "side_clearance_mm", "left_clearance_mm", "right_clearance_mm"];
/// Largest quality factor tried to make a reed of the model speak.
const HIGHEST_QUALITY: f64 = 1000.0;

/// A softest blow that was measured.
#[derive(Debug, Clone)]
pub(super) struct Blow {
    pub(super) id: String,
    pub(super) loss: usize,
    pub(super) leak: usize,
    pub(super) pressure_pa: f64,
    pub(super) reed: OnsetOf,
    checked: CheckedReed,
}

/// A reed whose onset is asked for, over and over.
#[derive(Debug, Clone)]
pub(super) struct OnsetOf {
    model: ReedModel,
    limit_pa: f64,
}

impl OnsetOf {
    /// `near_pa` is about where onset is expected.
    pub(super) fn new(checked: &CheckedReed, near_pa: f64) -> Option<Self> {
        let model = ReedModel::new(checked.reed.clone()).ok()?;
        let limit_pa = (8.0 * near_pa).clamp(100.0, 50e3);
        Some(Self { model, limit_pa })
    }

    /// Logarithm of the onset pressure (Pa); nothing where it does not speak within reach.
    pub(super) fn ln_onset(&self, ln_quality: f64, leak_m2: f64) -> Option<f64> {
        let model = self.model.with_quality_factor(ln_quality.exp()).with_leak_area(leak_m2.max(0.0));
        let search = Search { limit_pa: self.limit_pa, ratio: 1.1, ..Search::default() };
        model.onset(&search).map(|onset| onset.pressure_pa.ln())
    }

    /// Logarithm of onset, and its derivatives by the logarithm of the quality factor and by leak (1/m2).
    pub(super) fn slopes(&self, ln_quality: f64, leak_m2: f64) -> Option<[f64; 3]> {
        const STEP: f64 = 1e-3;
        const STEP_M2: f64 = 1e-9;
        let here = self.ln_onset(ln_quality, leak_m2)?;
        // More loss or leak may end the window: the steps go to where it is wider, if they can.
        let by_quality = (self.ln_onset(ln_quality + STEP, leak_m2)? - here) / STEP;
        let (other, step) =
            if leak_m2 >= STEP_M2 { (leak_m2 - STEP_M2, -STEP_M2) } else { (leak_m2 + STEP_M2, STEP_M2) };
        Some([here, by_quality, (self.ln_onset(ln_quality, other)? - here) / step])
    }
    /// Onsets solved by [`OnsetOf::slopes`].
    pub(super) const SLOPES: usize = 3;
}

impl Blow {
    pub(super) fn of(reed: &JobReed, loss: usize, leak: usize) -> Option<Self> {
        let pressure_pa = reed.checked.measured.softest_blow_pa?;
        let onset = OnsetOf::new(&reed.checked, pressure_pa)?;
        Some(Self { id: reed.id.clone(), loss, leak, pressure_pa, reed: onset, checked: reed.checked.clone() })
    }
}

/// What the tolerance of each size makes of the logarithm of onset; each with the size's name and the place it was typed,
/// since a size that was measured once is off by the same in every round. With the number of onsets solved.
pub(super) fn size_doubts(checked: &CheckedReed, near_pa: f64, ln_quality: f64) -> (Vec<(String, f64)>, usize) {
    let leak_m2 = checked.reed.slot.leak_area_m2;
    let at = |checked: &CheckedReed| OnsetOf::new(checked, near_pa)?.ln_onset(ln_quality, leak_m2);
    let doubts: Vec<Doubt> = Doubt::all(checked).into_iter().filter(|doubt| SIZES.contains(&doubt.key.name)).collect();
    let Some(here) = at(checked) else { return (Vec::new(), 1) };
    let found = doubts.iter().filter_map(|doubt| {
        let name = doubt.key.full_name();
        let place =
            checked.spec.typed(&name).map(|(_, place)| format!("{}:{}:{}", place.file(), place.line(), place.column()));
        let other = at(&checked.with(&name, *doubt.values.first()?).ok()?)?;
        Some((format!("{name} {}", place.unwrap_or_default()), other - here))
    });
    (found.collect(), 1 + doubts.len())
}

/// The softest blows of one reed with the weights they have together.
#[derive(Debug)]
pub(super) struct BlowGroup {
    pub(super) blows: Vec<Blow>,
    /// Lower triangle of the covariance of the logarithms.
    lower: DMatrix<f64>,
    /// Logarithm of a quality factor with which the model's reed speaks.
    pub(super) speaks_with: f64,
    pub(super) unused: Vec<String>,
    pub(super) onsets: usize,
}

impl BlowGroup {
    /// Weighs them: `C_kl = own_k^2 (k = l) + sum over sizes measured once of s_k s_l`.
    pub(super) fn weigh(blows: Vec<Blow>, quality: f64) -> Self {
        let (mut used, mut unused, mut parts) = (Vec::new(), Vec::new(), Vec::new());
        let (mut onsets, mut speaks_with) = (0, quality.ln());
        for blow in blows {
            let Some(found) = speaking_from(&blow, quality, &mut onsets) else {
                unused.push(format!(
                    "{}: its softest blow is not used: with sizes as typed the model's reed does not speak near it, whatever its loss; \
                     measure gap and clearance again",
                    blow.id
                ));
                continue;
            };
            speaks_with = speaks_with.max(found);
            let (sizes, count) = size_doubts(&blow.checked, blow.pressure_pa, found);
            onsets += count;
            parts.push((own_doubt(&blow.checked, blow.pressure_pa), sizes));
            used.push(blow);
        }
        let covariance = DMatrix::from_fn(used.len(), used.len(), |k, l| {
            let own = if k == l { parts[k].0 * parts[k].0 } else { 0.0 };
            let same = |(name, of_k): &(String, f64)| {
                parts[l].1.iter().find(|(other, _)| other == name).map_or(0.0, |(_, of_l)| of_k * of_l)
            };
            own + parts[k].1.iter().map(same).sum::<f64>()
        });
        // Own doubts are above zero, so that it has a Cholesky factor; a diagonal stands in where round-off denies it.
        let lower = nalgebra::Cholesky::new(covariance.clone())
            .map_or_else(|| DMatrix::from_diagonal(&covariance.diagonal().map(f64::sqrt)), |found| found.l());
        Self { blows: used, lower, speaks_with, unused, onsets }
    }

    /// Rows of numbers, one a blow, made independent and of unit doubt.
    pub(super) fn whitened(&self, rows: &DMatrix<f64>) -> DMatrix<f64> {
        self.lower.solve_lower_triangular(rows).unwrap_or_else(|| rows.clone())
    }

    /// Logarithms of measured pressures (Pa).
    pub(super) fn measured(&self) -> DVector<f64> {
        DVector::from_iterator(self.blows.len(), self.blows.iter().map(|blow| blow.pressure_pa.ln()))
    }
}

/// The first logarithm of a quality factor, from the one assumed up, with which the model's reed speaks.
fn speaking_from(blow: &Blow, quality: f64, onsets: &mut usize) -> Option<f64> {
    let mut trial = quality;
    while trial <= HIGHEST_QUALITY {
        *onsets += 1;
        if blow.reed.ln_onset(trial.ln(), blow.checked.reed.slot.leak_area_m2).is_some() {
            return Some(trial.ln());
        }
        trial *= 1.5;
    }
    None
}
