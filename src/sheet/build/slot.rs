//! The slot, the chamber, the player, and the coefficients of the model.

use std::f64::consts::PI;

use super::Build;
use crate::physics::{Chamber, Coefficients, Player, Profile, Slot};
use crate::sheet::keys::{Table, find_in};
use crate::sheet::of_layout::CHAMBER_KEYS;
use crate::sheet::value::{Fault, rounded};

/// By how much the perimeter of a round channel may be mistyped, as a share.
const ROUND: f64 = 0.01;

impl Build<'_> {
    pub(super) fn slot(&mut self, length_m: Option<f64>) -> Option<Slot> {
        let sides = self.sides(length_m);
        let tip_clearance_m = self.number(Table::Slot, "tip_clearance_mm");
        let plate_thickness_m = self.number(Table::Slot, "plate_thickness_mm");
        let leak_area_m2 = self.number(Table::Slot, "leak_mm2");
        let (left_clearance_m, right_clearance_m) = sides?;
        Some(Slot {
            left_clearance_m,
            right_clearance_m,
            tip_clearance_m: tip_clearance_m?,
            plate_thickness_m: plate_thickness_m?,
            leak_area_m2: leak_area_m2?,
        })
    }

    /// Clearance left and right.
    fn sides(&mut self, length_m: Option<f64>) -> Option<(Profile, Profile)> {
        let typed =
            |build: &Self, name: &str| build.given(Table::Slot, name).is_some() || build.is_wrong(Table::Slot, name);
        let either = |build: &Self, side: &str| {
            typed(build, &format!("{side}_clearance_mm")) || typed(build, &format!("{side}_clearance_stations_mm"))
        };
        let (left, right) = (either(self, "left"), either(self, "right"));
        if !left && !right {
            if typed(self, "side_clearance_stations_mm") {
                let both = self.side("side", length_m)?;
                return Some((both.clone(), both));
            }
            let both = Profile::constant(self.number(Table::Slot, "side_clearance_mm")?);
            return Some((both.clone(), both));
        }
        for (here, there, name) in [(left, right, "right_clearance_mm"), (right, left, "left_clearance_mm")] {
            if let (true, false, Some(key)) = (here, there, find_in(Table::Slot, name)) {
                self.missing(key, "give both sides, or side_clearance_mm for both");
            }
        }
        let (left, right) = (self.side("left", length_m), self.side("right", length_m));
        Some((left?, right?))
    }

    /// The clearance of one side, as typed.
    fn side(&mut self, side: &str, length_m: Option<f64>) -> Option<Profile> {
        if let Some(entry) = self.given(Table::Slot, &format!("{side}_clearance_stations_mm")) {
            return Profile::linear(self.stations(entry, length_m)?).ok();
        }
        self.given_si(Table::Slot, &format!("{side}_clearance_mm")).map(Profile::constant)
    }

    /// `Some(None)` is a large windchest.
    pub(super) fn chamber(&mut self) -> Option<Option<Chamber>> {
        let of_layout = self.spec.of_layout.as_ref().and_then(|layout| layout.chamber);
        if !self.all_or_none(Table::Chamber) && of_layout.is_none() {
            self.assume("chamber", "a large windchest", "no [chamber] was given");
            return Some(None);
        }
        let [volume_m3, channel_length_m, channel_area_m2] = std::array::from_fn(|k| {
            let name = CHAMBER_KEYS[k];
            match (of_layout, find_in(Table::Chamber, name)) {
                (Some(usual), Some(key)) if !self.is_typed(Table::Chamber, name) => {
                    Some(self.assume_number(key, rounded(usual[k]), "not measured; usual for its place in the layout"))
                }
                _ => self.number(Table::Chamber, name),
            }
        });
        let channel_perimeter_m = self.perimeter(channel_area_m2);
        Some(Some(Chamber {
            volume_m3: volume_m3?,
            channel_length_m: channel_length_m?,
            channel_area_m2: channel_area_m2?,
            channel_perimeter_m: channel_perimeter_m?,
        }))
    }

    /// The perimeter typed, which cannot be shorter than the circle's around the same area; `Some(None)` where none was.
    fn perimeter(&mut self, area_m2: Option<f64>) -> Option<Option<f64>> {
        let Some(entry) = self.given(Table::Chamber, "channel_perimeter_mm") else {
            return (!self.is_wrong(Table::Chamber, "channel_perimeter_mm")).then_some(None);
        };
        let perimeter_m = self.given_si(Table::Chamber, "channel_perimeter_mm")?;
        let circle_m = 2.0 * (PI * area_m2?).sqrt();
        if perimeter_m < (1.0 - ROUND) * circle_m {
            let shortest = format!("{} mm or more, a circle's around channel_area_mm2", rounded(1e3 * circle_m));
            let fault = Fault::new("is shorter than anything can be around that area").allowed(shortest);
            self.fault(entry, fault.cure("measure both again, or leave it out for a round channel"));
            return None;
        }
        Some(Some(perimeter_m))
    }

    /// The doubtful coefficients of the model.
    pub(super) fn coefficients(&mut self) -> Option<Coefficients> {
        let [inertance_factor, contraction, drag] =
            ["inertance_factor", "contraction", "drag_coefficient"].map(|name| self.number(Table::Air, name));
        Some(Coefficients { inertance_factor: inertance_factor?, contraction: contraction?, drag: drag? })
    }

    /// `Some(None)` prescribes the pressure in the mouth.
    pub(super) fn player(&mut self) -> Option<Option<Player>> {
        if !self.all_or_none(Table::Player) {
            return Some(None);
        }
        let lung_resistance_pa_s_m3 = self.number(Table::Player, "lung_resistance_pa_s_m3");
        let mouth_volume_m3 = self.number(Table::Player, "mouth_volume_cm3");
        Some(Some(Player { lung_resistance_pa_s_m3: lung_resistance_pa_s_m3?, mouth_volume_m3: mouth_volume_m3? }))
    }

    /// Whether a table whose keys belong together is there at all, be it empty.
    fn all_or_none(&self, table: Table) -> bool {
        self.any_typed(table) || self.spec.headings.iter().any(|(of, _)| *of == Some(table))
    }
}
