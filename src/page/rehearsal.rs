//! A piece of music on the set: what becomes of each note, drawn over time, and how the model sounds it.

use std::sync::{Arc, PoisonError};

use serde::Deserialize;
use serde_json::{Value, json};

use super::background::unless_overtaken;
use super::bench::Bench;
use super::gate::NotDone;
use super::set::Solved;
use crate::chart::RehearsalChart;
use crate::instrument::Assessment;
use crate::print::charts::rehearsal_chart;
use crate::print::rehearse as print;
use crate::print::wav::{WAV_RATE_HZ, scale_to_peak, wav_with_comment};
use crate::rehearse::{Excess, Otherwise, PieceNote, PlayedNote, Rehearsal, read, rehearse, sound};
use crate::workshop::Caution;

/// Largest file that is taken (bytes).
pub(super) const LONGEST_FILE: usize = 1024 * 1024;
/// Longest name of a piece.
const LONGEST_NAME: usize = 80;
/// So much of a passage is sounded at once (s).
const SOUNDED_S: f64 = 10.0;
/// The pieces of the project, and where it is told what each asks for.
const PIECES: [(&str, &[u8]); 5] = [
    ("fast-repeats", include_bytes!("../../data/pieces/fast-repeats.mid")),
    ("dying-pianissimo", include_bytes!("../../data/pieces/dying-pianissimo.mid")),
    ("accents", include_bytes!("../../data/pieces/accents.mid")),
    ("thirds-and-octaves", include_bytes!("../../data/pieces/thirds-and-octaves.mid")),
    ("slow-air", include_bytes!("../../data/pieces/slow-air.mid")),
];
const WORDS: &str = include_str!("../../data/pieces/README.md");

/// Which piece.
#[derive(Debug, Clone, Deserialize)]
pub(super) struct Asked {
    /// One of the project's own; without it the file that comes with the request.
    piece: Option<String>,
    /// What that file is called.
    name: Option<String>,
    /// Its tempo and how much higher it is played, as typed; as written where nothing is.
    #[serde(default)]
    bpm: String,
    #[serde(default)]
    semitones: String,
}

impl Asked {
    /// How the piece is played otherwise than written.
    fn otherwise(&self) -> Result<Otherwise, NotRehearsed> {
        let typed = |text: &str| Some(text.trim().to_owned()).filter(|text| !text.is_empty());
        let bpm = typed(&self.bpm).map(|text| Otherwise::bpm_of(&text)).transpose();
        let semitones = typed(&self.semitones).map(|text| Otherwise::semitones_of(&text)).transpose();
        match (bpm, semitones) {
            (Ok(bpm), Ok(semitones)) => Ok(Otherwise { bpm, semitones: semitones.unwrap_or_default() }),
            (bpm, semitones) => {
                let all: Vec<String> = bpm.err().into_iter().chain(semitones.err()).collect();
                Err(NotRehearsed::Wrong(all.join("; ")))
            }
        }
    }
}

/// A piece that was rehearsed.
#[derive(Debug)]
pub(super) struct Rehearsed {
    number: u64,
    revision: u64,
    bytes: Vec<u8>,
    name: String,
    otherwise: Otherwise,
    written_bpm: Option<f64>,
    rehearsal: Rehearsal,
    set: Arc<Assessment>,
}

/// Why a piece is not rehearsed.
#[derive(Debug)]
pub(super) enum NotRehearsed {
    NotDone(NotDone),
    NoSuchPiece,
    Wrong(String),
}

impl From<NotDone> for NotRehearsed {
    fn from(why: NotDone) -> Self {
        Self::NotDone(why)
    }
}

/// The pieces of the project, each with what it asks for, and how they may be played otherwise.
pub(super) fn pieces() -> Value {
    let one = |(name, _): &(&str, &[u8])| json!({ "name": name, "words": words(name) });
    json!({
        "pieces": PIECES.iter().map(one).collect::<Vec<_>>(),
        "bpm": Otherwise::BPM_WORDS,
        "semitones": Otherwise::SEMITONES_WORDS,
    })
}

fn words(name: &str) -> &'static str {
    let row = WORDS.lines().find_map(|line| line.strip_prefix(&format!("| `{name}.mid` | ")));
    row.unwrap_or_default().trim_end_matches(" |")
}

/// Rehearses a piece, as the command does.
///
/// # Errors
/// [`NotRehearsed`].
pub(super) fn piece(bench: &Bench, solved: &Solved, asked: &Asked, bytes: &[u8]) -> Result<Value, NotRehearsed> {
    let (name, bytes) = match &asked.piece {
        Some(piece) => {
            let known = PIECES.iter().find(|(name, _)| name == piece);
            known.map(|(name, bytes)| ((*name).to_owned(), *bytes)).ok_or(NotRehearsed::NoSuchPiece)?
        }
        None => (asked.name.as_deref().unwrap_or("your piece").chars().take(LONGEST_NAME).collect(), bytes),
    };
    let otherwise = asked.otherwise()?;
    let same = |known: &Arc<Rehearsed>| {
        known.revision == solved.revision && known.bytes == bytes && known.name == name && known.otherwise == otherwise
    };
    let rehearsed = match last(bench).filter(same) {
        Some(known) => known,
        None => keep(bench, solved, name, bytes, otherwise)?,
    };
    Ok(told(&rehearsed, solved))
}

fn last(bench: &Bench) -> Option<Arc<Rehearsed>> {
    bench.rehearsed.lock().unwrap_or_else(PoisonError::into_inner).clone()
}

fn keep(
    bench: &Bench,
    solved: &Solved,
    name: String,
    bytes: &[u8],
    otherwise: Otherwise,
) -> Result<Arc<Rehearsed>, NotRehearsed> {
    let wrong = |why: &dyn std::fmt::Display| NotRehearsed::Wrong(format!("{name} {why}"));
    let written = read(bytes).map_err(|why| wrong(&why))?;
    let written_bpm = written.bpm;
    let piece = otherwise.of(written).map_err(|why| wrong(&why))?;
    let played = unless_overtaken(bench, solved.turn.as_ref(), |go_on| {
        rehearse(&solved.job, &solved.set, &piece, |_| (), go_on)
    });
    let rehearsal = played?.map_err(|why| NotRehearsed::Wrong(why.to_string()))?;
    let mut last = bench.rehearsed.lock().unwrap_or_else(PoisonError::into_inner);
    let number = last.as_ref().map_or(1, |known| known.number + 1);
    let (revision, bytes, set) = (solved.revision, bytes.to_vec(), solved.set.clone());
    let rehearsed = Arc::new(Rehearsed { number, revision, bytes, name, otherwise, written_bpm, rehearsal, set });
    *last = Some(rehearsed.clone());
    Ok(rehearsed)
}

fn told(rehearsed: &Rehearsed, solved: &Solved) -> Value {
    let Rehearsed { number, name, otherwise, written_bpm, rehearsal, .. } = rehearsed;
    let excess = |excess: &Excess| {
        json!({
            "id": excess.reed,
            "note": excess.note.to_string(),
            "words": print::excess_words(excess),
            "worst": print::worst_words(excess),
            "serve": print::serve_words(excess, rehearsal.bpm),
        })
    };
    let off = rehearsal.doubles.iter().filter(|double| double.is_off());
    json!({
        "number": number,
        "name": name,
        "played": print::played(rehearsal, otherwise, *written_bpm),
        "written_bpm": written_bpm.map(print::tempo),
        "words": [print::counts(rehearsal), print::effort(&rehearsal.effort)],
        "too_much": rehearsal.too_much.iter().map(excess).collect::<Vec<_>>(),
        "off_in_level": print::off_in_level(rehearsal),
        "pairs": rehearsal.doubles.len(),
        "pairs_off": off.map(print::double_words).collect::<Vec<_>>(),
        "remarks": rehearsal.remarks,
        "assumed": print::assumed(),
        "heads": print::NOTE_HEAD,
        "notes": rehearsal.notes.iter().take(RehearsalChart::MOST_DRAWN).map(note).collect::<Vec<_>>(),
        "chart": rehearsal_chart(name, &solved.job, rehearsal).picture().to_svg(),
        "sound": format!("This is {}. {}", print::OF_A_MODEL, Caution::Sound.sentence()),
    })
}

fn note(played: &PlayedNote) -> Value {
    json!({ "id": played.on.as_ref().map(|on| &on.reed), "cells": print::note_row(played) })
}

/// What of a piece is to be heard.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Passage {
    /// Which rehearsal.
    number: u64,
    /// Its note, counted from 0.
    note: usize,
    /// Whether what follows is heard too.
    on: bool,
}

/// A note, or a passage from there on, as a WAV file; none where it is no longer the last piece, or there is no such note.
pub(super) fn passage(bench: &Bench, asked: &Passage) -> Option<Vec<u8>> {
    let rehearsed = last(bench).filter(|known| known.number == asked.number)?;
    let Rehearsed { rehearsal, set, .. } = &*rehearsed;
    let from_s = rehearsal.notes.get(asked.note)?.note.start_s;
    let whole = rehearsal.notes.iter().enumerate();
    let wanted = whole.filter(|(k, played)| {
        *k == asked.note || asked.on && (from_s..from_s + SOUNDED_S).contains(&played.note.start_s)
    });
    let moved = |(_, played): (usize, &PlayedNote)| {
        let start_s = played.note.start_s - from_s;
        let length_s = played.note.length_s.min(SOUNDED_S - start_s);
        PlayedNote { note: PieceNote { start_s, length_s, ..played.note }, ..played.clone() }
    };
    let part = Rehearsal { notes: wanted.map(moved).collect(), ..rehearsal.clone() };
    let samples = bench.background.install(|| sound::passage(&part, set, WAV_RATE_HZ))?;
    Some(wav_with_comment(&samples, super::sounds::QUIETER * scale_to_peak(&samples), print::OF_A_MODEL))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_piece_of_the_project_is_offered_with_its_words() {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/data/pieces");
        let names = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap());
        let mut files: Vec<String> = names.filter_map(|name| name.strip_suffix(".mid").map(str::to_owned)).collect();
        let mut offered: Vec<String> = PIECES.iter().map(|(name, _)| (*name).to_owned()).collect();
        files.sort();
        offered.sort();
        assert_eq!(offered, files);
        for (name, bytes) in PIECES {
            assert!(!words(name).is_empty() && read(bytes).is_ok(), "{name}");
        }
    }
}
