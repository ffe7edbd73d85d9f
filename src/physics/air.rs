//! Moist air with carbon dioxide: density, speed of sound, viscosity.

use super::input::{InputError, positive};

/// Molar gas constant of the density formula (J/(mol K)): CIPM-2007 keeps the CODATA 2006 value.
const GAS_CONSTANT: f64 = 8.314472;
/// 0 degC (K).
const ICE_POINT_K: f64 = 273.15;

/// The three properties of air that the reed feels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Density (kg/m3).
    pub density_kg_m3: f64,
    /// Speed of sound (m/s).
    pub sound_speed_m_s: f64,
    /// Dynamic viscosity (Pa s).
    pub viscosity_pa_s: f64,
}

impl Default for Air {
    /// Breath at about 37 degC.
    fn default() -> Self {
        Self { density_kg_m3: 1.13, sound_speed_m_s: 353.0, viscosity_pa_s: 1.9e-5 }
    }
}

impl Air {
    /// Checks that all three are finite and positive.
    ///
    /// # Errors
    /// The first that is not.
    pub fn check(&self) -> Result<(), InputError> {
        positive("air density (kg/m3)", self.density_kg_m3)?;
        positive("speed of sound (m/s)", self.sound_speed_m_s)?;
        positive("air viscosity (Pa s)", self.viscosity_pa_s)
    }
}

/// The state of the air: what a thermometer, a hygrometer and a barometer tell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AirState {
    /// Temperature (degC).
    pub temperature_c: f64,
    /// Relative humidity, 0 to 1.
    pub relative_humidity: f64,
    /// Mole fraction of carbon dioxide, 0 to 1; outdoors about 0.0004, in breath about 0.04.
    pub co2_fraction: f64,
    /// Pressure (Pa).
    pub pressure_pa: f64,
}

impl AirState {
    /// A room: 20 degC, 50 % humidity, 400 ppm of carbon dioxide, 101.325 kPa.
    pub const ROOM: Self =
        Self { temperature_c: 20.0, relative_humidity: 0.5, co2_fraction: 0.0004, pressure_pa: 101_325.0 };
    /// Breath: 34 degC (exhaled air varies around it: Mansour et al., Sens. Actuators B 304 (2020) 127371, from memory),
    /// 90 % humidity, 4 % carbon dioxide.
    pub const BREATH: Self =
        Self { temperature_c: 34.0, relative_humidity: 0.9, co2_fraction: 0.04, pressure_pa: 101_325.0 };

    /// Density, speed of sound and viscosity of this air.
    ///
    /// ```
    /// use freereed::physics::air::AirState;
    /// let room = AirState::ROOM.air();
    /// assert!((room.density_kg_m3 - 1.19931).abs() < 1e-4);
    /// assert!((room.sound_speed_m_s - 343.99).abs() < 0.01);
    /// ```
    pub fn air(&self) -> Air {
        Air {
            density_kg_m3: self.density_kg_m3(),
            sound_speed_m_s: self.sound_speed_m_s(),
            viscosity_pa_s: self.viscosity_pa_s(),
        }
    }

    /// Density of moist air (kg/m3), the CIPM-2007 formula.
    ///
    /// `rho = p M_a / (Z R T) (1 - x_v (1 - M_v/M_a))`. Stated range 15-27 degC, 60-110 kPa; outside it the error grows
    /// slowly (the gas is still nearly ideal). Source: A. Picard, R. S. Davis, M. Glaeser, K. Fujii,
    /// Metrologia 45 (2008) 149-155, eq. (1) and appendix A.1.
    pub fn density_kg_m3(&self) -> f64 {
        let molar_mass_dry = 28.96546e-3 + 12.011e-3 * (self.co2_fraction - 0.0004);
        let molar_mass_vapour = 18.01528e-3;
        let x_v = self.vapour_fraction();
        self.pressure_pa * molar_mass_dry / (self.compressibility() * GAS_CONSTANT * self.kelvin())
            * (1.0 - x_v * (1.0 - molar_mass_vapour / molar_mass_dry))
    }

    /// Mole fraction of water vapour, `x_v = h f(p, t) p_sv(t) / p` (CIPM-2007, appendix A.1.1).
    pub fn vapour_fraction(&self) -> f64 {
        self.relative_humidity * self.enhancement_factor() * self.saturation_pressure_pa() / self.pressure_pa
    }

    /// Vapour pressure of water at saturation (Pa) (CIPM-2007, eq. A1.1).
    pub fn saturation_pressure_pa(&self) -> f64 {
        let t = self.kelvin();
        (1.2378847e-5 * t * t - 1.9121316e-2 * t + 33.93711047 - 6.3431645e3 / t).exp()
    }

    /// Enhancement factor `f(p, t)` of the vapour pressure in air (CIPM-2007, eq. A1.2).
    pub fn enhancement_factor(&self) -> f64 {
        1.00062 + 3.14e-8 * self.pressure_pa + 5.6e-7 * self.temperature_c.powi(2)
    }

    /// Compressibility factor `Z` (CIPM-2007, eq. A1.4).
    pub fn compressibility(&self) -> f64 {
        let (t, x) = (self.temperature_c, self.vapour_fraction());
        let p_over_t = self.pressure_pa / self.kelvin();
        let first = 1.58123e-6 - 2.9331e-8 * t
            + 1.1043e-10 * t * t
            + (5.707e-6 - 2.051e-8 * t) * x
            + (1.9898e-4 - 2.376e-6 * t) * x * x;
        1.0 - p_over_t * first + p_over_t * p_over_t * (1.83e-11 - 0.765e-8 * x * x)
    }

    /// Speed of sound (m/s). Stated range 0-30 degC, 75-102 kPa, vapour fraction up to 0.06, carbon dioxide up to 1 %,
    /// within 300 ppm. Source: O. Cramer, J. Acoust. Soc. Am. 93 (1993) 2510-2516, eq. (15) and table III.
    pub fn sound_speed_m_s(&self) -> f64 {
        let (t, p, x_v, x_c) = (self.temperature_c, self.pressure_pa, self.vapour_fraction(), self.co2_fraction);
        331.5024 + 0.603055 * t - 0.000528 * t * t
            + (51.471935 + 0.1495874 * t - 0.000782 * t * t) * x_v
            + (-1.82e-7 + 3.73e-8 * t - 2.93e-10 * t * t) * p
            + (-85.20931 - 0.228525 * t + 5.91e-5 * t * t) * x_c
            - 2.835149 * x_v * x_v
            - 2.15e-13 * p * p
            + 29.179762 * x_c * x_c
            + 0.000486 * x_v * p * x_c
    }

    /// Dynamic viscosity (Pa s) of dry air, Sutherland's formula `1.458e-6 T^1.5 / (T + 110.4)`.
    ///
    /// Moisture and carbon dioxide are left out: in breath they take off a few per cent.
    /// Source: U.S. Standard Atmosphere 1976, eq. (51).
    pub fn viscosity_pa_s(&self) -> f64 {
        1.458e-6 * self.kelvin().powf(1.5) / (self.kelvin() + 110.4)
    }

    /// Which formulas are used outside the range their authors state; empty where all are inside.
    pub fn range_notes(&self) -> Vec<&'static str> {
        let outside = |value: f64, lo: f64, hi: f64| !(lo..=hi).contains(&value);
        let mut notes = Vec::new();
        if outside(self.temperature_c, 15.0, 27.0) || outside(self.pressure_pa, 60e3, 110e3) {
            notes.push("air density: CIPM-2007 is stated for 15-27 degC and 60-110 kPa");
        }
        if outside(self.temperature_c, 0.0, 30.0)
            || outside(self.pressure_pa, 75e3, 102e3)
            || self.vapour_fraction() > 0.06
            || self.co2_fraction > 0.01
        {
            notes.push("speed of sound: Cramer 1993 is stated for 0-30 degC, 75-102 kPa, up to 1 % carbon dioxide");
        }
        if self.vapour_fraction() > 0.02 || self.co2_fraction > 0.01 {
            notes.push("viscosity: Sutherland's formula is for dry air without added carbon dioxide");
        }
        notes
    }

    fn kelvin(&self) -> f64 {
        self.temperature_c + ICE_POINT_K
    }
}
