//! What is not known exactly about a reed, and how far it may be off.

use crate::sheet::keys::{KEYS, Key, Kind, Table};
use crate::sheet::{CheckedReed, Value};

/// Measurements that are no inputs of the model.
const NO_INPUTS: [&str; 4] = ["measured_sounding_hz", "measured_at_pa", "measured_swing_mm", "softest_blow_pa"];

/// An input that may be off.
#[derive(Debug, Clone, PartialEq)]
pub struct Doubt {
    /// The input.
    pub key: &'static Key,
    /// Values it may as well have, in its unit: one at the end of the tolerance, or both ends of the middle 80 % of its
    /// spread.
    pub values: Vec<f64>,
    /// Whether it was measured; otherwise it is assumed.
    pub measured: bool,
}

impl Doubt {
    /// Every input of a reed that may be off: what was measured by its tolerance; what was assumed by the spread of its key,
    /// or where it has none as if it had been measured. Stations and the properties of the air are taken as known.
    pub fn all(checked: &CheckedReed) -> Vec<Self> {
        KEYS.iter().filter_map(|key| Self::of(checked, key)).collect()
    }

    fn of(checked: &CheckedReed, key: &'static Key) -> Option<Self> {
        let air = key.table == Table::Air && key.spread.is_none();
        if key.kind != Kind::Number || air || NO_INPUTS.contains(&key.name) {
            return None;
        }
        let typed = match checked.spec.typed(&key.full_name()) {
            Some((Value::Number(number), _)) => Some(*number),
            _ => None,
        };
        let (value, measured) = match (typed, checked.assumed_number(key)) {
            (Some(value), _) => (value, true),
            (None, Some(value)) => (value, false),
            (None, None) => return None,
        };
        if key.name == "thickness_mm" && checked.measured.pluck_hz.is_some() {
            // Its scale follows from the pluck.
            return None;
        }
        if let (Some(spread), false) = (checked.spec.spread(key), measured) {
            return Some(Self { key, values: [0.1, 0.9].map(|u| spread.at(value, u)).to_vec(), measured });
        }
        if key.name == "tip_mass_mg" && value == 0.0 {
            // A weight that is not there is not weighed.
            return None;
        }
        let off = checked.spec.tolerance(key)?;
        let other = if value + off <= key.most { value + off } else { value - off };
        Some(Self { key, values: vec![other], measured })
    }
}
