//! A run only as long as needed to tell whether the reed speaks in time.

use super::read_off::half_time;
use super::run::{Known, Run, STEADY_CHANGE};
use super::{Blow, SILENT_M, Stop};
use crate::physics::model::ReedModel;
use crate::physics::steady::Hint;

/// Whether a reed speaks in time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Promptness {
    /// `t50` is within the time allowed.
    InTime,
    /// It speaks, but later.
    Late,
    /// It does not start.
    Silent,
}

/// A run only as long as needed to tell whether the reed speaks in time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trial {
    /// The answer.
    pub promptness: Promptness,
    /// Where the reed is in time, about when: half of the speed it comes to, or had come to when the run was ended (s).
    pub about_t50_s: Option<f64>,
    /// Evaluations of the equations of motion.
    pub evaluations: usize,
}

/// Periods from one look at the amplitude to the next.
const JUDGED_PERIODS: f64 = 3.0;
/// Relative range of the amplitude within which it is level.
const LEVEL: f64 = 0.05;
/// How far small motion would have grown, as a logarithm, before a level is believed: what an attack stirs up beside the
/// first mode can hide slower growth.
const GROWN: f64 = 1.0;
/// A reed that is in time though small motion grows by fewer e-folds in that time, half of what it takes to be heard, was
/// set going by the attack itself, or lingers at a small motion that will grow: only the whole attack tells.
const E_FOLDS: f64 = 4.0;
/// Where small motion grows by so many e-folds in the time allowed, the reed has most likely spoken half-way.
const SWIFT: f64 = 12.0;
/// Once the motion is no longer small, the orbit it is heading for is looked for so many times, from the state it is in.
const LOOKS: usize = 3;
/// A run that is not nearly steady after this many times the time allowed was not in time.
const PATIENCE: f64 = 8.0;

impl ReedModel {
    /// Whether `t50` of a blow is within `allowed_s`, found without waiting for the steady state where the answer is clear
    /// before. `growth_per_s` is the growth rate of small motion at this pressure.
    pub fn trial(&self, blow: &Blow, allowed_s: f64, growth_per_s: f64) -> Trial {
        let mut run = Run::new(self, blow);
        let promptness = run.judge(allowed_s, growth_per_s);
        let in_time = promptness == Promptness::InTime;
        if in_time && growth_per_s > 0.0 && growth_per_s * allowed_s < E_FOLDS {
            return self.whole_trial(blow, allowed_s, run.evaluations);
        }
        let end_m_s = run.known.map(|known| known.speed_m_s);
        let about_t50_s = in_time.then(|| half_time(&run.trace, run.period_s(), end_m_s)).flatten();
        Trial { promptness, about_t50_s, evaluations: run.evaluations }
    }

    /// The same by the whole attack, after so many evaluations.
    fn whole_trial(&self, blow: &Blow, allowed_s: f64, before: usize) -> Trial {
        let attack = self.attack(blow, Stop::WhenSteady);
        let promptness = match attack.t50_s {
            Some(t50_s) if t50_s <= allowed_s => Promptness::InTime,
            None if !attack.speaks => Promptness::Silent,
            _ => Promptness::Late,
        };
        let about_t50_s = attack.t50_s.filter(|_| promptness == Promptness::InTime);
        Trial { promptness, about_t50_s, evaluations: before + attack.evaluations }
    }
}

/// An amplitude and when it was seen.
#[derive(Clone, Copy)]
struct Seen {
    time_s: f64,
    amplitude_m: f64,
}

impl Run<'_> {
    /// The answer by the lasting orbit near the state it is in, towards which it moves; nothing where there is none.
    fn by_orbit(&mut self, allowed_s: f64) -> Option<Promptness> {
        let hint = Hint::of_states(self.trace.states(), self.period_s())?;
        let orbit = self.model.rough_orbit_near(&hint, self.blow.pressure_pa)?;
        self.evaluations += orbit.evaluations;
        let end = Known::from(&orbit);
        self.known = Some(end);
        let t50_s = half_time(&self.trace, self.period_s(), Some(end.speed_m_s));
        Some(if t50_s.is_some_and(|t50_s| t50_s <= allowed_s) { Promptness::InTime } else { Promptness::Late })
    }

    /// Runs until it is clear whether the amplitude at `allowed_s` was half of what it will be.
    fn judge(&mut self, allowed_s: f64, growth_per_s: f64) -> Promptness {
        /// Clear is a tenth off the half.
        const MARGIN: f64 = 1.1;
        self.integrate_to(self.blow.rise_s.min(allowed_s));
        if growth_per_s * allowed_s > SWIFT && self.integrate_to(0.5 * (self.blow.rise_s.min(allowed_s) + allowed_s)) {
            let swings = self.amplitude() >= SILENT_M;
            if swings && self.by_orbit(allowed_s) == Some(Promptness::InTime) {
                return Promptness::InTime;
            }
            self.known = None;
        }
        self.integrate_to(allowed_s);
        let then = self.amplitude();
        let mut before = then;
        let start = Seen { time_s: self.trace.end_s(), amplitude_m: then };
        let (mut level_from, mut lowest) = (start, start);
        let block = JUDGED_PERIODS * self.plucked_period_s;
        let patience = PATIENCE * (allowed_s + self.blow.rise_s);
        let mut looks = LOOKS;
        while self.trace.end_s() < patience && self.integrate_to(self.trace.end_s() + block) {
            let now = self.amplitude();
            self.amplitudes.push(now);
            let left = self.yet_to_go();
            // While small motion still grows at its own rate, nothing is known of where it will end.
            let small = growth_per_s > 0.0 && (now / before).ln() / block > 0.5 * growth_per_s;
            let seen = Seen { time_s: self.trace.end_s(), amplitude_m: now };
            if (now / level_from.amplitude_m - 1.0).abs() > LEVEL {
                level_from = seen;
            }
            if now < lowest.amplitude_m {
                lowest = seen;
            }
            // How far small motion would have come since then, as a logarithm.
            let would_show = |since: Seen| growth_per_s.abs() * (seen.time_s - since.time_s);
            // A level that small motion would have left is the end; one that fades towards nothing shows sooner.
            let enough = if growth_per_s > 0.0 { GROWN } else { 3.0 * LEVEL };
            let settled = !small && left < 5.0 * STEADY_CHANGE * now && would_show(level_from) > enough;
            let rising = now >= before && !small && would_show(lowest) > GROWN;
            let saturating = settled || growth_per_s > 0.0 && rising;
            if growth_per_s <= 0.0 && now < 0.5 * then {
                return Promptness::Silent;
            }
            if now > 2.0 * MARGIN * then || settled && then < 0.5 * now {
                return Promptness::Late;
            }
            if now >= SILENT_M && (settled || saturating && then >= 0.5 * MARGIN * (now + left)) {
                return Promptness::InTime;
            }
            if growth_per_s > 0.0 && !small && now >= SILENT_M && looks > 0 {
                looks -= 1;
                if let Some(promptness) = self.by_orbit(allowed_s) {
                    return promptness;
                }
            }
            before = now;
        }
        if growth_per_s <= 0.0 && before < SILENT_M { Promptness::Silent } else { Promptness::Late }
    }
}
