//! What a reed much like one already solved would do, at the cost of a few small motions.
//!
//! A swing that grows as `e^(sigma t)` comes to half its final value after `t_r/2 + N/sigma`, with `t_r` the rise of the blow
//! and `N` the e-folds from the first kick to there. `N` goes with the logarithm of sizes, so it is kept from the reed that
//! was solved, and only the growth rate `sigma(P)` is found anew:
//!
//! - speaking time: `t' = t_r/2 + (t - t_r/2) sigma/sigma'`;
//! - an end of the playable window: the pressure at which `sigma'` is what `sigma` was at the end (at onset, zero);
//! - level and stress: from the steady orbit near the one known.

use super::figure::{Figure, Figures};
use crate::physics::attack::Steady;
use crate::physics::onset::Speaking;
use crate::physics::playable::{Demand, Edge, Playable};
use crate::physics::steady::Hint;
use crate::physics::{Reed, ReedModel};

/// A pressure, and the growth rate there that is to be found again.
#[derive(Debug, Clone, Copy)]
struct Anchor {
    figure: Figure,
    pressure_pa: f64,
    growth_per_s: f64,
    /// Ratios of the pressures at which growth is asked.
    at: [f64; 2],
}

/// A speaking time.
#[derive(Debug, Clone, Copy)]
struct Timed {
    figure: Figure,
    pressure_pa: f64,
    growth_per_s: f64,
    t50_s: f64,
}

/// A steady sound.
#[derive(Debug, Clone, Copy)]
struct Sounding {
    figure: Figure,
    pressure_pa: f64,
    hint: Hint,
    value: fn(&Steady) -> f64,
}

/// A solved reed, ready to be asked about its like.
#[derive(Debug, Clone)]
pub(super) struct Nearby {
    anchors: Vec<Anchor>,
    timed: Vec<Timed>,
    sounding: Vec<Sounding>,
    soft_pa: f64,
    half_rise_s: f64,
    allowed_s: f64,
}

/// What was found out about the reed itself.
#[derive(Debug, Clone, Copy)]
pub(super) struct Known<'a> {
    pub(super) speaking: &'a Speaking,
    pub(super) playable: Option<&'a Playable>,
    pub(super) demand: Demand,
    /// Soft, normal and hard (Pa).
    pub(super) pressures_pa: [f64; 3],
    pub(super) t50_s: [Option<f64>; 3],
    /// Steady sound at the normal and at the hard pressure.
    pub(super) hints: [Option<Hint>; 2],
}

impl Nearby {
    pub(super) fn of(known: &Known<'_>) -> Self {
        let growth = |pressure_pa: f64| known.speaking.growth_near(pressure_pa);
        let anchor =
            |figure, pressure_pa: f64, at| Anchor { figure, pressure_pa, growth_per_s: growth(pressure_pa), at };
        let onset = known.speaking.onset.map(|onset| anchor(Figure::Onset, onset.pressure_pa, [0.95, 1.05]));
        let low = known.playable.map(|window| anchor(Figure::Low, window.low.pressure_pa, [0.95, 1.05]));
        let closed = known.playable.filter(|window| window.high.edge != Edge::LimitOfSearch);
        // Beyond the upper end the rest may fold.
        let high = closed.map(|window| anchor(Figure::High, window.high.pressure_pa, [0.9, 1.0]));
        let times = [Figure::SoftTime, Figure::Time, Figure::HardTime].into_iter().zip(known.pressures_pa);
        let timed = times.zip(known.t50_s).filter_map(|((figure, pressure_pa), t50_s)| {
            Some(Timed { figure, pressure_pa, growth_per_s: growth(pressure_pa), t50_s: t50_s? })
        });
        let level: fn(&Steady) -> f64 = |steady| steady.level.db;
        let stress: fn(&Steady) -> f64 = |steady| steady.stress_pa.ln();
        let sounds = [(Figure::Level, 1, level), (Figure::Stress, 2, stress)].into_iter().zip(known.hints);
        let sounding = sounds.filter_map(|((figure, at, value), hint)| {
            Some(Sounding { figure, pressure_pa: known.pressures_pa[at], hint: hint?, value })
        });
        Self {
            anchors: [onset, low, high].into_iter().flatten().collect(),
            timed: timed.collect(),
            sounding: sounding.collect(),
            soft_pa: known.pressures_pa[0],
            half_rise_s: 0.5 * known.demand.rise_s,
            allowed_s: known.demand.allowed_s,
        }
    }

    /// The figures of a reed like it, as near as small motions and orbits tell; compare two of them with each other, since
    /// what is approximate is the same in both. Nothing where it cannot be told, and for a reed without meaning.
    pub(super) fn figures(&self, reed: &Reed) -> Figures {
        let mut figures = Figures::default();
        let Ok(model) = ReedModel::new(reed.clone()) else { return figures };
        self.small_motion(&model, &mut figures);
        for sound in &self.sounding {
            let orbit = model.orbit_near(&sound.hint, sound.pressure_pa);
            figures.set(sound.figure, orbit.map(|orbit| (sound.value)(&orbit.steady)));
        }
        figures
    }

    fn small_motion(&self, model: &ReedModel, figures: &mut Figures) {
        let ends = self.anchors.iter().flat_map(|anchor| anchor.at.map(|ratio| ratio * anchor.pressure_pa));
        let pressures: Vec<f64> =
            ends.chain(self.timed.iter().map(|timed| timed.pressure_pa)).chain([self.soft_pa]).collect();
        let growth: Vec<Option<f64>> =
            model.growth(&pressures).into_iter().map(|growth| growth.map(|growth| growth.growth_per_s)).collect();
        let (ends, rest) = growth.split_at(2 * self.anchors.len());
        for (anchor, found) in self.anchors.iter().zip(ends.chunks(2)) {
            figures.set(anchor.figure, found[0].zip(found[1]).and_then(|found| anchor.ln_pressure(found)));
        }
        let (times, soft) = rest.split_at(self.timed.len());
        for (timed, found) in self.timed.iter().zip(times) {
            figures.set(timed.figure, found.and_then(|growth| self.ln_time(timed, growth)));
        }
        figures.set(Figure::SoftGrowth, soft[0].map(|growth| growth * self.allowed_s));
    }

    fn ln_time(&self, timed: &Timed, growth_per_s: f64) -> Option<f64> {
        let e_folds = (timed.t50_s - self.half_rise_s).max(0.0) * timed.growth_per_s;
        let both_grow = timed.growth_per_s > 0.0 && growth_per_s > 0.0;
        both_grow.then(|| (self.half_rise_s.min(timed.t50_s) + e_folds / growth_per_s).ln())
    }
}

impl Anchor {
    /// `ln` of the pressure at which growth comes to what it was, by a straight line through two growth rates.
    fn ln_pressure(&self, found: (f64, f64)) -> Option<f64> {
        let [a, b] = self.at.map(|ratio| (ratio * self.pressure_pa).ln());
        let slope = (found.1 - found.0) / (b - a);
        let rises = self.figure != Figure::High;
        (slope != 0.0 && (slope > 0.0) == rises).then(|| a + (self.growth_per_s - found.0) / slope)
    }
}
