//! What a reed much like one already solved would do, by whole attacks at the pressures that decide.
//!
//! - speaking times, level and stress: the same attacks again;
//! - an end of the playable window: where `t50` passes the time allowed. Near the end `ln t50` is straight in `ln P`, with the
//!   steepness found there, so that one attack at the old end tells how far the new one is off. A window that ends where the
//!   reed does not start ends at its choke, and goes where that goes.

use super::figure::{Figure, Figures};
use super::solution::{Asking, Solution};
use crate::physics::attack::{Steady, Stop};
use crate::physics::onset::Search;
use crate::physics::playable::{Demand, Edge, End};
use crate::physics::{Reed, ReedModel};

/// Small motion is scanned in steps of 5 %: onset and choke are refined in any case.
const SEARCH: Search = Search { lowest_pa: 1.0, limit_pa: 20e3, ratio: 1.05 };

/// A solved reed, ready to be asked about its like.
#[derive(Debug, Clone)]
pub(super) struct Nearby {
    demand: Demand,
    pressures_pa: [f64; 3],
    low: Option<End>,
    high: Option<End>,
    choke_pa: Option<f64>,
    sounds: bool,
    stress_counts: bool,
}

impl Nearby {
    /// `stress_counts`: whether anybody asks how well the stress is known.
    pub(super) fn of(asked: &Asking<'_>, solution: &Solution, stress_counts: bool) -> Self {
        let window = solution.playable.as_ref();
        Self {
            demand: asked.demand,
            pressures_pa: asked.pressures.all(),
            low: window.map(|window| window.low),
            high: window.map(|window| window.high).filter(|high| high.edge != Edge::LimitOfSearch),
            choke_pa: solution.small.speaking.choke.pressure_pa(),
            sounds: solution.attacks[1].steady.is_some(),
            stress_counts,
        }
    }

    /// The figures of a reed like it; compare two of them with each other. Nothing where it cannot be told, and for a reed
    /// without meaning.
    pub(super) fn figures(&self, reed: &Reed) -> Figures {
        let mut figures = Figures::default();
        let Ok(model) = ReedModel::new(reed.clone()) else { return figures };
        let [soft_pa, normal_pa, hard_pa] = self.pressures_pa;
        let growth = model.growth(&[soft_pa])[0].map(|growth| growth.growth_per_s);
        figures.set(Figure::Onset, model.onset(&SEARCH).map(|onset| onset.pressure_pa.ln()));
        figures.set(Figure::SoftGrowth, growth.map(|growth| growth * self.demand.allowed_s));
        self.ends(&model, &mut figures);
        if self.low.is_none() {
            figures.set(Figure::SoftTime, self.ln_time(&model, soft_pa));
        }
        if self.high.is_none() {
            figures.set(Figure::HardTime, self.ln_time(&model, hard_pa));
        }
        if self.sounds {
            let normal = model.attack(&self.demand.blow(normal_pa), Stop::WhenSteady);
            figures.set(Figure::Time, normal.t50_s.map(f64::ln));
            figures.set(Figure::Level, normal.steady.map(|steady| steady.level.db));
        } else {
            figures.set(Figure::Time, self.ln_time(&model, normal_pa));
        }
        if self.stress_counts {
            let ln_stress = |steady: Steady| steady.stress_pa.ln();
            let hard = model.attack(&self.demand.blow(hard_pa), Stop::WhenSteady);
            figures.set(Figure::Stress, hard.steady.map(ln_stress));
        }
        figures
    }

    /// `ln` of the softest pressure at which a reed like it speaks in time.
    pub(super) fn ln_low(&self, reed: &Reed) -> Option<f64> {
        self.by_time(&ReedModel::new(reed.clone()).ok()?, self.low?)
    }

    fn ends(&self, model: &ReedModel, figures: &mut Figures) {
        let high = self.high.and_then(|end| match end.steepness {
            Some(_) => self.by_time(model, end),
            None => {
                let choke_pa = model.speaking(&SEARCH).choke.pressure_pa()?;
                Some((end.pressure_pa * choke_pa / self.choke_pa?).ln())
            }
        });
        figures.set(Figure::Low, self.low.and_then(|end| self.by_time(model, end)));
        figures.set(Figure::High, high);
    }

    /// `ln` of where an end has gone, by the time at the old one.
    fn by_time(&self, model: &ReedModel, end: End) -> Option<f64> {
        let lateness = self.ln_time(model, end.pressure_pa)? - self.demand.allowed_s.ln();
        Some(end.pressure_pa.ln() - lateness / end.steepness?)
    }

    fn ln_time(&self, model: &ReedModel, pressure_pa: f64) -> Option<f64> {
        model.start(&self.demand.blow(pressure_pa)).t50_s.map(f64::ln)
    }
}
