//! Where the tongue lies: stations along it, and its height at rest.

use super::Build;
use crate::physics::RestShape;
use crate::sheet::keys::Table;
use crate::sheet::layer::Entry;
use crate::sheet::value::{Fault, Value};

/// How near stations must come to the ends (mm): a thousandth, finer than any rule.
const END_MM: f64 = 1e-3;
/// How near a tip gap given twice must agree (mm).
const SAME_GAP_MM: f64 = 1e-6;
/// Stations nearer than this share of the length are no measurement, and cost the beam's elements their digits.
const LEAST_SPACING: f64 = 5e-3;

impl Build<'_> {
    /// The length (m), if it was given rightly; a missing one is reported with the tongue.
    pub(super) fn length_m(&self) -> Option<f64> {
        self.given_si(Table::Reed, "length_mm")
    }

    /// Stations in SI units, their ends set exactly to 0 and the length, which they must meet within a micrometre.
    pub(super) fn stations(&mut self, entry: &Entry, length_m: Option<f64>) -> Option<Vec<(f64, f64)>> {
        let Value::Stations(typed) = &entry.value else { return None };
        let length_mm = 1e3 * length_m?;
        if let Some(fault) = station_fault(typed, length_mm, entry.key.name == "rest_stations_mm") {
            self.fault(entry, fault);
            return None;
        }
        let last = typed.len() - 1;
        let place = |k: usize, s: f64| match k {
            0 => 0.0,
            _ if k == last => 1e-3 * length_mm,
            _ => 1e-3 * s,
        };
        Some(typed.iter().enumerate().map(|(k, &(s, value))| (place(k, s), entry.key.si(value))).collect())
    }

    /// The shape at rest.
    pub(super) fn rest(&mut self, length_m: Option<f64>) -> Option<RestShape> {
        if let Some(entry) = self.given(Table::Reed, "rest_stations_mm") {
            return self.stations(entry, length_m).map(RestShape::Stations);
        }
        if self.is_wrong(Table::Reed, "rest_stations_mm") {
            return None;
        }
        let tip_gap_m = self.number(Table::Reed, "tip_gap_mm");
        let root_gap_m = self.number(Table::Reed, "root_gap_mm");
        let exponent = self.number(Table::Reed, "rest_exponent");
        Some(RestShape::Power { root_gap_m: root_gap_m?, tip_gap_m: tip_gap_m?, exponent: exponent? })
    }
}

/// What is wrong with stations that should run from 0 to the length.
fn station_fault(stations: &[(f64, f64)], length_mm: f64, smooth: bool) -> Option<Fault> {
    let order = "give them in order from the clamp (0) to the tip";
    if stations.iter().any(|(s, _)| !s.is_finite()) {
        return Some(Fault::new("has a place that is not a finite number").cure(order));
    }
    let (Some(first), Some(last)) = (stations.first(), stations.last()) else {
        return Some(Fault::new("has no station").cure(order));
    };
    if stations.windows(2).any(|pair| pair[1].0 < pair[0].0) {
        return Some(Fault::new("has stations that are not in order").cure(order));
    }
    if first.0.abs() > END_MM {
        return Some(Fault::new(format!("begins at {} mm, not at the clamp", first.0)).cure("begin at place 0"));
    }
    if (last.0 - length_mm).abs() > END_MM {
        let ends = format!("ends at {} mm, not at the tip", last.0);
        return Some(
            Fault::new(ends).allowed(format!("last place = length_mm = {length_mm}")).cure("end at the length"),
        );
    }
    let spaces: Vec<f64> = stations.windows(2).map(|pair| pair[1].0 - pair[0].0).collect();
    let step = |space: f64| space == 0.0;
    if spaces.iter().any(|&space| !step(space) && space < LEAST_SPACING * length_mm) {
        let least = crate::sheet::value::rounded(LEAST_SPACING * length_mm);
        return Some(
            Fault::new("has stations too near to each other")
                .cure(format!("keep {least} mm between them, or none for a step")),
        );
    }
    if smooth && spaces.iter().any(|&space| step(space)) {
        return Some(Fault::new("has two stations at one place").cure("a tongue at rest has no step: keep one"));
    }
    let at_end = spaces.first().is_some_and(|&space| step(space)) || spaces.last().is_some_and(|&space| step(space));
    if at_end || spaces.windows(2).any(|pair| step(pair[0]) && step(pair[1])) {
        return Some(Fault::new("has a step that is none").cure("two stations make a step, between the ends only"));
    }
    None
}

/// Whether the two are a tip gap and rest stations that end in that very gap.
pub(super) fn same_tip_gap(first: &Entry, second: &Entry) -> bool {
    let (gap, stations) = match (&first.value, &second.value) {
        (Value::Number(gap), Value::Stations(stations)) if first.key.name == "tip_gap_mm" => (gap, stations),
        (Value::Stations(stations), Value::Number(gap)) if second.key.name == "tip_gap_mm" => (gap, stations),
        _ => return false,
    };
    stations.last().is_some_and(|(_, last)| (last - gap).abs() <= SAME_GAP_MM)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fault(stations: &[(f64, f64)]) -> Option<String> {
        station_fault(stations, 12.5, false).map(|fault| fault.message)
    }

    #[test]
    fn stations_run_from_clamp_to_tip() {
        assert_eq!(fault(&[(0.0, 1.0), (12.5, 2.0)]), None);
        assert_eq!(fault(&[(0.0005, 1.0), (12.4995, 2.0)]), None);
        assert_eq!(fault(&[(0.0, 1.0), (6.0, 1.0), (6.0, 2.0), (12.5, 2.0)]), None);
        let wrong: [&[(f64, f64)]; 8] = [
            &[],
            &[(0.0, 1.0)],
            &[(0.0, 1.0), (12.0, 2.0)],
            &[(0.5, 1.0), (12.5, 2.0)],
            &[(0.0, 1.0), (6.0, 1.0), (5.0, 1.0), (12.5, 2.0)],
            &[(0.0, 1.0), (6.0, 1.0), (6.01, 1.0), (12.5, 2.0)],
            &[(0.0, 1.0), (0.0, 2.0), (12.5, 2.0)],
            &[(0.0, 1.0), (f64::NAN, 2.0), (12.5, 2.0)],
        ];
        for stations in wrong {
            assert!(fault(stations).is_some(), "{stations:?}");
        }
        assert!(fault(&[(0.0, 1.0), (6.0, 1.0), (6.0, 2.0), (6.0, 3.0), (12.5, 2.0)]).is_some());
        assert!(station_fault(&[(0.0, 1.0), (6.0, 1.0), (6.0, 2.0), (12.5, 2.0)], 12.5, true).is_some());
    }
}
