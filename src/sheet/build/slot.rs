//! The slot, the chamber, the loss and the player.

use std::f64::consts::PI;

use super::Build;
use crate::physics::{Beam, Chamber, Player, Profile, Slot};
use crate::sheet::keys::{KEYS, Table, find_in};
use crate::sheet::value::{Fault, rounded};

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
        if !self.all_or_none(Table::Chamber) {
            self.assume("chamber", "a large windchest", "no [chamber] was given");
            return Some(None);
        }
        let volume_m3 = self.number(Table::Chamber, "volume_mm3");
        let channel_length_m = self.number(Table::Chamber, "channel_length_mm");
        let channel_area_m2 = self.number(Table::Chamber, "channel_area_mm2");
        Some(Some(Chamber {
            volume_m3: volume_m3?,
            channel_length_m: channel_length_m?,
            channel_area_m2: channel_area_m2?,
            channel_perimeter_m: None,
        }))
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

    /// Quality factor: as given, from the ring-down at the plucked frequency (`Q = pi f tau`), or assumed.
    pub(super) fn quality_factor(&mut self, beam: Option<&Beam>) -> Option<f64> {
        let Some(entry) = self.given(Table::Reed, "ring_down_s") else {
            return if self.is_wrong(Table::Reed, "ring_down_s") {
                None
            } else {
                self.number(Table::Reed, "quality_factor")
            };
        };
        let ring_down_s = self.given_si(Table::Reed, "ring_down_s")?;
        let plucked = self.given_si(Table::Reed, "measured_pluck_hz");
        let frequency_hz = plucked.or_else(|| beam.map(|beam| beam.modes(1)[0].frequency_hz))?;
        let quality_factor = PI * frequency_hz * ring_down_s;
        let key = KEYS.iter().find(|key| key.name == "quality_factor")?;
        if !(key.least..=key.most).contains(&quality_factor) {
            let fault =
                format!("gives a quality factor of {} at {} Hz", rounded(quality_factor), rounded(frequency_hz));
            self.fault(entry, Fault::new(fault).allowed(key.range_text()).cure("check the time, in seconds"));
            return None;
        }
        Some(quality_factor)
    }
}
