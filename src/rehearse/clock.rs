//! From ticks of a standard MIDI file to seconds.

use midly::{Fps, Timing};

use super::midi::NotReadable;

/// Microseconds for a quarter note where no tempo is written: 120 in a minute (Standard MIDI Files 1.0, set tempo).
pub(super) const USUAL_TEMPO_US: u32 = 500_000;

/// Ticks to seconds.
///
/// By quarter notes a tick lasts `T/(1e6 d)` with the tempo `T` (microseconds a quarter) in force and the division `d`
/// (ticks a quarter); by time code `1/(f s)` with `f` frames a second and `s` ticks a frame, whatever the tempo.
#[derive(Debug, Clone)]
pub(super) struct Clock {
    /// Tick from which on, its time (s), and what a tick lasts from there (s); the first at tick 0.
    stretches: Vec<(u64, f64, f64)>,
}

impl Clock {
    /// With every change of tempo: its tick and the microseconds for a quarter note, in any order.
    pub fn new(timing: Timing, mut tempos: Vec<(u64, u32)>) -> Result<Self, NotReadable> {
        let ticks_a_quarter = match timing {
            Timing::Timecode(_, 0) => return Err(NotReadable::NoDivision),
            Timing::Timecode(fps, ticks) => {
                let tick_s = 1.0 / (frames_per_s(fps) * f64::from(ticks));
                return Ok(Self { stretches: vec![(0, 0.0, tick_s)] });
            }
            Timing::Metrical(ticks) if ticks.as_int() == 0 => return Err(NotReadable::NoDivision),
            Timing::Metrical(ticks) => f64::from(ticks.as_int()),
        };
        if tempos.iter().any(|(_, tempo)| *tempo == 0) {
            return Err(NotReadable::NoTempo);
        }
        // Of two at one tick the later in the file counts: the sort is stable.
        tempos.sort_by_key(|(tick, _)| *tick);
        let tick_s = |tempo_us: u32| 1e-6 * f64::from(tempo_us) / ticks_a_quarter;
        let mut stretches = vec![(0, 0.0, tick_s(USUAL_TEMPO_US))];
        for (tick, tempo_us) in tempos {
            let (from, at_s, each_s) = stretches[stretches.len() - 1];
            stretches.push((tick, at_s + (tick - from) as f64 * each_s, tick_s(tempo_us)));
        }
        Ok(Self { stretches })
    }

    /// The time of a tick (s).
    pub fn at_s(&self, tick: u64) -> f64 {
        let after = self.stretches.partition_point(|stretch| stretch.0 <= tick);
        let (from, at_s, each_s) = self.stretches[after - 1];
        at_s + (tick - from) as f64 * each_s
    }

    /// Quarter notes a minute at the beginning; nothing by time code.
    pub fn bpm(timing: Timing, tempos: &[(u64, u32)]) -> Option<f64> {
        let first = tempos.iter().rfind(|(tick, _)| *tick == 0).map_or(USUAL_TEMPO_US, |(_, tempo)| *tempo);
        matches!(timing, Timing::Metrical(_)).then(|| 60e6 / f64::from(first))
    }
}

/// Frames a second; drop frame is exactly 30/1.001.
fn frames_per_s(fps: Fps) -> f64 {
    match fps {
        Fps::Fps24 => 24.0,
        Fps::Fps25 => 25.0,
        Fps::Fps29 => 30_000.0 / 1001.0,
        Fps::Fps30 => 30.0,
    }
}
