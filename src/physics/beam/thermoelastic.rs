//! The loss that the metal itself cannot do without: bending heats one face and cools the other, and heat that flows between
//! them is lost to the swing.
//!
//! ```text
//! 1/Q = D w th/(1 + (w th)^2),   D = E a^2 T/(rho c),   th = h^2 rho c/(pi^2 k)
//! ```
//!
//! with expansion `a`, heat capacity `c`, conductivity `k` (C. Zener, Phys. Rev. 52 (1937) 230, from memory; within 3 % of the
//! exact result for a thin beam of R. Lifshitz and M. L. Roukes, Phys. Rev. B 61 (2000) 5600, eq. 40, tested against it).

use super::{Beam, Mode};
use crate::physics::quadrature::gauss_legendre;

/// How a metal takes up and passes on heat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heat {
    /// Linear thermal expansion (1/K).
    pub expansion_per_k: f64,
    /// Heat capacity (J/(kg K)).
    pub heat_capacity_j_kg_k: f64,
    /// Thermal conductivity (W/(m K)).
    pub conductivity_w_m_k: f64,
}

/// Room temperature (K).
const ROOM_K: f64 = 293.15;

impl Beam {
    /// The quality factor that heat alone would leave a mode, at room temperature: no tongue of this metal rings longer. The
    /// thickness is the mean along the tongue, each place weighted by the energy of its bending.
    pub fn thermoelastic_quality_factor(&self, mode: &Mode, heat: &Heat) -> f64 {
        let heat_per_volume = self.density_kg_m3 * heat.heat_capacity_j_kg_k;
        let strength = self.youngs_modulus_pa * heat.expansion_per_k.powi(2) * ROOM_K / heat_per_volume;
        let thickness_m = self.bending_thickness_m(mode);
        let relaxation_s =
            thickness_m.powi(2) * heat_per_volume / (std::f64::consts::PI.powi(2) * heat.conductivity_w_m_k);
        let x = mode.angular_frequency() * relaxation_s;
        (1.0 + x * x) / (strength * x)
    }

    /// Mean thickness, weighted by the energy of bending `w h^3 phi''^2` (m).
    fn bending_thickness_m(&self, mode: &Mode) -> f64 {
        let rule = gauss_legendre::<4>();
        let (mut energy, mut weighted) = (0.0, 0.0);
        for [start, end] in self.stretches(&mode.shape) {
            let inside = 0.5 * (start + end);
            for (x, weight) in rule {
                let s = start + x * (end - start);
                let (width, thickness) = (self.width_m.at_within(s, inside), self.thickness_m.at_within(s, inside));
                let here =
                    weight * (end - start) * width * thickness.powi(3) * mode.shape.curvature_within(s, inside).powi(2);
                energy += here;
                weighted += here * thickness;
            }
        }
        weighted / energy
    }
}
