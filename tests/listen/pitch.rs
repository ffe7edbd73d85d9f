//! Pitch against closed form, and how often its intervals hold.

use std::f64::consts::TAU;

use freereed::listen::{HeardNote, Kind};

use crate::tone::{BRIGHT, Chance, Sound, cents, flat, midi_hz};

/// C3 to D7, MIDI numbers: every fifth semitone, so that all pitch classes come.
fn compass() -> impl Iterator<Item = f64> {
    (48..=98).step_by(5).map(midi_hz)
}

#[test]
fn a_clean_second_is_known_to_a_fraction_of_a_cent() {
    for hz in compass() {
        let note = Sound::silent(1.4).blown(hz, 0.2, 1.2, &BRIGHT).noisy(1e-4, 1).note();
        let off = cents(note.pitch_hz.value, hz);
        assert!(off.abs() < 0.02, "{hz}: {off}");
        assert_eq!(note.kind, Kind::Blow, "{hz}");
        assert!(note.beat.is_none() && note.second.is_none(), "{hz} {note:#?}");
    }
}

#[test]
fn a_weak_or_missing_fundamental_is_found() {
    for hz in compass().filter(|&hz| hz < 1500.0) {
        for fundamental in [0.0, 0.002] {
            let harmonics = [fundamental, 0.2, 0.1, 0.15, 0.05, 0.03];
            let note = Sound::silent(1.0).blown(hz, 0.2, 0.8, &harmonics).noisy(1e-4, 2).note();
            assert!(cents(note.pitch_hz.value, hz).abs() < 0.05, "{hz} {fundamental} {:?}", note.pitch_hz);
        }
    }
}

/// How often the interval of the pitch holds the true one over so many draws.
fn holds(runs: u64, hz: f64, sound: impl Fn(&mut Chance) -> Sound) -> f64 {
    let held = |seed: u64| {
        let sound = sound(&mut Chance::new(seed));
        let HeardNote { pitch_hz, .. } = sound.note();
        f64::from(u8::from(pitch_hz.low <= hz && hz <= pitch_hz.high))
    };
    (1..=runs).map(held).sum::<f64>() / runs as f64
}

#[test]
fn four_in_five_intervals_hold() {
    // 200 draws of 0.8 have a standard deviation of 0.028; over all of them, 800, of 0.014.
    let mut all = 0.0;
    for (hz, duration_s, noise) in [(130.8, 0.8, 0.02), (440.0, 0.4, 0.05), (1046.5, 0.4, 0.05), (2349.3, 0.3, 0.05)] {
        let share = holds(200, hz, |chance| {
            let seed = (1e9 * chance.next()) as u64;
            let hz = |t: f64| hz * t + chance_free_phase(seed);
            Sound::silent(duration_s + 0.2).add(0.1, &BRIGHT, hz, |t| flat(t, duration_s)).noisy(noise, seed)
        });
        assert!((0.72..=0.88).contains(&share), "{hz}: {share}");
        all += share / 4.0;
    }
    assert!((0.75..=0.85).contains(&all), "{all}");
}

fn chance_free_phase(seed: u64) -> f64 {
    (seed % 1000) as f64 / 1000.0
}

#[test]
fn intervals_of_plucks_hold() {
    let share = holds(200, 523.25, |chance| {
        let seed = (1e9 * chance.next()) as u64;
        Sound::silent(0.5).plucked(523.25, 0.1, 0.08, 0.5).noisy(0.004, seed)
    });
    assert!((0.72..=0.88).contains(&share), "{share}");
}

#[test]
fn vibrato_widens_the_interval_and_it_holds() {
    // What it adds is bounded from above: the interval may hold more often than four times in five.
    let hz = 440.0;
    let share = holds(60, hz, |chance| {
        let (rate, start, depth) = (4.5 + 2.5 * chance.next(), TAU * chance.next(), 440.0 * 0.008);
        let cycles = move |t: f64| hz * t + depth / rate / TAU * (TAU * rate * t + start).sin();
        Sound::silent(1.4).add(0.1, &BRIGHT, cycles, |t| flat(t, 1.2)).noisy(1e-3, 3)
    });
    assert!(share >= 0.75, "{share}");
    let cycles = |t: f64| hz * t + 440.0 * 0.008 / 5.5 / TAU * (TAU * 5.5 * t).sin();
    let note = Sound::silent(1.4).add(0.1, &BRIGHT, cycles, |t| flat(t, 1.2)).noisy(1e-3, 3).note();
    // A swing of 13.8 cents to either side; the window flattens it by a tenth.
    let swing = 13.8 / 2f64.sqrt();
    assert!((0.85..1.02).contains(&(note.wander_cents / swing)) && note.beat.is_none(), "{note:#?}");
    assert!(cents(note.pitch_hz.high, note.pitch_hz.low) < 3.0, "{:?}", note.pitch_hz);
}

#[test]
fn vibrato_is_followed_over_the_compass() {
    for hz in compass() {
        let depth = hz * 0.0145;
        let cycles = |t: f64| hz * t + depth / 5.3 / TAU * (TAU * 5.3 * t).sin();
        let harmonics = [0.03, 0.1, 0.08, 0.05];
        println!("{hz}");
        let note = Sound::at_rate(32_000.0, 1.8).add(0.1, &harmonics, cycles, |t| flat(t, 1.6)).noisy(1e-3, 3).note();
        assert!(cents(note.pitch_hz.value, hz).abs() < 0.5, "{hz} {:?}", note.pitch_hz);
        assert!(note.beat.is_none() && note.second.is_none(), "{hz} {note:#?}");
    }
}

#[test]
fn drift_is_told_and_the_pitch_is_that_of_the_middle() {
    // The pitch falls by 8 cents a second, as under rising pressure.
    let hz = |t: f64| 330.0 * (-8.0 * (t - 0.75) / 1200.0).exp2();
    let cycles = |t: f64| -330.0 * 1200.0 / 8.0 / 2f64.ln() * (-8.0 * (t - 0.75) / 1200.0).exp2();
    let note = Sound::silent(1.8).add(0.15, &BRIGHT, cycles, |t| flat(t, 1.5)).noisy(1e-3, 4).note();
    assert!((note.drift_cents_s.value + 8.0).abs() < 0.05, "{:?}", note.drift_cents_s);
    assert!(note.drift_cents_s.low < -7.95 && note.drift_cents_s.high > -8.05, "{:?}", note.drift_cents_s);
    assert!(note.wander_cents < 0.1, "{}", note.wander_cents);
    // Attack and settling are left out, so the middle of what is measured lies some 50 ms late.
    assert!(cents(note.pitch_hz.value, hz(0.8)).abs() < 0.3, "{:?}", note.pitch_hz);
}

#[test]
fn a_room_does_not_move_the_pitch() {
    let hz = 392.0;
    let dry = Sound::silent(1.8).blown(hz, 0.2, 1.4, &BRIGHT);
    // Echoes at random times that die away by 60 dB in 0.6 s: a small hall.
    let mut chance = Chance::new(9);
    let mut room = dry.samples.clone();
    for _ in 0..300 {
        let delay = 0.6 * chance.next();
        let gain = 0.06 * chance.normal() * (-6.9 * delay / 0.6).exp();
        let lag = (delay * dry.rate_hz) as usize;
        (lag..room.len()).for_each(|k| room[k] += gain * dry.samples[k - lag]);
    }
    let note = Sound { rate_hz: dry.rate_hz, samples: room }.noisy(1e-3, 5).note();
    assert!(cents(note.pitch_hz.value, hz).abs() < 0.1, "{:?}", note.pitch_hz);
}
