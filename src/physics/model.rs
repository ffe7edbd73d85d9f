//! The reed ready to be solved: modes, opening, and the air behind it.
//!
//! The equations of motion, with `p` the chamber pressure, `U_c` the flow in the channel and `p_m` the mouth pressure:
//!
//! - `m_i (q_i'' + 2 zeta w_i q_i' + w_i^2 q_i) = -beta p S_i - integral of phi_i f_d ds`   (7)
//! - `f_d = 1/2 rho C_d w V|V| + mu l (1/c_left + 1/c_right) V`, `V = sum of q_i' phi_i`   (8)
//! - `C p' = U_c - U - U_leak + sum of S_i q_i'`, `C = V_c/(rho c0^2)`   (9)
//! - `M U_c' = p_m - p - K rho U_c|U_c|/(2 S_c^2)`   (10)
//! - `V_m/(rho c0^2) p_m' = (P - p_m)/R_l - U_c` where there is a player   (11)
//!
//! A draw reed sits on the outside; the equations are the same with `p` read as suction.

use std::f64::consts::PI;

use nalgebra::SMatrix;

use super::aperture::{Aperture, MODES};
use super::beam::Mode;
use super::coefficients::{CHANNEL_LOSS, END_CORRECTION, LEAK_SMOOTHING_PA};
use super::{InputError, Reed};

/// Tip motion and speed of each mode, chamber pressure, channel flow, mouth pressure.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct State {
    /// Tip displacement from rest, per mode (m).
    pub tip_m: [f64; MODES],
    /// Tip speed, per mode (m/s).
    pub speed_m_s: [f64; MODES],
    /// Pressure in the chamber (Pa).
    pub pressure_pa: f64,
    /// Flow in the channel (m3/s).
    pub channel_m3_s: f64,
    /// Pressure in the mouth (Pa).
    pub mouth_pa: f64,
}

/// A checked reed with everything computed that does not depend on the blowing pressure.
#[derive(Debug, Clone)]
pub struct ReedModel {
    reed: Reed,
    modes: Vec<Mode>,
    pub(super) aperture: Aperture,
    /// `C` (m3/Pa).
    pub(super) compliance: f64,
    /// `M` (kg/m4).
    pub(super) inertance: f64,
    /// `K rho/(2 S_c^2)` (Pa s2/m6).
    pub(super) channel_loss: f64,
    /// `A_leak sqrt(2/rho)` (m3/(s Pa^1/2)).
    leak: f64,
    pub(super) mouth: Option<Mouth>,
}

/// Number of states.
pub(super) const STATES: usize = 2 * MODES + 3;
pub(super) type Jacobian = SMatrix<f64, STATES, STATES>;

/// The player's mouth as equation (11) needs it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Mouth {
    /// `V_m/(rho c0^2)` (m3/Pa).
    pub(super) compliance: f64,
    /// `R_l` (Pa s/m3).
    pub(super) resistance: f64,
}

impl ReedModel {
    /// Solves the beam and prepares the opening.
    ///
    /// # Errors
    /// A value for which the equations have no meaning ([`Reed::check`]).
    pub fn new(reed: Reed) -> Result<Self, InputError> {
        reed.check()?;
        let modes = reed.beam.modes(MODES);
        let (air, slot) = (reed.air, &reed.slot);
        let stiffness = air.density_kg_m3 * air.sound_speed_m_s.powi(2);
        let slot_opening = reed.beam.width_m.at(0.0) * reed.beam.length_m;
        let slot_air = air.density_kg_m3 * (slot.plate_thickness_m + end_correction(slot_opening)) / slot_opening;
        let (volume, channel_air, channel_loss) = match &reed.chamber {
            None => (slot_opening * slot.plate_thickness_m, 0.0, 0.0),
            Some(chamber) => {
                let area = chamber.channel_area_m2;
                let channel_air = air.density_kg_m3 * (chamber.channel_length_m + end_correction(area)) / area;
                (chamber.volume_m3, channel_air, CHANNEL_LOSS * air.density_kg_m3 / (2.0 * area * area))
            }
        };
        Ok(Self {
            aperture: Aperture::new(&reed, &modes),
            compliance: volume / stiffness,
            inertance: channel_air + slot_air,
            channel_loss,
            leak: slot.leak_area_m2 * (2.0 / air.density_kg_m3).sqrt(),
            mouth: reed.player.map(|player| Mouth {
                compliance: player.mouth_volume_m3 / stiffness,
                resistance: player.lung_resistance_pa_s_m3,
            }),
            modes,
            reed,
        })
    }

    /// The reed this was made from.
    pub fn reed(&self) -> &Reed {
        &self.reed
    }

    /// The bending modes that move, lowest first.
    pub fn modes(&self) -> &[Mode] {
        &self.modes
    }

    /// The opening around the reed.
    pub fn aperture(&self) -> &Aperture {
        &self.aperture
    }

    /// Damping ratio of every mode, `1/(2Q)`.
    pub fn damping_ratio(&self) -> f64 {
        0.5 / self.reed.quality_factor
    }

    /// Air inertance `M` in front of the reed (kg/m4).
    pub fn inertance_kg_m4(&self) -> f64 {
        self.inertance
    }

    /// Compliance `C` of the chamber (m3/Pa).
    pub fn compliance_m3_pa(&self) -> f64 {
        self.compliance
    }

    /// Helmholtz resonance of chamber and channel with the reed shut (Hz): `1/(2 pi sqrt(M C))`.
    pub fn chamber_resonance_hz(&self) -> f64 {
        1.0 / (2.0 * PI * (self.inertance * self.compliance).sqrt())
    }

    /// The same model with another quality factor.
    pub fn with_quality_factor(&self, quality_factor: f64) -> Self {
        let mut other = self.clone();
        other.reed.quality_factor = quality_factor;
        other
    }

    /// The same model with another stray leak (effective area, m2).
    pub fn with_leak_area(&self, leak_area_m2: f64) -> Self {
        let mut other = self.clone();
        other.reed.slot.leak_area_m2 = leak_area_m2;
        other.leak = leak_area_m2 * (2.0 / self.reed.air.density_kg_m3).sqrt();
        other
    }

    /// The same model with another air inertance, to see what the inertia of the air does.
    pub fn with_inertance(&self, inertance_kg_m4: f64) -> Self {
        Self { inertance: inertance_kg_m4, ..self.clone() }
    }

    /// Flow through stray leaks `U_leak = A_leak sqrt(2/rho) dp/(dp^2 + (1 Pa)^2)^(1/4)` (m3/s).
    pub fn leak_m3_s(&self, dp: f64) -> f64 {
        self.leak * dp / (dp * dp + LEAK_SMOOTHING_PA.powi(2)).powf(0.25)
    }

    /// Its derivative by `dp`.
    pub(super) fn leak_slope(&self, dp: f64) -> f64 {
        let square = dp * dp + LEAK_SMOOTHING_PA.powi(2);
        self.leak * (square - 0.5 * dp * dp) / square.powf(1.25)
    }

    /// Rate of change of every state, equations (7) to (11), with `P` the pressure in the lungs. Without a player the mouth
    /// pressure is prescribed and its rate here is zero.
    pub fn rates(&self, state: &State, lungs_pa: f64) -> State {
        let p = state.pressure_pa;
        let flow = self.aperture.flow(state.tip_m, state.speed_m_s, p);
        let zeta = self.damping_ratio();
        let acceleration = std::array::from_fn(|i| {
            let (mode, w) = (&self.modes[i], self.modes[i].angular_frequency());
            // (7); the drag is (8)
            let force = -flow.share * p * mode.swept_area_m2 - flow.drag_n[i];
            force / mode.modal_mass_kg - 2.0 * zeta * w * state.speed_m_s[i] - w * w * state.tip_m[i]
        });
        let channel = state.channel_m3_s;
        let inflow = channel - self.outflow(state, flow.through_m3_s);
        let loss = self.channel_loss * channel * channel.abs();
        // (11)
        let mouth = |m: Mouth| ((lungs_pa - state.mouth_pa) / m.resistance - channel) / m.compliance;
        State {
            tip_m: state.speed_m_s,
            speed_m_s: acceleration,
            pressure_pa: inflow / self.compliance,                      // (9)
            channel_m3_s: (state.mouth_pa - p - loss) / self.inertance, // (10)
            mouth_pa: self.mouth.map_or(0.0, mouth),
        }
    }

    /// Exact derivatives of [`ReedModel::rates`] by the states, in SI units, both in the order of [`State`]'s fields.
    pub(super) fn jacobian(&self, state: &State) -> Jacobian {
        let p = state.pressure_pa;
        let slopes = self.aperture.moving_slopes(state.tip_m, state.speed_m_s, p);
        let (pressure, channel, mouth) = (2 * MODES, 2 * MODES + 1, 2 * MODES + 2);
        let share = slopes.flow.share + p * slopes.share_by_pressure;
        let mut a = Jacobian::zeros();
        for (i, mode) in self.modes.iter().enumerate() {
            let (w, mass, area, speed) = (mode.angular_frequency(), mode.modal_mass_kg, mode.swept_area_m2, MODES + i);
            a[(i, speed)] = 1.0;
            a[(speed, i)] = -w * w;
            a[(speed, speed)] = -2.0 * self.damping_ratio() * w;
            for j in 0..MODES {
                a[(speed, j)] -= (p * slopes.share_by_tip[j] * area + slopes.drag_by_tip[i][j]) / mass;
                a[(speed, MODES + j)] -= slopes.drag_by_speed[i][j] / mass;
            }
            a[(speed, pressure)] = -share * area / mass;
            a[(pressure, speed)] = area / self.compliance;
            a[(pressure, i)] = -slopes.through_by_tip[i] / self.compliance;
        }
        a[(pressure, pressure)] = -(slopes.through_by_pressure + self.leak_slope(p)) / self.compliance;
        a[(pressure, channel)] = 1.0 / self.compliance;
        a[(channel, pressure)] = -1.0 / self.inertance;
        a[(channel, channel)] = -2.0 * self.channel_loss * state.channel_m3_s.abs() / self.inertance;
        a[(channel, mouth)] = 1.0 / self.inertance;
        if let Some(player) = &self.mouth {
            a[(mouth, channel)] = -1.0 / player.compliance;
            a[(mouth, mouth)] = -1.0 / (player.resistance * player.compliance);
        }
        a
    }

    /// Net flow out of the chamber `U + U_leak - integral of w V ds` (m3/s), given `U`.
    pub(super) fn outflow(&self, state: &State, through: f64) -> f64 {
        let swept: f64 = self.modes.iter().zip(state.speed_m_s).map(|(mode, v)| mode.swept_area_m2 * v).sum();
        through + self.leak_m3_s(state.pressure_pa) - swept
    }
}

/// End correction of an opening of area `area` (m).
fn end_correction(area: f64) -> f64 {
    END_CORRECTION * (area / PI).sqrt()
}
