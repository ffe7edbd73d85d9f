//! A microphone while it listens: pieces of sound as they come, what sounds just now, and each pluck once it has rung down.

use super::heard::{HeardNote, Work};
use super::kind::{Kind, kind};
use super::levels::{Channel, Levels, SILENCE_DB};
use super::measure::{Measured, Sound, measure};
use super::spans::{GAP, Span, noise_db, spans};
use crate::sheet::notes::cents;

/// So much of what came last is held (s): more than a pluck is followed.
const HELD_S: f64 = 8.0;
/// What is older is let go when there is so much of it (s).
const SLACK_S: f64 = 1.0;
/// A note that sounds on is measured over so much of its end (s) ...
const LONG_S: f64 = 1.0;
/// ... and over so little of it to see whether it is still the same (s).
const SHORT_S: f64 = 0.12;
/// Pitches of the two that are this far apart are two notes (cents).
const SAME_CENTS: f64 = 30.0;
/// A pluck is measured when it has fallen so far (dB), which is as far as its ring-down is followed, or has ended.
const RUNG_DB: f64 = 30.0;
/// A blow is steady when its level in two stretches of so long, one after the other, differs by no more than so much ...
const EVEN: (f64, f64) = (0.3, 1.0);
/// ... when its pitch is known so well, and wanders no more (cents).
const STEADY_CENTS: f64 = 1.0;
/// From this on a sample is at the end of its scale: a whole number of 16 bits has no larger one.
const FULL_SCALE: f64 = 1.0 - 1.5 / 32768.0;
/// What is fainter is the quiet of a room, whatever hums there (dB below full scale; assumed).
const FAINT_DB: f64 = -70.0;
/// What counts as just now (s).
const NOW_S: f64 = 0.05;
/// So long a clipped sample is told of (s).
const CLIPPED_S: f64 = 1.0;

/// A microphone while it listens. However long that is, no more than nine seconds of sound are held.
#[derive(Debug, Clone)]
pub struct Live {
    rate_hz: f64,
    channel: Channel,
    samples: Vec<f32>,
    /// Frames of level that were let go.
    gone: u64,
    /// The frame before which another note sounded.
    since: u64,
    /// The frame up to which plucks were told.
    told: u64,
}

/// What is heard just now.
#[derive(Debug, Clone, PartialEq)]
pub struct Hearing {
    /// Level of the last 50 ms (dB below full scale, by the mean square of what is above the rumble).
    pub level_db: f64,
    /// Whether a sample of the last second is at the end of the scale.
    pub is_clipped: bool,
    /// Whether all that is held is without any sound, as from a microphone that is switched off.
    pub is_dead: bool,
    /// What sounds just now.
    pub sounding: Option<Sounding>,
    /// Whether something sounds that has no pitch.
    pub is_noise: bool,
    /// Plucks that have rung down since the last look.
    pub plucks: Vec<HeardNote>,
    /// What it took.
    pub work: Work,
}

/// A note that sounds just now.
#[derive(Debug, Clone, PartialEq)]
pub struct Sounding {
    /// As measured over its last second, or over what there is of it.
    pub note: HeardNote,
    /// Whether it is a blow held evenly, whose pitch can be taken.
    pub is_steady: bool,
}

impl Live {
    /// Slowest and fastest sampling that is listened to (Hz).
    pub const RATES_HZ: [f64; 2] = [8000.0, 192_000.0];

    /// A microphone of so many samples a second, within [`Live::RATES_HZ`].
    pub fn new(rate_hz: f64) -> Self {
        let channel = Channel::new(rate_hz, FULL_SCALE);
        Self { rate_hz, channel, samples: Vec::new(), gone: 0, since: 0, told: 0 }
    }

    /// Samples a second.
    pub fn rate_hz(&self) -> f64 {
        self.rate_hz
    }

    /// How much sound is held (s).
    pub fn held_s(&self) -> f64 {
        self.samples.len() as f64 / self.rate_hz
    }

    /// Takes what came next, 1 being full scale; what is no number is heard as silence.
    pub fn take(&mut self, samples: &[f32]) {
        for &sample in samples {
            self.channel.take(f64::from(sample));
            self.samples.push(if sample.is_finite() { sample } else { 0.0 });
        }
        let [held, slack] = [HELD_S, SLACK_S].map(|time_s| self.frames(time_s));
        let frames = self.samples.len() / self.channel.hop;
        if frames > held + slack {
            self.channel.forget(frames - held);
            self.samples.drain(..(frames - held) * self.channel.hop);
            self.gone += (frames - held) as u64;
        }
    }

    /// What is heard just now.
    pub fn hear(&mut self) -> Hearing {
        let levels = self.channel.clone().levels();
        let (noise_db, count) = (noise_db(&levels), levels.db.len());
        let now = &levels.db[count.saturating_sub(self.frames(NOW_S))..];
        let power = now.iter().map(|&db| 10f64.powf(f64::from(db) / 10.0)).sum::<f64>() / now.len().max(1) as f64;
        let recent = count.saturating_sub(self.frames(CLIPPED_S));
        let mut hearing = Hearing {
            level_db: if now.is_empty() { SILENCE_DB } else { 10.0 * power.log10() },
            is_clipped: levels.clipped.last().is_some_and(|&frame| frame >= recent),
            is_dead: levels.highest_db() <= SILENCE_DB,
            sounding: None,
            is_noise: false,
            plucks: Vec::new(),
            work: Work::default(),
        };
        if hearing.is_dead {
            return hearing;
        }
        for span in spans(&levels) {
            if span.to == count && hearing.level_db > FAINT_DB {
                self.sounding(&levels, noise_db, span, &mut hearing);
            }
            self.plucked(&levels, noise_db, span, &mut hearing);
        }
        hearing
    }

    fn frames(&self, time_s: f64) -> usize {
        (time_s * self.rate_hz / self.channel.hop as f64).round() as usize
    }

    /// A note, its times counted from the first sample.
    fn note(&self, found: Measured, levels: &Levels, span: Span) -> HeardNote {
        let before_s = (self.gone * levels.hop as u64) as f64 / self.rate_hz;
        let note = super::note(found, levels, span, self.rate_hz);
        HeardNote { from_s: note.from_s + before_s, to_s: note.to_s + before_s, ..note }
    }

    /// Measures a stretch of what is held.
    fn measured(&self, levels: &Levels, noise_db: f64, span: Span, of: Kind, work: &mut Work) -> Option<Measured> {
        let range = span.from * levels.hop..(span.to * levels.hop).min(self.samples.len());
        let samples: Vec<f64> = self.samples[range].iter().map(|&sample| f64::from(sample)).collect();
        work.samples += samples.len() as u64;
        let db = &levels.db[span.from..span.to];
        let (rate_hz, hop) = (self.rate_hz, levels.hop);
        let sounds_on = span.to == levels.db.len();
        let sound = Sound { samples: &samples, rate_hz, lead: 0, quiet: 0, db, hop, noise_db, of: Some(of), sounds_on };
        let measured = measure(&sound).ok()?;
        work.transformed += measured.work.transformed;
        work.products += measured.work.products;
        Some(measured)
    }

    /// The note that sounds at the end of what is held: over its last second, where that is one note.
    fn sounding(&mut self, levels: &Levels, noise_db: f64, span: Span, hearing: &mut Hearing) {
        let since = self.since.saturating_sub(self.gone) as usize;
        let whole = Span { from: span.from.max(since).min(span.to), ..span };
        let last = |time_s: f64| Span { from: whole.from.max(span.to.saturating_sub(self.frames(time_s))), ..whole };
        let kind = kind(&levels.db[span.from..span.to], noise_db);
        let (long, short) = (last(LONG_S), last(SHORT_S));
        let mut found = self.measured(levels, noise_db, long, kind, &mut hearing.work);
        let mut over = long;
        if kind == Kind::Blow && short.from > long.from {
            let newest = self.measured(levels, noise_db, short, kind, &mut hearing.work);
            let is_same = |a: &Measured, b: &Measured| {
                cents(a.pitch_hz.value, b.pitch_hz.value).abs() <= SAME_CENTS + a.wander_cents
            };
            if let Some(newest) = newest
                && !found.as_ref().is_some_and(|found| is_same(found, &newest))
            {
                // Another note began without a gap.
                self.since = self.gone + short.from as u64;
                (found, over) = (Some(newest), short);
            }
        }
        hearing.is_noise = found.is_none() && over.to - over.from > self.frames(SHORT_S);
        hearing.sounding = found.map(|found| Sounding {
            is_steady: self.is_steady(&found, &levels.db[over.from..over.to]),
            note: self.note(found, levels, over),
        });
    }

    fn is_steady(&self, found: &Measured, db: &[f32]) -> bool {
        let (time_s, differ_db) = EVEN;
        let half = self.frames(time_s);
        let Some(from) = db.len().checked_sub(2 * half) else { return false };
        let mean = |part: &[f32]| part.iter().map(|&db| f64::from(db)).sum::<f64>() / half as f64;
        let is_even = (mean(&db[from..from + half]) - mean(&db[from + half..])).abs() <= differ_db;
        let is_one = found.beat.is_none() && found.second.is_none();
        let half_cents = 0.5 * cents(found.pitch_hz.high, found.pitch_hz.low);
        found.kind == Kind::Blow && is_even && is_one && half_cents.max(found.wander_cents) <= STEADY_CENTS
    }

    /// A pluck that has rung down and was not told yet.
    fn plucked(&mut self, levels: &Levels, noise_db: f64, span: Span, hearing: &mut Hearing) {
        let (count, db) = (levels.db.len(), &levels.db[span.from..span.to]);
        let top = db.iter().copied().fold(f32::MIN, f32::max);
        let has_fallen = levels.smooth_db[span.to - 1] < top - RUNG_DB as f32;
        // One whose beginning was not heard is not told: it may have lost more than that. A null of its beat is not its end.
        if !span.fresh
            || !(has_fallen || count - span.to > GAP)
            || self.gone + (span.from as u64) < self.told
            || kind(db, noise_db) != Kind::Pluck
        {
            return;
        }
        self.told = self.gone + span.to as u64;
        if let Some(found) = self.measured(levels, noise_db, span, Kind::Pluck, &mut hearing.work) {
            hearing.plucks.push(self.note(found, levels, span));
        }
    }
}
