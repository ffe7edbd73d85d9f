//! Twisting of the tongue.

use std::f64::consts::{PI, TAU};

use nalgebra::{Cholesky, DMatrix, DVector};

use super::mesh::Mesh;
use super::{Beam, ELEMENTS};
use crate::physics::quadrature::gauss_legendre;

/// Saint-Venant torsion constant `J` of a rectangle (m4).
///
/// `J = w h^3 [1/3 - 64/pi^5 (h/w) sum over odd n of tanh(n pi w / 2h) / n^5]`, `w >= h` (S. Timoshenko and J. N. Goodier,
/// *Theory of Elasticity*, section 109).
pub fn torsion_constant_m4(width_m: f64, thickness_m: f64) -> f64 {
    let (wide, thin) = (width_m.max(thickness_m), width_m.min(thickness_m));
    if thin <= 0.0 {
        return 0.0;
    }
    let term = |n: f64| (n * PI * wide / (2.0 * thin)).tanh() / n.powi(5);
    // Beyond n = 41 a term is under 1e-8 of the first; from the tail's tanh = 1 the rest sums to 1/(8 n^4).
    let sum: f64 = (0..=20).map(|k| term(2.0 * f64::from(k) + 1.0)).sum::<f64>() + 1.0 / (8.0 * 42.0_f64.powi(4));
    wide * thin.powi(3) * (1.0 / 3.0 - 64.0 / PI.powi(5) * thin / wide * sum)
}

/// First torsional frequency: `(G J theta')' = rho I_p d2theta/dt2`, `I_p = w h (w^2 + h^2) / 12`, fixed at the root, free
/// at the tip, with quadratic elements (error below 1e-7).
pub(super) fn first_frequency_hz(beam: &Beam) -> f64 {
    let mesh = Mesh::new(beam, ELEMENTS / 2);
    let size = 2 * mesh.nodes.len() - 1;
    let mut stiffness = DMatrix::<f64>::zeros(size, size);
    let mut inertia = stiffness.clone();
    let (w_ref, h_ref) = (beam.width_m.range().1, beam.thickness_m.range().1);
    let (j_ref, i_ref) = (torsion_constant_m4(w_ref, h_ref), polar_inertia(w_ref, h_ref));
    let rule = gauss_legendre::<5>();
    for (e, (element_m, pieces)) in mesh.elements().enumerate() {
        let span = element_m / beam.length_m;
        for (x, weight, w, h) in pieces.iter().flat_map(|piece| piece.points(rule)) {
            let value = [(1.0 - x) * (1.0 - 2.0 * x), 4.0 * x * (1.0 - x), x * (2.0 * x - 1.0)];
            let slope = [4.0 * x - 3.0, 4.0 - 8.0 * x, 4.0 * x - 1.0].map(|d| d / span);
            for i in 0..3 {
                for j in 0..3 {
                    let place = (2 * e + i, 2 * e + j);
                    stiffness[place] += weight * span * slope[i] * slope[j] * torsion_constant_m4(w, h) / j_ref;
                    inertia[place] += weight * span * value[i] * value[j] * polar_inertia(w, h) / i_ref;
                }
            }
        }
    }
    let free = (1, 1);
    let stiffness = stiffness.view(free, (size - 1, size - 1)).into_owned();
    let inertia = inertia.view(free, (size - 1, size - 1)).into_owned();
    let factor = Cholesky::new(stiffness).expect("a checked beam is stiff everywhere");
    let largest = largest_eigenvalue(&factor, &inertia);
    let unit = beam.shear_modulus_pa * j_ref / (beam.density_kg_m3 * i_ref) / beam.length_m.powi(2);
    (unit / largest).sqrt() / TAU
}

/// Largest `1/w^2` of `K x = w^2 M x` by inverse iteration (K.-J. Bathe, *Finite Element Procedures*, section 11.2): the quotient
/// gains two digits a round on a strip, whose second mode lies three times as high.
fn largest_eigenvalue(stiffness: &Cholesky<f64, nalgebra::Dyn>, inertia: &DMatrix<f64>) -> f64 {
    const MOST_ROUNDS: usize = 200;
    let mut x = DVector::from_element(inertia.nrows(), 1.0);
    let mut value = 0.0;
    for _ in 0..MOST_ROUNDS {
        let load = inertia * &x;
        let next = stiffness.solve(&load);
        let new = next.dot(&load) / x.dot(&load);
        let settled = (new - value).abs() < 1e-15 * new;
        value = new;
        if settled {
            break;
        }
        x = &next / next.amax();
    }
    value
}

fn polar_inertia(w: f64, h: f64) -> f64 {
    w * h * (w * w + h * h) / 12.0
}
