//! What a file does to the pitch, place by place.
//!
//! Metal taken off takes stiffness, which lowers the pitch, and mass, which raises it. Rayleigh's quotient
//!
//! ```text
//! w^2 = V/T,   V = integral of E w h^3/12 phi''^2 ds + k phi'(0)^2,   T = integral of rho w h phi^2 ds + m phi(L)^2
//! ```
//!
//! is stationary at a mode, so to first order the shape may be held while the section changes (Rayleigh, *Theory of Sound*,
//! section 90; R. Courant and D. Hilbert, *Methods of Mathematical Physics* I, section V.13; both from memory):
//!
//! ```text
//! dw/w = 1/2 integral of (E w h^2/4 phi''^2/V - rho w phi^2/T) dh ds,   V = w^2 T
//! ```

use super::{Beam, Mode};
use crate::physics::quadrature::gauss_legendre;

/// Cents in a relative change of one: `1200/ln 2`.
const CENTS_PER_RATIO: f64 = 1200.0 / std::f64::consts::LN_2;

impl Beam {
    /// How far filing moves a mode of this beam: cents for each metre of metal taken off and each metre of length, the
    /// full width filed, at places (m) from the clamp to the tip; for shallow cuts.
    ///
    /// Below zero the pitch falls. A step in the thickness has two values at its place. Multiply by 1e-9 for cents per
    /// micrometre over a millimetre.
    pub fn filing_curve(&self, mode: &Mode) -> Vec<(f64, f64)> {
        let stretches = self.stretches(&mode.shape).into_iter();
        stretches.flat_map(|ends| ends.map(|s| (s, self.filing_at(mode, s, middle(ends))))).collect()
    }

    /// Change of a mode's pitch (cents) when `depth_m` is taken off between two places, to first order in the depth.
    ///
    /// ```
    /// use freereed::cases::reeds::strip;
    /// let (reed, mode) = (strip(), &strip().modes(1)[0]);
    /// assert!(reed.filing_cents(mode, 13e-3, 14e-3, 1e-6) > 0.0, "lighter at the tip: higher");
    /// assert!(reed.filing_cents(mode, 1e-3, 2e-3, 1e-6) < 0.0, "weaker at the root: lower");
    /// ```
    pub fn filing_cents(&self, mode: &Mode, from_m: f64, to_m: f64, depth_m: f64) -> f64 {
        let within = |[start, end]: [f64; 2]| {
            let (start, span) = (start.max(from_m), end.min(to_m) - start.max(from_m));
            let point =
                |(x, weight): (f64, f64)| weight * span * self.filing_at(mode, start + x * span, start + 0.5 * span);
            if span > 0.0 { gauss_legendre::<4>().into_iter().map(point).sum() } else { 0.0 }
        };
        depth_m * self.stretches(&mode.shape).into_iter().map(within).sum::<f64>()
    }

    /// Places (m) where filing does not move a mode, from the clamp to the tip. A step in the thickness can be one.
    pub fn neutral_places_m(&self, mode: &Mode) -> Vec<f64> {
        let mut places = Vec::new();
        let mut before = None;
        for ends in self.stretches(&mode.shape) {
            let value = |s: f64| self.filing_at(mode, s, middle(ends));
            let [left, right] = ends.map(value);
            if before.is_some_and(|before: f64| before * left < 0.0) {
                places.push(ends[0]);
            }
            if left * right < 0.0 {
                places.push(super::shape::zero_between(ends, value));
            }
            before = Some(right);
        }
        places
    }

    /// The same tongue with `depth_m` taken off between two places, over the full width. [`Beam::check`] refuses one filed
    /// through.
    #[must_use]
    pub fn filed(&self, from_m: f64, to_m: f64, depth_m: f64) -> Self {
        let (from_m, to_m) = (from_m.clamp(0.0, self.length_m), to_m.clamp(0.0, self.length_m));
        let places = self.breaks().into_iter().chain([from_m, to_m]);
        let mut stations: Vec<(f64, f64)> = Vec::new();
        for ends in super::breaks(self.length_m, places).windows(2) {
            let inside = 0.5 * (ends[0] + ends[1]);
            let taken = if (from_m..to_m).contains(&inside) { depth_m } else { 0.0 };
            stations.extend([ends[0], ends[1]].map(|s| (s, self.thickness_m.at_within(s, inside) - taken)));
        }
        stations.dedup();
        let thickness_m = crate::physics::Profile::linear(stations).expect("in order, two at a place");
        Self { thickness_m, ..self.clone() }
    }

    /// The integrand at `s`, seen from the span that holds `inside`.
    fn filing_at(&self, mode: &Mode, s: f64, inside: f64) -> f64 {
        let (width, thickness) = (self.width_m.at_within(s, inside), self.thickness_m.at_within(s, inside));
        let (shape, curvature) = (mode.shape.at(s), mode.shape.curvature_within(s, inside));
        let stiffness = self.youngs_modulus_pa * thickness * thickness / 4.0 * curvature * curvature;
        let inertia = self.density_kg_m3 * mode.angular_frequency().powi(2) * shape * shape;
        let energy = mode.angular_frequency().powi(2) * mode.modal_mass_kg;
        -0.5 * CENTS_PER_RATIO * width * (stiffness - inertia) / energy
    }
}

fn middle(ends: [f64; 2]) -> f64 {
    0.5 * (ends[0] + ends[1])
}
