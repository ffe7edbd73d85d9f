//! The edge of the reed as points of quadrature.

use super::MODES;
use crate::physics::beam::{self, Mode};
use crate::physics::coefficients::DRAG;
use crate::physics::quadrature::gauss_legendre;
use crate::physics::reed::Reed;

/// Points of the Gauss-Legendre rule on each span between stations.
const POINTS: usize = 32;

/// Points of an edge that are worked on together, so that the compiler uses vector instructions.
pub(super) const LANES: usize = 4;

/// A few points of an edge, with their shares of the integrals along the reed; one lane each.
#[derive(Debug, Clone, Copy)]
pub(super) struct EdgePoints {
    pub(super) rest: [f64; LANES],
    pub(super) phi: [[f64; LANES]; MODES],
    pub(super) thickness: [f64; LANES],
    pub(super) clearance_squared: [f64; LANES],
    /// Length of edge it stands for (m).
    pub(super) length: [f64; LANES],
    /// `1/2 rho C_d w ds`: drag per squared speed.
    pub(super) inertial_drag: [f64; LANES],
    /// `mu ds / c`: drag per overlap and speed.
    pub(super) viscous_drag: [f64; LANES],
}

impl EdgePoints {
    /// Both sides and the tip of `reed`; where the sides are alike, one counts twice.
    pub(super) fn around(reed: &Reed, modes: &[Mode]) -> Vec<Self> {
        let length = reed.beam.length_m;
        let (left, right) = (&reed.slot.left_clearance_m, &reed.slot.right_clearance_m);
        let sides: &[(_, f64)] = if left == right { &[(left, 2.0)] } else { &[(left, 1.0), (right, 1.0)] };
        let mut points = Vec::new();
        let rule = gauss_legendre::<POINTS>();
        for span in integration_breaks(reed).windows(2) {
            let middle = 0.5 * (span[0] + span[1]);
            for (index, &(clearance, count)) in sides.iter().enumerate() {
                for (x, weight) in rule {
                    let s = span[0] + x * (span[1] - span[0]);
                    let ds = weight * (span[1] - span[0]);
                    let c = clearance.at_within(s, middle);
                    let width = if index == 0 { reed.beam.width_m.at_within(s, middle) } else { 0.0 };
                    points.push(EdgePoint {
                        rest: reed.rest.height_m(s, length),
                        phi: std::array::from_fn(|i| modes[i].shape.at(s)),
                        thickness: reed.beam.thickness_m.at_within(s, middle),
                        clearance: c,
                        length: count * ds,
                        inertial_drag: 0.5 * reed.air.density_kg_m3 * DRAG * width * ds,
                        viscous_drag: count * reed.air.viscosity_pa_s * ds / c,
                    });
                }
            }
        }
        points.push(tip_edge(reed));
        Self::grouped(&points)
    }

    /// Lanes that stand for no edge at all, but can be computed with.
    const NONE: Self = Self {
        rest: [0.0; LANES],
        phi: [[0.0; LANES]; MODES],
        thickness: [1.0; LANES],
        clearance_squared: [1.0; LANES],
        length: [0.0; LANES],
        inertial_drag: [0.0; LANES],
        viscous_drag: [0.0; LANES],
    };

    /// Puts all points into lanes, the last group filled up with none.
    fn grouped(points: &[EdgePoint]) -> Vec<Self> {
        let group = |points: &[EdgePoint]| {
            let mut all = Self::NONE;
            for (lane, point) in points.iter().enumerate() {
                all.rest[lane] = point.rest;
                for (phi, value) in all.phi.iter_mut().zip(point.phi) {
                    phi[lane] = value;
                }
                all.thickness[lane] = point.thickness;
                all.clearance_squared[lane] = point.clearance * point.clearance;
                all.length[lane] = point.length;
                all.inertial_drag[lane] = point.inertial_drag;
                all.viscous_drag[lane] = point.viscous_drag;
            }
            all
        };
        points.chunks(LANES).map(group).collect()
    }
}

/// One point of an edge.
struct EdgePoint {
    rest: f64,
    phi: [f64; MODES],
    thickness: f64,
    clearance: f64,
    length: f64,
    inertial_drag: f64,
    viscous_drag: f64,
}

/// The edge across the tip, `w(L)` long.
fn tip_edge(reed: &Reed) -> EdgePoint {
    let length = reed.beam.length_m;
    EdgePoint {
        rest: reed.rest.height_m(length, length),
        phi: [1.0; MODES],
        thickness: reed.beam.thickness_m.at(length),
        clearance: reed.slot.tip_clearance_m,
        length: reed.beam.width_m.at(length),
        inertial_drag: 0.0,
        viscous_drag: 0.0,
    }
}

/// All places where something along the reed changes its formula.
fn integration_breaks(reed: &Reed) -> Vec<f64> {
    let slot = &reed.slot;
    let profiles = [&reed.beam.width_m, &reed.beam.thickness_m, &slot.left_clearance_m, &slot.right_clearance_m];
    let stations = profiles.into_iter().flat_map(|p| p.stations()).map(|s| s.0);
    beam::breaks(reed.beam.length_m, stations.chain(reed.rest.breaks()))
}
