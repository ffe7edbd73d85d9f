//! The onset over the area of a stray leak.

use super::SealRefusal;
use crate::answer::{Conditions, Neighbour, Quantity, Solved};
use crate::physics::{InputError, Reed};

/// The same reed with another leak.
pub fn with_leak(reed: &Reed, area_m2: f64) -> Reed {
    let mut reed = reed.clone();
    reed.slot.leak_area_m2 = area_m2;
    reed
}

/// Onset of a reed (Pa); nothing where it never starts.
pub fn onset_pa(reed: &Reed, conditions: &Conditions) -> Result<Option<f64>, InputError> {
    let solved = Solved::of(reed, &[Quantity::Onset], conditions, 1.0, &mut Neighbour::default())?;
    Ok(solved.answer(Quantity::Onset).value)
}

/// Onset of a reed without any leak (Pa).
pub fn tight_onset_pa(reed: &Reed, conditions: &Conditions) -> Result<f64, SealRefusal> {
    let limit_pa = conditions.search.limit_pa;
    onset_pa(&with_leak(reed, 0.0), conditions)?.ok_or(SealRefusal::SilentWithoutLeak { limit_pa })
}

/// Largest leak tried (m2): the largest that a file may state.
const LARGEST_M2: f64 = 20e-6;
/// How finely an area is found, of itself.
const FOUND_TO: f64 = 0.01;

/// The leak at which the onset is higher by `rise` than `tight_pa` without one (m2), by bisection of its logarithm; the
/// largest that can be stated where even that raises it by less.
pub fn leak_for_rise_m2(reed: &Reed, tight_pa: f64, rise: f64, conditions: &Conditions) -> Result<f64, InputError> {
    let too_large = |area: f64| {
        let found = onset_pa(&with_leak(reed, area), conditions)?;
        Ok::<bool, InputError>(found.is_none_or(|onset| onset > (1.0 + rise) * tight_pa))
    };
    let (mut low, mut high) = (1e-10, LARGEST_M2);
    if !too_large(high)? {
        return Ok(high);
    }
    while high / low > 1.0 + FOUND_TO {
        let middle = (low * high).sqrt();
        if too_large(middle)? { high = middle } else { low = middle }
    }
    Ok(low)
}
