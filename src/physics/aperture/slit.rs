//! One slit by itself: the flow law (3) of the opening for a gap of fixed height and depth, as under a plate or a valve.

use crate::physics::Air;
use crate::physics::coefficients::{CONTRACTION, THIN_SLIT_LENGTH};

/// A straight slit between two parallel walls.
///
/// With `d` its height, `l` its depth in the direction of flow, the mean speed `v` is the positive root of
/// `|dp| = k rho v^2/2 + 12 mu (l + e d) v/d^2`: plane Poiseuille flow in series with `k` velocity heads lost at its ends
/// and the slow resistance of its two ends, `e` heights long. The law (3) of the reed's opening has `k = 1/alpha^2` and
/// `e = kappa`.
///
/// ```
/// use freereed::physics::Air;
/// use freereed::physics::aperture::Slit;
/// let air = Air { density_kg_m3: 1.2, sound_speed_m_s: 343.0, viscosity_pa_s: 1.813e-5 };
/// // 40 um by 1 mm at 500 Pa with 1.5 heads lost: 3.5918 m/s.
/// let slit = Slit { lost_heads: 1.5, end_heights: 0.0, ..Slit::sharp(40e-6, 1e-3) };
/// assert!((slit.speed_m_s(&air, 500.0) - 3.5918).abs() < 1e-4);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slit {
    /// Height of the gap (m), above zero.
    pub height_m: f64,
    /// Depth in the direction of flow (m), zero or more.
    pub depth_m: f64,
    /// Velocity heads lost, `k`.
    pub lost_heads: f64,
    /// Length of the ends in heights, `e`.
    pub end_heights: f64,
}

impl Slit {
    /// Sharp edges: the law of the reed's own opening.
    pub fn sharp(height_m: f64, depth_m: f64) -> Self {
        Self { height_m, depth_m, lost_heads: 1.0 / (CONTRACTION * CONTRACTION), end_heights: THIN_SLIT_LENGTH }
    }

    /// Mean speed at a pressure difference (m/s), with its sign.
    pub fn speed_m_s(&self, air: &Air, dp: f64) -> f64 {
        let inertial = 0.5 * air.density_kg_m3 * self.lost_heads;
        let viscous = self.viscous(air);
        // Written so that nothing cancels.
        2.0 * dp / (viscous + (viscous * viscous + 4.0 * inertial * dp.abs()).sqrt())
    }

    /// Flow through `length_m` of it (m3/s).
    pub fn flow_m3_s(&self, air: &Air, length_m: f64, dp: f64) -> f64 {
        self.height_m * length_m * self.speed_m_s(air, dp)
    }

    /// Derivative of that flow by the pressure (m3/(s Pa)).
    pub fn conductance_m3_s_pa(&self, air: &Air, length_m: f64, dp: f64) -> f64 {
        let inertial = 0.5 * air.density_kg_m3 * self.lost_heads;
        let viscous = self.viscous(air);
        self.height_m * length_m / (viscous * viscous + 4.0 * inertial * dp.abs()).sqrt()
    }

    fn viscous(&self, air: &Air) -> f64 {
        let depth = self.depth_m + self.end_heights * self.height_m;
        12.0 * air.viscosity_pa_s * depth / (self.height_m * self.height_m)
    }
}
