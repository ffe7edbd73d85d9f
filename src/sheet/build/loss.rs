//! How quickly the tongue loses its swing.

use std::f64::consts::PI;

use super::Build;
use crate::physics::Beam;
use crate::physics::coefficients::usual_quality_factor;
use crate::sheet::checked::Metal;
use crate::sheet::keys::{Table, WhenLeftOut, find_in};
use crate::sheet::layer::Entry;
use crate::sheet::value::{Fault, Value, rounded};

impl Build<'_> {
    /// Quality factor: as given, from the ring-down at the plucked frequency (`Q = pi f tau`), or the usual one there. One that
    /// is above what the heat in the metal allows is a reading error.
    pub(super) fn quality_factor(&mut self, beam: Option<&Beam>, metal: Option<&Metal>) -> Option<f64> {
        if ["ring_down_s", "quality_factor"].iter().any(|name| self.is_wrong(Table::Reed, name)) {
            return None;
        }
        let mode = beam.map(|beam| beam.modes(1).remove(0));
        let heat = metal.and_then(|metal| metal.alloy.as_ref()).and_then(|alloy| alloy.heat());
        let bound = heat.and_then(|heat| Some(beam?.thermoelastic_quality_factor(mode.as_ref()?, &heat)));
        let plucked = self.given_si(Table::Reed, "measured_pluck_hz");
        let frequency_hz = plucked.or_else(|| mode.as_ref().map(|mode| mode.frequency_hz));
        let of_ring = |ring_down_s: f64| Some(PI * frequency_hz? * ring_down_s);
        let (entry, quality_factor) =
            match (self.given(Table::Reed, "ring_down_s"), self.given(Table::Reed, "quality_factor")) {
                (Some(entry), _) => (entry, of_ring(self.given_si(Table::Reed, "ring_down_s")?)?),
                (None, Some(entry)) => (entry, self.given_si(Table::Reed, "quality_factor")?),
                (None, None) => return self.usual_loss(frequency_hz?, bound),
            };
        let key = find_in(Table::Reed, "quality_factor")?;
        if !(key.least..=key.most).contains(&quality_factor) {
            let fault = gives(quality_factor, frequency_hz);
            self.fault(entry, Fault::new(fault).allowed(key.range_text()).cure("check the time, in seconds"));
            return None;
        }
        match (bound, frequency_hz) {
            (Some(bound), Some(frequency_hz)) if quality_factor > bound => {
                self.above_the_metal_s(entry, quality_factor, bound, frequency_hz)
            }
            _ => Some(quality_factor),
        }
    }

    /// The usual loss, or what its set says of it, as far as the metal allows.
    fn usual_loss(&mut self, frequency_hz: f64, bound: Option<f64>) -> Option<f64> {
        let key = find_in(Table::Reed, "quality_factor")?;
        let WhenLeftOut::AssumedText { why, .. } = key.left_out else { return None };
        let usual = rounded(usual_quality_factor(frequency_hz));
        let most = bound.map_or(f64::INFINITY, |bound| bound.max(usual));
        Some(self.assume_told(key, usual, most, why))
    }

    /// A loss below the metal's own is told where the tolerance of the reading explains it, and refused where not.
    fn above_the_metal_s(&mut self, entry: &Entry, quality_factor: f64, bound: f64, frequency_hz: f64) -> Option<f64> {
        let told = format!(
            "{}, and the metal's own loss (heat that flows as it bends, Zener 1937) allows no more than {}",
            gives(quality_factor, Some(frequency_hz)),
            rounded(bound)
        );
        let off = match (&entry.value, self.spec.tolerance(entry.key)) {
            (Value::Number(typed), Some(tolerance)) => tolerance / typed,
            _ => 0.0,
        };
        if quality_factor * (1.0 - off) <= bound {
            self.notes.push(format!("{} {told}: within its tolerance, but check it", entry.place.typed()));
            return Some(quality_factor);
        }
        let longest = if entry.key.name == "ring_down_s" {
            format!("up to {} s", rounded(bound / (PI * frequency_hz)))
        } else {
            format!("up to {}", rounded(bound))
        };
        let cure =
            "read the time to 37 % of the swing, not to silence, with nothing else ringing along; check the alloy";
        self.fault(entry, Fault::new(told).allowed(longest).cure(cure));
        None
    }
}

fn gives(quality_factor: f64, frequency_hz: Option<f64>) -> String {
    let at = frequency_hz.map(|hz| format!(" at {} Hz", rounded(hz))).unwrap_or_default();
    format!("gives a quality factor of {}{at}", rounded(quality_factor))
}
