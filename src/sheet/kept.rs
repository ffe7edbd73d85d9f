//! What a changed reed keeps of what was found before the change.

use super::checked::{CheckedReed, ThicknessFinding, Tip};
use super::reed_spec::ReedSpec;

/// What the thickness is found from.
const MEASURED: [&str; 3] = ["measured_pluck_hz", "closing_force_g", "stiffness_n_m"];
/// What says the weight at the tip.
const WEIGHT: [&str; 2] = ["tip_mass_mg", "tip_weight_share"];

impl ReedSpec {
    /// Keeps what pluck and stiffness said about the thickness of the reed before a change, unless these were changed
    /// themselves; and what sits on its tip, unless that was. Of a force that closed another gap the stiffness is kept.
    pub(super) fn keeping(mut self, before: &CheckedReed) -> Self {
        let same = |names: &[&str]| {
            let value = |spec: &Self, name: &str| spec.typed(name).map(|(value, _)| value.clone());
            names.iter().all(|name| value(&self, name) == value(&before.spec, name))
        };
        let tip = |tip: Tip| Tip {
            mass_kg: tip.mass_kg.filter(|_| same(&WEIGHT)),
            thinning: if same(&["tip_thinning"]) { tip.thinning } else { 0.0 },
        };
        let found = before.thickness.filter(|_| same(&MEASURED));
        let kept = found.map(|found| ThicknessFinding { tip: tip(found.tip), ..found });
        let elsewhere = same(&MEASURED[1..]) && !same(&["tip_gap_mm", "rest_stations_mm"]);
        self.kept = kept;
        if let (true, Some(stiffness_n_m)) = (elsewhere, before.measured.stiffness_n_m) {
            self.layer.weighed_at(stiffness_n_m);
        }
        self
    }
}
