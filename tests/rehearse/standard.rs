//! Time against the examples of the standard: *Standard MIDI Files 1.0* (International MIDI Association, 1988), its last
//! section; bytes and values from memory.

use freereed::rehearse::{NotReadable, PieceNote, read};

/// Its example as format 0: 96 ticks a quarter, 500 000 microseconds a quarter, four channels, running status.
pub const FORMAT_0: &[u8] = &[
    0x4D, 0x54, 0x68, 0x64, 0, 0, 0, 6, 0, 0, 0, 1, 0, 0x60, //
    0x4D, 0x54, 0x72, 0x6B, 0, 0, 0, 0x3B, //
    0x00, 0xFF, 0x58, 0x04, 0x04, 0x02, 0x18, 0x08, //
    0x00, 0xFF, 0x51, 0x03, 0x07, 0xA1, 0x20, //
    0x00, 0xC0, 0x05, 0x00, 0xC1, 0x2E, 0x00, 0xC2, 0x46, //
    0x00, 0x92, 0x30, 0x60, 0x00, 0x3C, 0x60, //
    0x60, 0x91, 0x43, 0x40, 0x60, 0x90, 0x4C, 0x20, //
    0x81, 0x40, 0x82, 0x30, 0x40, 0x00, 0x3C, 0x40, 0x00, 0x81, 0x43, 0x40, 0x00, 0x80, 0x4C, 0x40, //
    0x00, 0xFF, 0x2F, 0x00,
];

/// The same as format 1: a tempo track and three of notes.
const FORMAT_1: &[u8] = &[
    0x4D, 0x54, 0x68, 0x64, 0, 0, 0, 6, 0, 1, 0, 4, 0, 0x60, //
    0x4D, 0x54, 0x72, 0x6B, 0, 0, 0, 0x14, //
    0x00, 0xFF, 0x58, 0x04, 0x04, 0x02, 0x18, 0x08, 0x00, 0xFF, 0x51, 0x03, 0x07, 0xA1, 0x20, //
    0x83, 0x00, 0xFF, 0x2F, 0x00, //
    0x4D, 0x54, 0x72, 0x6B, 0, 0, 0, 0x10, //
    0x00, 0xC0, 0x05, 0x81, 0x40, 0x90, 0x4C, 0x20, 0x81, 0x40, 0x4C, 0x00, 0x00, 0xFF, 0x2F, 0x00, //
    0x4D, 0x54, 0x72, 0x6B, 0, 0, 0, 0x0F, //
    0x00, 0xC1, 0x2E, 0x60, 0x91, 0x43, 0x40, 0x82, 0x20, 0x43, 0x00, 0x00, 0xFF, 0x2F, 0x00, //
    0x4D, 0x54, 0x72, 0x6B, 0, 0, 0, 0x15, //
    0x00, 0xC2, 0x46, 0x00, 0x92, 0x30, 0x60, 0x00, 0x3C, 0x60, 0x83, 0x00, 0x30, 0x00, 0x00, 0x3C, 0x00, //
    0x00, 0xFF, 0x2F, 0x00,
];

fn note(midi: i32, start_s: f64, length_s: f64, velocity: u8) -> PieceNote {
    PieceNote { midi, start_s, length_s, velocity }
}

fn same(found: &[PieceNote], expected: &[PieceNote]) {
    assert_eq!(found.len(), expected.len(), "{found:#?}");
    for (a, b) in found.iter().zip(expected) {
        assert_eq!((a.midi, a.velocity), (b.midi, b.velocity));
        assert!((a.start_s - b.start_s).abs() < 1e-9 && (a.length_s - b.length_s).abs() < 1e-9, "{a:?} {b:?}");
    }
}

/// Channel 3 plays C3 and C4 forte for a whole note of four quarters, channel 2 enters with G4 a quarter later, channel 1 with E5
/// a half note later; at 120 quarters a minute a quarter is half a second.
#[test]
fn the_example_of_the_standard_in_both_formats() {
    let expected = [note(48, 0.0, 2.0, 96), note(60, 0.0, 2.0, 96), note(67, 0.5, 1.5, 64), note(76, 1.0, 1.0, 32)];
    for bytes in [FORMAT_0, FORMAT_1] {
        let read = read(bytes).unwrap();
        same(&read.notes, &expected);
        assert_eq!((read.bpm, read.remarks.len()), (Some(120.0), 0));
    }
}

/// A header and one track of format 0.
fn file(division: [u8; 2], track: &[u8]) -> Vec<u8> {
    let mut bytes = b"MThd\0\0\0\x06\0\0\0\x01".to_vec();
    bytes.extend(division);
    bytes.extend(b"MTrk");
    bytes.extend(u32::try_from(track.len()).unwrap().to_be_bytes());
    bytes.extend(track);
    bytes
}

const END: [u8; 4] = [0, 0xFF, 0x2F, 0];

/// "25 frames a second and a resolution of 40 units a frame" is a tick a millisecond: bytes E7 28.
#[test]
fn time_code_of_a_millisecond() {
    let track = [&[0x87, 0x68, 0x90, 60, 64, 0x83, 0x74, 0x80, 60, 0][..], &END].concat();
    let read = read(&file([0xE7, 0x28], &track)).unwrap();
    // 0x87 0x68 is 1000, 0x83 0x74 is 500.
    same(&read.notes, &[note(60, 1.0, 0.5, 64)]);
    assert_eq!(read.bpm, None);
    assert_eq!(read.at_bpm(60.0), None);
}

/// Drop frame, byte E3: 30 000 frames in 1001 s.
#[test]
fn drop_frame_is_a_thousandth_slower() {
    let track = [&[0x81, 0xEA, 0x30, 0x90, 60, 64, 0x3C, 0x80, 60, 0][..], &END].concat();
    let read = read(&file([0xE3, 1], &track)).unwrap();
    // 0x81 0xEA 0x30 is 30 000 ticks, 0x3C is 60.
    same(&read.notes, &[note(60, 1001.0, 2.002, 64)]);
}

/// A quarter at 120, then the tempo of 60 in the middle of a note, then without a tempo before the first.
#[test]
fn a_tempo_counts_from_where_it_stands() {
    let track = [&[0x60, 0x90, 60, 64, 0x60, 0xFF, 0x51, 3, 0x0F, 0x42, 0x40, 0x60, 0x80, 60, 0][..], &END].concat();
    let read_at = || read(&file([0, 0x60], &track)).unwrap();
    same(&read_at().notes, &[note(60, 0.5, 1.5, 64)]);
    // Twice as fast as the 120 at which it begins.
    same(&read_at().at_bpm(240.0).unwrap().notes, &[note(60, 0.25, 0.75, 64)]);
}

#[test]
fn what_tells_no_time_is_refused() {
    let note = [0, 0x90, 60, 64, 0x60, 0x80, 60, 0];
    let zero = [0, 0xFF, 0x51, 3, 0, 0, 0];
    assert_eq!(read(&file([0, 0], &[&note[..], &END].concat())).unwrap_err(), NotReadable::NoDivision);
    assert_eq!(read(&file([0xE7, 0], &[&note[..], &END].concat())).unwrap_err(), NotReadable::NoDivision);
    assert_eq!(read(&file([0, 0x60], &[&zero[..], &note, &END].concat())).unwrap_err(), NotReadable::NoTempo);
    // Sixteen seconds a quarter, and a tick a quarter: 2^28 - 1 ticks are a hundred and thirty years.
    let slow = [0, 0xFF, 0x51, 3, 0xFF, 0xFF, 0xFF, 0, 0x90, 60, 64, 0xFF, 0xFF, 0xFF, 0x7F, 0x80, 60, 0];
    assert!(matches!(read(&file([0, 1], &[&slow[..], &END].concat())), Err(NotReadable::TooLong(_))));
}
