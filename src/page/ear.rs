//! The microphone of a browser: pieces of sound in, what is heard out. One window listens at a time, and nothing is written.

use std::sync::{MutexGuard, PoisonError};

use serde::Deserialize;
use serde_json::{Value, json};

use super::bench::Bench;
use super::heard::{Set, standing};
use crate::listen::{HeardNote, Hearing, Live};
use crate::sheet::notes::cents;

/// Longest piece of sound (bytes): a quarter of a second at the fastest sampling.
pub(super) const LONGEST_PIECE: usize = 4 * 48_000;
/// Plucks whose mean is taken.
const MOST_PLUCKS: usize = 12;
/// Plucks further apart than this are not of one reed (cents).
const ONE_REED_CENTS: f64 = 30.0;

/// What comes with a piece of sound: its bytes are samples of one channel, floating point of 32 bits, little end first.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Piece {
    /// A number that the window chose for itself when it began to listen.
    listener: u64,
    /// Counts the pieces from 0.
    number: u64,
    /// Samples a second.
    rate_hz: f64,
    /// The reed that is chosen.
    id: String,
}

/// The window that listens.
#[derive(Debug)]
pub(super) struct Ear {
    listener: u64,
    next: u64,
    id: String,
    live: Live,
    /// The last plucks of one reed.
    plucks: Vec<HeardNote>,
}

/// Why a piece is not heard.
#[derive(Debug)]
pub(super) enum NotHeard {
    /// What is wrong with it.
    Wrong(String),
    /// It is no reed of the job.
    NoSuchReed,
    /// Another window listens, or none does.
    Elsewhere,
}

impl Ear {
    fn new(Piece { listener, number, rate_hz, id }: &Piece) -> Self {
        Self { listener: *listener, next: *number, id: id.clone(), live: Live::new(*rate_hz), plucks: Vec::new() }
    }

    /// Takes the next piece and hears what is there by now.
    fn take(&mut self, piece: &Piece, samples: &[f32]) -> Hearing {
        // Where a piece is missing, what does not belong together is not measured as one sound.
        if piece.number != self.next {
            self.live = Live::new(piece.rate_hz);
        }
        self.next = piece.number.wrapping_add(1);
        if piece.id != self.id {
            self.id.clone_from(&piece.id);
            self.plucks.clear();
        }
        self.live.take(samples);
        let hearing = self.live.hear();
        for pluck in &hearing.plucks {
            let is_near = |other: &HeardNote| cents(other.pitch_hz.value, pluck.pitch_hz.value).abs() < ONE_REED_CENTS;
            self.plucks.retain(is_near);
            self.plucks.push(pluck.clone());
            let too_many = self.plucks.len().saturating_sub(MOST_PLUCKS);
            self.plucks.drain(..too_many);
        }
        hearing
    }
}

/// Takes a piece of sound, and tells what is heard.
///
/// # Errors
/// [`NotHeard`].
pub(super) fn hear(bench: &Bench, piece: &Piece, bytes: &[u8]) -> Result<Value, NotHeard> {
    let samples = samples(piece, bytes)?;
    let set = bench.look(|opened| opened.job().map(|open| Set::of(&open.job))).ok_or(NotHeard::NoSuchReed)?;
    if !set.has(&piece.id) {
        return Err(NotHeard::NoSuchReed);
    }
    let mut listening = listening(bench);
    // Who begins anew takes the place of whoever listened before.
    if piece.number == 0 {
        *listening = Some(Ear::new(piece));
    }
    let ear = listening.as_mut().filter(|ear| ear.listener == piece.listener).ok_or(NotHeard::Elsewhere)?;
    if ear.live.rate_hz() != piece.rate_hz {
        return Err(NotHeard::Wrong("the rate changes while it listens; begin anew".to_owned()));
    }
    let is_torn = piece.number != ear.next;
    let hearing = ear.take(piece, &samples);
    let mut told = standing(&hearing, &set.tuning);
    // A microphone that is off gives no pluck, however often.
    if is_torn && !hearing.is_dead {
        told["advice"] = json!("Some of the sound was lost, the machine is busy: pluck or blow again.");
    }
    told["heard"] = json!(set.heard(&hearing, &ear.plucks, &piece.id));
    Ok(told)
}

/// Lets go of what a window was heard saying.
pub(super) fn stop(bench: &Bench, listener: u64) {
    let mut listening = listening(bench);
    if listening.as_ref().is_some_and(|ear| ear.listener == listener) {
        *listening = None;
    }
}

fn listening(bench: &Bench) -> MutexGuard<'_, Option<Ear>> {
    bench.ear.lock().unwrap_or_else(PoisonError::into_inner)
}

/// The samples of a piece.
fn samples(piece: &Piece, bytes: &[u8]) -> Result<Vec<f32>, NotHeard> {
    let wrong = |why: String| Err(NotHeard::Wrong(why));
    let [least, most] = Live::RATES_HZ;
    if !(least..=most).contains(&piece.rate_hz) {
        return wrong(format!("{} samples a second: allowed: {least} to {most}", piece.rate_hz));
    }
    let (parts, rest) = bytes.as_chunks::<4>();
    if !rest.is_empty() {
        return wrong("ends within a sample; send whole samples of 4 bytes".to_owned());
    }
    let samples: Vec<f32> = parts.iter().map(|part| f32::from_le_bytes(*part)).collect();
    match samples.iter().filter(|sample| !sample.is_finite()).count() {
        0 => Ok(samples),
        count => wrong(format!("holds {count} samples that are no finite numbers")),
    }
}
