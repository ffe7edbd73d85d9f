//! The notes of a piece as one instrument sounds them, and the moments at which notes begin.

use super::piece::{Piece, PieceNote};
use crate::instrument::REACH;

/// Notes that begin within this time of each other begin together (s), and a note that lasts on so little beyond the beginning
/// of the next gives way to it. Players who mean to begin together are 30 to 50 ms apart (R. A. Rasch, Acustica 43 (1979)
/// 121, from memory).
pub const TOGETHER_S: f64 = 0.03;

/// A moment at which notes begin: places in the list of notes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Moment {
    /// Notes that begin.
    pub begins: Vec<usize>,
    /// Notes that sound on.
    pub held: Vec<usize>,
    /// Notes that would sound on and are more than a mouth holds, the oldest.
    pub given_up: Vec<usize>,
}

/// Most notes that are held at once: one for each hole that a mouth covers.
const MOST_HELD: usize = REACH as usize + 1;

/// The same piece with each note sounded once at a time: of one note that begins twice together the longer and harder counts,
/// and one that begins anew ends before.
pub(super) fn sounded_once(piece: &Piece) -> Piece {
    let mut doubled = 0;
    let mut last: [Option<usize>; 128] = [None; 128];
    let mut notes: Vec<PieceNote> = Vec::with_capacity(piece.notes.len());
    for note in &piece.notes {
        let place = &mut last[note.midi as usize];
        if let Some(before) = place.map(|place| &mut notes[place]) {
            if note.start_s - before.start_s < TOGETHER_S {
                before.length_s = before.end_s().max(note.end_s()) - before.start_s;
                before.velocity = before.velocity.max(note.velocity);
                doubled += 1;
                continue;
            }
            before.length_s = before.length_s.min(note.start_s - before.start_s);
        }
        *place = Some(notes.len());
        notes.push(*note);
    }
    let mut once = Piece { bpm: piece.bpm, notes, remarks: piece.remarks.clone() };
    once.said(doubled, "doubled by another part, sounded once");
    once
}

/// The moments of notes in the order of their beginnings.
pub(super) fn moments(notes: &[PieceNote]) -> Vec<Moment> {
    let mut moments = Vec::new();
    let mut sounding: Vec<usize> = Vec::new();
    let mut next = 0;
    while next < notes.len() {
        let start_s = notes[next].start_s;
        let count = notes[next..].partition_point(|note| note.start_s < start_s + TOGETHER_S);
        sounding.retain(|&place| notes[place].end_s() > start_s + TOGETHER_S);
        let begins: Vec<usize> = (next..next + count).collect();
        let given_up = sounding.drain(..sounding.len().saturating_sub(MOST_HELD)).collect();
        moments.push(Moment { begins: begins.clone(), held: sounding.clone(), given_up });
        sounding.extend(begins);
        next += count;
    }
    moments
}
