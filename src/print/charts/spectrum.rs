//! The harmonics of a steady reed as a picture.

use super::words::{small_print, tone};
use crate::chart::{Harmonic, SpectrumChart};
use crate::physics::sound::{Cycle, decibel};
use crate::sheet::{CheckedReed, Tuning};

/// Where the sound is told (m in front).
const DISTANCE_M: f64 = 1.0;

/// The sound at 1 m of one steady swing, such as [`Cycle::last_of`] a run; of silence, where there is none.
pub fn spectrum_chart(
    reed_name: &str,
    checked: &CheckedReed,
    pressure_pa: f64,
    cycle: Option<&Cycle>,
    tuning: &Tuning,
) -> SpectrumChart {
    let harmonics = cycle.map_or(Vec::new(), |cycle| cycle.spectrum_at(DISTANCE_M));
    let level = cycle.map(|cycle| cycle.level_at(DISTANCE_M));
    let harmonic =
        |(frequency_hz, rms_pa): (f64, f64)| Harmonic { tone: tone(frequency_hz, tuning), level_db: decibel(rms_pa) };
    let says = "A point source in free air: no instrument, hands or room. Levels in absolute terms: weak; the order of \
                reeds and of changes: sure. Loud sound over hours harms hearing: protect it.";
    SpectrumChart {
        reed_name: reed_name.to_owned(),
        pressure_pa,
        distance_m: DISTANCE_M,
        harmonics: harmonics.into_iter().map(harmonic).collect(),
        level_db: level.map_or(f64::NEG_INFINITY, |level| level.db),
        level_dba: level.map_or(f64::NEG_INFINITY, |level| level.dba),
        small_print: small_print(checked, tuning, says),
    }
}
