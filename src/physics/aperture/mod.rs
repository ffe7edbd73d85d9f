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
mod slit;

use super::beam::Mode;
use super::coefficients::{CONTRACTION, THIN_SLIT_LENGTH};
use super::reed::Reed;
use edge::{EdgePoints, LANES};
pub use slit::Slit;

/// Bending modes that move.
pub const MODES: usize = 2;

/// The opening around one reed.
#[derive(Debug, Clone)]
pub struct Aperture {
    points: Vec<EdgePoints>,
    plate_thickness: f64,
    density: f64,
    viscosity: f64,
    slot_area: f64,
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
        Self {
            points: EdgePoints::around(reed, modes),
            plate_thickness: reed.slot.plate_thickness_m,
            density: reed.air.density_kg_m3,
            viscosity: reed.air.viscosity_pa_s,
            slot_area: slot_width * (length + reed.slot.tip_clearance_m),
        }
    }

    /// Flow with the tip displaced by `tip` (m, per mode), moving at `speed` (m/s, per mode), under `dp` (Pa).
    pub fn flow(&self, tip: [f64; MODES], speed: [f64; MODES], dp: f64) -> Flow {
        let inertial = self.inertial();
        let (viscous, dp_size) = (12.0 * self.viscosity, dp.abs());
        let (mut edges, mut drag) = ([0.0; LANES], [[0.0; LANES]; MODES]);
        for points in &self.points {
            for k in 0..LANES {
                let phi = [points.phi[0][k], points.phi[1][k]];
                let y = points.rest[k] + phi[0] * tip[0] + phi[1] * tip[1];
                let v_reed = phi[0] * speed[0] + phi[1] * speed[1];
                let (d_squared, overlap) = self.gap(points, k, y);
                let d = d_squared.sqrt();
                // (3) times d^2, written so that nothing cancels and with one division, and (4)
                let b = viscous * (overlap + THIN_SLIT_LENGTH * d);
                let root = (b * b + 4.0 * inertial * dp_size * d_squared * d_squared).sqrt();
                let v = 2.0 * dp_size * d_squared / (b + root);
                edges[k] += points.length[k] * d * v;
                let force = (points.inertial_drag[k] * v_reed.abs() + points.viscous_drag[k] * overlap) * v_reed;
                drag[0][k] += phi[0] * force;
                drag[1][k] += phi[1] * force;
            }
        }
        self.in_series(sum(edges), dp, drag.map(sum))
    }

    /// Flow with the reed at rest, and its derivatives.
    pub fn slopes(&self, tip: [f64; MODES], dp: f64) -> FlowSlopes {
        self.moving_slopes(tip, [0.0; MODES], dp)
    }

    /// Flow as [`Aperture::flow`] gives it, and its derivatives.
    pub fn moving_slopes(&self, tip: [f64; MODES], speed: [f64; MODES], dp: f64) -> FlowSlopes {
        let inertial = self.inertial();
        let (viscous, dp_size) = (12.0 * self.viscosity, dp.abs());
        let (mut edges, mut edges_by_dp, mut edges_by_tip) = ([0.0; LANES], [0.0; LANES], [[0.0; LANES]; MODES]);
        let mut drag = [[0.0; LANES]; MODES];
        let (mut drag_by_tip, mut drag_by_speed) = ([[[0.0; LANES]; MODES]; MODES], [[[0.0; LANES]; MODES]; MODES]);
        for points in &self.points {
            for k in 0..LANES {
                let phi = [points.phi[0][k], points.phi[1][k]];
                let y = points.rest[k] + phi[0] * tip[0] + phi[1] * tip[1];
                let (d_squared, overlap) = self.gap(points, k, y);
                let d = d_squared.sqrt();
                let d_by_y = self.gap_slope(points.thickness[k], y) / d;
                // As the flow has it, times d^2 each: b, its derivative, the root.
                let b = viscous * (overlap + THIN_SLIT_LENGTH * d);
                let overlap_by_y = self.overlap_slope(points.thickness[k], y);
                let b_by_y = viscous * (overlap_by_y - (2.0 * overlap / d + THIN_SLIT_LENGTH) * d_by_y);
                let root = (b * b + 4.0 * inertial * dp_size * d_squared * d_squared).sqrt();
                let v = 2.0 * dp_size * d_squared / (b + root);
                // From (3): (2 a v + b) dv = d|dp| - v db, and 2 a v + b is the root.
                let by_y = points.length[k] * (d_by_y * v - d * v * b_by_y / root);
                edges[k] += points.length[k] * d * v;
                edges_by_dp[k] += points.length[k] * d * d_squared / root;
                let v_reed = phi[0] * speed[0] + phi[1] * speed[1];
                let (inertial_drag, viscous_drag) = (points.inertial_drag[k] * v_reed.abs(), points.viscous_drag[k]);
                let force = (inertial_drag + viscous_drag * overlap) * v_reed;
                let (force_by_y, force_by_speed) =
                    (viscous_drag * overlap_by_y * v_reed, 2.0 * inertial_drag + viscous_drag * overlap);
                for i in 0..MODES {
                    edges_by_tip[i][k] += by_y * phi[i];
                    drag[i][k] += phi[i] * force;
                    for j in 0..MODES {
                        drag_by_tip[i][j][k] += force_by_y * phi[i] * phi[j];
                        drag_by_speed[i][j][k] += force_by_speed * phi[i] * phi[j];
                    }
                }
            }
        }
        let flow = self.in_series(sum(edges), dp, drag.map(sum));
        FlowSlopes {
            drag_by_tip: drag_by_tip.map(|row| row.map(sum)),
            drag_by_speed: drag_by_speed.map(|row| row.map(sum)),
            ..self.series_slopes(flow, dp, edges_by_tip.map(sum), sum(edges_by_dp))
        }
    }

    /// Equations (1), squared, and (2).
    #[inline(always)]
    fn gap(&self, points: &EdgePoints, lane: usize, y: f64) -> (f64, f64) {
        let top = y + points.thickness[lane];
        let above = y.max(0.0);
        let below = (-self.plate_thickness - top).max(0.0);
        let overlap = (top.min(0.0) - y.max(-self.plate_thickness)).max(0.0);
        (points.clearance_squared[lane] + above * above + below * below, overlap)
    }

    /// Half the derivative of `d^2` by `y`.
    #[inline(always)]
    fn gap_slope(&self, thickness: f64, y: f64) -> f64 {
        y.max(0.0) - (-self.plate_thickness - thickness - y).max(0.0)
    }

    /// Derivative of the overlap by `y`: -1 while the reed enters the slot, +1 while it leaves below, else 0.
    #[inline(always)]
    fn overlap_slope(&self, thickness: f64, y: f64) -> f64 {
        let (top, bottom) = (y + thickness, y);
        if top.min(0.0) <= bottom.max(-self.plate_thickness) {
            return 0.0;
        }
        f64::from(u8::from(top < 0.0)) - f64::from(u8::from(bottom > -self.plate_thickness))
    }

    /// Equations (5) and (6).
    fn in_series(&self, edges: f64, dp: f64, drag_n: [f64; MODES]) -> Flow {
        if dp == 0.0 {
            return Flow { edges_m3_s: 0.0, through_m3_s: 0.0, share: 1.0, drag_n };
        }
        let ratio = edges / self.slot_flow(dp);
        let share = 1.0 / (1.0 + ratio * ratio);
        Flow { edges_m3_s: edges, through_m3_s: dp.signum() * edges * share.sqrt(), share, drag_n }
    }

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

    /// `rho / (2 alpha^2)` of (3).
    fn inertial(&self) -> f64 {
        0.5 * self.density / (CONTRACTION * CONTRACTION)
    }

    /// `U_s` of (5) at the size of `dp` (m3/s).
    pub fn slot_flow(&self, dp: f64) -> f64 {
        CONTRACTION * self.slot_area * (2.0 * dp.abs() / self.density).sqrt()
    }
}

fn sum(lanes: [f64; LANES]) -> f64 {
    lanes.iter().sum()
}
