//! The integrals around the edge, several points at a time.
//!
//! The points stand in the same lanes whatever the width of the processor's vectors, and nothing is fused, so that every
//! processor gives the same sums. Whoever calls this is compiled for each width ([`crate::physics::widths`]).

// Several arrays are walked in step: places say it plainer than zipped iterators, and vectorise.
#![allow(clippy::needless_range_loop)]

use super::MODES;
use super::edge::{EdgePoints, LANES};
use crate::physics::coefficients::THIN_SLIT_LENGTH;

/// What is the same for every point of the edge.
#[derive(Debug, Clone, Copy)]
pub(super) struct Air {
    /// `rho/(2 alpha^2)` of (3).
    pub(super) inertial: f64,
    /// `12 mu` of (3).
    pub(super) viscous: f64,
    /// `T`.
    pub(super) plate_thickness: f64,
}

/// The tongue at one instant, and the pressure across it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Moment {
    pub(super) tip: [f64; MODES],
    pub(super) speed: [f64; MODES],
    /// Size of the pressure, without its sign.
    pub(super) dp: f64,
}

/// The integrals along the edge.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Sums {
    pub(super) edges: f64,
    pub(super) drag: [f64; MODES],
}

/// The integrals and their derivatives.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct SlopeSums {
    pub(super) sums: Sums,
    pub(super) edges_by_dp: f64,
    pub(super) edges_by_tip: [f64; MODES],
    /// By tip motion and by speed; products of two modes, so that (0, 0), (0, 1) and (1, 1) are all there are.
    pub(super) drag_by_tip: [f64; 3],
    pub(super) drag_by_speed: [f64; 3],
}

#[inline(always)]
fn larger(a: f64, b: f64) -> f64 {
    if a > b { a } else { b }
}

#[inline(always)]
fn smaller(a: f64, b: f64) -> f64 {
    if a < b { a } else { b }
}

/// Both sides and the tip, summed.
#[inline(always)]
pub(super) fn sums(sides: &[EdgePoints], tip: &EdgePoints<1>, air: &Air, at: &Moment) -> Sums {
    let mut all = [[0.0; LANES]; 3];
    for points in sides {
        add(&mut all, &parts(points, air, at));
    }
    let [[edges], [first], [second]] = parts(tip, air, at);
    Sums { edges: sum(&all[0]) + edges, drag: [sum(&all[1]) + first, sum(&all[2]) + second] }
}

/// The same with derivatives.
#[inline(always)]
pub(super) fn slope_sums(sides: &[EdgePoints], tip: &EdgePoints<1>, air: &Air, at: &Moment) -> SlopeSums {
    let mut all = [[0.0; LANES]; SLOPES];
    for points in sides {
        add(&mut all, &slope_parts(points, air, at));
    }
    let tip = slope_parts(tip, air, at);
    let mut s = [0.0; SLOPES];
    for i in 0..SLOPES {
        s[i] = sum(&all[i]) + tip[i][0];
    }
    SlopeSums {
        sums: Sums { edges: s[0], drag: [s[1], s[2]] },
        edges_by_dp: s[3],
        edges_by_tip: [s[4], s[5]],
        drag_by_tip: [s[6], s[7], s[8]],
        drag_by_speed: [s[9], s[10], s[11]],
    }
}

/// Sums of [`slope_parts`].
const SLOPES: usize = 12;

#[inline(always)]
fn add<const COUNT: usize>(all: &mut [[f64; LANES]; COUNT], parts: &[[f64; LANES]; COUNT]) {
    for (total, part) in all.iter_mut().zip(parts) {
        for k in 0..LANES {
            total[k] += part[k];
        }
    }
}

/// What some points give to the flow and to the drag on each mode.
#[inline(always)]
fn parts<const N: usize>(p: &EdgePoints<N>, air: &Air, at: &Moment) -> [[f64; N]; 3] {
    let four = 4.0 * air.inertial * at.dp;
    let mut here = [[0.0; N]; 3];
    for k in 0..N {
        let y = p.rest[k] + p.phi[0][k] * at.tip[0] + p.phi[1][k] * at.tip[1];
        let v_reed = p.phi[0][k] * at.speed[0] + p.phi[1][k] * at.speed[1];
        let (d_squared, overlap) = gap(p, k, y, air.plate_thickness);
        let d = d_squared.sqrt();
        // (3) times d^2, written so that nothing cancels and with one division, and (4)
        let b = air.viscous * (overlap + THIN_SLIT_LENGTH * d);
        let root = (b * b + four * (d_squared * d_squared)).sqrt();
        let v = 2.0 * at.dp * d_squared / (b + root);
        here[0][k] = p.length[k] * d * v;
        let force = (p.inertial_drag[k] * v_reed.abs() + p.viscous_drag[k] * overlap) * v_reed;
        here[1][k] = p.phi[0][k] * force;
        here[2][k] = p.phi[1][k] * force;
    }
    here
}

/// The same, then the derivatives: of the flow by pressure and by each tip motion, of the drag by tip motion and by speed.
#[inline(always)]
fn slope_parts<const N: usize>(p: &EdgePoints<N>, air: &Air, at: &Moment) -> [[f64; N]; SLOPES] {
    let four = 4.0 * air.inertial * at.dp;
    let mut here = [[0.0; N]; SLOPES];
    for k in 0..N {
        let phi = [p.phi[0][k], p.phi[1][k]];
        let y = p.rest[k] + phi[0] * at.tip[0] + phi[1] * at.tip[1];
        let (d_squared, overlap) = gap(p, k, y, air.plate_thickness);
        let d = d_squared.sqrt();
        let inverse = 1.0 / d;
        let d_by_y = gap_slope(p.thickness[k], y, air.plate_thickness) * inverse;
        // As the flow has it, times d^2 each: b, its derivative, the root.
        let b = air.viscous * (overlap + THIN_SLIT_LENGTH * d);
        let overlap_by_y = overlap_slope(p.thickness[k], y, air.plate_thickness);
        let b_by_y = air.viscous * (overlap_by_y - (2.0 * overlap * inverse + THIN_SLIT_LENGTH) * d_by_y);
        let root = (b * b + four * (d_squared * d_squared)).sqrt();
        let v = 2.0 * at.dp * d_squared / (b + root);
        let by_root = p.length[k] * d / root;
        // From (3): (2 a v + b) dv = d|dp| - v db, and 2 a v + b is the root.
        let by_y = p.length[k] * d_by_y * v - by_root * v * b_by_y;
        let v_reed = phi[0] * at.speed[0] + phi[1] * at.speed[1];
        let (inertial_drag, viscous_drag) = (p.inertial_drag[k] * v_reed.abs(), p.viscous_drag[k]);
        let by_speed = 2.0 * inertial_drag + viscous_drag * overlap;
        let force = (inertial_drag + viscous_drag * overlap) * v_reed;
        let by_place = viscous_drag * overlap_by_y * v_reed;
        let products = [phi[0] * phi[0], phi[0] * phi[1], phi[1] * phi[1]];
        here[0][k] = p.length[k] * d * v;
        here[1][k] = phi[0] * force;
        here[2][k] = phi[1] * force;
        here[3][k] = by_root * d_squared;
        here[4][k] = by_y * phi[0];
        here[5][k] = by_y * phi[1];
        for i in 0..3 {
            here[6 + i][k] = by_place * products[i];
            here[9 + i][k] = by_speed * products[i];
        }
    }
    here
}

/// Equations (1), squared, and (2).
#[inline(always)]
fn gap<const N: usize>(p: &EdgePoints<N>, k: usize, y: f64, plate: f64) -> (f64, f64) {
    let top = y + p.thickness[k];
    let above = larger(y, 0.0);
    let below = larger(-plate - top, 0.0);
    let overlap = larger(smaller(top, 0.0) - larger(y, -plate), 0.0);
    (p.clearance_squared[k] + above * above + below * below, overlap)
}

/// Half the derivative of `d^2` by `y`.
#[inline(always)]
fn gap_slope(thickness: f64, y: f64, plate: f64) -> f64 {
    larger(y, 0.0) - larger(-plate - thickness - y, 0.0)
}

/// Derivative of the overlap by `y`: -1 while the reed enters the slot, +1 while it leaves below, else 0.
#[inline(always)]
fn overlap_slope(thickness: f64, y: f64, plate: f64) -> f64 {
    let top = y + thickness;
    let entering = if top < 0.0 { 1.0 } else { 0.0 };
    let inside = if y > -plate { 1.0 } else { 0.0 };
    if smaller(top, 0.0) <= larger(y, -plate) { 0.0 } else { entering - inside }
}

#[inline(always)]
fn sum(lanes: &[f64; LANES]) -> f64 {
    ((lanes[0] + lanes[4]) + (lanes[2] + lanes[6])) + ((lanes[1] + lanes[5]) + (lanes[3] + lanes[7]))
}
