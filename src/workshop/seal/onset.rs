//! The onset over the area of a stray leak.

use super::SealRefusal;
use crate::answer::Conditions;
use crate::physics::{InputError, Reed, ReedModel};

/// Onset of a reed over its stray leak.
pub struct OnsetOverLeak<'a> {
    model: ReedModel,
    conditions: &'a Conditions,
}

/// Largest leak tried (m2): the largest that a file may state.
const LARGEST_M2: f64 = 20e-6;
/// How finely an area is found, of itself.
const FOUND_TO: f64 = 0.01;

impl<'a> OnsetOverLeak<'a> {
    /// Of a reed, whatever leak it has.
    ///
    /// # Errors
    /// A value for which the equations have no meaning.
    pub fn of(reed: &Reed, conditions: &'a Conditions) -> Result<Self, InputError> {
        Ok(Self { model: ReedModel::new(reed.clone())?, conditions })
    }

    /// Onset with a leak of this area (Pa); nothing where it never starts.
    pub fn onset_pa(&self, area_m2: f64) -> Option<f64> {
        self.model.with_leak_area(area_m2).onset(&self.conditions.search).map(|onset| onset.pressure_pa)
    }

    /// Onset without any leak (Pa).
    ///
    /// # Errors
    /// A reed that starts at no pressure even so.
    pub fn tight_pa(&self) -> Result<f64, SealRefusal> {
        let limit_pa = self.conditions.search.limit_pa;
        self.onset_pa(0.0).ok_or(SealRefusal::SilentWithoutLeak { limit_pa })
    }

    /// The leak at which the onset is higher by `rise` than `tight_pa` without one (m2), by bisection of its logarithm; the
    /// largest that can be stated where even that raises it by less.
    pub fn leak_for_rise_m2(&self, tight_pa: f64, rise: f64) -> f64 {
        let too_large = |area: f64| self.onset_pa(area).is_none_or(|onset| onset > (1.0 + rise) * tight_pa);
        let (mut low, mut high) = (1e-10, LARGEST_M2);
        if !too_large(high) {
            return high;
        }
        while high / low > 1.0 + FOUND_TO {
            let middle = (low * high).sqrt();
            if too_large(middle) { high = middle } else { low = middle }
        }
        low
    }
}
