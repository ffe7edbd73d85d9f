//! What a reed much like one already solved would do at the pressures that decide.
//!
//! - Speaking times: small motion grows at a rate `s`, and `t50 = t_r/2 + N/s` with `t_r` the rise of the blow and `N` the
//!   e-folds from the first kick to half the final swing. Where a change of the reed moves `s` so little that the time would
//!   change by less than a twentieth, that is what it changes by; else a whole attack tells.
//! - An end of the playable window: where `t50` passes the time allowed. Near the end `ln t50` is straight in `ln P`, with the
//!   steepness found there, so that the time at the old end tells how far the new one is off. A window that ends where the
//!   reed does not start ends at its choke, and goes where that goes.
//! - Level and stress: what the reed goes over to from the motion of the one that was solved.

use super::figure::{Figure, Figures};
use super::solution::{Asking, Solution};
use crate::physics::attack::Steady;
use crate::physics::onset::Search;
use crate::physics::playable::{Demand, Edge, End};
use crate::physics::{Reed, ReedModel, State};

/// Small motion is scanned in steps of 5 %: onset and choke are refined in any case.
const SEARCH: Search = Search { lowest_pa: 1.0, limit_pa: 20e3, ratio: 1.05 };
/// Change of `ln t50` up to which growth alone tells it.
const LITTLE: f64 = 0.05;

/// A speaking time of the reed that was solved.
#[derive(Debug, Clone, Copy)]
struct Timed {
    pressure_pa: f64,
    t50_s: f64,
    growth_per_s: f64,
}

/// A solved reed, ready to be asked about its like.
#[derive(Debug, Clone)]
pub(super) struct Nearby {
    demand: Demand,
    soft_pa: f64,
    /// Softest and hardest playable pressure.
    ends: [Option<End>; 2],
    choke_pa: Option<f64>,
    /// Times at the soft, the normal and the hard pressure, where they exist.
    times: [Option<Timed>; 3],
    /// Motion at the normal pressure, and at the hard one where anybody asks how well the stress is known.
    sounding: [Option<(f64, State)>; 2],
}

impl Nearby {
    /// `stress_counts`: whether anybody asks how well the stress is known.
    pub(super) fn of(asked: &Asking<'_>, solution: &Solution, stress_counts: bool) -> Self {
        let window = solution.playable.as_ref();
        let speaking = &solution.small.speaking;
        let pressures_pa = asked.pressures.all();
        let timed = |k: usize| {
            let (pressure_pa, t50_s) = (pressures_pa[k], solution.attacks[k].t50_s?);
            Some(Timed { pressure_pa, t50_s, growth_per_s: speaking.growth_near(pressure_pa) })
        };
        let sounds = |k: usize| Some((pressures_pa[k], solution.sounding[k]?));
        Self {
            demand: asked.demand,
            soft_pa: pressures_pa[0],
            ends: [
                window.map(|window| window.low),
                window.map(|window| window.high).filter(|high| high.edge != Edge::LimitOfSearch),
            ],
            choke_pa: speaking.choke.pressure_pa(),
            times: std::array::from_fn(timed),
            sounding: [sounds(1), sounds(2).filter(|_| stress_counts)],
        }
    }

    /// The figures of a reed like it; compare two of them with each other. Nothing where it cannot be told, and for a reed
    /// without meaning.
    pub(super) fn figures(&self, reed: &Reed) -> Figures {
        let mut figures = Figures::default();
        let Ok(model) = ReedModel::new(reed.clone()) else { return figures };
        let growth = model.growth(&[self.soft_pa])[0].map(|growth| growth.growth_per_s);
        figures.set(Figure::Onset, model.onset(&SEARCH).map(|onset| onset.pressure_pa.ln()));
        figures.set(Figure::SoftGrowth, growth.map(|growth| growth * self.demand.allowed_s));
        for (figure, end) in [Figure::Low, Figure::High].into_iter().zip(self.ends) {
            figures.set(figure, end.and_then(|end| self.ln_end(&model, end)));
        }
        let times = [
            (Figure::SoftTime, self.ends[0].is_none()),
            (Figure::Time, true),
            (Figure::HardTime, self.ends[1].is_none()),
        ];
        for ((figure, counts), timed) in times.into_iter().zip(self.times) {
            figures.set(figure, timed.filter(|_| counts).and_then(|timed| self.ln_time(&model, &timed)));
        }
        let sounds =
            |k: usize| self.sounding[k].and_then(|(pressure_pa, state)| model.sounding_from(&state, pressure_pa));
        figures.set(Figure::Level, sounds(0).map(|steady| steady.level.db));
        figures.set(Figure::Stress, sounds(1).map(|steady: Steady| steady.stress_pa.ln()));
        figures
    }

    /// `ln` of the softest pressure at which a reed like it speaks in time.
    pub(super) fn ln_low(&self, reed: &Reed) -> Option<f64> {
        self.ln_end(&ReedModel::new(reed.clone()).ok()?, self.ends[0]?)
    }

    /// `ln` of where an end has gone.
    fn ln_end(&self, model: &ReedModel, end: End) -> Option<f64> {
        let Some(steepness) = end.steepness else {
            let choke_pa = model.speaking(&SEARCH).choke.pressure_pa()?;
            return Some((end.pressure_pa * choke_pa / self.choke_pa?).ln());
        };
        let timed =
            Timed { pressure_pa: end.pressure_pa, t50_s: self.demand.allowed_s, growth_per_s: end.growth_per_s };
        Some(end.pressure_pa.ln() - (self.ln_time(model, &timed)? - self.demand.allowed_s.ln()) / steepness)
    }

    fn ln_time(&self, model: &ReedModel, timed: &Timed) -> Option<f64> {
        let rise_s = (0.5 * self.demand.rise_s).min(timed.t50_s);
        let growth = model.growth(&[timed.pressure_pa])[0].map_or(0.0, |growth| growth.growth_per_s);
        let expected = (rise_s + (timed.t50_s - rise_s) * timed.growth_per_s / growth).ln();
        if timed.growth_per_s > 0.0 && growth > 0.0 && (expected - timed.t50_s.ln()).abs() < LITTLE {
            return Some(expected);
        }
        model.start(&self.demand.blow(timed.pressure_pa)).t50_s.map(f64::ln)
    }
}
