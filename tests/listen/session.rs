//! Recordings as they are made at the bench: many notes, noise, handling, loops, other notes in the background.

use freereed::listen::{Kind, Work};

use crate::tone::{BRIGHT, Chance, Sound, cents, flat, midi_hz};

#[test]
fn many_notes_in_noise_with_handling_between_them() {
    let mut chance = Chance::new(3);
    let notes: Vec<f64> = (0..8).map(|k| midi_hz(60 + 3 * k)).collect();
    let mut sound = Sound::silent(10.0);
    for (k, &hz) in notes.iter().enumerate() {
        let from = 0.5 + 1.1 * k as f64;
        sound = sound.blown(hz, from, from + 0.7, &BRIGHT);
        // A knock of the table: a thump of 45 Hz and a burst of noise.
        let mut burst = Chance::new(k as u64 + 20);
        let first = ((from + 0.85) * sound.rate_hz) as usize;
        for n in 0..2000 {
            let t = n as f64 / sound.rate_hz;
            let thump = 0.6 * (283.0 * t).sin() * (-t / 0.03).exp();
            sound.samples[first + n] += thump + 0.1 * burst.normal() * (-t / 0.01).exp();
        }
    }
    let heard = sound.noisy(2e-3, (1e6 * chance.next()) as u64).heard();
    let found: Vec<f64> = heard.notes.iter().map(|note| note.pitch_hz.value).collect();
    assert_eq!(found.len(), notes.len(), "{heard:#?}");
    for (found, hz) in found.iter().zip(&notes) {
        assert!(cents(*found, *hz).abs() < 0.05, "{found} {hz}");
    }
    assert!(heard.notes.iter().all(|note| note.kind == Kind::Blow && note.rise.is_some()), "{heard:#?}");
}

#[test]
fn plucks_and_blows_in_one_recording_are_told_apart() {
    let mut sound = Sound::silent(6.0);
    for k in 0..3 {
        let from = 0.3 + 1.8 * f64::from(k);
        sound = sound.plucked(520.0, from, 0.07, 0.4).blown(523.0, from + 0.8, from + 1.5, &BRIGHT);
    }
    let heard = sound.noisy(1e-3, 1).heard();
    let kinds: Vec<Kind> = heard.notes.iter().map(|note| note.kind).collect();
    assert_eq!(kinds, [Kind::Pluck, Kind::Blow].repeat(3), "{heard:#?}");
    // Told to take all for blows, it measures them so.
    let told = Sound::silent(0.8).plucked(520.0, 0.2, 0.2, 0.4).noisy(1e-3, 1).heard_of(Some(Kind::Blow));
    assert_eq!(told.notes[0].kind, Kind::Blow);
}

#[test]
fn one_note_after_another_without_a_gap() {
    let notes = [392.0, 440.0, 493.9, 440.0];
    let sound = notes.iter().enumerate().fold(Sound::silent(3.4), |sound, (k, &hz)| {
        let from = 0.3 + 0.7 * k as f64;
        sound.blown(hz, from, from + 0.71, &BRIGHT)
    });
    let heard = sound.noisy(1e-3, 1).heard();
    let found: Vec<f64> = heard.notes.iter().map(|note| note.pitch_hz.value).collect();
    assert_eq!(found.len(), 4, "{heard:#?}");
    for (found, hz) in found.iter().zip(&notes) {
        assert!(cents(*found, *hz).abs() < 0.5, "{found} {hz}");
    }
    assert!(heard.notes[0].rise.is_some() && heard.notes[1].rise.is_none(), "{heard:#?}");
}

#[test]
fn a_loop_and_a_file_cut_close_are_one_note() {
    // No quiet anywhere.
    for duration_s in [0.5, 5.0] {
        let sound = Sound::silent(duration_s).add(0.0, &BRIGHT, |t| 440.0 * t, |_| 1.0).noisy(1e-3, 1);
        let note = sound.note();
        assert!(cents(note.pitch_hz.value, 440.0).abs() < 0.02, "{note:#?}");
        assert!(note.rise.is_none());
    }
    // Longer than is held at once: the next piece goes on.
    let heard = Sound::at_rate(8000.0, 45.0).add(0.0, &BRIGHT, |t| 440.0 * t, |_| 1.0).noisy(1e-3, 1).heard();
    assert_eq!(heard.notes.len(), 3, "{heard:#?}");
}

#[test]
fn noise_is_no_note() {
    let mut sound = Sound::silent(3.0);
    let mut chance = Chance::new(8);
    for (k, sample) in sound.samples.iter_mut().enumerate() {
        let t = k as f64 / 22_050.0;
        *sample += 0.1 * chance.normal() * flat(t - 0.5, 1.0).max(0.0);
    }
    let heard = sound.noisy(1e-3, 1).heard();
    assert!(heard.notes.is_empty(), "{heard:#?}");
    assert!(!heard.ignored.is_empty() && heard.ignored[0].why.contains("no pitch"), "{heard:#?}");
}

#[test]
fn breath_noise_under_a_note_widens_its_interval() {
    let at =
        |noise: f64| Sound::silent(1.4).blown(440.0, 0.2, 1.2, &BRIGHT).noisy(noise, 1).note().pitch_hz.half_width();
    assert!(at(0.03) > 20.0 * at(1e-3), "{} {}", at(0.03), at(1e-3));
}

#[test]
fn work_grows_with_the_sound_and_no_faster() {
    let work = |seconds: f64| {
        let sound = (0..seconds as usize / 3).fold(Sound::at_rate(44_100.0, seconds), |sound, k| {
            sound.blown(440.0, 0.5 + 3.0 * k as f64, 2.5 + 3.0 * k as f64, &BRIGHT)
        });
        sound.noisy(1e-3, 1).heard().work
    };
    let (short, long) = (work(6.0), work(18.0));
    // Samples of a second, each read twice at most, multiplied with 12 harmonics and half as many probes in windows that
    // overlap by half; transforms of windows that overlap by half, padded to at most four times their length.
    let allowed = |seconds: f64| seconds * 44_100.0 * 2.0;
    let Work { samples, transformed, products } = long;
    assert!((samples as f64) < allowed(18.0), "{long:?}");
    assert!((products as f64) < 18.0 * allowed(18.0), "{long:?}");
    assert!((transformed as f64) < 8.0 * allowed(18.0), "{long:?}");
    let grows = |a: u64, b: u64| (b as f64 / a as f64 - 3.0).abs() < 0.3;
    assert!(grows(short.samples, samples) && grows(short.products, products), "{short:?} {long:?}");
}

#[test]
fn hum_of_the_mains_is_no_note_and_hides_none() {
    let hum: Vec<f64> = (1..=8).map(|k| 0.003 / f64::from(k)).collect();
    let sound = Sound::silent(3.0).plucked(523.0, 0.6, 0.06, 0.3).blown(262.0, 1.6, 2.4, &BRIGHT);
    let heard = sound.add(0.0, &hum, |t| 50.0 * t, |_| 1.0).noisy(5e-4, 1).heard();
    let kinds: Vec<Kind> = heard.notes.iter().map(|note| note.kind).collect();
    assert_eq!(kinds, [Kind::Pluck, Kind::Blow], "{heard:#?}");
    assert!(cents(heard.notes[0].pitch_hz.value, 523.0).abs() < 0.5, "{heard:#?}");
    assert!((heard.notes[0].ring_down.unwrap().tau_s.value / 0.06 - 1.0).abs() < 0.05, "{heard:#?}");
    assert!(cents(heard.notes[1].pitch_hz.value, 262.0).abs() < 0.05, "{heard:#?}");
}
