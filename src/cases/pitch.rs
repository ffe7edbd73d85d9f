//! Notes, temperaments, beats.
//!
//! Tolerances: half a unit of the last printed digit.

use super::{Check, Group, Published};
use crate::sheet::{Note, Temperament, Tuning, notes};

const EQUAL: &str = "equal temperament, A4 = 440 Hz of ISO 16:1975, computed from f = A 2^((n-69)/12)";
const JUST: &str = "just intervals in cents, 1200 log2 of the ratio (computed)";

pub(super) fn checks() -> Vec<Check> {
    let mut group = Group::new("pitch");
    equal(&mut group);
    just(&mut group);
    beats(&mut group);
    group.checks
}

fn equal(group: &mut Group) {
    let table =
        [("C3", 130.813, 131.407), ("E3", 164.814, 165.563), ("A#3", 233.082, 234.141), ("C4", 261.626, 262.815)];
    let more = [("F#4", 369.994, 371.676), ("A4", 440.0, 442.0), ("C5", 523.251, 525.630), ("G#5", 830.609, 834.385)];
    let high = [
        ("E6", 1318.510, 1324.503),
        ("B6", 1975.533, 1984.513),
        ("C7", 2093.005, 2102.518),
        ("D7", 2349.318, 2359.997),
    ];
    for (name, at_440, at_442) in table.into_iter().chain(more).chain(high) {
        let note = Note::parse(name).expect("a note of this table");
        for (concert, expected) in [(440.0, at_440), (442.0, at_442)] {
            let tuning = Tuning { concert_pitch_hz: concert, ..Tuning::default() };
            let published = Published::within(expected, 5.1e-4, "Hz", EQUAL);
            group.add(format!("{name}, A4 = {concert} Hz"), tuning.frequency_hz(note), published);
        }
    }
    let published = Published::within(7.851415, 5e-7, "cents", JUST);
    group.add("442 Hz above 440 Hz", notes::cents(442.0, 440.0), published);
}

fn just(group: &mut Group) {
    let just = Tuning { temperament: Temperament::Just, ..Tuning::default() };
    let root = just.frequency_hz(Note::parse("C4").expect("a note"));
    let intervals =
        [("E4", 386.313714, "5/4"), ("F4", 498.044999, "4/3"), ("G4", 701.955001, "3/2"), ("A4", 884.358713, "5/3")];
    for (name, expected, ratio) in intervals {
        let cents = notes::cents(just.frequency_hz(Note::parse(name).expect("a note")), root);
        group.add(format!("just {ratio} over C4"), cents, Published::within(expected, 1e-6, "cents", JUST));
    }
}

/// How fast the nearest partials of two equal-tempered notes beat.
fn beats(group: &mut Group) {
    let tuning = Tuning::default();
    let hz = |name: &str| tuning.frequency_hz(Note::parse(name).expect("a note"));
    let table = [
        ("C4", "E4", 5.0, 4.0, 10.382401),
        ("C4", "G4", 3.0, 2.0, -0.885824),
        ("A3", "E4", 3.0, 2.0, -0.744886),
        ("C4", "F4", 4.0, 3.0, 1.182433),
        ("E4", "G4", 6.0, 5.0, -17.788162),
    ];
    for (low, high, of_low, of_high, expected) in table {
        let beat = of_high * hz(high) - of_low * hz(low);
        let source = "beats of equal-tempered intervals (computed)";
        group.add(format!("{low}-{high} beats"), beat, Published::within(expected, 1e-6, "Hz", source));
    }
}
