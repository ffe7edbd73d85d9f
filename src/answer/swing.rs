//! A measured swing in place of the model's own, which is weak.

use crate::physics::ReedModel;
use crate::physics::attack::{Blow, Stop};
use crate::sheet::CheckedReed;

/// What the model's swing is multiplied by: swing, stress and level then follow the measured one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SwingScale {
    /// Measured over computed swing.
    pub factor: f64,
    /// Pressure at which it was measured (Pa).
    pub at_pa: f64,
}

impl SwingScale {
    /// Of a reed on which `measured_swing_mm` was measured at `measured_at_pa`; nothing where it was not.
    ///
    /// # Errors
    /// The model says that the reed does not sound at that pressure, so there is nothing to compare with.
    pub fn of(checked: &CheckedReed, model: &ReedModel) -> Result<Option<Self>, DoesNotSound> {
        let measured = &checked.measured;
        let Some((swing_m, at_pa)) = measured.swing_m.zip(measured.at_pa) else { return Ok(None) };
        let computed = model.attack(&Blow::to(at_pa), Stop::WhenSteady).steady.ok_or(DoesNotSound { at_pa })?;
        Ok(Some(Self { factor: swing_m / computed.tip_amplitude_m, at_pa }))
    }
}

/// What swing, stress and level of a reed are multiplied by: 1 where no swing was measured, and where the one measured fits
/// nothing, which is then noted.
pub fn swing_scale(model: &ReedModel, checked: &mut CheckedReed) -> f64 {
    match SwingScale::of(checked, model) {
        Ok(found) => found.map_or(1.0, |scale| scale.factor),
        Err(error) => {
            checked.notes.push(error.to_string());
            1.0
        }
    }
}

/// A swing was measured where the model says the reed does not sound.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error(
    "measured_swing_mm cannot be used: by the model the reed does not sound at {at_pa} Pa; measure gap and clearance again, or leave measured_swing_mm out"
)]
pub struct DoesNotSound {
    /// The pressure (Pa).
    pub at_pa: f64,
}
