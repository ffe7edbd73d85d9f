//! Files that are broken, strange or huge: a clear error, or what can be read with a word on the rest.

use crate::score::Score;
use crate::standard::FORMAT_0;
use freereed::rehearse::{NotReadable, Piece, read};
use proptest::prelude::*;

fn with(bytes: &[u8], change: impl Fn(&mut Vec<u8>)) -> Vec<u8> {
    let mut bytes = bytes.to_vec();
    change(&mut bytes);
    bytes
}

#[test]
fn what_is_no_midi_file_is_told() {
    for bytes in [&b""[..], b"MThd", b"RIFF....WAVE", &[0; 1000], b"MThd\0\0\0\x06\0\x07\0\x01\0\x60"] {
        let error = read(bytes).unwrap_err();
        assert!(matches!(error, NotReadable::NotMidi(_) | NotReadable::NoNotes(_)), "{error}");
        assert!(!error.to_string().contains("()"), "{error}");
    }
    let several = with(FORMAT_0, |bytes| bytes[9] = 2);
    assert_eq!(read(&several).unwrap_err(), NotReadable::SeveralPieces);
}

#[test]
fn a_file_that_breaks_off_is_read_as_far_as_it_goes() {
    // Without the last three notes' ends and the end of the track.
    let cut = &FORMAT_0[..FORMAT_0.len() - 14];
    let piece = read(cut).unwrap();
    assert_eq!(piece.notes.len(), 4);
    assert!(piece.remarks.iter().any(|said| said.contains("breaks off")), "{:?}", piece.remarks);
    assert!(piece.remarks.iter().any(|said| said.contains("3 notes: never ended")), "{:?}", piece.remarks);
    let missing = with(FORMAT_0, |bytes| (bytes[9], bytes[11]) = (1, 4));
    assert!(read(&missing).unwrap().remarks[0].contains("3 of the tracks that the header counts are not there"));
}

#[test]
fn what_no_reed_plays_is_left_out_and_said() {
    let percussion = with(FORMAT_0, |bytes| {
        for byte in &mut bytes[22..] {
            *byte = if matches!(*byte, 0x82 | 0x92) { *byte + 7 } else { *byte };
        }
    });
    let piece = read(&percussion).unwrap();
    assert_eq!(piece.notes.len(), 2);
    assert!(piece.remarks[0].contains("2 notes: on channel 10"), "{:?}", piece.remarks);
    // Without notes there is nothing to play.
    let silent =
        with(FORMAT_0, |bytes| bytes[22..].iter_mut().filter(|byte| **byte == 0x60).for_each(|byte| *byte = 0));
    assert!(read(&silent).is_ok_and(|read| read.notes.len() < 4) || read(&silent).is_err());
}

#[test]
fn a_hundred_thousand_notes_are_read_and_no_more() {
    let names = "C4 ".repeat(Piece::MOST_NOTES + 10);
    let bytes = Score::new("Long", 240.0).line(&names, 0.25, 0.5, |_| 64).bytes();
    let piece = read(&bytes).unwrap();
    assert_eq!(piece.notes.len(), Piece::MOST_NOTES);
    assert!(piece.remarks[0].contains("more than 100000 notes"), "{:?}", piece.remarks);
}

#[test]
fn a_piece_is_moved_and_what_falls_off_is_said() {
    let piece = read(&Score::new("Two", 60.0).line("C4 G9", 1.0, 1.0, |_| 64).bytes()).unwrap();
    let moved = piece.clone().transposed(2);
    assert_eq!((moved.notes.len(), moved.notes[0].midi), (1, 62));
    assert!(moved.remarks[0].contains("1 note: moved beyond"), "{:?}", moved.remarks);
    assert_eq!(piece.transposed(0).notes.len(), 2);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    /// Whatever is changed in a file: an error, or notes within bounds in their order.
    #[test]
    fn no_file_is_too_strange(places in prop::collection::vec((0..FORMAT_0.len(), any::<u8>()), 1..6), cut in 0..FORMAT_0.len()) {
        let bytes = with(FORMAT_0, |bytes| {
            places.iter().for_each(|(place, byte)| bytes[*place] = *byte);
            bytes.truncate(FORMAT_0.len() - cut);
        });
        if let Ok(found) = read(&bytes) {
            let notes = &found.notes;
            prop_assert!(!notes.is_empty() && notes.windows(2).all(|pair| pair[0].start_s <= pair[1].start_s));
            for note in notes {
                prop_assert!((0..=127).contains(&note.midi) && (1..=127).contains(&note.velocity));
                prop_assert!(note.length_s > 0.0 && note.start_s >= 0.0 && note.end_s() <= 86_400.0);
            }
        }
    }
}
