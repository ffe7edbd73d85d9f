//! Sounds whose answers are known in closed form, as WAV files in memory.

use std::f64::consts::TAU;
use std::io::Cursor;

use realfft::num_complex::Complex;

use freereed::listen::{Heard, HeardNote, Kind, Recording, listen};

/// Samples a second of most sounds.
pub const RATE_HZ: f64 = 22_050.0;

/// Equal odds and normal deviates: the 64-bit congruential generator of D. E. Knuth (MMIX), upper bits, and G. E. P. Box and M.
/// E. Muller's transform.
pub struct Chance(u64);

impl Chance {
    pub fn new(seed: u64) -> Self {
        let mut chance = Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15));
        chance.next();
        chance
    }

    /// Between 0 and 1.
    pub fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    pub fn normal(&mut self) -> f64 {
        (-2.0 * self.next().max(1e-300).ln()).sqrt() * (TAU * self.next()).cos()
    }
}

/// A sound in the making: silence that notes are added to.
pub struct Sound {
    pub rate_hz: f64,
    pub samples: Vec<f64>,
}

impl Sound {
    pub fn silent(duration_s: f64) -> Self {
        Self::at_rate(RATE_HZ, duration_s)
    }

    pub fn at_rate(rate_hz: f64, duration_s: f64) -> Self {
        Self { rate_hz, samples: vec![0.0; (rate_hz * duration_s) as usize] }
    }

    /// Adds a wave, given by its phase in cycles and its envelope at each moment after `from_s`.
    pub fn add(
        mut self,
        from_s: f64,
        harmonics: &[f64],
        cycles: impl Fn(f64) -> f64,
        envelope: impl Fn(f64) -> f64,
    ) -> Self {
        // Harmonics beyond what the rate can hold would be heard as something else.
        let hz = 1e3 * (cycles(1e-3) - cycles(0.0));
        let held = ((0.45 * self.rate_hz / hz) as usize).clamp(1, harmonics.len());
        let harmonics = &harmonics[..held];
        let sizes: Vec<Complex<f64>> =
            harmonics.iter().zip(1..).map(|(&a, h)| Complex::from_polar(a, f64::from(h * h))).collect();
        let first = (from_s * self.rate_hz).ceil() as usize;
        for (k, sample) in self.samples.iter_mut().enumerate().skip(first) {
            let t = k as f64 / self.rate_hz - from_s;
            // Harmonic after harmonic by the powers of one phasor.
            let phasor = Complex::from_polar(1.0, TAU * cycles(t));
            let wave = sizes.iter().rev().fold(Complex::new(0.0, 0.0), |sum, size| (sum + size) * phasor);
            *sample += envelope(t) * wave.im;
        }
        self
    }

    /// Adds a steady tone that is blown from `from_s` to `to_s`.
    pub fn blown(self, hz: f64, from_s: f64, to_s: f64, harmonics: &[f64]) -> Self {
        self.add(from_s, harmonics, |t| hz * t, move |t| flat(t, to_s - from_s))
    }

    /// Adds a pluck.
    pub fn plucked(self, hz: f64, from_s: f64, tau_s: f64, amplitude: f64) -> Self {
        self.add(from_s, &[amplitude, 0.2 * amplitude], |t| hz * t, move |t| (-t / tau_s).exp() * (t / 1e-3).min(1.0))
    }

    /// Adds white noise of a standard deviation.
    pub fn noisy(mut self, deviation: f64, seed: u64) -> Self {
        let mut chance = Chance::new(seed);
        self.samples.iter_mut().for_each(|sample| *sample += deviation * chance.normal());
        self
    }

    /// As a WAV file of 32-bit floats.
    pub fn wav(&self) -> Vec<u8> {
        let spec = hound::WavSpec {
            channels: 1,
            sample_rate: self.rate_hz as u32,
            bits_per_sample: 32,
            sample_format: hound::SampleFormat::Float,
        };
        let mut bytes = Cursor::new(Vec::new());
        let mut writer = hound::WavWriter::new(&mut bytes, spec).unwrap();
        self.samples.iter().for_each(|&sample| writer.write_sample(sample as f32).unwrap());
        writer.finalize().unwrap();
        bytes.into_inner()
    }

    pub fn heard(&self) -> Heard {
        self.heard_of(None)
    }

    pub fn heard_of(&self, of: Option<Kind>) -> Heard {
        listen(&mut Recording::of("sound.wav", Cursor::new(self.wav())).unwrap(), of).unwrap()
    }

    /// The only note in it.
    pub fn note(&self) -> HeardNote {
        let heard = self.heard();
        assert_eq!(heard.notes.len(), 1, "{heard:#?}");
        heard.notes[0].clone()
    }
}

/// Up in 30 ms, down in 30 ms.
pub fn flat(t: f64, duration_s: f64) -> f64 {
    (t / 0.03).min(1.0) * ((duration_s - t) / 0.03).clamp(0.0, 1.0)
}

/// Harmonics of a bright reed, its fundamental not the strongest.
pub const BRIGHT: [f64; 8] = [0.1, 0.2, 0.15, 0.12, 0.08, 0.06, 0.04, 0.03];

pub fn cents(hz: f64, reference_hz: f64) -> f64 {
    1200.0 * (hz / reference_hz).log2()
}

/// The equal-tempered note of a MIDI number.
pub fn midi_hz(number: i32) -> f64 {
    440.0 * (f64::from(number - 69) / 12.0).exp2()
}
