//! A known oscillator through the same code: `x'' - mu (1 - x^2) x' + x = 0` (B. van der Pol 1926), whose amplitudes and
//! periods are published.

use super::orbit::{Condition, LN_PARAMETER, unknowns};
use super::period::{Equations, Matrix, Vector, Walker};
use crate::physics::aperture::MODES;

/// Places of `x` and its rate among the states; the others decay.
const X: usize = 0;
const RATE: usize = MODES;

struct VanDerPol;

impl Equations for VanDerPol {
    fn rates(&self, x: &Vector, mu: f64) -> (Vector, Matrix, Vector) {
        let (place, rate) = (x[X], x[RATE]);
        let (mut rates, mut jacobian, mut by_mu) = (-x, -Matrix::identity(), Vector::zeros());
        let grip = 1.0 - place * place;
        rates[X] = rate;
        rates[RATE] = mu * grip * rate - place;
        for (row, column, value) in
            [(X, X, 0.0), (X, RATE, 1.0), (RATE, X, -2.0 * mu * place * rate - 1.0), (RATE, RATE, mu * grip)]
        {
            jacobian[(row, column)] = value;
        }
        by_mu[RATE] = grip * rate;
        (rates, jacobian, by_mu)
    }
}

/// Amplitude and period of the oscillator at `mu`, in `steps` of a period; nothing where no orbit was found.
pub(crate) fn van_der_pol(mu: f64, steps: usize) -> Option<(f64, f64)> {
    /// Steps of a period on the way from a small `mu`.
    const WAY: usize = 256;
    let mut walker = Walker { equations: VanDerPol, evaluations: 0 };
    let mut start = Vector::zeros();
    start[X] = 2.0;
    let mut here = 0.1_f64.min(mu);
    let mut guess = unknowns(&start, std::f64::consts::TAU, here);
    while here < mu {
        guess = walker.orbit(&guess, &Condition::fixed(LN_PARAMETER, here.ln()), WAY)?.unknowns;
        here = (1.3 * here).min(mu);
    }
    let orbit = walker.orbit(&guess, &Condition::fixed(LN_PARAMETER, mu.ln()), steps)?;
    orbit.is_stable().then(|| (orbit.unknowns[X], orbit.period_s()))
}

#[cfg(test)]
mod tests {
    use super::van_der_pol;

    /// Radau IIA of two stages is of order three: twice the steps, an eighth of the error.
    #[test]
    fn the_error_falls_with_the_third_power_of_the_step() {
        let period = |steps| van_der_pol(1.0, steps).unwrap().1;
        let (coarse, middle, fine) = (period(128), period(256), period(512));
        let rate = ((coarse - middle) / (middle - fine)).log2();
        assert!((2.8..3.2).contains(&rate), "order {rate}");
    }
}
