//! What a reed much like one already solved would do, at the cost of a few small motions.
//!
//! A swing that grows as `e^(sigma t)` comes to half its final value after `t_r/2 + N/sigma`, with `t_r` the rise of the blow
//! and `N` the e-folds from the first kick to there. `N` goes with the logarithm of sizes, so it is kept from the reed that
//! was solved, and only the growth rate `sigma(P)` is found anew:
//!
//! - speaking time: `t' = t_r/2 + (t - t_r/2) sigma/sigma'`;
//! - an end of the playable window: the pressure at which `sigma'` is what `sigma` was at the end (at onset, zero). Towards
//!   its upper end growth falls steeply and then lingers near zero, so that the end goes with the fall: it is moved as far as
//!   the pressure at which `sigma'` is what `sigma` was 6 % below the end;
//! - level and stress: from the steady orbit near the one known.

use super::figure::{Figure, Figures};
use crate::physics::attack::{Blow, Steady, Stop};
use crate::physics::onset::Speaking;
use crate::physics::playable::{Demand, Edge, Playable};
use crate::physics::steady::Hint;
use crate::physics::{Reed, ReedModel};

/// A pressure, and the growth rate near it that is to be found again.
#[derive(Debug, Clone, Copy)]
struct Anchor {
    figure: Figure,
    pressure_pa: f64,
    growth_per_s: f64,
    /// Ratios of the pressures at which growth is asked.
    at: &'static [f64],
}

/// Where on the fall of growth, beside the upper end of the window.
const ON_THE_FALL: f64 = 0.94;

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
        let rising = |figure, pressure_pa: f64| Anchor {
            figure,
            pressure_pa,
            growth_per_s: growth(pressure_pa),
            at: &[0.95, 1.05],
        };
        let onset = known.speaking.onset.map(|onset| rising(Figure::Onset, onset.pressure_pa));
        let low = known.playable.map(|window| rising(Figure::Low, window.low.pressure_pa));
        let closed = known.playable.filter(|window| window.high.edge != Edge::LimitOfSearch);
        let high = closed.map(|window| Anchor {
            figure: Figure::High,
            pressure_pa: window.high.pressure_pa,
            growth_per_s: growth(ON_THE_FALL * window.high.pressure_pa),
            at: &[0.86, 0.92, 0.98],
        });
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
            let orbit = model.rough_orbit_near(&sound.hint, sound.pressure_pa);
            figures.set(sound.figure, orbit.map(|orbit| (sound.value)(&orbit.steady)));
        }
        figures
    }

    /// `ln` of the speaking time at the normal pressure (s), by a whole attack.
    pub(super) fn whole_ln_time(&self, reed: &Reed) -> Option<f64> {
        let timed = self.timed.iter().find(|timed| timed.figure == Figure::Time)?;
        let blow = Blow { pressure_pa: timed.pressure_pa, rise_s: 2.0 * self.half_rise_s };
        let attack = ReedModel::new(reed.clone()).ok()?.attack(&blow, Stop::WhenSteady);
        attack.t50_s.map(f64::ln)
    }

    fn small_motion(&self, model: &ReedModel, figures: &mut Figures) {
        let ends = self.anchors.iter().flat_map(|anchor| anchor.at.iter().map(|ratio| ratio * anchor.pressure_pa));
        let pressures: Vec<f64> =
            ends.chain(self.timed.iter().map(|timed| timed.pressure_pa)).chain([self.soft_pa]).collect();
        let growth: Vec<Option<f64>> =
            model.growth(&pressures).into_iter().map(|growth| growth.map(|growth| growth.growth_per_s)).collect();
        let mut rest = &growth[..];
        for anchor in &self.anchors {
            let (found, others) = rest.split_at(anchor.at.len());
            figures.set(anchor.figure, anchor.ln_pressure(found));
            rest = others;
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
    /// `ln` of the pressure at which growth comes to what it was, by straight lines through the growth rates found.
    fn ln_pressure(&self, found: &[Option<f64>]) -> Option<f64> {
        let rises = self.figure != Figure::High;
        let at = self.at.iter().zip(found).map(|(ratio, growth)| Some(((ratio * self.pressure_pa).ln(), (*growth)?)));
        let at: Vec<(f64, f64)> = at.collect::<Option<_>>()?;
        let short = |growth: f64| (growth < self.growth_per_s) == rises;
        // The last piece before growth has passed what is sought; the first or the last where it never does.
        let piece = at.windows(2).find(|piece| !short(piece[1].1)).or_else(|| at.windows(2).last())?;
        let [(a, from), (b, to)] = [piece[0], piece[1]];
        let slope = (to - from) / (b - a);
        (slope != 0.0 && (slope > 0.0) == rises).then(|| a + (self.growth_per_s - from) / slope)
    }
}
