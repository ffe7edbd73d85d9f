//! What sits on the tip and how the tongue thins towards it: the profile of a tongue of which only sizes are known.

use super::Build;
use crate::physics::{Beam, Profile};
use crate::sheet::keys::{Table, find_in};

/// Keys that say the profile.
pub(in crate::sheet) const PROFILE: [&str; 3] = ["tip_mass_mg", "tip_weight_share", "tip_thinning"];

/// The profile in one number or none.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Form {
    /// Weight at the tip as a share of the tongue's mass without it.
    pub(super) weight_share: f64,
    /// How much thinner the tip is than the root, as a share.
    pub(super) thinning: f64,
}

/// A tongue but for the scale of its thickness.
#[derive(Debug, Clone)]
pub(super) struct Plan {
    /// The section, and the weight at the tip that does not grow with the thickness.
    pub(super) strip: Beam,
    pub(super) form: Form,
}

impl Plan {
    /// The tongue with a thickness of so many times the section's.
    pub(super) fn scaled(&self, scale: f64) -> Beam {
        let mut beam = self.strip.with_thickness_scaled(scale);
        if self.form.thinning > 0.0 {
            let (root, length) = (beam.thickness_m.at(0.0), beam.length_m);
            let ends = vec![(0.0, root), (length, (1.0 - self.form.thinning) * root)];
            beam.thickness_m = Profile::linear(ends).expect("two stations in order");
        }
        beam.tip_mass_kg += self.form.weight_share * (beam.mass_kg() - beam.tip_mass_kg);
        beam
    }

    pub(super) fn with(&self, form: Form) -> Self {
        Self { form, ..self.clone() }
    }
}

impl Build<'_> {
    /// Weight typed (kg) and profile: as typed, else what the layout suggests, else none. What is assumed is listed, but
    /// where `found` it will be found from the stiffness. None where something typed is wrong.
    pub(super) fn profile_given(&mut self, found: bool) -> Option<(f64, Form)> {
        if PROFILE.iter().any(|name| self.is_wrong(Table::Reed, name)) {
            return None;
        }
        let [mass_kg, share, thinning] = PROFILE.map(|name| self.given_si(Table::Reed, name));
        if mass_kg.is_some() || share.is_some() || thinning.is_some() || found {
            let form = Form { weight_share: share.unwrap_or(0.0), thinning: thinning.unwrap_or(0.0) };
            return Some((mass_kg.unwrap_or(0.0), form));
        }
        // A changed reed keeps what was assumed of it when it was filed.
        let profiled = self.is_typed(Table::Reed, "thickness_stations_mm") && self.spec.kept.is_none();
        let of_layout = self.spec.of_layout.as_ref().map(|layout| layout.tip_weight_share);
        let weight_share = match (of_layout.filter(|share| !profiled && *share > 0.0), find_in(Table::Reed, PROFILE[1]))
        {
            (Some(share), Some(key)) => self.assume_number(key, crate::sheet::value::rounded(share), OF_LOW_REEDS),
            _ => self.number(Table::Reed, PROFILE[1])?,
        };
        Some((0.0, Form { weight_share, thinning: 0.0 }))
    }
}

const OF_LOW_REEDS: &str = "low reeds of a mouth-blown set carry weight at the tip (common practice, no source); \
                            replace it by closing_force_g: a minute on a pocket scale";
