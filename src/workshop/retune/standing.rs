//! The pitch a plan starts from: measured, and carried to the player's pressure and temperature by differences.

use super::{RetuneOptions, RetuneRefusal};
use crate::physics::ReedModel;
use crate::physics::attack::{Blow, Stop};
use crate::sheet::{CheckedReed, notes};

/// Sizes, modulus and plucked pitch are stated for this temperature (degC).
pub const STATED_AT_C: f64 = 20.0;

/// What the pitch in play is known from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Basis {
    /// A measured sounding pitch, and the model's change of it with pressure and temperature.
    Sounding,
    /// The measured plucked pitch, taken for the sounding one.
    Plucked,
    /// The measured plucked pitch and the model's step from plucked to sounding: weak.
    PluckedAndModelShift,
    /// Nothing was measured: only a change from where it is can be planned.
    NotKnown,
}

/// The pitch before the work.
#[derive(Debug, Clone)]
pub struct Standing {
    /// How it is known.
    pub basis: Basis,
    /// Pitch in play (Hz): at the player's pressure and temperature.
    pub playing_hz: Option<f64>,
    /// What was measured, as it would read on the bench: plucked (Hz).
    pub bench_pluck_hz: Option<f64>,
    /// And sounding (Hz) at [`Standing::measured_at_pa`].
    pub bench_sounding_hz: Option<f64>,
    /// Mouth pressure of the measurement (Pa).
    pub measured_at_pa: Option<f64>,
    /// Mouth pressure in play (Pa).
    pub pressure_pa: f64,
    /// Step from plucked to sounding at that pressure by the model (cents): weak.
    pub model_shift_cents: Option<f64>,
    /// Temperature on the bench and in play (degC).
    pub temperatures_c: (f64, f64),
    /// Change of pitch from the bench to play by temperature alone (cents).
    pub warmth_cents: f64,
    /// And from the pressure of the measurement to that of the player (cents).
    pub pressure_cents: Option<f64>,
    /// The reed in play.
    pub(super) playing: CheckedReed,
    /// Its sounding pitch by the model (Hz), for differences only.
    pub(super) model_hz: Option<f64>,
}

impl Standing {
    /// Carries what was measured to how the reed is played.
    pub(super) fn of(checked: &CheckedReed, options: &RetuneOptions) -> Result<Self, RetuneRefusal> {
        let stated_c = checked.temperature_c.unwrap_or(STATED_AT_C);
        let bench_c = options.bench_c.unwrap_or(stated_c);
        let playing_c = options.playing_c.unwrap_or(bench_c);
        let (bench, playing) = (at_temperature(checked, bench_c)?, at_temperature(checked, playing_c)?);
        let pluck = |reed: &CheckedReed| reed.reed.beam.modes(1)[0].frequency_hz;
        let measured = &checked.measured;
        let sounding = measured.sounding_hz.zip(measured.at_pa);
        let model_hz = sounding_hz(&playing, options.pressure_pa);
        let model_shift_cents = model_hz.map(|hz| notes::cents(hz, pluck(&playing)));
        let warmth_cents = notes::cents(pluck(&playing), pluck(&bench));
        // The plucked pitch is stated for 20 degC; the beam meets it there.
        let bench_pluck_hz = measured.pluck_hz.map(|_| pluck(&bench));
        let there_hz = sounding.and_then(|(_, at_pa)| sounding_hz(&bench, at_pa));
        let carried = model_hz.zip(there_hz).map(|(here, there)| notes::cents(here, there));
        let (basis, playing_hz) = match (sounding, bench_pluck_hz, model_shift_cents) {
            (Some((hz, _)), ..) => (Basis::Sounding, Some(notes::raised(hz, carried.unwrap_or(warmth_cents)))),
            (None, Some(_), Some(shift)) if options.with_model_shift => {
                (Basis::PluckedAndModelShift, Some(notes::raised(pluck(&playing), shift)))
            }
            (None, Some(_), None) if options.with_model_shift => {
                return Err(RetuneRefusal::Silent { pressure_pa: options.pressure_pa });
            }
            (None, Some(_), _) => (Basis::Plucked, Some(pluck(&playing))),
            (None, None, _) => (Basis::NotKnown, None),
        };
        Ok(Self {
            basis,
            playing_hz,
            bench_pluck_hz,
            bench_sounding_hz: sounding.map(|(hz, _)| hz),
            measured_at_pa: sounding.map(|(_, at_pa)| at_pa),
            pressure_pa: options.pressure_pa,
            model_shift_cents,
            temperatures_c: (bench_c, playing_c),
            warmth_cents,
            pressure_cents: carried.map(|cents| cents - warmth_cents),
            playing,
            model_hz,
        })
    }

    /// Whether the work is to move the sounding pitch; else the plucked one.
    pub(super) fn follows_sounding(&self) -> bool {
        matches!(self.basis, Basis::Sounding | Basis::PluckedAndModelShift)
    }

    /// Change of the sounding pitch (cents) to `after` in play, where both sound.
    pub(super) fn sounding_cents(&self, after: &CheckedReed) -> Option<f64> {
        let before_hz = self.model_hz?;
        let after = at_temperature(after, self.temperatures_c.1).ok()?;
        Some(notes::cents(sounding_hz(&after, self.pressure_pa)?, before_hz))
    }
}

/// The same reed at another temperature.
fn at_temperature(checked: &CheckedReed, celsius: f64) -> Result<CheckedReed, RetuneRefusal> {
    if celsius == checked.temperature_c.unwrap_or(STATED_AT_C) {
        return Ok(checked.clone());
    }
    checked.with("temperature_c", celsius).map_err(RetuneRefusal::Temperature)
}

/// The model's sounding pitch (Hz); nothing where the reed does not sound or does not settle.
fn sounding_hz(checked: &CheckedReed, pressure_pa: f64) -> Option<f64> {
    let model = ReedModel::new(checked.reed.clone()).ok()?;
    model.attack(&Blow::to(pressure_pa), Stop::WhenSteady).steady.map(|steady| steady.frequency_hz)
}
