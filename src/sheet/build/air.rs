//! The air that passes the reed.

use super::{Build, shown_name};
use crate::physics::Air;
use crate::physics::air::AirState;
use crate::sheet::keys::{Key, Table, find_in};
use crate::sheet::reed_spec::{ReedSpec, UsualAir};
use crate::sheet::value::{Value, rounded};

const PROPERTIES: [&str; 3] = ["density_kg_m3", "sound_speed_m_s", "viscosity_pa_s"];
const STATE: [&str; 4] = ["temperature_c", "humidity_percent", "co2_percent", "pressure_kpa"];

/// What of the room air must be written down where a reed is to be read without its job.
pub(in crate::sheet) fn room_air_to_write(spec: &ReedSpec) -> Vec<(&'static Key, Value)> {
    let typed = |name: &str| spec.typed(&format!("air.{name}")).is_some();
    if spec.usual_air != UsualAir::Room || PROPERTIES.iter().any(|name| typed(name)) {
        return Vec::new();
    }
    let room = AirState::ROOM;
    let si = [room.temperature_c + 273.15, room.relative_humidity, room.co2_fraction, room.pressure_pa];
    let missing = STATE.into_iter().zip(si).filter(|(name, _)| !typed(name));
    missing
        .filter_map(|(name, si)| find_in(Table::Air, name).map(|key| (key, Value::Number(rounded(key.typed(si))))))
        .collect()
}

impl Build<'_> {
    pub(super) fn air(&mut self) -> Option<Air> {
        let typed =
            |build: &Self, name: &&str| build.given(Table::Air, name).is_some() || build.is_wrong(Table::Air, name);
        let properties = PROPERTIES.iter().any(|name| typed(self, name));
        let state = STATE.iter().any(|name| typed(self, name));
        match (properties, state, self.spec.usual_air) {
            (true, ..) => self.air_from_properties(),
            (_, true, _) | (.., UsualAir::Room) => self.air_from_state(),
            (false, false, UsualAir::Breath) => {
                // All three are left out, so all three are listed as assumed.
                let [density, sound_speed, viscosity] = PROPERTIES.map(|name| self.number(Table::Air, name));
                Some(Air { density_kg_m3: density?, sound_speed_m_s: sound_speed?, viscosity_pa_s: viscosity? })
            }
        }
    }

    /// Of the three properties one is no use without the others.
    fn air_from_properties(&mut self) -> Option<Air> {
        let [density, sound_speed, viscosity] = PROPERTIES.map(|name| {
            let given = self.given_si(Table::Air, name);
            if let (None, false, Some(key)) = (given, self.is_wrong(Table::Air, name), find_in(Table::Air, name)) {
                self.missing(key, "give all three of density_kg_m3, sound_speed_m_s, viscosity_pa_s, or none");
            }
            given
        });
        Some(Air { density_kg_m3: density?, sound_speed_m_s: sound_speed?, viscosity_pa_s: viscosity? })
    }

    fn air_from_state(&mut self) -> Option<Air> {
        let (usual, what) = match self.spec.usual_air {
            UsualAir::Breath => (AirState::BREATH, "breath"),
            UsualAir::Room => (AirState::ROOM, "room air"),
        };
        let temperature_k = self.given_or("temperature_c", usual.temperature_c + 273.15, what);
        let relative_humidity = self.given_or("humidity_percent", usual.relative_humidity, what);
        let co2_fraction = self.given_or("co2_percent", usual.co2_fraction, what);
        let pressure_pa = self.given_or("pressure_kpa", usual.pressure_pa, what);
        let state = AirState {
            temperature_c: temperature_k? - 273.15,
            relative_humidity: relative_humidity?,
            co2_fraction: co2_fraction?,
            pressure_pa: pressure_pa?,
        };
        self.notes.extend(state.range_notes().into_iter().map(str::to_owned));
        Some(state.air())
    }

    fn given_or(&mut self, name: &str, usual_si: f64, what: &str) -> Option<f64> {
        let given = self.given_si(Table::Air, name);
        if given.is_some() || self.is_wrong(Table::Air, name) {
            return given;
        }
        let key = find_in(Table::Air, name)?;
        self.assume(shown_name(key), key.with_unit(rounded(key.typed(usual_si))), format!("{what}: not measured"));
        Some(usual_si)
    }
}
