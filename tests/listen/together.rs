//! Two reeds at once: beats in unison, intervals.

use freereed::listen::HeardNote;

use crate::tone::{BRIGHT, Sound, cents};

fn pair(first_hz: f64, second_hz: f64, softer: f64, duration_s: f64) -> HeardNote {
    let weaker: Vec<f64> = BRIGHT.iter().map(|a| softer * a).collect();
    Sound::silent(duration_s + 0.4)
        .blown(first_hz, 0.2, 0.2 + duration_s, &BRIGHT)
        .blown(second_hz, 0.2, 0.2 + duration_s, &weaker)
        .noisy(1e-3, 1)
        .note()
}

#[test]
fn a_tremolo_pair_beats() {
    for (hz, beat, softer) in
        [(440.0, 3.0, 0.7), (440.0, -2.2, 0.3), (880.0, 5.0, 0.9), (220.0, 1.6, 0.5), (440.0, 4.0, 0.1)]
    {
        let note = pair(hz, hz + beat, softer, 1.5);
        let found = note.beat.unwrap_or_else(|| panic!("{hz} {beat} {softer} {note:#?}"));
        assert!((found.rate_hz.value - f64::abs(beat)).abs() < 0.02, "{hz} {beat} {found:?}");
        assert!(cents(found.louder_hz.value, hz).abs() < 0.1, "{hz} {beat} {found:?}");
        assert!(cents(found.softer_hz.value, hz + beat).abs() < 0.3, "{hz} {beat} {found:?}");
        assert!((found.difference_db + 20.0 * f64::log10(softer)).abs() < 0.5, "{hz} {beat} {found:?}");
        let depth = 20.0 * ((1.0 + softer) / (1.0 - softer)).log10();
        assert!((found.depth_db / depth - 1.0).abs() < 0.1, "{depth} {found:?}");
    }
}

#[test]
fn intervals_are_measured_and_their_beats() {
    for (low, ratio, off) in [
        (261.6, [5, 4], 13.7),
        (261.6, [3, 2], -2.0),
        (440.0, [6, 5], -15.6),
        (330.0, [4, 3], 2.0),
        (392.0, [5, 3], 15.6),
        (523.0, [16, 15], 11.7),
        (261.6, [2, 1], 3.0),
        (392.0, [2, 1], -4.0),
    ] {
        let high = low * f64::from(ratio[0]) / f64::from(ratio[1]) * f64::exp2(off / 1200.0);
        let note = pair(low, high, 0.6, 1.5);
        let second = note.second.unwrap_or_else(|| panic!("{low} {ratio:?} {note:#?}"));
        assert_eq!(second.ratio, ratio);
        assert!(cents(note.pitch_hz.value, low).abs() < 0.1, "{low} {:?}", note.pitch_hz);
        assert!(cents(second.pitch_hz.value, high).abs() < 0.1, "{low} {second:?}");
        assert!((second.off_cents.value - off).abs() < 0.15, "{low} {second:?}");
        let beat = (f64::from(ratio[1]) * high - f64::from(ratio[0]) * low).abs();
        assert!((second.beat_hz.value - beat).abs() < 0.2, "{beat} {second:?}");
        assert!((second.softer_by_db - 4.4).abs() < 3.0, "{second:?}");
    }
}

#[test]
fn one_reed_is_one_reed() {
    // A neighbour that is 46 dB softer is background.
    let note = pair(440.0, 554.4, 0.005, 1.0);
    assert!(note.second.is_none() && note.beat.is_none(), "{note:#?}");
    assert!(cents(note.pitch_hz.value, 440.0).abs() < 0.02, "{:?}", note.pitch_hz);
    // Tremolo by the hand makes lines on both sides, as far from every harmonic.
    let swing = |t: f64| crate::tone::flat(t, 1.5) * (1.0 + 0.4 * (std::f64::consts::TAU * 5.0 * t).sin());
    let note = Sound::silent(1.9).add(0.2, &BRIGHT, |t| 440.0 * t, swing).noisy(1e-3, 2).note();
    assert!(note.beat.is_none() && note.second.is_none(), "{note:#?}");
}
