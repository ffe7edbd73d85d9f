//! What a reed much like one already solved would do at the pressures that decide.
//!
//! - Speaking times: soon after the rise of the blow, at `t_1`, the motion has an envelope `A`, and from there to half its
//!   final swing it grows at a rate `s(A)`, near the rate `s_0` of small motion at first. Of a reed like it, `A(t_1)` is run
//!   for, and the rate of small motion solved for. Where the swing holds growth back, `s(A) < s_0`, both change in
//!   proportion, as the final swing does; where it helps, as near choke, they change by as much. The time follows, `t50 =
//!   t_1 + integral of d ln A/s(A)`. What speaks before that, or would not grow, is run as a whole.
//! - An end of the playable window: where `t50` passes the time allowed. It is looked for from where the lower would be if it
//!   went with onset, and from where the upper is, or would be if it went with choke where nothing speaks there any more, by
//!   steps along `ln t50` over `ln P`, which has there the steepness found for the reed itself, and by halves of a step that
//!   leads to where nothing speaks. Where at the upper end the way above does not tell what a whole run does, of the reed with
//!   more inertance of the air, whole runs are taken there. A window that ends where the
//!   reed does not start ends at its choke, and goes where that goes.
//! - Level and stress: those of the orbit near that of the reed that was solved, else of what the reed goes over to from its
//!   motion.

use super::figure::{Figure, Figures};
use super::solution::{Asking, Solution};
use crate::physics::attack::{Blow, Steady};
use crate::physics::onset::{Search, Speaking};
use crate::physics::playable::{Demand, Edge, End};
use crate::physics::steady::KnownOrbit;
use crate::physics::{Reed, ReedModel, State};

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

impl Timed {
    /// So much more inertance is tried, and so far off the time may be that the way tells (logarithm).
    const PROOF: [f64; 2] = [1.2, 0.15];

    /// Without its way where that does not tell what a whole run does: near choke, and near a fold.
    fn proved(self, model: &ReedModel, demand: &Demand) -> Self {
        let [more, off] = Self::PROOF;
        let (other, blow) = (model.with_inertances_times(more), demand.blow(self.pressure_pa));
        let Some(way) = self.way else { return self };
        let growth = other.growth(&[self.pressure_pa])[0].map(|growth| growth.growth_per_s);
        let told = growth.and_then(|growth_per_s| way.told(&other, &blow, growth_per_s));
        let run = other.start(&blow, demand.late_enough()).t50_s;
        let holds = told.zip(run).is_none_or(|(told, run)| (told / run).ln().abs() < off);
        Self { way: self.way.filter(|_| holds), ..self }
    }
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
    /// From where it only rises; nothing where that is short.
    fn of(model: &ReedModel, blow: &Blow, growth_per_s: f64, t50_s: f64) -> Option<Self> {
        let envelope = model.envelope_to(blow, t50_s);
        let mut from_s = early_s(model, blow);
        while from_s < t50_s {
            let piece_s = (t50_s - from_s) / PIECES as f64;
            let ln_at = |k: usize| envelope.at(from_s + k as f64 * piece_s).map_or(f64::INFINITY, f64::ln);
            let ln_envelope: [f64; PIECES + 1] = std::array::from_fn(ln_at);
            // What the rise left has to die before the motion that grows is seen.
            match ln_envelope.windows(2).rposition(|pair| pair[0] >= pair[1]) {
                Some(falls) => from_s += (falls + 1) as f64 * piece_s,
                None => {
                    let far = ln_envelope[PIECES] - ln_envelope[0] > FEWEST_FOLDS;
                    return far.then_some(Self { growth_per_s, from_s, piece_s, ln_envelope });
                }
            }
        }
        None
    }

    /// The speaking time of a reed like it whose small motion grows at this rate.
    fn told(&self, model: &ReedModel, blow: &Blow, growth_per_s: f64) -> Option<f64> {
        self.walked(model.envelope_to(blow, self.from_s).at(self.from_s)?.ln(), growth_per_s)
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
    /// Onset and choke.
    limits_pa: [Option<f64>; 2],
    /// Softest and hardest playable pressure, and the time allowed there, where the reed is too slow beyond.
    ends: [Option<(End, Option<Timed>)>; 2],
    /// Times at the soft, the normal and the hard pressure, where they exist and anybody asks how well they are known.
    times: [Option<Timed>; 3],
    /// Motion at the normal pressure, and at the hard one where anybody asks how well the stress is known.
    sounding: [Option<Sounding>; 2],
}

/// A sounding motion of the reed that was solved.
#[derive(Debug, Clone)]
struct Sounding {
    pressure_pa: f64,
    state: State,
    orbit: Option<KnownOrbit>,
}

impl Sounding {
    /// What sounds in a reed like it.
    fn like(&self, model: &ReedModel) -> Option<Steady> {
        let near = self.orbit.as_ref().and_then(|orbit| model.sounding_like(orbit));
        near.or_else(|| model.sounding_from(&self.state, self.pressure_pa))
    }
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
        let proved = |(end, known): (End, Option<Timed>)| (end, known.map(|known| known.proved(&model, &demand)));
        let ends = [ends[0], ends[1].map(proved)];
        let pressures_pa = asked.pressures.all();
        let time = |k: usize| {
            let counts = k == 1 || ends[k / 2].is_none();
            Some(timed(pressures_pa[k], solution.attacks[k].t50_s.filter(|_| counts)?))
        };
        let sounds = |k: usize| {
            let (pressure_pa, state) = (pressures_pa[k], solution.sounding[k]?);
            let period_s = 1.0 / solution.attacks[k].steady?.frequency_hz;
            Some(Sounding { pressure_pa, state, orbit: model.known_orbit(&state, pressure_pa, period_s) })
        };
        Self {
            demand,
            soft_pa: pressures_pa[0],
            limits_pa: limits(&solution.small.speaking).unwrap_or_default(),
            ends,
            times: std::array::from_fn(time),
            sounding: [sounds(1), stress_counts.then(|| sounds(2)).flatten()],
        }
    }

    /// The figures of a reed like it; compare two of them with each other. Nothing where it cannot be told, and for a reed
    /// without meaning.
    pub(super) fn figures(&self, reed: &Reed) -> Figures {
        let mut figures = Figures::default();
        let Ok(model) = ReedModel::new(reed.clone()) else { return figures };
        let onset_pa = self.onset_pa(&model);
        // Followed up from no pressure once, for all that asks.
        let times = self.times.iter().flatten().map(|timed| timed.pressure_pa);
        let pressures_pa: Vec<f64> = times.chain([self.soft_pa]).collect();
        let growth = model.growth(&pressures_pa);
        let growth_at = |pressure_pa: f64| {
            let place = pressures_pa.iter().position(|&p| p == pressure_pa)?;
            growth[place].map(|growth| growth.growth_per_s)
        };
        let ln_time = |timed: &Timed| self.ln_time(&model, timed, timed.pressure_pa, growth_at(timed.pressure_pa)?);
        figures.set(Figure::Onset, onset_pa.map(f64::ln));
        figures.set(Figure::SoftGrowth, growth_at(self.soft_pa).map(|growth| growth * self.demand.allowed_s));
        for (k, figure) in [Figure::Low, Figure::High].into_iter().enumerate() {
            figures.set(figure, self.ln_end(k, &model, onset_pa));
        }
        for (figure, timed) in [Figure::SoftTime, Figure::Time, Figure::HardTime].into_iter().zip(&self.times) {
            figures.set(figure, timed.as_ref().and_then(ln_time));
        }
        let sounds = |k: usize| self.sounding[k].as_ref()?.like(&model);
        figures.set(Figure::Level, sounds(0).map(|steady| steady.level.db));
        figures.set(Figure::Stress, sounds(1).map(|steady: Steady| steady.stress_pa.ln()));
        figures
    }

    /// Onset of a reed like it (Pa).
    fn onset_pa(&self, model: &ReedModel) -> Option<f64> {
        model.onset_near(self.limits_pa[0]).map(|onset| onset.pressure_pa)
    }

    /// `ln` of the softest pressure at which a reed like it speaks in time.
    pub(super) fn ln_low(&self, reed: &Reed) -> Option<f64> {
        let model = ReedModel::new(reed.clone()).ok()?;
        self.ln_end(0, &model, self.onset_pa(&model))
    }

    /// `ln` of where the lower end (0) or the upper (1) has gone; nothing where the reed itself has none, and for one that
    /// never speaks.
    fn ln_end(&self, which: usize, model: &ReedModel, onset_pa: Option<f64>) -> Option<f64> {
        const ROUNDS: usize = 5;
        const CLOSE: f64 = 0.02;
        const LONGEST: f64 = 0.3;
        let (end, timed) = self.ends[which]?;
        let onset_pa = onset_pa?;
        let goes_with = |there_pa: Option<f64>| {
            let goes = there_pa.zip(self.limits_pa[which]).map_or(1.0, |(there, here)| there / here);
            (end.pressure_pa * goes).ln()
        };
        let with_choke = || goes_with(model.speaking(&Search::COARSE).choke.pressure_pa());
        let Some((mut steepness, timed)) = end.steepness.zip(timed) else {
            return Some(if which == 0 { goes_with(Some(onset_pa)) } else { with_choke() });
        };
        let mut ln_p = if which == 0 { goes_with(Some(onset_pa)) } else { end.pressure_pa.ln() };
        let (mut before, mut lost): (Option<(f64, f64)>, _) = (None, which == 0);
        for _ in 0..ROUNDS {
            let pressure_pa = ln_p.exp();
            let growth = model.growth(&[pressure_pa])[0].map(|growth| growth.growth_per_s);
            let Some(ln_time) = growth.and_then(|growth| self.ln_time(model, &timed, pressure_pa, growth)) else {
                // There it does not speak any more.
                ln_p = match before {
                    Some((speaks, _)) => 0.5 * (speaks + ln_p),
                    None if std::mem::replace(&mut lost, true) => break,
                    None => with_choke(),
                };
                continue;
            };
            let late = ln_time - self.demand.allowed_s.ln();
            if late.abs() < CLOSE {
                break;
            }
            let found = before.map(|(x, y)| (late - y) / (ln_p - x)).filter(|found| found * steepness > 0.0);
            steepness = found.unwrap_or(steepness);
            before = Some((ln_p, late));
            ln_p -= (late / steepness).clamp(-LONGEST, LONGEST);
        }
        Some(ln_p)
    }

    /// `ln t50` of a reed like it at a pressure near, given its growth there.
    fn ln_time(&self, model: &ReedModel, timed: &Timed, pressure_pa: f64, growth_per_s: f64) -> Option<f64> {
        let blow = self.demand.blow(pressure_pa);
        let told = timed.way.as_ref().and_then(|way| way.told(model, &blow, growth_per_s));
        told.or_else(|| model.start(&blow, self.demand.late_enough()).t50_s).map(f64::ln)
    }
}

/// Onset and choke, which the ends of a window go with; nothing for a reed that never speaks.
pub(super) fn limits(speaking: &Speaking) -> Option<[Option<f64>; 2]> {
    speaking.onset.map(|onset| [Some(onset.pressure_pa), speaking.choke.pressure_pa()])
}
