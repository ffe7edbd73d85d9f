//! What holds the reed on its plate: how much of the pad, how hard, and what the pitch says about it.
//!
//! No equation leads from the clamp force to the stiffness of the root. What can be computed is the coverage
//! ([`Head`]), the clamp force of a torque and the torque a small screw bears ([`screw`]), the turning that friction
//! withstands ([`Grip`]), and, from a pitch that is lower than the tongue built in would have, the spring that the root
//! behaves as ([`Root`]): the most that a better fastener can win back.

mod grip;
mod head;
mod root;
pub mod screw;
mod steps;

pub use grip::{FRICTION, Grip};
pub use head::{Head, HeadFault};
pub use root::{BuiltInFrom, Root};
pub use screw::{Screw, Tightening, TorqueLimit};

use super::Steps;
use crate::sheet::{CheckedReed, SheetError};

/// What is known about a fastener, besides the reed.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Fastening {
    /// The head on its pad.
    pub head: Option<Head>,
    /// Diameter of another head that is thought of (m).
    pub new_head_m: Option<f64>,
    /// Thickness of the pad (m); none: the tongue's at its root.
    pub pad_thickness_m: Option<f64>,
    /// The screw; none: a rivet.
    pub screw: Option<Tightening>,
    /// Plucked pitch before and after tightening.
    pub pitches: Option<Pitches>,
}

/// Plucked pitch of one reed before and after its fastener was tightened.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pitches {
    /// Before (Hz).
    pub before_hz: f64,
    /// After (Hz).
    pub after_hz: f64,
}

/// Why nothing can be said about a fastener.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum FastenRefusal {
    /// Neither sizes nor pitches.
    #[error(
        "there is nothing to go by: give head, hole and pad, or a screw, or the \
         pitch before and after tightening, or both thickness_mm and measured_pluck_hz in the reed's file"
    )]
    Nothing,
    /// The head does not fit the pad.
    #[error(transparent)]
    Head(#[from] HeadFault),
    /// The pitch fell when the fastener was tightened.
    #[error(
        "the pitch fell by {cents:.1} cents when tightened ({before_hz} to {after_hz} Hz): a root that holds better raises it; \
         see whether the tongue touches the slot, whether the pad lies flat, and whether the two were swapped"
    )]
    Fell {
        /// Before (Hz).
        before_hz: f64,
        /// After (Hz).
        after_hz: f64,
        /// How much (cents).
        cents: f64,
    },
    /// No root that still is a clamp takes so much.
    #[error(
        "{cents:.0} cents are more than any clamp takes off: look for a crack, for weight or dirt on the tip, check length and \
         thickness, and the octave of the pitch"
    )]
    NoRoot {
        /// The loss to explain (cents).
        cents: f64,
    },
    /// The reed with another root is no reed.
    #[error(transparent)]
    Sheet(#[from] SheetError),
}

/// What is found about a fastener, and the reed as it will be.
#[derive(Debug, Clone)]
pub struct FastenPlan {
    /// What is known about the fastener.
    pub fastening: Fastening,
    /// What the pitch says about the root, where it says anything.
    pub root: Option<Root>,
    /// The reed as it is, with the root that its pitch asks for; before tightening where both pitches were given.
    pub before: CheckedReed,
    /// The reed with its root built in, where that differs: the most that a better fastener can do.
    pub built_in: Option<CheckedReed>,
    /// What screw and head hold, where the screw is known.
    pub grip: Option<Grip>,
    /// The most torque that surely does no harm, where the screw is known.
    pub limit: Option<TorqueLimit>,
    /// Clamp force (N) under which the pad can never rock before the tongue bends for good, where pad and yield strength
    /// are known: the moment at the root that starts to bend it, over half the pad's length.
    pub never_rocks_n: Option<f64>,
    /// Root spring (N m/rad) if the pad's strip between head and root edge were not held at all, the rest built in: the
    /// softest that the coverage explains. Infinite where the head reaches the edge.
    pub bare_strip_n_m_per_rad: Option<f64>,
    /// The same with the other head.
    pub new_bare_strip_n_m_per_rad: Option<f64>,
    /// The pitch repeats when two readings differ by no more than this (cents): twice the tolerance of one.
    pub repeats_cents: f64,
}

/// What a fastener holds, and what the pitch says about it.
///
/// # Errors
/// Nothing to go by, a head that does not fit its pad, a pitch that no root explains.
pub fn fasten(checked: &CheckedReed, fastening: &Fastening) -> Result<FastenPlan, FastenRefusal> {
    let heads = fastening.head.into_iter().chain(fastening.new_head());
    heads.into_iter().try_for_each(|head| head.check())?;
    let found = root::found(checked, fastening)?;
    if found.is_none() && fastening.head.is_none() && fastening.screw.is_none() {
        return Err(FastenRefusal::Nothing);
    }
    let reed = &checked.reed;
    let pluck_hz = found.as_ref().map_or(440.0, |found| found.root.pitch_hz);
    let (before, built_in) = match &found {
        Some(found) => (found.soft.clone(), found.root.is_soft().then(|| found.built_in.clone())),
        None => (checked.clone(), None),
    };
    let bare_strip = |head: Head| bare_strip_n_m_per_rad(checked, fastening, head);
    Ok(FastenPlan {
        fastening: *fastening,
        root: found.as_ref().map(|found| found.root),
        grip: Grip::of(fastening, reed.beam.length_m),
        limit: fastening.screw.map(|screw| screw.limit(reed.slot.plate_thickness_m)),
        never_rocks_n: never_rocks_n(checked, fastening),
        bare_strip_n_m_per_rad: fastening.head.map(bare_strip),
        new_bare_strip_n_m_per_rad: fastening.new_head().map(bare_strip),
        repeats_cents: 2.0 * root::pluck_cents(checked, pluck_hz),
        before,
        built_in,
    })
}

impl Fastening {
    /// The other head on the same pad.
    pub fn new_head(&self) -> Option<Head> {
        Some(self.head?.with_head(self.new_head_m?))
    }
}

impl FastenPlan {
    /// Keys of the reed that the plan changes.
    pub fn changed_keys(&self) -> &'static [&'static str] {
        if self.fastening.pitches.is_some() {
            &["root_spring_n_m_per_rad", "measured_pluck_hz"]
        } else {
            &["root_spring_n_m_per_rad"]
        }
    }

    /// What to do.
    pub fn steps(&self) -> Steps {
        steps::steps(self)
    }
}

/// `M_y/(l/2)`, `M_y = yield * w h^2/6` at the root.
fn never_rocks_n(checked: &CheckedReed, fastening: &Fastening) -> Option<f64> {
    let beam = &checked.reed.beam;
    let moment_n_m = checked.metal.yield_strength_pa? * beam.width_m.at(0.0) * beam.thickness_m.at(0.0).powi(2) / 6.0;
    Some(moment_n_m / (0.5 * fastening.head?.pad_length_m))
}

/// `E I/a` of a strip of the pad, `a` long.
fn bare_strip_n_m_per_rad(checked: &CheckedReed, fastening: &Fastening, head: Head) -> f64 {
    let beam = &checked.reed.beam;
    let thickness_m = fastening.pad_thickness_m.unwrap_or(beam.thickness_m.at(0.0));
    beam.youngs_modulus_pa * head.pad_width_m * thickness_m.powi(3) / 12.0 / head.bare_to_root_m()
}
