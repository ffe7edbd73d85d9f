//! The edge of the reed as points of quadrature.

use super::MODES;
use crate::physics::beam::{self, Mode};
use crate::physics::quadrature::gauss_legendre;
use crate::physics::reed::Reed;

/// Spans between stations above which each has a rule of fewer points, for the whole tongue needs no more points than one
/// span of it would.
const FEW_SPANS: usize = 4;

/// Spans between stations that are integrated one by one; where there are more, the reed is cut evenly into so many.
const MOST_SPANS: usize = 16;

/// Points of an edge that are worked on together, so that the compiler uses vector instructions.
pub(super) const LANES: usize = 8;

/// How closely the integrals along the edge are taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Points {
    /// For everything that is told.
    All,
    /// For runs of which only the times count.
    Half,
}

impl Points {
    /// The Gauss-Legendre rule on each of so many spans between stations.
    fn rule(self, spans: usize) -> Vec<(f64, f64)> {
        match (self, spans <= FEW_SPANS) {
            (Self::All, true) => gauss_legendre::<32>().to_vec(),
            (Self::Half, true) => gauss_legendre::<16>().to_vec(),
            (_, false) => gauss_legendre::<8>().to_vec(),
        }
    }
}

/// A few points of an edge, with their shares of the integrals along the reed; one lane each.
#[derive(Debug, Clone, Copy)]
pub(super) struct EdgePoints<const N: usize = LANES> {
    pub(super) rest: [f64; N],
    pub(super) phi: [[f64; N]; MODES],
    pub(super) thickness: [f64; N],
    pub(super) clearance_squared: [f64; N],
    /// Length of edge it stands for (m).
    pub(super) length: [f64; N],
    /// `1/2 rho C_d w ds`: drag per squared speed.
    pub(super) inertial_drag: [f64; N],
    /// `mu ds / c`: drag per overlap and speed.
    pub(super) viscous_drag: [f64; N],
}

impl EdgePoints {
    /// Both sides of `reed`; where they are alike, one counts twice.
    pub(super) fn sides(reed: &Reed, modes: &[Mode], points: Points) -> Vec<Self> {
        let length = reed.beam.length_m;
        let (left, right) = (&reed.slot.left_clearance_m, &reed.slot.right_clearance_m);
        let sides: &[(_, f64)] = if left == right { &[(left, 2.0)] } else { &[(left, 1.0), (right, 1.0)] };
        let breaks = integration_breaks(reed);
        let rule = points.rule(breaks.len() - 1);
        let mut points = Vec::new();
        for span in breaks.windows(2) {
            let middle = 0.5 * (span[0] + span[1]);
            for (index, &(clearance, count)) in sides.iter().enumerate() {
                for &(x, weight) in &rule {
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
                        inertial_drag: 0.5 * reed.air.density_kg_m3 * reed.coefficients.drag * width * ds,
                        viscous_drag: count * reed.air.viscosity_pa_s * ds / c,
                    });
                }
            }
        }
        Self::grouped(&points)
    }

    /// Puts all points into lanes, the last group filled up with lanes that stand for no edge but can be computed with.
    fn grouped(points: &[EdgePoint]) -> Vec<Self> {
        points
            .chunks(LANES)
            .map(|group| Self::of(&std::array::from_fn(|k| group.get(k).copied().unwrap_or(EdgePoint::NONE))))
            .collect()
    }
}

impl EdgePoints<1> {
    /// The edge across the tip, `w(L)` long.
    pub(super) fn tip(reed: &Reed) -> Self {
        let length = reed.beam.length_m;
        Self::of(&[EdgePoint {
            rest: reed.rest.height_m(length, length),
            phi: [1.0; MODES],
            thickness: reed.beam.thickness_m.at(length),
            clearance: reed.slot.tip_clearance_m,
            length: reed.beam.width_m.at(length),
            inertial_drag: 0.0,
            viscous_drag: 0.0,
        }])
    }
}

impl<const N: usize> EdgePoints<N> {
    fn of(points: &[EdgePoint; N]) -> Self {
        Self {
            rest: points.map(|point| point.rest),
            phi: std::array::from_fn(|i| points.map(|point| point.phi[i])),
            thickness: points.map(|point| point.thickness),
            clearance_squared: points.map(|point| point.clearance * point.clearance),
            length: points.map(|point| point.length),
            inertial_drag: points.map(|point| point.inertial_drag),
            viscous_drag: points.map(|point| point.viscous_drag),
        }
    }
}

/// One point of an edge.
#[derive(Clone, Copy)]
struct EdgePoint {
    rest: f64,
    phi: [f64; MODES],
    thickness: f64,
    clearance: f64,
    length: f64,
    inertial_drag: f64,
    viscous_drag: f64,
}

impl EdgePoint {
    const NONE: Self = Self {
        rest: 0.0,
        phi: [0.0; MODES],
        thickness: 1.0,
        clearance: 1.0,
        length: 0.0,
        inertial_drag: 0.0,
        viscous_drag: 0.0,
    };
}

/// All places where something along the reed changes its formula.
fn integration_breaks(reed: &Reed) -> Vec<f64> {
    let slot = &reed.slot;
    let profiles = [&reed.beam.width_m, &reed.beam.thickness_m, &slot.left_clearance_m, &slot.right_clearance_m];
    let stations = profiles.into_iter().flat_map(|p| p.stations()).map(|s| s.0);
    let breaks = beam::breaks(reed.beam.length_m, stations.chain(reed.rest.breaks()));
    if breaks.len() <= MOST_SPANS + 1 {
        return breaks;
    }
    // A finely scanned reed is smooth between even spans.
    (0..=MOST_SPANS).map(|k| reed.beam.length_m * k as f64 / MOST_SPANS as f64).collect()
}
