//! The opening between reed and plate, and the flow through it.
//!
//! Along each side, at height `y` of the reed's underside above a plate of thickness `T`:
//!
//! - distance from the reed's edge to the slot's edge `d = sqrt(c^2 + max(y,0)^2 + max(-T-h-y,0)^2)`   (1)
//! - overlap of reed and slot wall `l = max(0, min(0, y+h) - max(-T, y))`   (2)
//! - speed from `|dp| = rho v^2/(2 alpha^2) + 12 mu (l + kappa d) v/d^2`, the positive root   (3)
//! - flow through the edges `U_e = sum of integral d v ds + w(L) d_t v_t`   (4)
//! - the slot in series, `U_s = alpha S_s sqrt(2|dp|/rho)`: `U = U_e / sqrt(1 + (U_e/U_s)^2)`   (5)
//! - share of `dp` that acts across the reed `beta = 1/(1 + (U_e/U_s)^2)`   (6)
//!
//! The sign of `U` is that of `dp`, which does reverse for part of a cycle.

mod edge;
mod lanes;
mod slit;

use super::beam::Mode;
use super::reed::Reed;
use super::widths::for_each_width;
use edge::{EdgePoints, Points};
use lanes::{Moment, Sums};
pub use slit::Slit;

/// Bending modes that move.
pub const MODES: usize = 2;

/// The opening around one reed.
#[derive(Debug, Clone)]
pub struct Aperture {
    sides: Vec<EdgePoints>,
    /// The sides at half as many points.
    coarse: Vec<EdgePoints>,
    tip: EdgePoints<1>,
    air: lanes::Air,
    /// `alpha S_s sqrt(2/rho)` of (5).
    slot_conductance: f64,
}

/// Flow through the opening at one instant.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Flow {
    /// Flow past the edges alone, without the slot in series, `U_e` (m3/s).
    pub edges_m3_s: f64,
    /// Flow through edges and slot, `U` (m3/s).
    pub through_m3_s: f64,
    /// Share of the pressure that acts across the reed, `beta`.
    pub share: f64,
    /// Force of the moving air against each mode, the integral of `phi f_d ds` (N).
    pub drag_n: [f64; MODES],
}

/// Flow and its exact derivatives.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct FlowSlopes {
    /// The flow itself.
    pub flow: Flow,
    /// Derivatives of `U` by each mode's tip motion (m2/s).
    pub through_by_tip: [f64; MODES],
    /// Derivative of `U` by `dp` (m3/(s Pa)).
    pub through_by_pressure: f64,
    /// Derivatives of `beta` by each mode's tip motion (1/m).
    pub share_by_tip: [f64; MODES],
    /// Derivative of `beta` by `dp` (1/Pa).
    pub share_by_pressure: f64,
    /// Derivatives of the drag on mode `i` by the tip motion of mode `j` (N/m).
    pub drag_by_tip: [[f64; MODES]; MODES],
    /// Derivatives of the drag on mode `i` by the speed of mode `j` (N s/m).
    pub drag_by_speed: [[f64; MODES]; MODES],
}

impl Aperture {
    /// The opening of `reed`, whose lowest modes are `modes`.
    pub fn new(reed: &Reed, modes: &[Mode]) -> Self {
        let length = reed.beam.length_m;
        let (left, right) = (&reed.slot.left_clearance_m, &reed.slot.right_clearance_m);
        let slot_width = reed.beam.width_m.at(0.0) + left.at(0.0) + right.at(0.0);
        let (density, contraction) = (reed.air.density_kg_m3, reed.coefficients.contraction);
        let slot_area = slot_width * (length + reed.slot.tip_clearance_m);
        Self {
            sides: EdgePoints::sides(reed, modes, Points::All),
            coarse: EdgePoints::sides(reed, modes, Points::Half),
            tip: EdgePoints::tip(reed),
            air: lanes::Air {
                inertial: 0.5 * density / (contraction * contraction),
                viscous: 12.0 * reed.air.viscosity_pa_s,
                plate_thickness: reed.slot.plate_thickness_m,
            },
            slot_conductance: contraction * slot_area * (2.0 / density).sqrt(),
        }
    }

    /// The same opening, summed up at half as many points.
    pub(super) fn coarser(&self) -> Self {
        Self { sides: self.coarse.clone(), ..self.clone() }
    }

    /// Points along the sides at which a flow is summed up: what one costs.
    pub fn points(&self) -> usize {
        self.sides.len() * edge::LANES
    }

    /// Flow with the tip displaced by `tip` (m, per mode), moving at `speed` (m/s, per mode), under `dp` (Pa).
    pub fn flow(&self, tip: [f64; MODES], speed: [f64; MODES], dp: f64) -> Flow {
        flow(self, tip, speed, dp)
    }

    /// Flow with the reed at rest, and its derivatives.
    pub fn slopes(&self, tip: [f64; MODES], dp: f64) -> FlowSlopes {
        self.moving_slopes(tip, [0.0; MODES], dp)
    }

    /// Flow as [`Aperture::flow`] gives it, and its derivatives.
    pub fn moving_slopes(&self, tip: [f64; MODES], speed: [f64; MODES], dp: f64) -> FlowSlopes {
        slopes(self, tip, speed, dp)
    }

    /// The flow, as code of whoever calls it.
    #[inline(always)]
    pub(super) fn flow_by(&self, tip: [f64; MODES], speed: [f64; MODES], dp: f64) -> Flow {
        let sums = lanes::sums(&self.sides, &self.tip, &self.air, &Moment { tip, speed, dp: dp.abs() });
        self.in_series(&sums, dp)
    }

    /// The flow and its derivatives, as code of whoever calls it.
    #[inline(always)]
    pub(super) fn slopes_by(&self, tip: [f64; MODES], speed: [f64; MODES], dp: f64) -> FlowSlopes {
        let sums = lanes::slope_sums(&self.sides, &self.tip, &self.air, &Moment { tip, speed, dp: dp.abs() });
        let flow = self.in_series(&sums.sums, dp);
        let symmetric = |[a, b, c]: [f64; 3]| [[a, b], [b, c]];
        FlowSlopes {
            drag_by_tip: symmetric(sums.drag_by_tip),
            drag_by_speed: symmetric(sums.drag_by_speed),
            ..self.series_slopes(flow, dp, sums.edges_by_tip, sums.edges_by_dp)
        }
    }

    /// Equations (5) and (6).
    #[inline(always)]
    fn in_series(&self, sums: &Sums, dp: f64) -> Flow {
        let (edges, drag_n) = (sums.edges, sums.drag);
        if dp == 0.0 {
            return Flow { edges_m3_s: 0.0, through_m3_s: 0.0, share: 1.0, drag_n };
        }
        // U_s^2 is the square of the conductance times |dp|: no root is needed for the share.
        let squared = self.slot_conductance * self.slot_conductance * dp.abs();
        let share = squared / (squared + edges * edges);
        Flow { edges_m3_s: edges, through_m3_s: dp.signum() * edges * share.sqrt(), share, drag_n }
    }

    #[inline(always)]
    fn series_slopes(&self, flow: Flow, dp: f64, edges_by_tip: [f64; MODES], edges_by_dp: f64) -> FlowSlopes {
        if dp == 0.0 {
            // U_e grows like dp and U_s like its square root, so the slot does not yet count in the flow; the share has a
            // corner here, whose two sides average to no slope, and it is multiplied by dp wherever it acts.
            return FlowSlopes { flow, through_by_pressure: edges_by_dp, ..Default::default() };
        }
        let (sign, slot) = (dp.signum(), self.slot_flow(dp));
        let (ratio, share) = (flow.edges_m3_s / slot, flow.share);
        let slot_by_dp = 0.5 * slot / dp.abs();
        let through_by_edges = share.powf(1.5);
        let share_by_edges = -2.0 * ratio * share * share / slot;
        FlowSlopes {
            flow,
            through_by_tip: edges_by_tip.map(|slope| sign * through_by_edges * slope),
            through_by_pressure: through_by_edges * (edges_by_dp + ratio.powi(3) * slot_by_dp),
            share_by_tip: edges_by_tip.map(|slope| share_by_edges * slope),
            share_by_pressure: sign * share_by_edges * (edges_by_dp - ratio * slot_by_dp),
            ..Default::default()
        }
    }

    /// `U_s` of (5) at the size of `dp` (m3/s).
    pub fn slot_flow(&self, dp: f64) -> f64 {
        self.slot_conductance * dp.abs().sqrt()
    }
}

for_each_width! {
    fn flow(aperture: &Aperture, tip: [f64; MODES], speed: [f64; MODES], dp: f64) -> Flow {
        aperture.flow_by(tip, speed, dp)
    }
}

for_each_width! {
    fn slopes(aperture: &Aperture, tip: [f64; MODES], speed: [f64; MODES], dp: f64) -> FlowSlopes {
        aperture.slopes_by(tip, speed, dp)
    }
}
