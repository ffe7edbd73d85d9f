//! What a metal bears, as far as it is known.

use super::LifeRefusal;
use crate::sheet::Metal;
use crate::workshop::Bounds;

/// Fatigue strength at 1e8 cycles over tensile strength of hard-rolled copper alloys, where none is published: the values of
/// the alloy table lie between 0.21 and 0.33 of tensile or, where that is not known, yield strength.
const FATIGUE_SHARES: Bounds = Bounds::new(0.2, 0.35);
/// Cycles for which these hold.
const FATIGUE_CYCLES: f64 = 1e8;

/// Strength of a metal against one pull and against many.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strength {
    /// Yield strength (Pa), where it is known.
    pub yield_pa: Option<f64>,
    /// Tensile strength (Pa).
    pub tensile_pa: f64,
    /// Whether the tensile strength is not known and the yield strength stands for it, a lower bound.
    pub tensile_is_yield: bool,
    /// Fatigue strength (Pa): stress amplitude about zero mean.
    pub fatigue_pa: Bounds,
    /// The cycles it is for.
    pub fatigue_cycles: f64,
    /// Whether no fatigue strength is published for the metal and its share of the tensile strength is an estimate.
    pub fatigue_is_estimate: bool,
}

impl Strength {
    /// The strength of a metal.
    ///
    /// # Errors
    /// Neither yield nor tensile strength is known, or they contradict one another.
    pub fn of(metal: &Metal) -> Result<Self, LifeRefusal> {
        let (yield_pa, tensile_pa) = (metal.yield_strength_pa, metal.tensile_strength_pa);
        if let Some((yield_pa, tensile_pa)) = yield_pa.zip(tensile_pa).filter(|(yields, breaks)| breaks < yields) {
            return Err(LifeRefusal::BreaksBeforeYield { tensile_mpa: 1e-6 * tensile_pa, yield_mpa: 1e-6 * yield_pa });
        }
        let Some(known_pa) = tensile_pa.or(yield_pa) else { return Err(unknown(metal)) };
        let published = metal.fatigue_strength_pa;
        Ok(Self {
            yield_pa,
            tensile_pa: known_pa,
            tensile_is_yield: tensile_pa.is_none(),
            fatigue_pa: published.map_or(FATIGUE_SHARES.map(|share| share * known_pa), |(pa, _)| Bounds::exactly(pa)),
            fatigue_cycles: published.map_or(FATIGUE_CYCLES, |(_, cycles)| cycles),
            fatigue_is_estimate: published.is_none(),
        })
    }
}

fn unknown(metal: &Metal) -> LifeRefusal {
    let tempers = metal.alloy.iter().flat_map(|alloy| &alloy.tempers).map(|temper| temper.name.as_str());
    let tempers = tempers.collect::<Vec<_>>().join(", ");
    let cure = if tempers.is_empty() {
        "give yield_mpa or tensile_mpa, and fatigue_mpa if the mill states it".to_owned()
    } else {
        format!("give temper ({tempers}), or yield_mpa or tensile_mpa, and fatigue_mpa if the mill states it")
    };
    LifeRefusal::NoStrength { metal: metal.name.clone(), cure }
}
