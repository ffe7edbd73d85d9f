//! What clamp and friction withstand.
//!
//! A ring pressed evenly by `F` slips round its centre at `M = (2/3) mu F (R^3 - r^3)/(R^2 - r^2)` (collar bearing under
//! uniform pressure: R. G. Budynas and J. K. Nisbett, *Shigley's Mechanical Engineering Design*, chapter on power screws
//! and disk clutches, from memory). Where the pad clips the ring, the lever is the mean over what is left
//! ([`Head::friction_lever_m`](super::Head::friction_lever_m)). Only the face between pad and plate is counted: the head may
//! turn with its screw.

use super::Fastening;
use crate::workshop::Bounds;

/// Friction of metal on metal, from oiled to dry and clean (from memory: handbooks give 0.1 to 0.2 oiled and up to 0.5 dry).
pub const FRICTION: Bounds = Bounds::new(0.1, 0.4);

/// What a tightened screw holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grip {
    /// Clamp force at the usual nut factor (N).
    pub usual_clamp_n: f64,
    /// Clamp force with the scatter of the nut factor (N).
    pub clamp_n: Bounds,
    /// Moment that turns the reed round the screw (N m), where the head is known.
    pub twist_n_m: Option<Bounds>,
    /// Side force at the tip that turns it (N).
    pub side_force_n: Option<Bounds>,
}

impl Grip {
    /// Nothing where no torque is known.
    pub(crate) fn of(fastening: &Fastening, tongue_m: f64) -> Option<Self> {
        let tightening = fastening.screw?;
        let torque_n_m = tightening.torque_n_m?;
        let clamp_n = tightening.screw.clamp_n(torque_n_m);
        let twist_n_m =
            fastening.head.map(|head| clamp_n.times(FRICTION).map(|friction_n| friction_n * head.friction_lever_m()));
        let side_force_n = twist_n_m.zip(fastening.head).map(|(twist_n_m, head)| {
            let lever_m = tongue_m + 0.5 * head.pad_length_m;
            twist_n_m.map(|moment| moment / lever_m)
        });
        Some(Self { usual_clamp_n: tightening.screw.usual_clamp_n(torque_n_m), clamp_n, twist_n_m, side_force_n })
    }
}
