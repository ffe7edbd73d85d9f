//! A microphone while it listens: the same answers as from a recording, told while it sounds.

use freereed::listen::{Hearing, Kind, Live};

use crate::tone::{BRIGHT, RATE_HZ, Sound, cents, midi_hz};

/// A piece as a browser sends it (s).
const PIECE_S: f64 = 0.04;

/// What is told after each piece of a sound, with the moment at which its last sample came.
fn heard(sound: &Sound) -> Vec<(f64, Hearing)> {
    let mut live = Live::new(sound.rate_hz);
    let size = (PIECE_S * sound.rate_hz) as usize;
    let samples: Vec<f32> = sound.samples.iter().map(|&sample| sample as f32).collect();
    let one = |(k, piece): (usize, &[f32])| {
        live.take(piece);
        ((k * size + piece.len()) as f64 / sound.rate_hz, live.hear())
    };
    samples.chunks(size).enumerate().map(one).collect()
}

fn pitch_off(hearing: &Hearing, hz: f64) -> Option<f64> {
    hearing.sounding.as_ref().map(|sounding| cents(sounding.note.pitch_hz.value, hz))
}

/// Over four octaves: told to ten cents within 120 ms of its beginning, or within the 32 periods that a pitch takes, steady within
/// 1.3 s, and then to half a cent.
#[test]
fn a_blow_is_told_while_it_sounds() {
    for (number, seed) in [(48, 1), (60, 2), (72, 3), (86, 4), (98, 5)] {
        let hz = 1.0012 * midi_hz(number);
        let told = heard(&Sound::silent(3.0).blown(hz, 0.4, 2.8, &BRIGHT).noisy(1e-3, seed));
        let quiet = told.iter().take_while(|(at_s, _)| *at_s < 0.4);
        assert!(
            quiet.clone().all(|(_, hearing)| hearing.sounding.is_none()),
            "MIDI {number}: heard before it is there"
        );
        let first = told.iter().find(|(_, hearing)| pitch_off(hearing, hz).is_some_and(|off| off.abs() < 10.0));
        let at_s = first.expect("it is heard").0 - 0.4;
        assert!(at_s < f64::max(0.12, 32.0 / hz), "MIDI {number}: after {at_s:.3} s");
        let steady: Vec<_> =
            told.iter().filter(|(_, hearing)| hearing.sounding.as_ref().is_some_and(|s| s.is_steady)).collect();
        assert!(steady.first().is_some_and(|(at_s, _)| *at_s < 1.7), "MIDI {number}: {:?}", steady.first());
        for (at_s, hearing) in steady {
            let off = pitch_off(hearing, hz).unwrap();
            assert!(off.abs() < 0.5 && *at_s < 2.9, "MIDI {number}: {off:.2} cents at {at_s:.2} s");
        }
        assert!(told.iter().all(|(_, hearing)| hearing.plucks.is_empty()), "MIDI {number}: a blow is no pluck");
    }
}

/// A note after a note without a gap: the second is told soon after it has begun. The stretch in which it is told apart is
/// 120 ms long, most of which it must fill.
#[test]
fn another_note_is_told_soon() {
    let sound = Sound::silent(2.4).blown(midi_hz(60), 0.2, 1.2, &BRIGHT).blown(midi_hz(62), 1.185, 2.2, &BRIGHT);
    let told = heard(&sound.noisy(1e-3, 7));
    let second = told.iter().find(|(_, hearing)| pitch_off(hearing, midi_hz(62)).is_some_and(|off| off.abs() < 10.0));
    let after_s = second.expect("it is heard").0 - 1.2;
    assert!(after_s < 0.15, "after {after_s:.3} s");
    let late = told.iter().filter(|(at_s, _)| (1.5..2.1).contains(at_s));
    assert!(late.clone().all(|(_, hearing)| pitch_off(hearing, midi_hz(62)).is_some_and(|off| off.abs() < 2.0)));
}

/// Plucks one after the other, some before the one before has rung down: each is told once, as it is.
#[test]
fn each_pluck_is_told_once() {
    for (hz, tau_s) in [(196.0, 0.5), (523.25, 0.25), (1567.98, 0.08)] {
        let from = [0.5, 2.0, 3.4, 4.4];
        let sound = from.iter().fold(Sound::silent(7.5), |sound, &from_s| sound.plucked(hz, from_s, tau_s, 0.3));
        let told = heard(&sound.noisy(1e-4, 11));
        let plucks: Vec<_> =
            told.iter().flat_map(|(at_s, hearing)| hearing.plucks.iter().map(move |note| (at_s, note))).collect();
        assert_eq!(plucks.len(), from.len(), "{hz} Hz: {plucks:#?}");
        for ((at_s, note), from_s) in plucks.iter().zip(from) {
            assert_eq!(note.kind, Kind::Pluck);
            assert!(
                (note.from_s - from_s).abs() < 0.03 && **at_s < from_s + 4.0 * tau_s + 0.3,
                "{hz} Hz: {note:?} at {at_s}"
            );
            assert!(cents(note.pitch_hz.value, hz).abs() < 1.0, "{hz} Hz: {:?}", note.pitch_hz);
            let tau = note.ring_down.expect("it rings").tau_s;
            assert!((tau.value / tau_s - 1.0).abs() < 0.05, "{hz} Hz: {tau:?}");
        }
        let steady =
            told.iter().filter(|(_, hearing)| hearing.sounding.as_ref().is_some_and(|sounding| sounding.is_steady));
        assert_eq!(steady.count(), 0, "{hz} Hz: a pluck is no steady blow");
    }
}

/// A sine at a tenth of full scale has a mean square of 0.005, 23.01 dB below that of a square wave at full scale.
#[test]
fn silence_noise_and_clipping_are_told() {
    let last = |sound: &Sound| heard(sound).pop().unwrap().1;
    assert!(last(&Sound::silent(1.0)).is_dead);
    let noise = last(&Sound::silent(1.0).noisy(0.05, 3));
    assert!(noise.sounding.is_none() && noise.is_noise && !noise.is_dead && !noise.is_clipped);
    let room = last(&Sound::silent(1.0).noisy(1e-4, 3));
    assert!(room.sounding.is_none() && !room.is_noise && !room.is_dead);
    let clean = last(&Sound::silent(1.0).blown(1000.0, 0.1, 2.0, &[0.1]));
    assert!((clean.level_db + 23.01).abs() < 0.1 && !clean.is_clipped, "{}", clean.level_db);
    let mut clipped = Sound::silent(1.0).blown(440.0, 0.1, 2.0, &[1.6]);
    clipped.samples.iter_mut().for_each(|sample| *sample = sample.clamp(-1.0, 1.0));
    assert!(last(&clipped).is_clipped);
}

/// What is no number is silence; an hour of pieces is held in no more than a few seconds.
#[test]
fn memory_is_bounded_and_what_is_no_number_does_no_harm() {
    let mut live = Live::new(RATE_HZ);
    live.take(&[f32::NAN, f32::INFINITY, f32::NEG_INFINITY]);
    assert!(live.hear().sounding.is_none());
    let tone = Sound::silent(1.0).blown(440.0, 0.0, 1.1, &BRIGHT);
    let piece: Vec<f32> = tone.samples.iter().map(|&sample| sample as f32).collect();
    let most = (0..40).map(|_| {
        live.take(&piece);
        live.hear().work.samples
    });
    assert!(most.max().unwrap() < 2 * RATE_HZ as u64);
    assert!(live.held_s() < 9.1, "{}", live.held_s());
}
