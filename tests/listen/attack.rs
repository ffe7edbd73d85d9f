//! Attacks against envelopes whose times are known.

use crate::tone::{BRIGHT, Sound};

fn after(from_s: f64, envelope: impl Fn(f64) -> f64, hz: f64, noise: f64) -> freereed::listen::HeardNote {
    Sound::at_rate(44_100.0, 2.0)
        .add(from_s, &BRIGHT, |t| hz * t, move |t| envelope(t) * ((1.7 - t) / 0.03).clamp(0.0, 1.0))
        .noisy(noise, 1)
        .note()
}

#[test]
fn an_exponential_rise() {
    // 1 - exp(-t/tau) reaches x after -tau ln(1 - x).
    for (hz, tau_s) in [(130.8, 0.06), (440.0, 0.05), (1046.5, 0.03), (2093.0, 0.08)] {
        let rise = after(0.2, |t| 1.0 - (-t / tau_s).exp(), hz, 1e-4).rise.unwrap();
        let reached = |x: f64| -tau_s * (1.0 - x).ln() + tau_s * (1.0 - rise.audible_share).ln();
        assert!((rise.audible_share - 0.05).abs() < 1e-12);
        // The mean over a period, at its edges the worst.
        let allowed = 0.003 + 0.6 * rise.period_s;
        assert!((rise.t50_s - reached(0.5)).abs() < allowed, "{hz} {rise:?} {}", reached(0.5));
        assert!((rise.t90_s - reached(0.9)).abs() < 0.006 + allowed, "{hz} {rise:?} {}", reached(0.9));
    }
}

#[test]
fn growth_from_nothing_as_a_reed_grows() {
    // a = 1/sqrt(1 + exp(-2 g (t - t0))): exponential growth that saturates (the Stuart-Landau equation in closed form).
    let (growth, middle) = (60.0, 0.25);
    let rise = after(0.1, |t| (1.0 + (-2.0 * growth * (t - middle)).exp()).powf(-0.5), 440.0, 1e-4).rise.unwrap();
    let when = |x: f64| middle - (x.powi(-2) - 1.0).ln() / (2.0 * growth);
    let between = |x: f64| when(x) - when(rise.audible_share);
    assert!((rise.t50_s - between(0.5)).abs() < 0.003, "{rise:?} {}", between(0.5));
    assert!((rise.t90_s - between(0.9)).abs() < 0.006, "{rise:?} {}", between(0.9));
}

#[test]
fn breath_noise_moves_the_start_and_says_so() {
    let tau_s = 0.08;
    let rise = after(0.2, |t| 1.0 - (-t / tau_s).exp(), 440.0, 0.02).rise.unwrap();
    assert!(rise.audible_share > 0.1 && rise.audible_share < 0.25, "{rise:?}");
    let reached = |x: f64| -tau_s * (1.0 - x).ln() + tau_s * (1.0 - rise.audible_share).ln();
    assert!((rise.t50_s - reached(0.5)).abs() < 0.008, "{rise:?} {}", reached(0.5));
}

#[test]
fn too_much_noise_leaves_no_attack() {
    assert!(after(0.2, |t| 1.0 - (-t / 0.05).exp(), 440.0, 0.08).rise.is_none());
}
