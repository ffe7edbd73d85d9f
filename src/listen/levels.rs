//! How loud a recording is, five thousandths of a second by five: the first reading of a file, in which the notes are found.

use std::f64::consts::{PI, SQRT_2};

use super::recording::Recording;

/// Frames of level a second.
const PER_SECOND: f64 = 200.0;
/// Rumble, handling and hum of the mains lie below; the lowest reeds lie above (Hz).
const RUMBLE_HZ: f64 = 70.0;
/// Frames over which levels are smoothed: 20 ms, a period of 50 Hz.
const SMOOTH: usize = 4;
/// So many samples in a row at the end of the scale are no peak but a clipped one.
const CLIPPED_RUN: u32 = 3;
/// What counts as digital silence (dB below full scale).
pub(super) const SILENCE_DB: f64 = -140.0;

/// The levels of one channel and what is wrong with its samples.
pub(super) struct Levels {
    /// The channel, counted from 0.
    pub(super) channel: usize,
    /// Level of each frame (dB; a square wave at full scale has 0).
    pub(super) db: Vec<f32>,
    /// The same, the energy averaged over [`SMOOTH`] frames around each: a period of hum or of a low note does not show.
    pub(super) smooth_db: Vec<f32>,
    /// Samples in a frame.
    pub(super) hop: usize,
    /// Frames of the recording that were read.
    pub(super) frames: u64,
    /// Frames of level that hold clipped samples.
    pub(super) clipped: Vec<usize>,
    /// Frames of level that hold what is no number.
    pub(super) not_numbers: Vec<usize>,
}

impl Levels {
    /// Reads a recording once and keeps the levels of the channel with most energy. Two channels are not mixed: at two
    /// microphones a partial may come in opposite phase, and the sum would have lost it.
    pub(super) fn of(recording: &mut Recording) -> Self {
        let (rate_hz, full_scale) = (recording.rate_hz(), recording.full_scale());
        let mut channels: Vec<Channel> = (0..recording.channels()).map(|_| Channel::new(rate_hz, full_scale)).collect();
        let promised = recording.frames_promised();
        let frames = recording.each_frame(0, promised, |frame| {
            for (channel, &sample) in channels.iter_mut().zip(frame) {
                channel.take(sample);
            }
        });
        let energy = |channel: &Channel| channel.db.iter().map(|&db| 10f64.powf(f64::from(db) / 10.0)).sum::<f64>();
        let loudest = channels.iter().enumerate().max_by(|a, b| energy(a.1).total_cmp(&energy(b.1)));
        let channel = loudest.map_or(0, |(number, _)| number);
        let loudest = channels.swap_remove(channel);
        Self { channel, frames, ..loudest.levels() }
    }

    /// The smoothed level that a share of all frames does not reach.
    pub(super) fn quantile_db(&self, share: f64) -> f64 {
        let mut sorted = self.smooth_db.clone();
        sorted.sort_by(f32::total_cmp);
        sorted.get((share * sorted.len() as f64) as usize).map_or(SILENCE_DB, |&db| f64::from(db))
    }

    /// The highest smoothed level.
    pub(super) fn highest_db(&self) -> f64 {
        self.smooth_db.iter().fold(SILENCE_DB, |highest, &db| highest.max(f64::from(db)))
    }
}

fn smooth(db: &[f32]) -> Vec<f32> {
    let power: Vec<f64> = db.iter().map(|&db| 10f64.powf(f64::from(db) / 10.0)).collect();
    let around = |k: usize| &power[k.saturating_sub(SMOOTH / 2)..(k + SMOOTH / 2).min(power.len())];
    let mean = |part: &[f64]| part.iter().sum::<f64>() / part.len() as f64;
    (0..power.len()).map(|k| (10.0 * mean(around(k)).log10()).max(SILENCE_DB) as f32).collect()
}

/// One channel while it is read.
#[derive(Debug, Clone)]
pub(super) struct Channel {
    high_pass: HighPass,
    full_scale: f64,
    /// Samples in a frame of level.
    pub(super) hop: usize,
    filled: usize,
    energy: f64,
    run: u32,
    db: Vec<f32>,
    clipped: Vec<usize>,
    not_numbers: Vec<usize>,
}

impl Channel {
    pub(super) fn new(rate_hz: f64, full_scale: f64) -> Self {
        let hop = (rate_hz / PER_SECOND).round() as usize;
        let (db, clipped, not_numbers) = (Vec::new(), Vec::new(), Vec::new());
        let high_pass = HighPass::new(RUMBLE_HZ / rate_hz);
        Self { high_pass, full_scale, hop, filled: 0, energy: 0.0, run: 0, db, clipped, not_numbers }
    }

    /// The levels so far.
    pub(super) fn levels(self) -> Levels {
        let Self { db, clipped, not_numbers, hop, .. } = self;
        Levels { channel: 0, smooth_db: smooth(&db), frames: (db.len() * hop) as u64, db, hop, clipped, not_numbers }
    }

    /// Forgets the oldest frames.
    pub(super) fn forget(&mut self, frames: usize) {
        self.db.drain(..frames.min(self.db.len()));
        for marked in [&mut self.clipped, &mut self.not_numbers] {
            marked.retain(|&frame| frame >= frames);
            marked.iter_mut().for_each(|frame| *frame -= frames);
        }
    }

    pub(super) fn take(&mut self, sample: f64) {
        let frame = self.db.len();
        let mark = |marked: &mut Vec<usize>| {
            if marked.last() != Some(&frame) {
                marked.push(frame);
            }
        };
        if !sample.is_finite() {
            mark(&mut self.not_numbers);
        }
        self.run = if sample.abs() >= self.full_scale { self.run + 1 } else { 0 };
        if self.run >= CLIPPED_RUN {
            mark(&mut self.clipped);
        }
        let heard = self.high_pass.next(if sample.is_finite() { sample } else { 0.0 });
        self.energy += heard * heard;
        self.filled += 1;
        if self.filled == self.hop {
            let power = self.energy / self.hop as f64;
            self.db.push((10.0 * power.log10()).max(SILENCE_DB) as f32);
            (self.energy, self.filled) = (0.0, 0);
        }
    }
}

/// A Butterworth high-pass of second order, by the bilinear transform (A. V. Oppenheim and R. W. Schafer, *Discrete-Time
/// Signal Processing*, section 7.1; from memory).
#[derive(Debug, Clone)]
struct HighPass {
    gain: f64,
    back: [f64; 2],
    before: [f64; 2],
    after: [f64; 2],
}

impl HighPass {
    fn new(share_of_rate: f64) -> Self {
        let k = (PI * share_of_rate).tan();
        let scale = 1.0 / (1.0 + SQRT_2 * k + k * k);
        let back = [2.0 * (k * k - 1.0) * scale, (1.0 - SQRT_2 * k + k * k) * scale];
        Self { gain: scale, back, before: [0.0; 2], after: [0.0; 2] }
    }

    fn next(&mut self, x: f64) -> f64 {
        let [x1, x2] = self.before;
        let [y1, y2] = self.after;
        let y = self.gain * (x - 2.0 * x1 + x2) - self.back[0] * y1 - self.back[1] * y2;
        (self.before, self.after) = ([x, x1], [y, y1]);
        y
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_high_pass_halves_the_power_at_its_corner_and_passes_what_is_above() {
        let power = |share: f64| {
            let mut filter = HighPass::new(0.01);
            let out: Vec<f64> = (0..20_000).map(|n| filter.next((2.0 * PI * share * f64::from(n)).sin())).collect();
            2.0 * out[10_000..].iter().map(|y| y * y).sum::<f64>() / 10_000.0
        };
        assert!((power(0.01) - 0.5).abs() < 1e-3, "{}", power(0.01));
        assert!((power(0.2) - 1.0).abs() < 1e-3);
        assert!(power(0.001) < 2e-4);
    }
}
