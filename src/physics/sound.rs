//! The sound of a steady reed: a monopole of its net outflow.

use serde::{Deserialize, Serialize};

use std::f64::consts::{PI, TAU};

use realfft::{RealFftPlanner, num_complex::Complex};

use super::model::{ReedModel, State};
use super::trace::Trace;

/// Sound pressure that counts as 0 dB (Pa), IEC 61672-1.
pub const REFERENCE_PA: f64 = 20e-6;
/// Highest frequency that counts towards a level (Hz).
pub const HIGHEST_HZ: f64 = 20e3;
/// Samples of one period.
const SAMPLES: usize = 1024;

/// A sound pressure level.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Level {
    /// Decibel re 20 uPa.
    pub db: f64,
    /// The same, A-weighted.
    pub dba: f64,
}

/// One period of a steady run, evenly sampled.
#[derive(Debug, Clone)]
pub struct Cycle {
    frequency_hz: f64,
    density_kg_m3: f64,
    mean_tip_m: f64,
    mean_flow_m3_s: f64,
    /// Amplitudes of the net outflow's harmonics, the mean first (m3/s).
    harmonics: Vec<f64>,
}

impl Cycle {
    /// The last `period_s` of a run.
    pub fn last_of(model: &ReedModel, trace: &Trace, period_s: f64) -> Self {
        let start = trace.end_s() - period_s;
        let states = sampled(trace, start, period_s / SAMPLES as f64, SAMPLES);
        let count = SAMPLES as f64;
        let air = |state: &State| {
            let through = model.aperture.flow(state.tip_m, state.speed_m_s, state.reed_pa()).through_m3_s;
            (through, model.outflow(state, through))
        };
        let (used, mut outflow): (Vec<f64>, Vec<f64>) = states.iter().map(air).unzip();
        let mut spectrum = vec![Complex::default(); SAMPLES / 2 + 1];
        RealFftPlanner::new()
            .plan_fft_forward(SAMPLES)
            .process(&mut outflow, &mut spectrum)
            .expect("lengths that fit each other");
        let amplitude = |(k, c): (usize, &Complex<f64>)| c.norm() / count * if k == 0 { 1.0 } else { 2.0 };
        Self {
            frequency_hz: 1.0 / period_s,
            density_kg_m3: model.reed().air.density_kg_m3,
            mean_tip_m: states.iter().map(State::tip).sum::<f64>() / count,
            mean_flow_m3_s: used.iter().sum::<f64>() / count,
            harmonics: spectrum.iter().enumerate().map(amplitude).collect(),
        }
    }

    /// Mean displacement of the tip from its unblown rest (m).
    pub fn mean_tip_m(&self) -> f64 {
        self.mean_tip_m
    }

    /// Mean flow through the reed (m3/s).
    pub fn mean_flow_m3_s(&self) -> f64 {
        self.mean_flow_m3_s
    }

    /// Harmonics up to 20 kHz at `distance_m` in front: frequency (Hz) and rms sound pressure (Pa).
    pub fn spectrum_at(&self, distance_m: f64) -> Vec<(f64, f64)> {
        let harmonics = self.harmonics.iter().enumerate().skip(1);
        let pressures = harmonics.map(|(k, &flow)| {
            let frequency = k as f64 * self.frequency_hz;
            (frequency, monopole_pa(self.density_kg_m3, frequency, flow, distance_m) / 2.0_f64.sqrt())
        });
        pressures.take_while(|harmonic| harmonic.0 <= HIGHEST_HZ).collect()
    }

    /// Level at `distance_m` in front, up to 20 kHz.
    pub fn level_at(&self, distance_m: f64) -> Level {
        let (mut plain, mut weighted) = (0.0, 0.0);
        for (frequency, pressure) in self.spectrum_at(distance_m) {
            plain += pressure * pressure;
            weighted += pressure * pressure * 10.0_f64.powf(0.1 * a_weighting_db(frequency));
        }
        Level { db: decibel(plain.sqrt()), dba: decibel(weighted.sqrt()) }
    }
}

/// Sound pressure of a whole run at `distance_m` in front (Pa), `rate_hz` samples a second, nothing above 20 kHz.
pub fn waveform(model: &ReedModel, trace: &Trace, distance_m: f64, rate_hz: u32) -> Vec<f64> {
    /// Finer sampling before the highest frequencies are taken off.
    const FINER: usize = 4;
    let step = 1.0 / (f64::from(rate_hz) * FINER as f64);
    let count = (trace.end_s() / step) as usize;
    // The run is followed by its mirror image, so that the transform meets no jump at the ends.
    let states = sampled(trace, 0.0, step, count);
    let outflow = |state: &State| {
        let through = model.aperture.flow(state.tip_m, state.speed_m_s, state.reed_pa()).through_m3_s;
        model.outflow(state, through)
    };
    let mut samples: Vec<f64> = states.iter().map(outflow).collect();
    samples.extend_from_within(..);
    samples[count..].reverse();
    let size = samples.len();
    if size < 2 {
        return Vec::new();
    }
    let mut planner = RealFftPlanner::new();
    let mut spectrum = vec![Complex::default(); size / 2 + 1];
    planner.plan_fft_forward(size).process(&mut samples, &mut spectrum).expect("lengths that fit each other");
    let scale = model.reed().air.density_kg_m3 / (4.0 * PI * distance_m) / size as f64;
    for (k, value) in spectrum.iter_mut().enumerate() {
        let frequency = k as f64 / (size as f64 * step);
        let slope =
            if frequency <= HIGHEST_HZ { Complex::new(0.0, TAU * frequency * scale) } else { Complex::default() };
        *value *= slope;
    }
    // A real signal has real ends to its spectrum.
    spectrum[0].im = 0.0;
    spectrum[size / 2].im = 0.0;
    planner.plan_fft_inverse(size).process(&mut spectrum, &mut samples).expect("lengths that fit each other");
    samples[..count].iter().step_by(FINER).copied().collect()
}

/// Amplitude of the sound pressure of a monopole in free space (Pa): `rho w Q / (4 pi r)` for a flow of amplitude `Q`
/// (N. H. Fletcher and T. D. Rossing, *The Physics of Musical Instruments*, section 7.1).
pub fn monopole_pa(density_kg_m3: f64, frequency_hz: f64, flow_m3_s: f64, distance_m: f64) -> f64 {
    density_kg_m3 * TAU * frequency_hz * flow_m3_s / (4.0 * PI * distance_m)
}

/// Level of an rms sound pressure (dB re 20 uPa).
pub fn decibel(rms_pa: f64) -> f64 {
    20.0 * (rms_pa / REFERENCE_PA).log10()
}

/// A-weighting (dB) at a frequency (Hz), from the poles of IEC 61672-1, annex E, normalised to 0 dB at 1 kHz.
pub fn a_weighting_db(frequency_hz: f64) -> f64 {
    20.0 * (a_response(frequency_hz) / a_response(1000.0)).log10()
}

fn a_response(frequency_hz: f64) -> f64 {
    let square = frequency_hz * frequency_hz;
    let pole = |hz: f64| square + hz * hz;
    12194.217_f64.powi(2) * square * square
        / (pole(20.598997) * (pole(107.65265) * pole(737.86223)).sqrt() * pole(12194.217))
}

/// States at `count` times `step_s` apart from `start_s`.
fn sampled(trace: &Trace, start_s: f64, step_s: f64, count: usize) -> Vec<State> {
    (0..count).map(|n| trace.at(start_s + n as f64 * step_s)).collect()
}
