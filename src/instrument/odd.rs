//! A reed out of the run of its neighbours in what was measured of it, whatever its player asks.
//!
//! Gap, clearance, loss, channel and leak are each given the value that the neighbours have in its place. What departs by
//! more than a tenth and by more than three times the scatter of the set, and changes onset or growth by what a player
//! notices, is told: first what changes most.

use super::assess::ReedAssessment;
use super::cause::{Cause, Failing};
use super::figure::Figure;
use super::finding::Finding;
use super::known::Uncertainty;
use super::neighbours::{LEAK_READ_TO, NEIGHBOURS, Neighbours, ODD};
use super::surety::{Surety, above_zero};
use super::word::NOTICED;
use crate::physics::onset::Search;
use crate::physics::{Reed, ReedModel};
use crate::sheet::keys::find;
use crate::sheet::{CheckedReed, Feel};
use crate::workshop::align::clearance_tolerance_m;

/// Coarse: what is noticed is a tenth.
const SEARCH: Search = Search { lowest_pa: 1.0, limit_pa: 20e3, ratio: 1.05 };
/// A blow that a player calls the softest is as soft as that to so much, as a standard deviation (assumed).
const BLOWN_TO: f64 = 0.2;
/// How many times the softest blow may be what is computed: beyond it something was not measured.
const HARDER: f64 = 1.5;

/// What is out of the run; nothing of a reed that is to be as its counterpart, or that its player calls good.
pub(super) fn out_of_run(assessed: &ReedAssessment, failing: &Failing<'_>, neighbours: &Neighbours) -> Option<Finding> {
    if assessed.counterpart.is_some() || assessed.says == Some(Feel::Good) {
        return None;
    }
    let odd = failing.odd(neighbours).filter(|(cause, _)| neighbours.is_out(cause));
    let odd: Vec<(Cause, Reed)> = odd.collect();
    if odd.is_empty() {
        return None;
    }
    let pressures_pa = assessed.pressures.all();
    let own = Small::of(&failing.checked.reed, &pressures_pa);
    let effects = odd.into_iter().map(|(cause, reed)| (own.differs(&Small::of(&reed, &pressures_pa)), cause));
    let (most, cause) = effects.max_by(|a, b| a.0.total_cmp(&b.0))?;
    (most > NOTICED).then(|| Finding::OutOfRun { cause, surety: surety(&cause, failing.checked) })
}

/// Size of the logarithm by which it is off.
fn off(cause: &Cause) -> Option<f64> {
    let (own, usual) = match *cause {
        Cause::GapTooWide { gap_m, usual_m } | Cause::GapTooClose { gap_m, usual_m } => (gap_m, usual_m),
        Cause::Clearance { clearance_m, usual_m } => (clearance_m, usual_m),
        Cause::Loss { quality, usual } => (quality, usual),
        Cause::Channel { area_m2, usual_m2 } => (area_m2, usual_m2),
        Cause::Leak { .. } | Cause::TongueOrChamber | Cause::NothingToCompare => return None,
    };
    Some((own / usual).ln().abs())
}

/// How sure it is that it is off by more than a tenth: what the tools have in common cancels, the neighbours' own errors
/// add little.
fn surety(cause: &Cause, checked: &CheckedReed) -> Surety {
    let relative = |name: &str, value: f64| {
        let key = find(name).expect("a key of the table");
        checked.spec.tolerance(key).or(key.tolerance).map_or(0.0, |tolerance| key.si(tolerance) / value)
    };
    let tolerance = match *cause {
        Cause::GapTooWide { gap_m, .. } | Cause::GapTooClose { gap_m, .. } => relative("tip_gap_mm", gap_m),
        Cause::Clearance { clearance_m, .. } => clearance_tolerance_m(checked) / clearance_m,
        Cause::Channel { area_m2, .. } => relative("channel_area_mm2", area_m2),
        _ => LEAK_READ_TO,
    };
    let own = Uncertainty::own_of(tolerance) * (1.0 + std::f64::consts::FRAC_PI_2 / NEIGHBOURS as f64).sqrt();
    Surety::of(off(cause).map_or(Surety::LIKELY, |off| above_zero(off - ODD, own)))
}

/// What small motion says of a reed.
struct Small {
    onset: Option<f64>,
    growth: Vec<Option<f64>>,
}

impl Small {
    fn of(reed: &Reed, pressures_pa: &[f64]) -> Self {
        let Ok(model) = ReedModel::new(reed.clone()) else { return Self { onset: None, growth: Vec::new() } };
        let onset = model.onset(&SEARCH).map(|onset| onset.pressure_pa);
        let growth = model.growth(pressures_pa).into_iter().map(|growth| growth.map(|it| it.growth_per_s)).collect();
        Self { onset, growth }
    }

    /// The largest logarithm of what changes; without limit where one of the two does not speak.
    fn differs(&self, other: &Self) -> f64 {
        let ratio = |pair: (Option<f64>, Option<f64>)| match pair {
            (Some(a), Some(b)) if a > 0.0 && b > 0.0 => (a / b).ln().abs(),
            (Some(a), Some(b)) if a <= 0.0 && b <= 0.0 => 0.0,
            (None, None) => 0.0,
            _ => f64::INFINITY,
        };
        let growth = self.growth.iter().copied().zip(other.growth.iter().copied());
        growth.chain([(self.onset, other.onset)]).map(ratio).fold(0.0, f64::max)
    }
}

/// That the softest blow that was measured is far above what is computed from all else that was: something is not as the
/// sheet has it.
pub(super) fn harder_than_computed(assessed: &ReedAssessment) -> Option<Finding> {
    let blown_pa = assessed.reed.checked.measured.softest_blow_pa?;
    let computed_pa = assessed.playable?.low.pressure_pa;
    let low = assessed.uncertainties.get(Figure::Low);
    let beyond = (blown_pa / computed_pa).ln() - low.off - HARDER.ln();
    let probability = above_zero(beyond, low.deviation().hypot(BLOWN_TO));
    (probability >= Surety::LIKELY).then(|| Finding::HarderThanComputed {
        blown_pa,
        computed_pa: computed_pa * low.off.exp(),
        surety: Surety::of(probability),
    })
}
