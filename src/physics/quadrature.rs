//! Gauss-Legendre rules on 0..1.

use std::f64::consts::PI;

/// Points and weights of the `N`-point rule on 0..1, exact for polynomials of degree `2N - 1`.
///
/// Newton's iteration on the Legendre polynomial (W. H. Press et al., *Numerical Recipes*, section 4.6).
pub(super) fn gauss_legendre<const N: usize>() -> [(f64, f64); N] {
    std::array::from_fn(|k| {
        let mut x = (PI * (k as f64 + 0.75) / (N as f64 + 0.5)).cos();
        for _ in 0..8 {
            let (value, slope) = legendre(N, x);
            x -= value / slope;
        }
        let slope = legendre(N, x).1;
        (0.5 * (1.0 - x), 1.0 / ((1.0 - x * x) * slope * slope))
    })
}

/// Legendre polynomial of degree `n` and its derivative at `x` inside -1..1.
fn legendre(n: usize, x: f64) -> (f64, f64) {
    let (mut before, mut now) = (1.0, x);
    for k in 1..n {
        let k = k as f64;
        (before, now) = (now, ((2.0 * k + 1.0) * x * now - k * before) / (k + 1.0));
    }
    (now, n as f64 * (x * now - before) / (x * x - 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn integrates_its_degree_exactly() {
        for degree in [0, 7, 63] {
            let sum: f64 = gauss_legendre::<32>().iter().map(|(x, w)| w * x.powi(degree)).sum();
            assert!((sum - 1.0 / f64::from(degree + 1)).abs() < 1e-15, "degree {degree}: {sum}");
        }
        let four: f64 = gauss_legendre::<4>().iter().map(|(x, w)| w * x.powi(8)).sum();
        assert!((four - 1.0 / 9.0).abs() > 1e-6, "degree 8 is beyond four points");
    }
}
