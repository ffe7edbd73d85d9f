//! Margins: how far a reed is from failing its player.

use serde::Serialize;

use super::known::Uncertainty;
use super::surety::{Surety, above_zero};

/// What a margin is of. Above zero is good.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum MarginOf {
    /// Soft start: `ln(soft / softest playable)`, the logarithm of [`Room::soft`](crate::answer::Room::soft); of a reed with no playable window `ln(allowed / t50)` at soft.
    Soft,
    /// Hard start: `ln(hardest playable / hard)`, the logarithm of [`Room::hard`](crate::answer::Room::hard); of a reed with no playable window `ln(allowed / t50)` at hard.
    Hard,
    /// Quick notes: `ln(allowed / t50)` at the normal pressure.
    Time,
    /// Pitch: what is let pass less how far it is from the target (cents).
    Pitch,
    /// Level: what is let pass less how far it is from the run of its neighbours (dB).
    Level,
    /// Stress at the hard pressure: `ln(fatigue strength / stress)`.
    Stress,
    /// The least clearance when played (m).
    Clearance,
    /// Leak: `ln 1.1` less the `ln` of what the leak multiplies the softest playable pressure by.
    Leak,
}

impl MarginOf {
    /// Its key in JSON, with the unit: `log` is a natural logarithm of a ratio.
    pub fn key(self) -> &'static str {
        match self {
            Self::Soft => "soft_start_log",
            Self::Hard => "hard_start_log",
            Self::Time => "time_log",
            Self::Pitch => "pitch_cents",
            Self::Level => "level_db",
            Self::Stress => "stress_log",
            Self::Clearance => "clearance_m",
            Self::Leak => "leak_log",
        }
    }

    /// Whether it decides on the reed; the others are only told.
    pub fn decides(self) -> bool {
        matches!(self, Self::Soft | Self::Hard | Self::Time | Self::Pitch | Self::Clearance)
    }
}

/// What a margin is taken against.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Against {
    /// What the player asks.
    Demand,
    /// The counterpart in the target set, as good as which it should be but for a tenth (or three decibels).
    Target,
    /// The run of the set, as good as which it should be but for what stands out there: where so many fail the demand alike
    /// that it says nothing of the single reed.
    Run,
    /// What the player's word on this reed makes of the demand.
    Word {
        /// The margin by the model.
        by_model: Option<f64>,
    },
}

/// How far a reed is from failing in one respect, and how sure that is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Margin {
    /// What of.
    pub of: MarginOf,
    /// What it is taken against.
    pub against: Against,
    /// The margin, in the measure of [`MarginOf`]; nothing where the reed does not do it at all.
    pub value: Option<f64>,
    /// Half of the interval that holds the true one in 80 % of all cases; nothing where the value is only a bound.
    pub uncertainty: Option<f64>,
    /// What is to be added to the margin for the one to be expected, about which that interval lies: what is assumed may lie to
    /// one side of what is plausible.
    pub off: f64,
    /// Whether the true one may be off by more: a measurement off by its tolerance may change the kind of the answer.
    pub or_more: bool,
    /// The probability that the true margin is above zero.
    pub probability_good: f64,
}

/// A verdict.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Verdict {
    /// Whether it is good.
    pub good: bool,
    /// How sure that is.
    pub surety: Surety,
}

impl Margin {
    /// `value` off by `uncertainty`, which has the sign of the margin.
    pub(super) fn new(of: MarginOf, value: f64, uncertainty: &Uncertainty) -> Self {
        let (deviation, off) = (uncertainty.deviation(), uncertainty.off);
        Self {
            of,
            against: Against::Demand,
            value: Some(value),
            uncertainty: Some(uncertainty.half_interval()),
            off,
            or_more: uncertainty.or_more,
            probability_good: above_zero(value + off, deviation),
        }
    }

    /// What is let pass on either side, less the size of `off`: good is `-passes < off < passes`.
    pub(super) fn two_sided(of: MarginOf, passes: f64, off: f64, uncertainty: &Uncertainty) -> Self {
        let (deviation, expected) = (uncertainty.deviation(), off + uncertainty.off);
        let probability_good = above_zero(passes - expected, deviation) - above_zero(-passes - expected, deviation);
        let further = Uncertainty { off: off.abs() - expected.abs(), ..*uncertainty };
        Self { probability_good, ..Self::new(of, passes - off.abs(), &further) }
    }

    /// At least `value`.
    pub(super) fn at_least(of: MarginOf, value: f64) -> Self {
        let probability_good = if value > 0.0 { 1.0 } else { 0.5 };
        Self { value: Some(value), ..Self::none(of, probability_good) }
    }

    /// The reed does not do it; perhaps it does, with this probability.
    pub(super) fn none(of: MarginOf, probability_good: f64) -> Self {
        let (value, uncertainty) = (None, None);
        Self { of, against: Against::Demand, value, uncertainty, off: 0.0, or_more: true, probability_good }
    }

    /// As the player's word puts it: at least, or at most, `least`, by what `pick` says; and sure.
    #[must_use]
    pub(super) fn by_word(&self, least: f64, pick: fn(f64, f64) -> f64, probability_good: f64) -> Self {
        let by_model = match self.against {
            Against::Word { by_model } => by_model,
            _ => self.value,
        };
        let value = self.value.map_or(least, |value| pick(value, least));
        Self { value: Some(value), probability_good, against: Against::Word { by_model }, ..*self }
    }

    /// The same margin, as well known, of a reed whose figure has moved.
    #[must_use]
    pub(super) fn moved(&self, by: f64) -> Self {
        let value = self.value.map(|value| value + by);
        let deviation = self.uncertainty.unwrap_or(0.0) / Uncertainty::INTERVAL_80;
        let probability_good = value.map_or(self.probability_good, |value| above_zero(value + self.off, deviation));
        Self { value, probability_good, ..*self }
    }

    /// The margin to be expected, where there is one.
    pub fn expected(&self) -> Option<f64> {
        self.value.map(|value| value + self.off)
    }

    /// Good or bad, and how sure: sure is what has a probability of at least 0.95, likely one of 0.8.
    pub fn verdict(&self) -> Verdict {
        let good = self.value.is_some_and(|value| value > 0.0);
        let probability = if good { self.probability_good } else { 1.0 - self.probability_good };
        Verdict { good, surety: Surety::of(probability) }
    }
}
