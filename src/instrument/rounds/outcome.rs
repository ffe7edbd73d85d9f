//! What was expected of a reed in a round, and what was measured.

use std::f64::consts::{PI, SQRT_2};

use serde::Serialize;

use super::change::is_outcome;
use super::fit::{Fit, Same, expected_unfitted};
use super::spread::{Spread, of_a_gap_m, of_a_pitch, of_a_pluck};
use crate::sheet::{CheckedReed, Entry, JobReed, Operation, RoundRow, Table, Value, notes};

/// What is compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Quantity {
    /// Plucked pitch (Hz).
    Pluck,
    /// Tip gap (m).
    TipGap,
    /// Ring-down to 1/e (s).
    RingDown,
    /// Softest blow that starts the reed (Pa).
    SoftestBlow,
}

/// Where an expectation comes from, or why there is none.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Basis {
    /// What the work aimed at, as the round says.
    Aim,
    /// The model, from the reed before and what the round says was changed.
    Model,
    /// Nothing was done that should change it.
    Unchanged,
    /// None: the reed was not fully measured before.
    NotKnownBefore,
    /// None: the work changes it, and neither an aim nor what was changed is typed.
    NotTyped,
    /// None: the model's reed does not speak.
    NeverSpeaks,
}

/// One thing that was measured in a round.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outcome {
    /// What.
    pub quantity: Quantity,
    /// As it was measured before (SI), where it was, of the same tongue.
    pub before: Option<f64>,
    /// As it was expected (SI).
    pub expected: Option<f64>,
    /// How far a measurement may lie from that: by what was known before and by the reading; from an aim by the reading
    /// alone, since nobody knows the hand. Nothing where nothing was expected.
    pub doubt: Option<Spread>,
    /// Where that comes from.
    pub basis: Basis,
    /// As measured (SI).
    pub measured: f64,
}

impl Outcome {
    /// Measured over expected, less one; nothing where no more than nothing was expected.
    pub fn off(&self) -> Option<f64> {
        self.expected.filter(|&expected| expected > 0.0).map(|expected| self.measured / expected - 1.0)
    }

    /// Measured above expected, in cents of pitch.
    pub fn off_cents(&self) -> Option<f64> {
        self.expected.map(|expected| notes::cents(self.measured, expected))
    }

    /// How many doubts it is off, with a sign.
    pub fn off_doubts(&self) -> Option<f64> {
        let count = self.doubt?.count(self.expected?, self.measured);
        (!count.is_nan()).then_some(count)
    }

    /// Whether it is off by more than twice what is to be expected. An aim that was missed is no riddle.
    pub fn is_surprise(&self) -> bool {
        self.basis != Basis::Aim && self.off_doubts().is_some_and(|count| count.abs() > 2.0)
    }

    /// Whether an aim was reached, as far as the reading tells.
    pub fn reach(&self) -> Option<Reach> {
        let off = self.off_doubts().filter(|_| self.basis == Basis::Aim)?;
        let way = self.before.map_or(0.0, |before| self.expected.unwrap_or(before) - before);
        Some(match off * way {
            _ if off.abs() <= 1.0 + ROUND_OFF => Reach::AsAimed,
            past if past > 0.0 => Reach::Past,
            short if short < 0.0 => Reach::Short,
            _ => Reach::Missed,
        })
    }
}

/// A reading just at the end of its tolerance is within it.
const ROUND_OFF: f64 = 1e-6;

/// How work ended that aimed at something.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Reach {
    /// The reading alone explains the difference.
    AsAimed,
    /// It did not go far enough.
    Short,
    /// It went too far.
    Past,
    /// It is off, and where it came from is not known.
    Missed,
}

/// Everything measured of a reed in a round.
pub(super) fn outcomes(
    row: &RoundRow,
    before: Option<&JobReed>,
    after: Option<&JobReed>,
    fit: Option<&Fit>,
) -> Vec<Outcome> {
    let work = Work { row, before: before.map(|reed| &reed.checked), after: after.map(|reed| &reed.checked), fit };
    [work.pluck(), work.tip_gap(), work.ring_down(), work.softest_blow()].into_iter().flatten().collect()
}

/// An expectation: its value, its doubt, where it comes from.
type Expected = (Option<f64>, Option<Spread>, Basis);

struct Work<'a> {
    row: &'a RoundRow,
    before: Option<&'a CheckedReed>,
    after: Option<&'a CheckedReed>,
    fit: Option<&'a Fit>,
}

impl Work<'_> {
    fn pluck(&self) -> Option<Outcome> {
        const KEY: &str = "measured_pluck_hz";
        self.outcome(Quantity::Pluck, KEY, |_| {
            self.aimed(KEY, |reed, hz| Spread::OfLogarithm(of_a_pluck(reed, hz))).unwrap_or_else(|| {
                let sizes =
                    self.row.layer.of(Table::Reed).any(|entry| !is_outcome(entry.key) && !is_of_the_rest(entry));
                let work = [Operation::Retune, Operation::Fasten, Operation::Clean, Operation::Replace].map(Some);
                match self.before {
                    None => (None, None, Basis::NotKnownBefore),
                    Some(before) if sizes && !self.row.replaced => self.changed_pluck(before),
                    Some(_) if self.row.replaced || work.contains(&self.row.operation) => (None, None, Basis::NotTyped),
                    Some(before) => expected_pluck(before, &[], Basis::Unchanged),
                }
            })
        })
    }

    fn changed_pluck(&self, before: &CheckedReed) -> Expected {
        let inputs = self.row.layer.entries().iter().filter(|entry| !is_outcome(entry.key));
        let typed: Vec<(String, Value)> = inputs.map(|entry| (entry.key.full_name(), entry.value.clone())).collect();
        expected_pluck(before, &typed, Basis::Model)
    }

    fn tip_gap(&self) -> Option<Outcome> {
        const KEY: &str = "tip_gap_mm";
        self.outcome(Quantity::TipGap, KEY, |before| {
            self.aimed(KEY, |reed, _| Spread::Absolute(of_a_gap_m(reed))).unwrap_or_else(|| {
                let bent = self.row.replaced || self.row.operation == Some(Operation::Regap);
                match before {
                    _ if bent => (None, None, Basis::NotTyped),
                    None => (None, None, Basis::NotKnownBefore),
                    // Read twice, each time as well as the feeler reads.
                    gap => {
                        let twice = |reed: &CheckedReed| Spread::Absolute(SQRT_2 * of_a_gap_m(reed));
                        (gap, self.before.map(twice), Basis::Unchanged)
                    }
                }
            })
        })
    }

    /// With the loss as it was known: `tau = Q/(pi f)`.
    fn ring_down(&self) -> Option<Outcome> {
        let after = self.after?;
        self.outcome(Quantity::RingDown, "ring_down_s", |_| {
            let quality = match (self.fit, self.before) {
                (Some(fit), _) => fit.expected_quality(&self.row.id, self.same()),
                (None, Some(before)) => super::fit::unfitted_quality(before),
                (None, None) => return (None, None, Basis::NotKnownBefore),
            };
            let doubt =
                super::fit::relative_doubt(quality).hypot(after.spec.relative_tolerance("ring_down_s").unwrap_or(0.0));
            (Some(quality.value / (PI * plucked_hz(after))), Some(Spread::OfLogarithm(doubt)), Basis::Model)
        })
    }

    /// The onset of the reed as this round measured it, with loss and leak as they were known before.
    fn softest_blow(&self) -> Option<Outcome> {
        let after = self.after?;
        let measured_pa = after.measured.softest_blow_pa?;
        self.outcome(Quantity::SoftestBlow, "softest_blow_pa", |_| {
            let expected = match (self.fit, self.before) {
                (Some(fit), _) => fit.expected_onset(after, &self.row.id, self.same(), measured_pa),
                (None, Some(before)) => {
                    let as_before = after.with("quality_factor", before.reed.quality_factor);
                    as_before.ok().and_then(|reed| expected_unfitted(&reed, measured_pa))
                }
                (None, None) => return (None, None, Basis::NotKnownBefore),
            };
            match expected {
                Some(found) => (Some(found.onset_pa), Some(Spread::OfLogarithm(found.doubt)), Basis::Model),
                None => (None, None, Basis::NeverSpeaks),
            }
        })
    }

    fn outcome(&self, quantity: Quantity, key: &str, expect: impl FnOnce(Option<f64>) -> Expected) -> Option<Outcome> {
        let entry = self.row.layer.get(Table::Reed, key)?;
        let measured = si(entry.key, &entry.value)?;
        let same = self.before.filter(|_| !self.row.replaced);
        let before = same.and_then(|reed| reed.spec.typed(key)).and_then(|(value, _)| si(entry.key, value));
        let (expected, doubt, basis) = expect(before);
        Some(Outcome { quantity, before, expected, doubt, basis, measured })
    }

    fn aimed(&self, key: &str, reading: impl Fn(&CheckedReed, f64) -> Spread) -> Option<Expected> {
        let entry = self.row.aimed.get(Table::Reed, key)?;
        let aim = si(entry.key, &entry.value)?;
        let reed = self.after.or(self.before);
        Some((Some(aim), reed.map(|reed| reading(reed, aim)), Basis::Aim))
    }

    fn same(&self) -> Same {
        Same {
            loss: !self.row.replaced && !self.row.operation.is_some_and(Operation::may_change_loss),
            leak: self.row.operation != Some(Operation::Seal),
        }
    }
}

/// What does not move the plucked pitch: how the tongue stands over the plate.
fn is_of_the_rest(entry: &Entry) -> bool {
    ["tip_gap_mm", "root_gap_mm", "rest_exponent", "rest_stations_mm"].contains(&entry.key.name)
}

fn si(key: &crate::sheet::Key, value: &Value) -> Option<f64> {
    match value {
        Value::Number(number) => Some(key.si(*number)),
        _ => None,
    }
}

/// The pluck to expect after inputs were typed anew, read as well as the one before.
fn expected_pluck(before: &CheckedReed, typed: &[(String, Value)], basis: Basis) -> Expected {
    let hertz = |reed: &CheckedReed, typed: &[(String, Value)]| {
        let changed = reed.with_values(typed.iter().map(|(key, value)| (key.as_str(), value.clone())));
        changed.ok().map(|changed| plucked_hz(&changed))
    };
    let Some(expected_hz) = hertz(before, typed) else { return (None, None, Basis::NotTyped) };
    let doubt = of_a_pitch(before, typed, hertz).map(|known| known.hypot(of_a_pluck(before, expected_hz)));
    (Some(expected_hz), doubt.map(Spread::OfLogarithm), basis)
}

/// Plucked pitch at 20 degC (Hz), as it is measured.
fn plucked_hz(checked: &CheckedReed) -> f64 {
    let at_20 = checked.without("temperature_c").ok();
    at_20.as_ref().unwrap_or(checked).reed.beam.modes(1)[0].frequency_hz
}
