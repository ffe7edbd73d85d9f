//! Why a reed is not retuned, and what to do instead.

use crate::sheet::SheetError;
use crate::units::{cents, cents_size, kilograms, metres, significant};

/// A patch with its depth (all m).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LongerPatch {
    /// From the clamp.
    pub from_m: f64,
    /// From the clamp.
    pub to_m: f64,
    /// Metal to take.
    pub depth_m: f64,
}

/// Why there is no plan.
#[derive(Debug, Clone, thiserror::Error)]
#[non_exhaustive]
pub enum RetuneRefusal {
    /// Nothing to do.
    #[error("it is {} from there already, less than a tuner can tell", cents(*.off_cents))]
    InTune {
        /// Cents above the target.
        off_cents: f64,
    },
    /// A frequency is wanted, but the one it has is not known.
    #[error(
        "no pitch was measured, and its sizes tell the pitch to a few per cent only; give measured_sounding_hz with measured_at_pa, or measured_pluck_hz, or ask for a change in cents"
    )]
    NoPitch,
    /// The model's step to the sounding pitch was asked for where there is none.
    #[error("by the model the reed does not sound at {} Pa; ask at another pressure, or leave the model's shift out", significant(*.pressure_pa, 3))]
    Silent {
        /// The pressure (Pa).
        pressure_pa: f64,
    },
    /// How the metal follows temperature is not known.
    #[error("a temperature of bench or play cannot be used: {0}")]
    Temperature(#[source] SheetError),
    /// The patch is not on the tongue.
    #[error(
        "a patch from {} to {} is not on a tongue of {}; give from and to in mm from the clamp, from the smaller to the larger",
        metres(*.from_m), metres(*.to_m), metres(*.length_m)
    )]
    NoPatch {
        /// From the clamp (m).
        from_m: f64,
        /// From the clamp (m).
        to_m: f64,
        /// Length of the tongue (m).
        length_m: f64,
    },
    /// The patch does the opposite.
    #[error(
        "filing from {} to {} {} this reed; {} it between {} and {}",
        metres(*.from_m), metres(*.to_m),
        if *.raise { "lowers" } else { "raises" },
        if *.raise { "raise" } else { "lower" },
        metres(.side_m.0), metres(.side_m.1)
    )]
    WrongSide {
        /// From the clamp (m).
        from_m: f64,
        /// From the clamp (m).
        to_m: f64,
        /// Whether the reed was to be raised.
        raise: bool,
        /// Where filing does what is wanted (m from the clamp).
        side_m: (f64, f64),
    },
    /// More than may be taken there.
    #[error("{}", too_deep(*.most_share, *.reached_cents, *.need_cents, .longer.as_ref(), *.weight_kg))]
    TooDeep {
        /// The share of the local thickness that may go.
        most_share: f64,
        /// Change at that depth (cents).
        reached_cents: f64,
        /// Change needed (cents).
        need_cents: f64,
        /// A longer patch that does it within the share.
        longer: Option<LongerPatch>,
        /// Weight on the tip that does it (kg), or to be taken off where it is below zero.
        weight_kg: Option<f64>,
    },
    /// A weight on the tip only lowers.
    #[error(
        "a weight on the tip lowers; to raise by {} there is {} to take off the tip, which is not enough: file the tip instead",
        cents(*.need_cents), kilograms(*.there_kg)
    )]
    NoWeightToTake {
        /// Change needed (cents).
        need_cents: f64,
        /// Weight that is there (kg).
        there_kg: f64,
    },
    /// More than the tip should carry.
    #[error(
        "{} on the tip would be more than {} % of the tongue's mass; file near the root instead, or allow more",
        kilograms(*.needed_kg), percent(*.most_share)
    )]
    TooHeavy {
        /// Weight needed (kg).
        needed_kg: f64,
        /// Largest share of the tongue's mass.
        most_share: f64,
    },
    /// The changed reed is none that can be described.
    #[error("the reed as it would be: {0}")]
    Sheet(#[from] SheetError),
}

/// A share in percent, without zeros at its end.
fn percent(share: f64) -> String {
    format!("{}", (1e4 * share).round() / 1e2)
}

fn too_deep(share: f64, reached: f64, need: f64, longer: Option<&LongerPatch>, weight_kg: Option<f64>) -> String {
    let mut ways = Vec::new();
    if let Some(LongerPatch { from_m, to_m, depth_m }) = longer {
        ways.push(format!("a longer patch (from {} to {}, {} deep)", metres(*from_m), metres(*to_m), metres(*depth_m)));
    }
    match weight_kg {
        Some(kg) if kg > 0.0 => ways.push(format!("{} on the tip", kilograms(kg))),
        Some(kg) => ways.push(format!("{} off the tip's weight", kilograms(-kg))),
        None => {}
    }
    ways.push("a larger share, at the reed's risk".to_owned());
    ways.push("another reed (replace)".to_owned());
    let way = if need > 0.0 { "raises" } else { "lowers" };
    format!(
        "taking {} % of the thickness there {way} it by {} only, {} are needed; try {}",
        percent(share),
        cents_size(reached),
        cents_size(need),
        ways.join(", or ")
    )
}
