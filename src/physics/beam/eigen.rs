//! The lowest modes of a beam by subspace iteration.

use nalgebra::{DMatrix, SymmetricEigen};

use super::elements::{Bent, Discrete, dot};

/// Vectors carried beside those that are asked for: the more, the fewer iterations.
const EXTRA: usize = 4;
/// When a value counts as settled: a few units of round-off, of itself and of the largest.
const SETTLED: [f64; 2] = [1e-14, 1e-15];
/// Far more than any beam needs (five to ten).
const MOST: usize = 100;

/// The largest `count` values of `1/w^2` and their vectors: `K x = w^2 M x` with `K = B^T B`.
///
/// Subspace iteration (K.-J. Bathe, *Finite Element Procedures*, section 11.6): `X <- K^-1 M X`, in each round turned to the
/// axes of the small matrix `X^T M K^-1 M X = Z^T Z`, `Z = B^-T M X`, with `X` orthonormal in `M`. Its largest values are
/// the lowest modes, exact to round-off. A value settles with the square of its vector's error: as many rounds again settle
/// the vector.
pub(super) fn lowest(beam: &Discrete<'_>, count: usize) -> Vec<(f64, Vec<f64>)> {
    let count = count.min(beam.free());
    let width = (count + EXTRA).min(beam.free());
    let mut basis: Vec<Vec<f64>> = (2..).take(width).map(|power| beam.polynomial(power)).collect();
    let mut values = vec![0.0; count];
    let mut settled_after = None;
    for round in 1..=MOST {
        orthonormalise(beam, &mut basis);
        if round == 1 {
            // The powers of s are nearly alike: the first pass leaves round-off in them.
            orthonormalise(beam, &mut basis);
        }
        let bent: Vec<Bent> = basis.iter().map(|x| beam.bent_by(&beam.inertia_of(x))).collect();
        let small = DMatrix::from_fn(width, width, |i, j| bent[i].dot(&bent[j]));
        let eigen = SymmetricEigen::new(small);
        let mut order: Vec<usize> = (0..width).collect();
        order.sort_by(|&a, &b| eigen.eigenvalues[b].total_cmp(&eigen.eigenvalues[a]));
        let axis = |&k: &usize| beam.deflected(&Bent::combine(&bent, eigen.eigenvectors.column(k).iter().copied()));
        basis = order.iter().map(axis).collect();
        let new: Vec<f64> = order.iter().take(count).map(|&k| eigen.eigenvalues[k]).collect();
        let still =
            |(new_value, old): (&f64, &f64)| (new_value - old).abs() < SETTLED[0] * new_value + SETTLED[1] * new[0];
        if settled_after.is_none() && new.iter().zip(&values).all(still) {
            settled_after = Some(round);
        }
        values = new;
        if settled_after.is_some_and(|after| round >= 2 * after) {
            break;
        }
    }
    values.into_iter().zip(basis).collect()
}

/// Gram and Schmidt's process with the mass as the metric, each vector freed from those before it.
fn orthonormalise(beam: &Discrete<'_>, basis: &mut [Vec<f64>]) {
    for k in 0..basis.len() {
        let (before, rest) = basis.split_at_mut(k);
        let own = &mut rest[0];
        let inertia = beam.inertia_of(own);
        let shares: Vec<f64> = before.iter().map(|other| dot(other, &inertia)).collect();
        for (other, share) in before.iter().zip(shares) {
            own.iter_mut().zip(other).for_each(|(own, other)| *own -= share * other);
        }
        let size = dot(own, &beam.inertia_of(own)).sqrt();
        own.iter_mut().for_each(|value| *value /= size);
    }
}
