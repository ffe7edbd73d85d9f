//! The static rest of the reed under a steady pressure.
//!
//! `m_i w_i^2 q_i + beta p S_i = 0`, and from the reed outwards `U_k = U_(k-1) + U_leak(p_k)`, `p_(k+1) = p_k + R_k U_k +
//! D_k U_k|U_k|`, followed continuously from `P = 0`: more than one rest can exist, and at a fold the reed snaps from one to
//! another. Pressures are those in the mouth: a player's lungs are left out.

use super::aperture::MODES;
use super::model::{ReedModel, State};

/// Tip displacement per mode (m) and pressure at the reed (Pa) at rest under the mouth pressure `mouth_pa`.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Equilibrium {
    /// Mouth pressure (Pa).
    pub mouth_pa: f64,
    /// Force per area on the reed, the share of the chamber pressure that acts across it (Pa).
    pub force_pa: f64,
    /// Tip displacement from the unblown rest, per mode (m).
    pub tip_m: [f64; MODES],
    /// Pressure at the reed (Pa).
    pub pressure_pa: f64,
    /// Steady flow through reed and leaks (m3/s).
    pub flow_m3_s: f64,
}

/// The static rest folds: no rest lies further along at a higher pressure, and the reed snaps to another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Fold {
    /// The highest mouth pressure of the branch (Pa).
    pub(super) mouth_pa: f64,
}

/// What a pressure at the reed and a flow through it ask of the mouth.
struct Outwards {
    mouth_pa: f64,
    /// Flow through reed and leaks.
    flow_m3_s: f64,
    /// Derivatives of the mouth pressure.
    by_pressure: f64,
    by_through: f64,
}

/// Accuracy to which the mouth pressure is met.
const ACCURACY: f64 = 1e-13;
/// Longest step along the branch, relative: a dip narrower than this may be stepped over.
const STRIDE: f64 = 0.01;

impl ReedModel {
    /// The equilibrium at `mouth_pa` reached from one at a lower pressure.
    ///
    /// All rests lie on one curve in the force `F = beta p` that the air puts on the reed: the tip gives way by
    /// `q_i = -F S_i/(m_i w_i^2)`, `p` solves `beta(q, p) p = F`, and `P` follows. It is followed in leaps that are halved
    /// while in doubt, and near a fold in strides.
    pub(super) fn equilibrium_from(&self, near: &Equilibrium, mouth_pa: f64) -> Result<Equilibrium, Fold> {
        let (mut here, mut target) = (*near, mouth_pa);
        loop {
            match self.leap(&here, target) {
                Some(rest) if target == mouth_pa => return Ok(rest),
                Some(rest) => (here, target) = (rest, mouth_pa),
                None if target <= (1.0 + STRIDE) * here.mouth_pa || here.force_pa == 0.0 => {
                    return self.walk(&here, mouth_pa);
                }
                None => target = (here.mouth_pa * target).sqrt(),
            }
        }
    }

    /// The rest at `mouth_pa` by Newton's method in `F` and `p`, where `P` rises with `F` from `near` to it as the slopes at
    /// both ends tell; nothing where that is in doubt. What a fold and a way back between them would take from the rise is
    /// seen in it, down to folds of a fiftieth of the leap.
    fn leap(&self, near: &Equilibrium, mouth_pa: f64) -> Option<Equilibrium> {
        const ROUNDS: usize = 8;
        const STRAIGHT: f64 = 0.02;
        let yielding = self.yielding_m_pa();
        let (mut force_pa, mut pressure_pa) = (near.force_pa, near.pressure_pa);
        let mut rising_there = None;
        for _ in 0..ROUNDS {
            let tip_m = yielding.map(|give| force_pa * give);
            let slopes = self.aperture.slopes(tip_m, pressure_pa);
            let along =
                |by_tip: [f64; MODES]| by_tip.iter().zip(yielding).map(|(slope, give)| slope * give).sum::<f64>();
            let outwards = self.outwards(pressure_pa, slopes.flow.through_m3_s);
            // beta p - F and what the ladder asks of the mouth - P, and their derivatives by F and p
            let unbalanced = slopes.flow.share * pressure_pa - force_pa;
            let missed = outwards.mouth_pa - mouth_pa;
            let [a, b] = [
                pressure_pa * along(slopes.share_by_tip) - 1.0,
                slopes.flow.share + pressure_pa * slopes.share_by_pressure,
            ];
            let [c, d] = [
                outwards.by_through * along(slopes.through_by_tip),
                outwards.by_pressure + outwards.by_through * slopes.through_by_pressure,
            ];
            // dP/dF along the curve of rests is (bc - ad)/b.
            let rising = (b * c - a * d) / b;
            if rising.is_nan() || rising <= 0.0 {
                return None;
            }
            let rising_there = *rising_there.get_or_insert(rising);
            if missed.abs() <= ACCURACY * mouth_pa && unbalanced.abs() <= ACCURACY * force_pa {
                let (rise, expected) =
                    (mouth_pa - near.mouth_pa, 0.5 * (rising_there + rising) * (force_pa - near.force_pa));
                let flow_m3_s = outwards.flow_m3_s;
                let rest = Equilibrium { mouth_pa, force_pa, tip_m, pressure_pa, flow_m3_s };
                return ((rise - expected).abs() <= STRAIGHT * rise).then_some(rest);
            }
            let determinant = a * d - b * c;
            force_pa -= (d * unbalanced - b * missed) / determinant;
            pressure_pa -= (a * missed - c * unbalanced) / determinant;
            if force_pa.is_nan() || force_pa < near.force_pa {
                return None;
            }
        }
        None
    }

    /// Walks along the curve in `F`, which cannot jump to another branch; where `P` stops rising with `F` the rest folds.
    fn walk(&self, near: &Equilibrium, mouth_pa: f64) -> Result<Equilibrium, Fold> {
        let (mut before, mut here) = (*near, *near);
        loop {
            let stride = if here.force_pa > 0.0 { STRIDE * here.force_pa } else { mouth_pa };
            let next = self.rest_under(here.force_pa + stride);
            if next.mouth_pa >= mouth_pa {
                return Ok(self.rest_between(&here, &next, mouth_pa));
            }
            if next.mouth_pa < here.mouth_pa {
                let top = self.highest_between(&before, &next);
                return match top.mouth_pa >= mouth_pa {
                    true => Ok(self.rest_between(&before, &top, mouth_pa)),
                    false => Err(Fold { mouth_pa: top.mouth_pa.max(near.mouth_pa) }),
                };
            }
            (before, here) = (here, next);
        }
    }

    /// The ladder at rest, from the reed to the mouth.
    fn outwards(&self, pressure_pa: f64, through_m3_s: f64) -> Outwards {
        let mouth = self.ladder.to_the_mouth();
        let mut found = Outwards { mouth_pa: pressure_pa, flow_m3_s: through_m3_s, by_pressure: 1.0, by_through: 0.0 };
        let (mut flow_by_pressure, flow_by_through) = (0.0, 1.0);
        for section in mouth.sections() {
            found.flow_m3_s += section.leaked_m3_s(found.mouth_pa);
            flow_by_pressure += section.leak_slope(found.mouth_pa) * found.by_pressure;
            let slope = section.loss_slope(found.flow_m3_s);
            found.mouth_pa += section.lost_pa(found.flow_m3_s);
            found.by_pressure += slope * flow_by_pressure;
            found.by_through += slope * flow_by_through;
        }
        found
    }

    /// A static rest as a state of the whole system.
    pub(super) fn state_of(&self, rest: &Equilibrium) -> State {
        let mut state = State { tip_m: rest.tip_m, ..State::default() };
        let mut flow = self.aperture.flow(rest.tip_m, [0.0; MODES], rest.pressure_pa).through_m3_s;
        let mut pressure = rest.pressure_pa;
        for (k, section) in self.ladder.sections().iter().enumerate() {
            flow += section.leaked_m3_s(pressure);
            state.pressure_pa[k] = pressure;
            state.flow_m3_s[k] = if section.inertance_kg_m4 > 0.0 { flow } else { 0.0 };
            pressure += section.lost_pa(flow);
        }
        state
    }

    /// How far each mode gives way at the tip per force on the reed, `-S_i/(m_i w_i^2)` (m/Pa).
    fn yielding_m_pa(&self) -> [f64; MODES] {
        std::array::from_fn(|i| {
            let mode = &self.modes()[i];
            -mode.swept_area_m2 / (mode.modal_mass_kg * mode.angular_frequency().powi(2))
        })
    }

    /// The rest under a force per area `F` on the reed (Pa).
    fn rest_under(&self, force_pa: f64) -> Equilibrium {
        let tip_m = self.yielding_m_pa().map(|give| force_pa * give);
        let at = |p: f64| self.aperture.flow(tip_m, [0.0; MODES], p);
        let (mut pressure_pa, mut flow) = (force_pa, at(force_pa));
        // The share depends but little on the pressure, so that the fixed point is reached in a few rounds.
        for _ in 0..100 {
            let next = force_pa / flow.share;
            let settled = (next - pressure_pa).abs() <= 1e-15 * next;
            (pressure_pa, flow) = (next, at(next));
            if settled {
                break;
            }
        }
        let Outwards { mouth_pa, flow_m3_s, .. } = self.outwards(pressure_pa, flow.through_m3_s);
        Equilibrium { mouth_pa, force_pa, tip_m, pressure_pa, flow_m3_s }
    }

    /// The rest at `mouth_pa` between two at a lower and a higher pressure (false position, Illinois).
    fn rest_between(&self, low: &Equilibrium, high: &Equilibrium, mouth_pa: f64) -> Equilibrium {
        let (mut a, mut b) = (low.force_pa, high.force_pa);
        let (mut f_a, mut f_b) = (low.mouth_pa - mouth_pa, high.mouth_pa - mouth_pa);
        let mut best = *high;
        for _ in 0..100 {
            let middle = self.rest_under(b - f_b * (b - a) / (f_b - f_a));
            let f = middle.mouth_pa - mouth_pa;
            best = middle;
            if f.abs() <= ACCURACY * mouth_pa || (b - a).abs() <= ACCURACY * b {
                break;
            }
            if (f > 0.0) == (f_b > 0.0) {
                (b, f_b) = (middle.force_pa, f);
                f_a *= 0.5;
            } else {
                (a, f_a) = (middle.force_pa, f);
                f_b *= 0.5;
            }
        }
        Equilibrium { mouth_pa, ..best }
    }

    /// The rest of highest mouth pressure between two, by golden section.
    fn highest_between(&self, low: &Equilibrium, high: &Equilibrium) -> Equilibrium {
        const GOLDEN: f64 = 0.618_033_988_749_894_9;
        let (mut a, mut b) = (low.force_pa, high.force_pa);
        let inner = |a: f64, b: f64| (self.rest_under(b - GOLDEN * (b - a)), self.rest_under(a + GOLDEN * (b - a)));
        let (mut left, mut right) = inner(a, b);
        while b - a > 1e-10 * b {
            if left.mouth_pa > right.mouth_pa {
                (b, right) = (right.force_pa, left);
                left = self.rest_under(b - GOLDEN * (b - a));
            } else {
                (a, left) = (left.force_pa, right);
                right = self.rest_under(a + GOLDEN * (b - a));
            }
        }
        if left.mouth_pa > right.mouth_pa { left } else { right }
    }

    /// How far the tip would move under `pressure_pa` (m), but not less than a micrometre: the unit of tip motion.
    pub(super) fn length_unit(&self, pressure_pa: f64) -> f64 {
        let mode = &self.modes()[0];
        let stiffness = mode.modal_mass_kg * mode.angular_frequency().powi(2);
        (pressure_pa * mode.swept_area_m2 / stiffness).max(1e-6)
    }
}
