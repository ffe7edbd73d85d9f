//! How flat a plate must lie on its comb.

use super::onset::OnsetOverLeak;
use super::{LARGE_RISE, SMALL_RISE, SealRefusal};
use crate::answer::Conditions;
use crate::physics::aperture::Slit;
use crate::sheet::CheckedReed;
use crate::workshop::seal::leak::damping_area_m2;

/// The land on which the plate lies around one chamber.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Land {
    /// Length of the seam that leaks to the outside (m).
    pub length_m: f64,
    /// Width of the land, the depth of the slit (m).
    pub width_m: f64,
}

impl Land {
    /// A slit under the whole length of the land.
    pub fn slit(&self, height_m: f64) -> Slit {
        Slit::sharp(height_m, self.width_m)
    }
}

/// The flatness that is worth having.
#[derive(Debug, Clone)]
pub struct FlatnessPlan {
    /// The land.
    pub land: Land,
    /// Onset without a leak (Pa).
    pub tight_onset_pa: f64,
    /// Height of an even slit that raises the onset by [`SMALL_RISE`] (m).
    pub small_m: f64,
    /// Height that raises it by [`LARGE_RISE`] (m).
    pub large_m: f64,
    /// Height found with a feeler (m), where it was.
    pub measured_m: Option<f64>,
    /// Whether the measured slit is higher than `small_m`.
    pub needed: bool,
    /// The reed with the measured slit, else as its file says.
    pub before: CheckedReed,
    /// The reed with a slit of `small_m`.
    pub after: CheckedReed,
}

impl FlatnessPlan {
    /// Finds the slits whose leak raises the onset by 2 and 5 %, all other leaks away.
    ///
    /// # Errors
    /// A reed that does not start even without a leak.
    pub fn of(
        checked: &CheckedReed,
        land: Land,
        measured_m: Option<f64>,
        conditions: &Conditions,
    ) -> Result<Self, SealRefusal> {
        let reed = &checked.reed;
        let over_leak = OnsetOverLeak::of(reed, conditions)?;
        let tight_onset_pa = over_leak.tight_pa()?;
        let area = |height_m: f64| {
            let conductance = land.slit(height_m).conductance_m3_s_pa(&reed.air, land.length_m, tight_onset_pa);
            damping_area_m2(conductance, &reed.air, tight_onset_pa)
        };
        let height = |rise: f64| height_for(over_leak.leak_for_rise_m2(tight_onset_pa, rise), &area);
        let (small_m, large_m) = (height(SMALL_RISE), height(LARGE_RISE));
        let with = |height_m: f64| checked.with("leak_mm2", 1e6 * area(height_m));
        let needed = measured_m.is_some_and(|measured| measured > small_m);
        let before = measured_m.map_or_else(|| Ok(checked.clone()), with)?;
        let after = if needed { with(small_m)? } else { before.clone() };
        Ok(Self { land, tight_onset_pa, small_m, large_m, measured_m, needed, before, after })
    }
}

/// Lowest and highest slit looked at (m).
const LOWEST_M: f64 = 0.1e-6;
const HIGHEST_M: f64 = 2e-3;

/// The slit whose area is `area_m2`: it grows with the height, so bisection of the logarithm finds it.
fn height_for(area_m2: f64, area: &impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (LOWEST_M, HIGHEST_M);
    while high / low > 1.0 + 1e-6 {
        let middle = (low * high).sqrt();
        if area(middle) > area_m2 { high = middle } else { low = middle }
    }
    low
}
