//! The pieces that are shipped are our own, written here; `FREEREED_WRITE_PIECES=1 cargo test --test rehearse pieces` writes
//! them anew.

use crate::score::Score;
use freereed::rehearse::read;

const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/data/pieces");

/// One note struck again and again, then a run.
fn fast_repeats() -> Score {
    let even = |_| 76;
    Score::new("Fast repeats", 132.0)
        .line("G4 G4 G4 G4 G4 G4 G4 G4 C5 C5 C5 C5 C5 C5 C5 C5", 0.25, 0.8, even)
        .line("E5 E5 E5 E5 A5 A5 A5 A5 D6 D6 D6 D6 G6 G6 G6 G6", 0.25, 0.8, even)
        .line("C4 D4 E4 F4 G4 A4 B4 C5 D5 E5 F5 G5 A5 B5 C6 G5 E5 C5 G4 E4", 0.25, 0.9, even)
        .line("C4", 2.0, 0.95, even)
}

/// A line that falls and dies away to the softest there is.
fn dying_pianissimo() -> Score {
    let dying = |k: usize| 60 - (59 * k / 15) as u8;
    Score::new("Dying pianissimo", 66.0)
        .line("E5 D5 C5 B4 A4 G#4 A4 E4 F4 E4 D4 C4 D4 B4 A4 C4", 1.5, 0.95, dying)
        .tempo(48.0)
        .line("E4 A4 C5 A5", 2.0, 0.95, |_| 1)
}

/// Accents as hard as can be, over three octaves, between soft notes.
fn accents() -> Score {
    let accent = |k: usize| if k.is_multiple_of(2) { 127 } else { 40 };
    Score::new("Accents", 104.0)
        .line("C4 G4 E4 C5 G4 E5 C5 G5 E5 C6 G5 E6 C6 G6 E6 C7", 0.5, 0.7, accent)
        .line("D4 A4 F4 D5 A4 F5 D5 A5 F5 D6 A5 F6 D6 A6 B6 D5", 0.5, 0.7, accent)
        .line("C#4 G#4 C#5 G#5 C#6 G#6", 1.0, 0.5, |_| 127)
}

/// Two notes at once: thirds, sixths, octaves, a chord, and two that no mouth can blow together.
fn thirds_and_octaves() -> Score {
    Score::new("Thirds and octaves", 80.0)
        .chords("C4+E4 E4+G4 D4+F4 F4+A4 C5+E5 E5+G5 D5+F5 F5+A5", 1.0, 0.9, 70)
        .chords("C6+E6 D6+F6 E4+C5 E5+C6 F4+D5 A4+F5", 1.0, 0.9, 70)
        .chords("C4+C5 D4+D5 G4+G5 A5+A6 E5+E6 C4+E4+G4+C5", 1.5, 0.9, 80)
        .chords("C4+D4 C5+E5", 1.0, 0.9, 64)
}

/// A slow tune that swells and falls, with half tones on the slide.
fn slow_air() -> Score {
    let swell = |k: usize| 40 + [0, 8, 18, 30, 40, 34, 22, 10][k % 8];
    Score::new("Slow air", 58.0)
        .line("D5 F#5 A5 B5 A5 F#5 E5 D5", 1.5, 0.97, swell)
        .line("D5 E5 F#5 G5 A5 G#5 A5 B5", 1.0, 0.97, swell)
        .rest(1.0)
        .line("C#6 B5 A5 F#5 G5 E5 C#5 D5", 1.5, 0.97, swell)
        .tempo(46.0)
        .line("A4 D5", 3.0, 0.95, |k| 30 - 12 * k as u8)
}

fn all() -> [(&'static str, Score, usize); 5] {
    [
        ("fast-repeats.mid", fast_repeats(), 53),
        ("dying-pianissimo.mid", dying_pianissimo(), 20),
        ("accents.mid", accents(), 38),
        ("thirds-and-octaves.mid", thirds_and_octaves(), 46),
        ("slow-air.mid", slow_air(), 26),
    ]
}

#[test]
fn what_is_shipped_is_what_is_written_here() {
    for (name, score, notes) in all() {
        let (path, bytes) = (format!("{FOLDER}/{name}"), score.bytes());
        if std::env::var_os("FREEREED_WRITE_PIECES").is_some() {
            std::fs::write(&path, &bytes).unwrap();
        }
        assert_eq!(std::fs::read(&path).unwrap(), bytes, "{name}");
        let read = read(&bytes).unwrap();
        assert_eq!((read.notes.len(), read.remarks.len()), (notes, 0), "{name}");
    }
}

#[test]
fn the_folder_says_whose_they_are() {
    let said = std::fs::read_to_string(format!("{FOLDER}/README.md")).unwrap();
    assert!(said.contains("our own") && said.contains("invented"));
    for (name, ..) in all() {
        assert!(said.contains(name), "{name}");
    }
}
