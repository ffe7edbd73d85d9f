//! What can be told of a player over the notes, in which units, and how a curve of it is read.

use super::super::curve::NoteCurve;
use super::super::layer::problem;
use super::super::notes::Note;
use super::super::toml_text::{Item, Name, Reading};
use super::super::value::{Fault, toml_kind, toml_number};
use crate::units::PA_PER_MM_WATER;

/// The pressures, softest first.
pub(super) const PRESSURES: [&str; 3] = ["soft", "normal", "hard"];
/// The time allowed, beside the pressures.
pub(super) const TIME: &str = "time_allowed_ms";
const REASON: &str = "from nothing felt to the most that lungs give";

/// A unit in which pressures may be typed.
struct PressureUnit {
    suffix: &'static str,
    unit: &'static str,
    pa: f64,
    least: f64,
    most: f64,
}

/// Conventional water: exact by definition, 1 mmH2O = 9.80665 Pa (NIST SP 811, appendix B.8; ISO 80000-4; from memory).
const UNITS: [PressureUnit; 4] = [
    PressureUnit { suffix: "pa", unit: "Pa", pa: 1.0, least: 1.0, most: 50e3 },
    PressureUnit { suffix: "kpa", unit: "kPa", pa: 1e3, least: 0.001, most: 50.0 },
    PressureUnit { suffix: "mmh2o", unit: "mmH2O", pa: PA_PER_MM_WATER, least: 0.1, most: 5000.0 },
    PressureUnit { suffix: "cmh2o", unit: "cmH2O", pa: 98.0665, least: 0.01, most: 500.0 },
];

/// A key of the player that takes one number for all notes, or a table of notes.
#[derive(Debug, Clone, PartialEq)]
pub(in super::super) struct Quantity {
    /// Which curve it is: a pressure by its place, softest first, or the time allowed, which is 3.
    pub(super) curve: usize,
    name: String,
    unit: &'static str,
    factor: f64,
    least: f64,
    most: f64,
    reason: String,
}

/// All of them, the plain units first.
pub(in super::super) fn quantities() -> Vec<Quantity> {
    let pressure = |unit: &PressureUnit, curve: usize| Quantity {
        curve,
        name: format!("{}_{}", PRESSURES[curve], unit.suffix),
        unit: unit.unit,
        factor: unit.pa,
        least: unit.least,
        most: unit.most,
        reason: format!("{}, {REASON}", unit.unit),
    };
    let mut all: Vec<Quantity> = UNITS.iter().flat_map(|unit| (0..3).map(|curve| pressure(unit, curve))).collect();
    all.push(Quantity {
        curve: 3,
        name: TIME.to_owned(),
        unit: "ms",
        factor: 1e-3,
        least: 1.0,
        most: 5000.0,
        reason: "ms, from faster than any reed to no patience needed".to_owned(),
    });
    all
}

impl Quantity {
    pub(in super::super) fn name(&self) -> &str {
        &self.name
    }

    /// Unit, least and most.
    pub(in super::super) fn range(&self) -> (&'static str, f64, f64) {
        (self.unit, self.least, self.most)
    }

    /// Soft, normal or hard; none for the time allowed.
    pub(in super::super) fn pressure(&self) -> Option<&'static str> {
        PRESSURES.get(self.curve).copied()
    }

    /// How to write it.
    fn example(&self) -> String {
        let (low, high) = if self.curve == 3 { (150.0, 250.0) } else { (200.0 / self.factor, 2000.0 / self.factor) };
        let short = |value: f64| format!("{value:.2}").trim_end_matches('0').trim_end_matches('.').to_owned();
        format!("write {} = {{ C4 = {}, C7 = {} }}", self.name, short(low), short(high))
    }
}

impl Reading<'_> {
    /// A number for all notes, or a table of notes.
    pub(super) fn curve(&mut self, name: &Name<'_>, item: &Item<'_>, quantity: &Quantity) -> Option<NoteCurve> {
        let Quantity { factor, least, most, reason, .. } = quantity;
        let Some(table) = item.get_ref().as_table() else {
            if toml_number(item.get_ref()).is_none() {
                let kind = toml_kind(item.get_ref());
                let fault = Fault::new(format!("is {kind}; a number or a table of notes is needed"));
                self.fault(name, item, fault.cure(quantity.example()));
                return None;
            }
            let everywhere = self.number(name, item, *least, *most, reason)?;
            return NoteCurve::new(vec![(Note::from_midi(60)?, factor * everywhere)]);
        };
        let before = self.problems.len();
        let mut points: Vec<(Note, f64)> = Vec::new();
        for (note_name, value) in table {
            let Some(note) = Note::parse(note_name.get_ref()) else {
                let fault = Fault::new("is no note").cure("write letter, sharp or flat, octave: C4, \"F#5\", Bb3");
                self.problems.push(problem(&self.place_of(note_name), note_name.get_ref(), fault).without_value());
                continue;
            };
            let number = self.number(note_name, value, *least, *most, reason);
            if points.iter().any(|point| point.0 == note) {
                self.fault(note_name, value, Fault::new("is a note that stands twice").cure("keep one of the two"));
            }
            points.extend(number.map(|number| (note, factor * number)));
        }
        if points.is_empty() && self.problems.len() == before {
            self.fault(name, item, Fault::new("has no note").cure(quantity.example()));
        }
        if self.problems.len() == before { NoteCurve::new(points) } else { None }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // NIST SP 811 (2008), appendix B.8, conventional millimetre and centimetre of water, exact (from memory).
    #[test]
    fn units_of_pressure() {
        let pa = |name: &str| quantities().into_iter().find(|q| q.name() == name).unwrap().factor;
        assert_eq!((pa("soft_pa"), pa("normal_kpa")), (1.0, 1000.0));
        assert_eq!((pa("hard_mmh2o"), pa("hard_cmh2o")), (9.80665, 98.0665));
        assert_eq!(pa(TIME), 1e-3);
    }

    #[test]
    fn ranges_are_the_same_in_every_unit() {
        for q in quantities().iter().filter(|q| q.curve < 3) {
            assert!((q.least * q.factor - 1.0).abs() < 0.02 && (q.most * q.factor / 50e3 - 1.0).abs() < 0.02, "{q:?}");
        }
    }
}
