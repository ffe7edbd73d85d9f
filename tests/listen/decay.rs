//! Plucks: told from blows, their ring-down, how often its interval holds.

use std::f64::consts::{PI, TAU};

use freereed::listen::Kind;

use crate::tone::{Sound, cents, midi_hz};

#[test]
fn ring_downs_over_the_compass() {
    for number in (48..=98).step_by(5) {
        let (hz, quality) = (midi_hz(number), 90.0);
        let tau_s = quality / (PI * hz);
        let note = Sound::at_rate(44_100.0, 0.2 + 8.0 * tau_s).plucked(hz, 0.1, tau_s, 0.5).noisy(1e-3, 1).note();
        assert_eq!(note.kind, Kind::Pluck, "{hz}");
        let ring_down = note.ring_down.unwrap_or_else(|| panic!("{hz} {note:#?}"));
        assert!((ring_down.tau_s.value / tau_s - 1.0).abs() < 0.03, "{hz} {ring_down:?}");
        assert!((ring_down.quality_factor.value / quality - 1.0).abs() < 0.03, "{hz} {ring_down:?}");
        assert!(cents(note.pitch_hz.value, hz).abs() < 1.0, "{hz} {:?}", note.pitch_hz);
        assert!(ring_down.even, "{hz} {ring_down:?}");
    }
}

#[test]
fn four_in_five_intervals_hold() {
    let (hz, tau_s) = (660.0, 0.06);
    let runs = 200;
    let held = (1..=runs).filter(|&seed| {
        let note = Sound::silent(0.45).plucked(hz, 0.1, tau_s, 0.5).noisy(0.004, seed).note();
        let tau = note.ring_down.unwrap().tau_s;
        tau.low <= tau_s && tau_s <= tau.high
    });
    let share = held.count() as f64 / runs as f64;
    assert!((0.72..=0.88).contains(&share), "{share}");
}

/// A clamped bar's second mode is 6.27 times the first (A. W. Leissa and others; any handbook), no harmonic of it.
#[test]
fn higher_modes_of_the_tongue_and_the_click_of_the_pluck_do_not_mislead() {
    let (hz, tau_s) = (261.6, 0.12);
    let note = Sound::at_rate(44_100.0, 1.0)
        .plucked(hz, 0.1, tau_s, 0.4)
        .add(0.1, &[0.3], |t| 6.267 * hz * t, |t| (-t / 0.02).exp())
        .add(0.1, &[0.5], |t| 3900.0 * t, |t| (-t / 0.002).exp())
        .noisy(1e-3, 2)
        .note();
    assert_eq!(note.kind, Kind::Pluck);
    assert!(cents(note.pitch_hz.value, hz).abs() < 0.3, "{:?}", note.pitch_hz);
    assert!((note.ring_down.unwrap().tau_s.value / tau_s - 1.0).abs() < 0.03, "{:?}", note.ring_down);
}

#[test]
fn a_row_of_plucks_one_into_the_other() {
    let (hz, tau_s) = (440.0, 0.15);
    let sound = (0..5).fold(Sound::silent(2.4), |sound, k| sound.plucked(hz, 0.2 + 0.4 * f64::from(k), tau_s, 0.4));
    let heard = sound.noisy(1e-3, 3).heard();
    assert_eq!(heard.notes.len(), 5, "{heard:#?}");
    for (k, note) in heard.notes.iter().enumerate() {
        assert!((note.from_s - 0.2 - 0.4 * k as f64).abs() < 0.02, "{}", note.from_s);
        assert_eq!(note.kind, Kind::Pluck);
        assert!((note.ring_down.unwrap().tau_s.value / tau_s - 1.0).abs() < 0.05, "{:?}", note.ring_down);
    }
}

#[test]
fn two_slopes_are_no_exponential_and_said_so() {
    let envelope = |t: f64| 0.8 * (-t / 0.03).exp() + 0.2 * (-t / 0.3).exp();
    let note = Sound::silent(1.2).add(0.1, &[0.5], |t| 523.0 * t, envelope).noisy(3e-4, 4).note();
    let told = note.remarks.iter().any(|remark| remark.contains("not one exponential"));
    assert!(told, "{note:#?}");
}

#[test]
fn blows_are_blows() {
    // A swell, a staccato, one that runs out of breath, one with tremolo, one with a click before it.
    let shapes: [fn(f64) -> f64; 5] = [
        |t| (t / 0.8).min(1.0) * ((1.0 - t) / 0.2).clamp(0.0, 1.0),
        |t| (t / 0.04).min(1.0) * ((0.15 - t) / 0.04).clamp(0.0, 1.0),
        |t| (t / 0.05).min(1.0) * (1.0 - t).max(0.0),
        |t| (t / 0.05).min(1.0) * (0.7 + 0.3 * (TAU * 6.0 * t).sin()) * ((1.0 - t) / 0.05).clamp(0.0, 1.0),
        |t| 4.0 * (-t / 0.002).exp() + (t / 0.05).min(1.0) * ((1.0 - t) / 0.05).clamp(0.0, 1.0),
    ];
    for (k, shape) in shapes.into_iter().enumerate() {
        let note = Sound::silent(1.4).add(0.2, &[0.1, 0.08, 0.05], |t| 523.0 * t, shape).noisy(1e-3, 5).note();
        assert_eq!(note.kind, Kind::Blow, "{k}");
        assert!(cents(note.pitch_hz.value, 523.0).abs() < 0.1, "{k} {:?}", note.pitch_hz);
    }
}
