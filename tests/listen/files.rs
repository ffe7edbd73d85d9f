//! Files as they come: every kind of samples, damaged, silent, clipped, two channels.

use std::io::Cursor;

use freereed::listen::{Heard, Recording, Unreadable, listen};
use hound::{SampleFormat, WavSpec, WavWriter};

use crate::tone::{BRIGHT, Chance, Sound, cents};

fn heard(bytes: Vec<u8>) -> Result<Heard, Unreadable> {
    listen(&mut Recording::of("sound.wav", Cursor::new(bytes))?, None)
}

fn refused(bytes: Vec<u8>, says: &str) {
    let error = heard(bytes).unwrap_err().to_string();
    assert!(error.starts_with("sound.wav: ") && error.contains(says), "{error}");
}

fn note() -> Sound {
    Sound::silent(1.2).blown(440.0, 0.2, 1.0, &BRIGHT).noisy(1e-4, 1)
}

/// The sound in whole numbers of so many bits; `gains` of its channels.
fn whole(sound: &Sound, bits: u16, gains: &[f64]) -> Vec<u8> {
    let spec = WavSpec {
        channels: gains.len() as u16,
        sample_rate: sound.rate_hz as u32,
        bits_per_sample: bits,
        sample_format: SampleFormat::Int,
    };
    let mut bytes = Cursor::new(Vec::new());
    let mut writer = WavWriter::new(&mut bytes, spec).unwrap();
    let top = 2f64.powi(i32::from(bits) - 1);
    for sample in &sound.samples {
        for gain in gains {
            writer.write_sample((gain * sample * top).clamp(-top, top - 1.0) as i32).unwrap();
        }
    }
    writer.finalize().unwrap();
    bytes.into_inner()
}

#[test]
fn any_rate_and_depth() {
    for (bits, allowed_cents) in [(8, 0.2), (16, 0.01), (24, 0.01), (32, 0.01)] {
        let found = heard(whole(&note(), bits, &[1.0])).unwrap();
        assert!(cents(found.notes[0].pitch_hz.value, 440.0).abs() < allowed_cents, "{bits} {found:#?}");
        assert!(found.remarks.is_empty(), "{found:#?}");
    }
    for rate_hz in [8000.0, 11_025.0, 44_100.0, 96_000.0] {
        let note = Sound::at_rate(rate_hz, 1.0).blown(440.0, 0.2, 0.8, &BRIGHT).noisy(1e-4, 1).note();
        assert!(cents(note.pitch_hz.value, 440.0).abs() < 0.01, "{rate_hz} {note:#?}");
    }
}

#[test]
fn of_two_channels_the_louder_is_measured() {
    let found = heard(whole(&note(), 16, &[0.1, -0.5])).unwrap();
    assert_eq!((found.channels, found.channel, found.notes.len()), (2, 2, 1), "{found:#?}");
    // Mixed, the two would be 2 dB softer.
    let alone = heard(whole(&note(), 16, &[0.5])).unwrap();
    assert!((found.notes[0].level_db - alone.notes[0].level_db).abs() < 0.01);
    assert!(found.remarks[0].contains("of 2 channels the loudest, 2"), "{:?}", found.remarks);
}

#[test]
fn what_is_no_recording_is_refused_with_the_reason() {
    refused(Vec::new(), "is empty");
    refused(b"hole,breath,slide\n1,blow,out\n".to_vec(), "no RIFF tag");
    refused(b"RIFF".to_vec(), "ends within its header");
    refused(Sound::silent(0.0).wav(), "holds no sound");
    refused(Sound::silent(1.0).wav(), "is silent");
    let mut slow = note().wav();
    let rate = slow.windows(4).position(|four| four == 22_050u32.to_le_bytes()).unwrap();
    slow[rate..rate + 4].copy_from_slice(&100u32.to_le_bytes());
    slow[rate + 4..rate + 8].copy_from_slice(&400u32.to_le_bytes());
    refused(slow, "sample rate (Hz) = 100: allowed: 4000 to 768000");
    let error = Recording::open("no/such/file.wav").map(|_| ()).unwrap_err().to_string();
    assert!(error.starts_with("no/such/file.wav: cannot be read"), "{error}");
}

fn length_at(bytes: &[u8]) -> usize {
    bytes.windows(4).position(|four| four == b"data").unwrap() + 4
}

#[test]
fn a_header_that_was_never_finished_is_said_to_be() {
    for length in [0u32, u32::MAX] {
        let mut bytes = note().wav();
        let at = length_at(&bytes);
        bytes[at..at + 4].copy_from_slice(&length.to_le_bytes());
        refused(bytes, "header was never finished");
    }
}

#[test]
fn a_truncated_file_is_heard_as_far_as_it_goes() {
    let whole = note().wav();
    let found = heard(whole[..whole.len() / 2].to_vec()).unwrap();
    assert!(found.notes.first().is_some_and(|note| cents(note.pitch_hz.value, 440.0).abs() < 0.05), "{found:#?}");
    assert!(found.remarks[0].contains("of the 1.20 s its header promises"), "{:?}", found.remarks);
    assert!(found.notes[0].remarks.iter().any(|remark| remark.contains("ends before it does")), "{found:#?}");
}

#[test]
fn clipped_and_broken_samples_are_told() {
    let mut loud = note();
    loud.samples.iter_mut().for_each(|sample| *sample *= 4.0);
    let found = heard(whole(&loud, 16, &[1.0])).unwrap();
    assert!(found.notes[0].remarks.iter().any(|remark| remark.contains("clipped")), "{found:#?}");
    assert!(cents(found.notes[0].pitch_hz.value, 440.0).abs() < 0.02, "{found:#?}");
    let mut broken = note();
    broken.samples[12_000] = f64::NAN;
    broken.samples[12_001] = f64::INFINITY;
    let found = heard(broken.wav()).unwrap();
    assert!(found.notes[0].remarks.iter().any(|remark| remark.contains("no numbers")), "{found:#?}");
    assert!(cents(found.notes[0].pitch_hz.value, 440.0).abs() < 0.1, "{found:#?}");
    let mut nothing = note();
    nothing.samples.fill(f64::NAN);
    refused(nothing.wav(), "is silent");
}

#[test]
fn damaged_bytes_never_bring_it_down() {
    let sound = Sound::silent(0.3).blown(440.0, 0.1, 0.25, &BRIGHT);
    let good = whole(&sound, 16, &[1.0]);
    let mut chance = Chance::new(5);
    let (mut refused, mut read) = (0, 0);
    for _ in 0..300 {
        let mut bytes = good.clone();
        for _ in 0..1 + (4.0 * chance.next()) as usize {
            // Half of the damage falls on the header.
            let reach = if chance.next() < 0.5 { 60 } else { bytes.len() };
            let at = (chance.next() * reach as f64) as usize;
            bytes[at] = (256.0 * chance.next()) as u8;
        }
        bytes.truncate(bytes.len() - (chance.next() * chance.next() * bytes.len() as f64) as usize);
        match heard(bytes) {
            Ok(found) => {
                read += 1;
                let finite = |note: &freereed::listen::HeardNote| {
                    note.pitch_hz.low.is_finite()
                        && note.pitch_hz.low <= note.pitch_hz.high
                        && note.level_db.is_finite()
                };
                assert!(found.notes.iter().all(finite), "{found:#?}");
            }
            Err(_) => refused += 1,
        }
    }
    assert!(refused > 20 && read > 100, "{refused} {read}");
}
