//! A standard MIDI file as a piece: chunks, running status and messages are read by `midly`, time and notes here.
//!
//! Every track and channel is read, but for channel 10, which by general use holds percussion. The sustain pedal is left out,
//! and that is said: no reed sounds on without air. A note that begins again before it has ended ends there.

use std::collections::BTreeMap;

use midly::{Format, MetaMessage, MidiMessage, Timing, TrackEventKind};

use super::clock::Clock;
use super::piece::{Piece, PieceNote, notes};

/// Why a file holds no piece.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum NotReadable {
    /// It is no standard MIDI file, or broken from the start.
    #[error("is no standard MIDI file: {0}; export the piece as a MIDI file, format 0 or 1")]
    NotMidi(String),
    /// Its tracks are pieces of their own.
    #[error("has format 2, tracks that are pieces of their own; export one of them, as format 0 or 1")]
    SeveralPieces,
    /// Its header tells no time.
    #[error("has a division of 0 ticks: no time can be told from it; export the piece anew")]
    NoDivision,
    /// A tempo of no time at all.
    #[error("has a tempo of 0 microseconds a quarter note; allowed: 1 to 16777215; export the piece anew")]
    NoTempo,
    /// It lasts too long for a piece that anybody plays.
    #[error("lasts {0:.0} s by its tempo and division, longer than a day; check both")]
    TooLong(f64),
    /// It can be read, and nothing is to be played.
    #[error("has no note to play{}", if .0.is_empty() { String::new() } else { format!(" ({})", .0.join("; ")) })]
    NoNotes(Vec<String>),
}

/// Longest piece (s).
const LONGEST_S: f64 = 86_400.0;
/// Channel of percussion by general use, counted from 0.
const PERCUSSION: u8 = 9;
/// Number of the sustain pedal.
const SUSTAIN: u8 = 64;

/// Reads a file.
///
/// # Errors
/// [`NotReadable`]. A track that breaks off is used as far as it goes, and the piece says so.
pub fn read(bytes: &[u8]) -> Result<Piece, NotReadable> {
    let not_midi = |error: midly::Error| NotReadable::NotMidi(error.to_string());
    let (header, tracks) = midly::parse(bytes).map_err(not_midi)?;
    if header.format == Format::Sequential {
        return Err(NotReadable::SeveralPieces);
    }
    let mut score = Score::default();
    let mut count = 0;
    for track in tracks {
        count += 1;
        match track {
            Ok(events) => score.track(count, events),
            Err(_) => score.remarks.push(format!("track {count} breaks off before its first event")),
        }
    }
    if let Some(missing) = tracks_said(bytes).checked_sub(count).filter(|missing| *missing > 0) {
        score.remarks.push(format!("{missing} of the tracks that the header counts are not there"));
    }
    score.piece(header.timing)
}

/// How many tracks the header counts: its bytes 10 and 11, which `midly` does not give.
fn tracks_said(bytes: &[u8]) -> usize {
    match (bytes.get(..4), bytes.get(10..12)) {
        (Some(b"MThd"), Some(&[high, low])) => usize::from(u16::from_be_bytes([high, low])),
        _ => 0,
    }
}

/// A note in ticks.
struct Ticks {
    midi: i32,
    from: u64,
    to: u64,
    velocity: u8,
}

/// What the tracks hold.
#[derive(Default)]
struct Score {
    notes: Vec<Ticks>,
    tempos: Vec<(u64, u32)>,
    percussion: usize,
    never_ended: usize,
    pedal: usize,
    beyond: bool,
    remarks: Vec<String>,
}

impl Score {
    fn track(&mut self, number: usize, events: midly::EventIter<'_>) {
        let mut tick = 0_u64;
        let mut ended = false;
        // Notes that sound: channel and key, since when, how hard.
        let mut sounding: BTreeMap<(u8, u8), (u64, u8)> = BTreeMap::new();
        for event in events.map_while(Result::ok) {
            tick += u64::from(event.delta.as_int());
            match event.kind {
                TrackEventKind::Midi { channel, message } => {
                    self.message(tick, channel.as_int(), message, &mut sounding)
                }
                TrackEventKind::Meta(MetaMessage::Tempo(tempo)) => self.tempos.push((tick, tempo.as_int())),
                TrackEventKind::Meta(MetaMessage::EndOfTrack) => ended = true,
                _ => {}
            }
        }
        if !ended {
            self.remarks.push(format!("track {number} breaks off; it is read as far as it goes"));
        }
        self.never_ended += sounding.len();
        for ((_, key), since) in sounding {
            self.end(key, since, tick);
        }
    }

    fn message(&mut self, tick: u64, channel: u8, message: MidiMessage, sounding: &mut BTreeMap<(u8, u8), (u64, u8)>) {
        match message {
            MidiMessage::NoteOn { vel, .. } if channel == PERCUSSION => self.percussion += usize::from(vel > 0),
            MidiMessage::NoteOn { key, vel } if vel > 0 => {
                let before = sounding.insert((channel, key.as_int()), (tick, vel.as_int()));
                before.into_iter().for_each(|since| self.end(key.as_int(), since, tick));
            }
            // A note struck with velocity 0 ends (MIDI 1.0).
            MidiMessage::NoteOn { key, .. } | MidiMessage::NoteOff { key, .. } => {
                let ended = sounding.remove(&(channel, key.as_int()));
                ended.into_iter().for_each(|since| self.end(key.as_int(), since, tick));
            }
            MidiMessage::Controller { controller, value } if controller == SUSTAIN => {
                self.pedal += usize::from(value >= 64);
            }
            _ => {}
        }
    }

    fn end(&mut self, key: u8, (from, velocity): (u64, u8), to: u64) {
        if self.notes.len() < Piece::MOST_NOTES {
            self.notes.push(Ticks { midi: i32::from(key), from, to, velocity });
        } else {
            self.beyond = true;
        }
    }

    fn piece(mut self, timing: Timing) -> Result<Piece, NotReadable> {
        let bpm = Clock::bpm(timing, &self.tempos);
        let clock = Clock::new(timing, std::mem::take(&mut self.tempos))?;
        let mut piece = Piece { bpm, notes: Vec::new(), remarks: std::mem::take(&mut self.remarks) };
        let lasting = |note: &Ticks| {
            let (start_s, end_s) = (clock.at_s(note.from), clock.at_s(note.to));
            PieceNote { midi: note.midi, start_s, length_s: end_s - start_s, velocity: note.velocity }
        };
        piece.notes = self.notes.iter().filter(|note| note.to > note.from).map(lasting).collect();
        piece.notes.sort_by(|a, b| a.start_s.total_cmp(&b.start_s).then(a.midi.cmp(&b.midi)));
        if self.beyond {
            piece.remarks.push(format!("more than {}: the rest is left out", notes(Piece::MOST_NOTES)));
        }
        piece.said(self.notes.len() - piece.notes.len(), "without any length, left out");
        piece.said(self.percussion, "on channel 10, percussion by general use, left out");
        piece.said(self.never_ended, "never ended; taken to end with the track");
        if self.pedal > 0 {
            piece.remarks.push(format!("the sustain pedal, pressed {} times, is left out", self.pedal));
        }
        let duration_s = piece.duration_s();
        if piece.notes.is_empty() {
            return Err(NotReadable::NoNotes(piece.remarks));
        }
        if duration_s > LONGEST_S {
            return Err(NotReadable::TooLong(duration_s));
        }
        Ok(piece)
    }
}
