//! The air between lungs and reed: a row of sections, each an inertance with a loss, then a compliance.
//!
//! With `p_k` the pressure behind section `k` and `U_k` the flow through it, `k = 0` next to the reed and `p_n` the pressure
//! blown with:
//!
//! - `M_k U_k' = p_(k+1) - p_k - R_k U_k - D_k U_k|U_k|`; where `M_k = 0`, `U_k = (p_(k+1) - p_k)/R_k`   (9)
//! - `C_k p_k' = U_k - U_(k-1) - U_leak(p_k)`, `U_(-1)` what goes through the reed less what it sweeps   (10)
//!
//! What an instrument has decides which sections there are: the slot always; chamber and channel behind it; a player's mouth
//! and lungs behind those. A stray leak opens from the chamber. On a large windchest there is the slot alone: the pressure
//! behind it is prescribed, and a leak takes nothing from the reed.

use std::f64::consts::PI;

use super::coefficients::{CHANNEL_LOSS, END_CORRECTION, LEAK_SMOOTHING_PA};
use super::{Air, Chamber, Player, Reed};

/// Sections at the most: slot, chamber with its channel, player.
pub const SECTIONS: usize = 3;

/// One section of the ladder.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Section {
    /// Inertance `M` of its air (kg/m4).
    pub inertance_kg_m4: f64,
    /// Linear resistance `R` (Pa s/m3).
    pub resistance_pa_s_m3: f64,
    /// Loss with the square of the flow, `D = K rho/(2 S^2)` (Pa s2/m6).
    pub dynamic_loss_pa_s2_m6: f64,
    /// Compliance `C` behind it, on the reed's side (m3/Pa).
    pub compliance_m3_pa: f64,
    /// Stray leak there, `A_leak sqrt(2/rho)` (m3/(s Pa^1/2)).
    pub leak_m3_s_pa: f64,
}

impl Section {
    /// The slot: `V_s = w L T`, `M_s = mu_M rho (T + 0.85 sqrt(w L/pi))/(w L)`.
    fn slot(reed: &Reed) -> Self {
        let opening = reed.beam.width_m.at(0.0) * reed.beam.length_m;
        let depth = reed.slot.plate_thickness_m;
        Self {
            inertance_kg_m4: reed.coefficients.inertance_factor
                * reed.air.density_kg_m3
                * (depth + end_correction(opening))
                / opening,
            compliance_m3_pa: compliance(opening * depth, &reed.air),
            ..Self::default()
        }
    }

    /// Channel and chamber, at the reed's plucked angular frequency: `e = delta P_c/(2 S_c)`, `delta = sqrt(2 mu/(rho w_1))`,
    /// `R_c = w_1 rho L_c e/S_c`, `M_c = mu_M rho (L_c (1 + e) + 0.85 sqrt(S_c/pi))/S_c` (Kirchhoff, first order for ducts wider
    /// than `delta`; N. H. Fletcher and T. D. Rossing, *The Physics of Musical Instruments*, ch. 8), `D = K rho/(2 S_c^2)`.
    fn chamber(chamber: &Chamber, reed: &Reed, angular_frequency: f64) -> Self {
        let (air, area) = (&reed.air, chamber.channel_area_m2);
        let density = air.density_kg_m3;
        let perimeter = chamber.channel_perimeter_m.unwrap_or(2.0 * (PI * area).sqrt());
        let layer = (2.0 * air.viscosity_pa_s / (density * angular_frequency)).sqrt();
        let excess = layer * perimeter / (2.0 * area);
        let long = chamber.channel_length_m * (1.0 + excess) + end_correction(area);
        Self {
            inertance_kg_m4: reed.coefficients.inertance_factor * density * long / area,
            resistance_pa_s_m3: angular_frequency * density * chamber.channel_length_m * excess / area,
            dynamic_loss_pa_s2_m6: CHANNEL_LOSS * density / (2.0 * area * area),
            compliance_m3_pa: compliance(chamber.volume_m3, air),
            leak_m3_s_pa: reed.slot.leak_area_m2 * (2.0 / density).sqrt(),
        }
    }

    fn player(player: &Player, air: &Air) -> Self {
        Self {
            resistance_pa_s_m3: player.lung_resistance_pa_s_m3,
            compliance_m3_pa: compliance(player.mouth_volume_m3, air),
            ..Self::default()
        }
    }

    /// Pressure that a steady flow costs (Pa).
    #[inline(always)]
    pub fn lost_pa(&self, flow_m3_s: f64) -> f64 {
        (self.resistance_pa_s_m3 + self.dynamic_loss_pa_s2_m6 * flow_m3_s.abs()) * flow_m3_s
    }

    /// Derivative of [`Section::lost_pa`] by the flow.
    #[inline(always)]
    pub(super) fn loss_slope(&self, flow_m3_s: f64) -> f64 {
        self.resistance_pa_s_m3 + 2.0 * self.dynamic_loss_pa_s2_m6 * flow_m3_s.abs()
    }

    /// Flow through its stray leak, `A_leak sqrt(2/rho) dp/(dp^2 + (1 Pa)^2)^(1/4)` (m3/s).
    #[inline(always)]
    pub fn leaked_m3_s(&self, dp: f64) -> f64 {
        if self.leak_m3_s_pa == 0.0 {
            return 0.0;
        }
        self.leak_m3_s_pa * dp / (dp * dp + LEAK_SMOOTHING_PA.powi(2)).sqrt().sqrt()
    }

    /// Derivative of [`Section::leaked_m3_s`] by `dp`.
    #[inline(always)]
    pub(super) fn leak_slope(&self, dp: f64) -> f64 {
        if self.leak_m3_s_pa == 0.0 {
            return 0.0;
        }
        let square = dp * dp + LEAK_SMOOTHING_PA.powi(2);
        self.leak_m3_s_pa * (square - 0.5 * dp * dp) / (square * square.sqrt().sqrt())
    }
}

/// The sections there are, from the reed outwards.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ladder {
    all: [Section; SECTIONS],
    count: usize,
}

impl Ladder {
    /// The ladder of a reed whose first mode has an angular frequency.
    pub(super) fn of(reed: &Reed, angular_frequency: f64) -> Self {
        let chamber = reed.chamber.as_ref().map(|chamber| Section::chamber(chamber, reed, angular_frequency));
        let player = reed.player.as_ref().map(|player| Section::player(player, &reed.air));
        let mut ladder = Self { all: [Section::slot(reed), Section::default(), Section::default()], count: 1 };
        for section in chamber.into_iter().chain(player) {
            ladder.all[ladder.count] = section;
            ladder.count += 1;
        }
        ladder
    }

    /// The sections, from the reed outwards.
    #[inline(always)]
    pub fn sections(&self) -> &[Section] {
        &self.all[..self.count]
    }

    /// The same up to the mouth: without the player's lungs, whose section alone has no inertance.
    pub(super) fn to_the_mouth(self) -> Self {
        let count = self.sections().iter().filter(|section| section.inertance_kg_m4 > 0.0).count();
        Self { count, ..self }
    }

    /// The same with every inertance multiplied by a factor, to see what the inertia of the air does.
    pub(super) fn with_inertances_times(mut self, factor: f64) -> Self {
        self.all.iter_mut().for_each(|section| section.inertance_kg_m4 *= factor);
        self
    }

    /// Flow through section `k`, which feeds on `outer_pa` (m3/s).
    #[inline(always)]
    pub(super) fn flow(&self, k: usize, pressure_pa: f64, flow_m3_s: f64, outer_pa: f64) -> f64 {
        let section = &self.all[k];
        if section.inertance_kg_m4 > 0.0 { flow_m3_s } else { (outer_pa - pressure_pa) / section.resistance_pa_s_m3 }
    }
}

/// `C(V) = V/(rho c0^2)` (m3/Pa).
fn compliance(volume_m3: f64, air: &Air) -> f64 {
    volume_m3 / (air.density_kg_m3 * air.sound_speed_m_s.powi(2))
}

/// End correction of an opening of area `area` (m).
fn end_correction(area: f64) -> f64 {
    END_CORRECTION * (area / PI).sqrt()
}
