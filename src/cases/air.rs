//! Moist air: density, speed of sound, viscosity.
//!
//! The rows marked "computed" are the stated equation evaluated with 30 digits apart from this crate; half of their last
//! digit is allowed. Hot, wet, carbon-rich states are among them because there every constant of the formulas counts.

use super::{Check, Group, Published};
use crate::physics::Air;
use crate::physics::air::AirState;

const CIPM: &str =
    "CIPM-2007: Picard, Davis, Glaeser & Fujii, Metrologia 45 (2008) 149-155, computed from the stated equations";
const CRAMER: &str = "Cramer, J. Acoust. Soc. Am. 93 (1993) 2510-2516, computed from the stated equation";
const ISO_9613: &str = "ISO 9613-1, c = 343.2 sqrt(T/293.15) (from memory)";
const SUTHERLAND: &str = "U.S. Standard Atmosphere 1976, computed from 1.458e-6 T^1.5/(T + 110.4)";
const CABLES: &str = "Sutherland's law with 1.827e-5 Pa s at 291.15 K and S = 120 K, as engineering tables give it";
const STANDARD: &str = "International Standard Atmosphere, 1.2250 kg/m3 at 15 degC";

/// Temperature (degC), humidity, carbon dioxide, pressure (Pa).
type At = (f64, f64, f64, f64);

fn state((temperature_c, relative_humidity, co2_fraction, pressure_pa): At) -> AirState {
    AirState { temperature_c, relative_humidity, co2_fraction, pressure_pa }
}

fn named(what: &str, (t, h, co2, p): At) -> String {
    format!("{what}, {t} degC, {} % humidity, {} ppm CO2, {} kPa", 100.0 * h, (1e6 * co2).round(), p / 1e3)
}

const OUTDOOR: f64 = 0.0004;
const SEA_LEVEL: f64 = 101_325.0;
/// Far beyond any breath, where the small terms are large.
const STEAM_BATH: At = (60.0, 1.0, 0.1, 110e3);
const WARM_BREATH: At = (37.0, 0.95, 0.04, SEA_LEVEL);

/// State, density (kg/m3), vapour fraction, compressibility.
const DENSITIES: [(At, f64, f64, f64); 9] = [
    ((15.0, 0.0, OUTDOOR, SEA_LEVEL), 1.22552134, 0.0, 0.999592212),
    ((20.0, 0.0, OUTDOOR, SEA_LEVEL), 1.20455734, 0.0, 0.999643139),
    ((20.0, 0.5, OUTDOOR, SEA_LEVEL), 1.19931390, 0.0115893401, 0.999614768),
    ((23.0, 0.5, OUTDOOR, SEA_LEVEL), 1.18608413, 0.0139275757, 0.999637265),
    ((25.0, 0.5, OUTDOOR, SEA_LEVEL), 1.17731537, 0.0157064720, 0.999650838),
    ((30.0, 0.5, OUTDOOR, SEA_LEVEL), 1.15551292, 0.0210465534, 0.999679319),
    ((20.0, 0.5, OUTDOOR, 100e3), 1.18355661, 0.0117424123, 0.999619314),
    (WARM_BREATH, 1.13074351, 0.0591691044, 0.999564985),
    (STEAM_BATH, 1.11087304, 0.1824332986, 0.999012311),
];

/// State, speed of sound (m/s).
const SPEEDS: [(At, f64); 8] = [
    ((0.0, 0.0, OUTDOOR, SEA_LEVEL), 331.447672),
    ((20.0, 0.0, OUTDOOR, SEA_LEVEL), 343.359467),
    ((20.0, 0.5, OUTDOOR, SEA_LEVEL), 343.986887),
    ((25.0, 0.5, OUTDOOR, SEA_LEVEL), 347.126821),
    ((30.0, 0.5, OUTDOOR, SEA_LEVEL), 350.310167),
    ((30.0, 1.0, OUTDOOR, SEA_LEVEL), 351.469757),
    ((30.0, 1.0, 0.04, SEA_LEVEL), 347.954854),
    (STEAM_BATH, 367.708344),
];

/// Temperature (K), viscosity (Pa s).
const VISCOSITIES: [(f64, f64); 6] = [
    (273.15, 1.716079e-5),
    (288.15, 1.789380e-5),
    (293.15, 1.813406e-5),
    (298.15, 1.837234e-5),
    (307.15, 1.879641e-5),
    (310.15, 1.893641e-5),
];

pub(super) fn checks() -> Vec<Check> {
    let mut group = Group::new("air");
    for (at, density, vapour, compressibility) in DENSITIES {
        let air = state(at);
        group.add(named("density", at), air.density_kg_m3(), Published::within(density, 6e-9, "kg/m3", CIPM));
        group.add(named("vapour fraction", at), air.vapour_fraction(), Published::within(vapour, 6e-11, "1", CIPM));
        let published = Published::within(compressibility, 6e-10, "1", CIPM);
        group.add(named("compressibility", at), air.compressibility(), published);
    }
    let room = state((20.0, 0.5, OUTDOOR, SEA_LEVEL));
    let published = Published::within(2339.16323, 6e-6, "Pa", CIPM);
    group.add("saturation pressure, 20 degC", room.saturation_pressure_pa(), published);
    group.add(
        "enhancement factor, 20 degC",
        room.enhancement_factor(),
        Published::within(1.004025605, 6e-10, "1", CIPM),
    );
    let hot = state(STEAM_BATH);
    let published = Published::within(19946.19054, 6e-5, "Pa", CIPM);
    group.add("saturation pressure, 60 degC", hot.saturation_pressure_pa(), published);
    group.add(
        "enhancement factor, 60 degC, 110 kPa",
        hot.enhancement_factor(),
        Published::within(1.00609, 1e-9, "1", CIPM),
    );
    // Another formula for another purpose: it agrees to a part in two thousand.
    let dry = state((15.0, 0.0, OUTDOOR, SEA_LEVEL));
    group.add("density, dry, 15 degC", dry.density_kg_m3(), Published::relative(1.2250, 5e-4, "kg/m3", STANDARD));

    for (at, speed) in SPEEDS {
        group.add(
            named("speed of sound", at),
            state(at).sound_speed_m_s(),
            Published::within(speed, 6e-7, "m/s", CRAMER),
        );
    }
    // The standard's formula is for its own reference air; the two authors differ by 0.5 per mille.
    for (celsius, speed) in [(0.0, 331.286), (20.0, 343.2), (34.0, 351.300)] {
        let dry = state((celsius, 0.0, OUTDOOR, SEA_LEVEL)).sound_speed_m_s();
        group.add(
            format!("speed of sound, dry, {celsius} degC, by another formula"),
            dry,
            Published::relative(speed, 1e-3, "m/s", ISO_9613),
        );
    }

    for (kelvin, viscosity) in VISCOSITIES {
        let air = state((kelvin - 273.15, 0.0, OUTDOOR, SEA_LEVEL));
        let published = Published::within(viscosity, 6e-12, "Pa s", SUTHERLAND);
        group.add(format!("viscosity, {kelvin} K"), air.viscosity_pa_s(), published);
    }
    // The two sets of constants in use lie 0.6 % apart.
    let air = state((18.0, 0.0, OUTDOOR, SEA_LEVEL));
    let published = Published::relative(1.827e-5, 0.015, "Pa s", CABLES);
    group.add("viscosity, 291.15 K, other constants", air.viscosity_pa_s(), published);

    breath(&mut group);
    group.checks
}

/// The default breath is warm breath with its last digits rounded off.
fn breath(group: &mut Group) {
    let air = Air::default();
    let published = Published::within(1.13074351, 0.005, "kg/m3", CIPM);
    group.add("default breath: density, beside 37 degC, 95 %, 4 % CO2", air.density_kg_m3, published);
    let published = Published::within(352.8908, 0.5, "m/s", CRAMER);
    group.add("default breath: speed of sound, beside the same", air.sound_speed_m_s, published);
    let published = Published::within(1.893641e-5, 1e-7, "Pa s", SUTHERLAND);
    group.add("default breath: viscosity, beside dry air at 37 degC", air.viscosity_pa_s, published);
    let moist = state(WARM_BREATH).air();
    let published = Published::within(1.13074351, 6e-9, "kg/m3", CIPM);
    group.add("all three at once: density of warm breath", moist.density_kg_m3, published);
    let published = Published::within(352.890797, 6e-7, "m/s", CRAMER);
    group.add("all three at once: speed of sound in warm breath", moist.sound_speed_m_s, published);
    let published = Published::within(1.893641e-5, 6e-12, "Pa s", SUTHERLAND);
    group.add("all three at once: viscosity of warm breath", moist.viscosity_pa_s, published);
}
