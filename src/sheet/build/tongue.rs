//! The tongue as a beam at 20 degC.

use super::Build;
use super::tip::{PROFILE, Plan};
use crate::physics::{Beam, Profile};
use crate::sheet::checked::{Metal, ThicknessFinding};
use crate::sheet::keys::Table;
use crate::sheet::value::{Fault, rounded};

/// The tongue, and what its pluck says about its thickness.
pub(super) struct Tongue {
    pub(super) beam: Beam,
    pub(super) thickness: Option<ThicknessFinding>,
}

impl Build<'_> {
    pub(super) fn tongue(&mut self, metal: Option<&Metal>) -> Option<Tongue> {
        let length_m = self.number(Table::Reed, "length_mm");
        let width_m = self.width(length_m);
        let given_m = self.thickness_given(length_m);
        let stiffness = self.stiffness_given();
        self.refuse_closed();
        let typed = |name: &str| self.is_typed(Table::Reed, name);
        let is_found = stiffness.is_some()
            && typed("measured_pluck_hz")
            && !PROFILE.iter().chain(&["thickness_stations_mm"]).any(|name| typed(name));
        let profile = self.profile_given(is_found);
        let root_spring_n_m_per_rad = self.number(Table::Reed, "root_spring_n_m_per_rad");
        let spring_is_wrong = self.is_wrong(Table::Reed, "root_spring_n_m_per_rad");
        let elastic = metal.and_then(|metal| self.elastic(metal));
        // A problem found so far would only lead to another in the search for the thickness.
        let (elastic, given_m, false) = (elastic?, given_m?, spring_is_wrong) else { return None };
        let (tip_mass_kg, form) = profile?;
        let strip = Beam {
            length_m: length_m?,
            width_m: width_m?,
            // Where none is given, any uniform thickness: the pluck finds its scale.
            thickness_m: given_m.clone().unwrap_or_else(|| Profile::constant(1e-4)),
            density_kg_m3: elastic.density_kg_m3,
            youngs_modulus_pa: elastic.youngs_modulus_pa,
            shear_modulus_pa: elastic.shear_modulus_pa,
            tip_mass_kg,
            root_spring_n_m_per_rad,
        };
        self.thickness_found(Plan { strip, form }, given_m.is_some(), stiffness.filter(|_| is_found))
    }

    fn width(&mut self, length_m: Option<f64>) -> Option<Profile> {
        self.profile("width_stations_mm", length_m)
            .unwrap_or_else(|| self.number(Table::Reed, "width_mm").map(Profile::constant))
    }

    /// The thickness given; `Some(None)` when there is none but a pluck to find it from.
    fn thickness_given(&mut self, length_m: Option<f64>) -> Option<Option<Profile>> {
        if let Some(profile) = self.profile("thickness_stations_mm", length_m) {
            return profile.map(Some);
        }
        let typed = |name: &str| self.given(Table::Reed, name).is_some() || self.is_wrong(Table::Reed, name);
        if !typed("thickness_mm") && typed("measured_pluck_hz") {
            return Some(None);
        }
        self.number(Table::Reed, "thickness_mm").map(|thickness| Some(Profile::constant(thickness)))
    }

    /// A profile from stations, if they were typed; `Some(None)` when they are wrong.
    fn profile(&mut self, name: &str, length_m: Option<f64>) -> Option<Option<Profile>> {
        if self.is_wrong(Table::Reed, name) {
            return Some(None);
        }
        let entry = self.given(Table::Reed, name)?;
        Some(self.stations(entry, length_m).and_then(|stations| Profile::linear(stations).ok()))
    }

    /// A root much softer than the tongue is a hinge: the tongue swings like a door, octaves below its pitch, and no reed
    /// is mounted so.
    pub(super) fn refuse_hinge(&mut self, beam: &Beam) -> Option<()> {
        let least = hinge_n_m_per_rad(beam);
        let spring = beam.root_spring_n_m_per_rad.unwrap_or(f64::INFINITY);
        let entry = self.given(Table::Reed, "root_spring_n_m_per_rad").filter(|_| spring < least);
        let Some(entry) = entry else { return Some(()) };
        let allowed =
            format!("{} N m/rad or more for this tongue ({HINGE} of its own E I/L at the root)", rounded(least));
        let fault = Fault::new("is so soft that the tongue swings on a hinge").allowed(allowed);
        self.fault(entry, fault.cure("measure it again, or leave it out: a root that is built in"));
        None
    }
}

/// Below this share of the tongue's own stiffness its root is a hinge.
const HINGE: f64 = 0.1;

/// The stiffness below which a root is a hinge (N m/rad).
pub(super) fn hinge_n_m_per_rad(beam: &Beam) -> f64 {
    let bending = beam.youngs_modulus_pa * beam.width_m.at(0.0) * beam.thickness_m.at(0.0).powi(3) / 12.0;
    HINGE * bending / beam.length_m
}
