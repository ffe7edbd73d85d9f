//! The tongue as it is bent: sections, rest angle, and both on short cells from the push to the clamp.

use super::knee::{Curve, Knee};
use super::refusal::BendRefusal;
use super::section::Section;
use crate::physics::{Beam, RestShape};

/// A tongue with a yield strength.
#[derive(Debug, Clone, PartialEq)]
pub struct Tongue {
    /// Sizes, modulus and what holds the root.
    pub beam: Beam,
    /// The set shape, without stress.
    pub rest: RestShape,
    /// Yield strength: the 0.2 % proof stress (Pa).
    pub yield_strength_pa: f64,
    /// How sharply it yields.
    pub knee: Knee,
}

/// What the equations need at one place.
#[derive(Debug, Clone, Copy)]
pub(super) struct Point {
    pub s: f64,
    pub section: Section,
    /// Angle at rest to the plate, positive away from it.
    pub angle: f64,
}

/// A short piece: its end towards the tip, its middle, its end towards the clamp.
pub(super) type Cell = [Point; 3];

impl Tongue {
    /// The same tongue with another knee, and yield strength and every thickness multiplied.
    pub(super) fn varied(&self, knee: Knee, yield_factor: f64, thickness_factor: f64) -> Self {
        Self {
            beam: self.beam.with_thickness_scaled(thickness_factor),
            rest: self.rest.clone(),
            yield_strength_pa: self.yield_strength_pa * yield_factor,
            knee,
        }
    }

    /// The tongue seen in a mirror that lies in the plate: pushing it up is pushing the first one down.
    pub(super) fn mirrored(&self) -> Self {
        let rest = match &self.rest {
            &RestShape::Power { root_gap_m, tip_gap_m, exponent } => {
                RestShape::Power { root_gap_m: -root_gap_m, tip_gap_m: -tip_gap_m, exponent }
            }
            RestShape::Stations(stations) => RestShape::Stations(stations.iter().map(|&(s, y)| (s, -y)).collect()),
        };
        Self { rest, ..self.clone() }
    }

    /// Yield strength over modulus.
    pub(super) fn elastic_strain(&self) -> f64 {
        self.yield_strength_pa / self.beam.youngs_modulus_pa
    }

    /// What a section does, in units of its yield.
    pub(super) fn curve(&self) -> Curve {
        Curve::new(self.knee, self.elastic_strain())
    }

    /// Largest `M/M_y` of a tongue that does not count as bent for good.
    pub(super) fn stays_moment(&self) -> f64 {
        let curve = self.curve();
        curve.moment(curve.stays_at())
    }

    /// Height of the tip at rest (m).
    pub(super) fn tip_gap_m(&self) -> f64 {
        self.height_m(self.beam.length_m)
    }

    pub(super) fn height_m(&self, s: f64) -> f64 {
        self.rest.height_m(s, self.beam.length_m)
    }

    /// Strain of the surface at a curvature that was added to the rest shape.
    pub(super) fn surface_strain(&self, s: f64, inside: f64, curvature_per_m: f64) -> f64 {
        0.5 * self.beam.thickness_m.at_within(s, inside) * curvature_per_m.abs()
    }

    /// The tongue at `s`, seen from the piece that holds `inside`. `s` runs along the tongue, so its rise over `s` is the
    /// sine of its angle.
    pub(super) fn point(&self, s: f64, inside: f64) -> Point {
        let beam = &self.beam;
        let (width, thickness) = (beam.width_m.at_within(s, inside), beam.thickness_m.at_within(s, inside));
        let section = Section::rectangle(width, thickness, beam.youngs_modulus_pa, self.yield_strength_pa)
            .with_knee(self.knee, self.elastic_strain());
        Point { s, section, angle: self.rest.slope(s, beam.length_m).asin() }
    }

    pub(super) fn cell(&self, tipward: f64, rootward: f64) -> Cell {
        let middle = 0.5 * (tipward + rootward);
        [tipward, middle, rootward].map(|s| self.point(s, middle))
    }

    /// Cells from `to` down to `from`, about `count` of them, with ends wherever a formula changes.
    pub(super) fn cells(&self, from: f64, to: f64, count: usize) -> Vec<Cell> {
        let margin = 1e-9 * self.beam.length_m;
        let mut ends: Vec<f64> = self.beam.breaks().into_iter().chain(self.rest.breaks()).collect();
        ends.retain(|&s| s > from + margin && s < to - margin);
        ends.extend([from, to]);
        ends.sort_by(f64::total_cmp);
        ends.dedup_by(|b, a| *b - *a < margin);
        let span_cells = |span: &[f64]| {
            let (low, high) = (span[0], span[1]);
            let n = ((high - low) / (to - from) * count as f64).ceil().max(1.0) as usize;
            let place = move |k: usize| if k == n { high } else { low + (high - low) * k as f64 / n as f64 };
            (0..n).rev().map(move |k| (place(k + 1), place(k))).collect::<Vec<_>>()
        };
        ends.windows(2).rev().flat_map(span_cells).map(|(tipward, rootward)| self.cell(tipward, rootward)).collect()
    }

    /// # Errors
    /// A rest shape whose rise over its own length is not a sine.
    pub(super) fn check_rest(&self) -> Result<(), BendRefusal> {
        let length = self.beam.length_m;
        let steep = |s: &f64| {
            let slope = self.rest.slope(*s, length);
            !slope.is_finite() || slope.abs() > STEEPEST
        };
        let places = (0..=200).map(|k| length * f64::from(k) / 200.0).chain(self.rest.breaks());
        places.into_iter().find(steep).map_or(Ok(()), |place_m| Err(BendRefusal::RestTooSteep { place_m }))
    }
}

/// Steepest rise at rest over the tongue's own length: the sine of 37 degrees.
const STEEPEST: f64 = 0.6;
