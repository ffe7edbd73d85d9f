//! One note, measured.

use std::ops::Range;

use super::attack::{Rise, rise};
use super::beat::{Beat, Two, two};
use super::comb::{Comb, combs};
use super::decay::{RingDown, ring_down};
use super::estimate::Estimate;
use super::heard::{HarmonicLevel, SecondNote, Work};
use super::interval::{above, both};
use super::kind::{Kind, kind};
use super::pitch::{Pitch, pitch};
use super::spectrum::peaks;
use super::stretch::measured;
use super::track::{Track, track, window_s};
use crate::sheet::notes::cents;

/// Partials that hold less of the energy than this are no note but noise.
const LEAST_SHARE: f64 = 0.05;
/// Two pitches closer than this are two reeds in one note, not two notes (cents).
const UNISON_CENTS: f64 = 80.0;
/// A pitch so far from where its harmonics were followed (cycles from frame to frame) is followed anew.
const ASTRAY: f64 = 0.02;
/// A drift so many times its own half interval is no chance.
const DRIFTS: f64 = 1.6;
/// A fundamental this far below the strongest harmonic is not the one by which a pluck is measured (power; 30 dB).
const WEAK: f64 = 1e-3;

/// A stretch of a recording in which one note sounds.
pub(super) struct Sound<'a> {
    /// The samples, from some before the note on.
    pub(super) samples: &'a [f64],
    pub(super) rate_hz: f64,
    /// Samples before the note.
    pub(super) lead: usize,
    /// Samples at the start that are noise alone.
    pub(super) quiet: usize,
    /// Levels of the note, frame by frame (dB).
    pub(super) db: &'a [f32],
    /// Samples in such a frame.
    pub(super) hop: usize,
    /// Level of the noise (dB).
    pub(super) noise_db: f64,
    /// How it was made, where that is known.
    pub(super) of: Option<Kind>,
    /// Whether it sounds on after its last sample.
    pub(super) sounds_on: bool,
}

/// What was measured of it.
pub(super) struct Measured {
    pub(super) kind: Kind,
    pub(super) pitch_hz: Estimate,
    pub(super) drift_cents_s: Estimate,
    pub(super) wander_cents: f64,
    pub(super) level_db: f64,
    pub(super) harmonics: Vec<HarmonicLevel>,
    pub(super) rise: Option<Rise>,
    pub(super) ring_down: Option<RingDown>,
    pub(super) beat: Option<Beat>,
    pub(super) second: Option<SecondNote>,
    pub(super) remarks: Vec<String>,
    pub(super) work: Work,
}

/// A pitch and what goes with it.
struct Tone {
    pitch: Pitch,
    track: Track,
    beat: Option<Beat>,
    second: Option<SecondNote>,
    ring_down: Option<RingDown>,
    remarks: Vec<String>,
    products: u64,
}

/// A piece of a note in which a vibrato moves little (s).
const PIECE_S: f64 = 0.08;

/// Measures it.
///
/// # Errors
/// Why it is no note that can be measured.
pub(super) fn measure(sound: &Sound<'_>) -> Result<Measured, &'static str> {
    let kind = sound.of.unwrap_or_else(|| kind(sound.db, sound.noise_db));
    let mut frames = measured(sound.db, sound.noise_db, kind);
    // It is not let go yet.
    if sound.sounds_on && kind == Kind::Blow {
        frames.end = sound.db.len();
    }
    let range = sound.part(frames);
    let body = &sound.samples[range.clone()];
    // A vibrato smears the harmonics of a whole note; in a short piece of it they stand.
    let middle = body.len() / 2;
    let half = ((0.5 * PIECE_S * sound.rate_hz) as usize).min(middle);
    let mut transformed = 0;
    let mut of = |part: &[f64]| {
        let found = peaks(part, sound.rate_hz);
        transformed += found.work;
        Some(combs(&found)).filter(|combs| found.share >= LEAST_SHARE && !combs.is_empty())
    };
    let Some(combs) = of(body).or_else(|| of(&body[middle - half..middle + half])) else {
        return Err("has no pitch: noise, handling, or too short");
    };
    let first = combs[0];
    let tone = match (kind, combs.get(1)) {
        (Kind::Pluck, _) => plucked(body, sound.rate_hz, first),
        (Kind::Blow, Some(&second)) => blown_with(body, sound.rate_hz, first, second),
        (Kind::Blow, None) => blown(body, sound.rate_hz, first),
    };
    let tone = tone.ok_or("is too short or too faint for its pitch to be told")?;
    let pitch_hz = tone.beat.map_or(tone.pitch.hz, |beat| beat.louder_hz);
    let hz = pitch_hz.value;
    let rise = match kind {
        Kind::Blow => rise(sound.samples, sound.rate_hz, hz, sound.quiet, range),
        Kind::Pluck => None,
    };
    let power = body.iter().map(|x| x * x).sum::<f64>() / body.len() as f64;
    Ok(Measured {
        kind,
        pitch_hz,
        drift_cents_s: tone.pitch.drift_hz_s.map(|drift| cents(1.0 + (drift / hz).clamp(-0.5, 0.5), 1.0)),
        // A beat moves the phase to and fro; that is no wandering.
        wander_cents: tone.pitch.wander_hz.filter(|_| tone.beat.is_none()).map_or(0.0, |wander| cents(hz + wander, hz)),
        level_db: 10.0 * power.log10(),
        harmonics: levels(&tone.track),
        rise,
        ring_down: tone.ring_down,
        beat: tone.beat,
        second: tone.second,
        remarks: tone.remarks,
        work: Work { samples: 0, transformed, products: tone.products },
    })
}

impl Sound<'_> {
    /// Frames of level as a range of samples.
    fn part(&self, frames: Range<usize>) -> Range<usize> {
        let at = |frame: usize| (self.lead + frame * self.hop).min(self.samples.len());
        at(frames.start)..at(frames.end)
    }
}

fn follow(body: &[f64], rate_hz: f64, comb: Comb) -> Track {
    track(body, rate_hz, comb.hz, window_s(body.len() as f64 / rate_hz, comb.hz), |_| false)
}

/// A pluck by one harmonic: those of a tongue that swings freely need not be whole multiples.
fn plucked(body: &[f64], rate_hz: f64, comb: Comb) -> Option<Tone> {
    let track = follow(body, rate_hz, comb);
    let strongest = track.harmonics.iter().max_by(|a, b| a.power().total_cmp(&b.power()))?;
    let lead = track.harmonics.first().filter(|lead| lead.power() > WEAK * strongest.power()).unwrap_or(strongest);
    let mut pitch = pitch(&track, Some(lead.number))?;
    // What drifts while it rings, by more than noise makes it, is bent by the room or has another pitch when it swings wide.
    let drift = pitch.drift_hz_s;
    if drift.value.abs() > DRIFTS * drift.half_width() {
        let half = pitch.hz.half_width().hypot(pitch.drifted_hz);
        pitch.hz = Estimate { low: pitch.hz.value - half, high: pitch.hz.value + half, ..pitch.hz };
    }
    let ring_down = ring_down(lead, track.step_s, pitch.hz.value);
    let mut remarks = Vec::new();
    if lead.number > 1 {
        remarks.push(format!("its fundamental is weak: pitch and ring-down are those of harmonic {}", lead.number));
    }
    if ring_down.is_none() {
        remarks.push("its ring-down is too short or too faint to measure".to_owned());
    }
    if ring_down.is_some_and(|found| !found.even) {
        remarks.push("its decay is not one exponential: room, finger or a second tongue has a part in it".to_owned());
    }
    let products = track.work;
    Some(Tone { pitch, track, beat: None, second: None, ring_down, remarks, products })
}

fn blown(body: &[f64], rate_hz: f64, comb: Comb) -> Option<Tone> {
    let mut track = follow(body, rate_hz, comb);
    let mut products = track.work;
    // Of a wide vibrato the strongest line is not the middle: followed from there, phases could be lost.
    let found = pitch(&track, None)?;
    if (found.hz.value - track.hz).abs() * track.step_s > ASTRAY {
        track = follow(body, rate_hz, Comb { hz: found.hz.value, ..comb });
        products += track.work;
    }
    let remarks = Vec::new();
    match two(&track) {
        Some(Two::Above { number, beating }) => {
            let (pitch, second, track) = above(track, number, &beating)?;
            Some(Tone { pitch, beat: None, second: Some(second), ring_down: None, remarks, track, products })
        }
        Some(Two::Unison(beat)) => {
            let pitch = pitch(&track, None)?;
            Some(Tone { pitch, beat: Some(beat), second: None, ring_down: None, remarks, track, products })
        }
        None => {
            let pitch = pitch(&track, None)?;
            Some(Tone { pitch, beat: None, second: None, ring_down: None, remarks, track, products })
        }
    }
}

/// Two notes: apart where they can be told, else as one that beats.
fn blown_with(body: &[f64], rate_hz: f64, first: Comb, second: Comb) -> Option<Tone> {
    let apart = cents(first.hz, second.hz).abs();
    if apart > UNISON_CENTS
        && let Some(both) = both(body, rate_hz, [first, second])
    {
        let (pitch, track, second, products) = (both.first, both.track, Some(both.second), both.work);
        return Some(Tone { pitch, track, second, beat: None, ring_down: None, remarks: Vec::new(), products });
    }
    let mut tone = blown(body, rate_hz, first)?;
    // Nearer than that it may be vibrato, which makes lines of its own.
    if tone.beat.is_none() && apart > UNISON_CENTS {
        let heard = format!("a second note near {:.1} Hz sounds with it; too short to measure both", second.hz);
        tone.remarks.push(heard);
    }
    Some(tone)
}

fn levels(track: &Track) -> Vec<HarmonicLevel> {
    let strongest = track.harmonics.iter().map(|harmonic| harmonic.power()).fold(0.0, f64::max);
    let level = |power: f64| 10.0 * (power / strongest).log10();
    track
        .harmonics
        .iter()
        .map(|harmonic| HarmonicLevel { number: harmonic.number, level_db: level(harmonic.power()) })
        .collect()
}
