//! What temperature does to the tongue.

use super::Build;
use crate::physics::{Reed, RestShape};
use crate::sheet::checked::Metal;
use crate::sheet::keys::Table;
use crate::sheet::value::{Fault, Value};

/// Sizes and modulus are stated for this temperature (degC).
const STATED_AT_C: f64 = 20.0;

impl Build<'_> {
    /// The temperature of the tongue, if it was stated (degC).
    pub(super) fn temperature_c(&self) -> Option<f64> {
        match self.given(Table::Reed, "temperature_c")?.value {
            Value::Number(celsius) => Some(celsius),
            _ => None,
        }
    }

    /// Modulus, sizes and density at a temperature: `E (1 + a_E dT)`, sizes `(1 + a dT)`, density over its cube.
    /// Gaps and clearances stay as given: they are measured as they are.
    pub(super) fn follow_temperature(&mut self, reed: &mut Reed, metal: &Metal, temperature_c: f64) {
        let alloy = metal.alloy.as_ref();
        let expansion = alloy.and_then(|alloy| alloy.expansion_per_k.as_ref());
        let modulus_change = alloy.and_then(|alloy| alloy.modulus_change_per_k.as_ref());
        let (Some(expansion), Some(modulus_change)) = (expansion, modulus_change) else {
            if let Some(entry) = self.given(Table::Reed, "temperature_c") {
                let fault = Fault::new("is given, but how this metal follows temperature is not known");
                self.fault(entry, fault.cure("name an alloy of the table, give expansion_per_k and modulus_change_per_k in [alloys.NAME], or leave temperature_c out"));
            }
            return;
        };
        let change_k = temperature_c - STATED_AT_C;
        let longer = 1.0 + expansion.value * change_k;
        let stiffer = 1.0 + modulus_change.value * change_k;
        let beam = &mut reed.beam;
        beam.length_m *= longer;
        beam.width_m = beam.width_m.scaled(longer).stretched(longer);
        beam.thickness_m = beam.thickness_m.scaled(longer).stretched(longer);
        beam.density_kg_m3 /= longer.powi(3);
        beam.youngs_modulus_pa *= stiffer;
        beam.shear_modulus_pa *= stiffer;
        reed.slot.left_clearance_m = reed.slot.left_clearance_m.stretched(longer);
        reed.slot.right_clearance_m = reed.slot.right_clearance_m.stretched(longer);
        if let RestShape::Stations(stations) = &mut reed.rest {
            stations.iter_mut().for_each(|station| station.0 *= longer);
        }
    }
}
