//! What a reed much like one already solved would do at the pressures that decide.
//!
//! - Speaking times: soon after the rise of the blow, at `t_1`, the motion has an envelope `A`, and from there to half its
//!   final swing it grows at a rate `s(A)`, near the rate `s_0` of small motion at first. Of a reed like it, `A(t_1)` is run
//!   for, and the rate of small motion solved for. Where the swing holds growth back, `s(A) < s_0`, both change in
//!   proportion, as the final swing does; where it helps, as near choke, they change by as much. The time follows, `t50 =
//!   t_1 + integral of d ln A/s(A)`. What speaks before that, or would not grow, is run as a whole.
//! - An end of the playable window: where `t50` passes the time allowed. Near the end `ln t50` is straight in `ln P`, with the
//!   steepness found there, so that the time at the old end tells how far the new one is off. A window that ends where the
//!   reed does not start ends at its choke, and goes where that goes.
//! - Level and stress: what the reed goes over to from the motion of the one that was solved.

use super::figure::{Figure, Figures};
use super::solution::{Asking, Solution};
use crate::physics::attack::{Blow, Steady, Stop};
use crate::physics::onset::Search;
use crate::physics::playable::{Demand, Edge, End};
use crate::physics::{Reed, ReedModel, State};

/// Small motion is scanned in steps of 5 %: onset and choke are refined in any case.
const SEARCH: Search = Search { lowest_pa: 1.0, limit_pa: 20e3, ratio: 1.05 };
/// Periods after the rise of a blow at which the motion is looked at.
const EARLY_PERIODS: f64 = 6.0;
/// Pieces in which the way from there to half the final swing is taken, and how far it is at least (e-folds).
const PIECES: usize = 12;
const FEWEST_FOLDS: f64 = 1.0;

/// A speaking time of the reed that was solved.
#[derive(Debug, Clone, Copy)]
struct Timed {
    pressure_pa: f64,
    way: Option<Way>,
}

/// How a motion grows from soon after the rise of the blow to half its final swing, in pieces of one duration.
#[derive(Debug, Clone, Copy)]
struct Way {
    /// Of small motion.
    growth_per_s: f64,
    from_s: f64,
    piece_s: f64,
    /// Logarithm of the envelope at the start and after each piece.
    ln_envelope: [f64; PIECES + 1],
}

impl Way {
    /// Nothing where the way is short, or goes down anywhere.
    fn of(model: &ReedModel, blow: &Blow, growth_per_s: f64, t50_s: f64) -> Option<Self> {
        let from_s = early_s(model, blow);
        if from_s >= t50_s {
            return None;
        }
        let envelope = model.envelope_to(blow, t50_s);
        let piece_s = (t50_s - from_s) / PIECES as f64;
        let mut ln_envelope = [0.0; PIECES + 1];
        for (k, value) in ln_envelope.iter_mut().enumerate() {
            *value = envelope.at(from_s + k as f64 * piece_s)?.ln();
        }
        let rises = ln_envelope.windows(2).all(|pair| pair[0] < pair[1]);
        let far = ln_envelope[PIECES] - ln_envelope[0] > FEWEST_FOLDS;
        (rises && far).then_some(Self { growth_per_s, from_s, piece_s, ln_envelope })
    }

    /// When a motion that starts it at another envelope, and when small grows at another rate, comes to its end; nothing where
    /// it would not, or starts near it.
    fn walked(&self, ln_start: f64, growth_per_s: f64) -> Option<f64> {
        let (first, last) = (self.ln_envelope[0], self.ln_envelope[PIECES]);
        if last - ln_start < 0.5 * FEWEST_FOLDS {
            return None;
        }
        let mut time_s = self.from_s;
        for pair in self.ln_envelope.windows(2) {
            let rate = (pair[1] - pair[0]) / self.piece_s;
            // The first piece is as long as it must be.
            let low = if pair[0] == first { ln_start } else { pair[0].max(ln_start) };
            if low < pair[1] {
                let held_back = rate < self.growth_per_s;
                let other = if held_back {
                    rate * growth_per_s / self.growth_per_s
                } else {
                    rate + growth_per_s - self.growth_per_s
                };
                (other > 0.1 * rate).then_some(())?;
                time_s += (pair[1] - low) / other;
            }
        }
        Some(time_s)
    }
}

/// A time soon after the rise of a blow (s).
fn early_s(model: &ReedModel, blow: &Blow) -> f64 {
    blow.rise_s + EARLY_PERIODS / model.modes()[0].frequency_hz
}

/// A solved reed, ready to be asked about its like.
#[derive(Debug, Clone)]
pub(super) struct Nearby {
    demand: Demand,
    soft_pa: f64,
    choke_pa: Option<f64>,
    /// Softest and hardest playable pressure, and the time allowed there, where the reed is too slow beyond.
    ends: [Option<(End, Option<Timed>)>; 2],
    /// Times at the soft, the normal and the hard pressure, where they exist and anybody asks how well they are known.
    times: [Option<Timed>; 3],
    /// Motion at the normal pressure, and at the hard one where anybody asks how well the stress is known.
    sounding: [Option<(f64, State)>; 2],
}

impl Nearby {
    /// `stress_counts`: whether anybody asks how well the stress is known.
    pub(super) fn of(asked: &Asking<'_>, solution: &Solution, stress_counts: bool) -> Self {
        let (model, demand) = (asked.model(), asked.demand);
        let timed = |pressure_pa: f64, t50_s: f64| {
            let growth_per_s = model.growth(&[pressure_pa])[0].map_or(0.0, |growth| growth.growth_per_s);
            Timed { pressure_pa, way: Way::of(&model, &demand.blow(pressure_pa), growth_per_s, t50_s) }
        };
        let window = solution.playable.as_ref();
        let ends = [window.map(|window| window.low), window.map(|window| window.high)];
        let ends = ends.map(|end| {
            let end = end.filter(|end| end.edge != Edge::LimitOfSearch)?;
            Some((end, end.steepness.map(|_| timed(end.pressure_pa, demand.allowed_s))))
        });
        let pressures_pa = asked.pressures.all();
        let time = |k: usize| {
            let counts = k == 1 || ends[k / 2].is_none();
            Some(timed(pressures_pa[k], solution.attacks[k].t50_s.filter(|_| counts)?))
        };
        let sounds = |k: usize| Some((pressures_pa[k], solution.sounding[k]?));
        Self {
            demand,
            soft_pa: pressures_pa[0],
            choke_pa: solution.small.speaking.choke.pressure_pa(),
            ends,
            times: std::array::from_fn(time),
            sounding: [sounds(1), sounds(2).filter(|_| stress_counts)],
        }
    }

    /// The figures of a reed like it; compare two of them with each other. Nothing where it cannot be told, and for a reed
    /// without meaning.
    pub(super) fn figures(&self, reed: &Reed) -> Figures {
        let mut figures = Figures::default();
        let Ok(model) = ReedModel::new(reed.clone()) else { return figures };
        // Followed up from no pressure once, for all that asks.
        let at_ends = self.ends.iter().flatten().filter_map(|(_, timed)| timed.as_ref());
        let asked = at_ends.chain(self.times.iter().flatten()).map(|timed| timed.pressure_pa);
        let pressures_pa: Vec<f64> = asked.chain([self.soft_pa]).collect();
        let growth = model.growth(&pressures_pa);
        let growth_at = |pressure_pa: f64| {
            let place = pressures_pa.iter().position(|&p| p == pressure_pa)?;
            growth[place].map(|growth| growth.growth_per_s)
        };
        let ln_time = |timed: &Timed| self.ln_time(&model, timed, growth_at(timed.pressure_pa)?);
        figures.set(Figure::Onset, model.onset(&SEARCH).map(|onset| onset.pressure_pa.ln()));
        figures.set(Figure::SoftGrowth, growth_at(self.soft_pa).map(|growth| growth * self.demand.allowed_s));
        for (figure, end) in [Figure::Low, Figure::High].into_iter().zip(&self.ends) {
            let ln_end = |(end, timed): &(End, Option<Timed>)| match timed {
                Some(timed) => self.ln_end(end, ln_time(timed)?),
                None => self.ln_choke_end(&model, end),
            };
            figures.set(figure, end.as_ref().and_then(ln_end));
        }
        for (figure, timed) in [Figure::SoftTime, Figure::Time, Figure::HardTime].into_iter().zip(&self.times) {
            figures.set(figure, timed.as_ref().and_then(ln_time));
        }
        let sounds =
            |k: usize| self.sounding[k].and_then(|(pressure_pa, state)| model.sounding_from(&state, pressure_pa));
        figures.set(Figure::Level, sounds(0).map(|steady| steady.level.db));
        figures.set(Figure::Stress, sounds(1).map(|steady: Steady| steady.stress_pa.ln()));
        figures
    }

    /// `ln` of the softest pressure at which a reed like it speaks in time.
    pub(super) fn ln_low(&self, reed: &Reed) -> Option<f64> {
        let (model, (end, timed)) = (ReedModel::new(reed.clone()).ok()?, self.ends[0]?);
        let timed = timed?;
        let growth_per_s = model.growth(&[timed.pressure_pa])[0]?.growth_per_s;
        self.ln_end(&end, self.ln_time(&model, &timed, growth_per_s)?)
    }

    /// `ln` of where an end has gone that is too slow beyond, from `ln t50` at where it was.
    fn ln_end(&self, end: &End, ln_time: f64) -> Option<f64> {
        Some(end.pressure_pa.ln() - (ln_time - self.demand.allowed_s.ln()) / end.steepness?)
    }

    /// `ln` of where an end has gone at which the reed does not start.
    fn ln_choke_end(&self, model: &ReedModel, end: &End) -> Option<f64> {
        let choke_pa = model.speaking(&SEARCH).choke.pressure_pa()?;
        Some((end.pressure_pa * choke_pa / self.choke_pa?).ln())
    }

    /// `ln t50` of a reed like it, given its growth there.
    fn ln_time(&self, model: &ReedModel, timed: &Timed, growth_per_s: f64) -> Option<f64> {
        let blow = self.demand.blow(timed.pressure_pa);
        let walked = || {
            let way = timed.way.as_ref()?;
            let start = model.envelope_to(&blow, way.from_s).at(way.from_s)?;
            way.walked(start.ln(), growth_per_s)
        };
        walked().or_else(|| model.start(&blow, Stop::WhenSteady).t50_s).map(f64::ln)
    }
}
