//! The static rest of the reed under a steady pressure.
//!
//! `m_i w_i^2 q_i + beta p S_i = 0`, `P = p + K rho U_c|U_c|/(2 S_c^2)`, `U_c = U + U_leak`, followed continuously from
//! `P = 0`: more than one rest can exist, and at a fold the reed snaps from one to another.

use nalgebra::{Matrix3, Vector3};

use super::aperture::MODES;
use super::model::{ReedModel, State};

/// Tip displacement per mode (m) and chamber pressure (Pa) at rest under the mouth pressure `mouth_pa`.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Equilibrium {
    /// Mouth pressure (Pa).
    pub mouth_pa: f64,
    /// Tip displacement from the unblown rest, per mode (m).
    pub tip_m: [f64; MODES],
    /// Chamber pressure (Pa).
    pub pressure_pa: f64,
    /// Steady flow through reed and leaks (m3/s).
    pub flow_m3_s: f64,
}

impl Equilibrium {
    /// The same as a state of the whole system.
    pub fn state(&self) -> State {
        State {
            tip_m: self.tip_m,
            pressure_pa: self.pressure_pa,
            channel_m3_s: self.flow_m3_s,
            mouth_pa: self.mouth_pa,
            ..State::default()
        }
    }
}

/// Residual and Jacobian by tip motion (relative to `length_unit`) and pressure (relative to `mouth_pa`).
struct Linearised {
    residual: Vector3<f64>,
    jacobian: Matrix3<f64>,
    flow: f64,
}

impl ReedModel {
    /// The equilibrium at `mouth_pa` reached from a nearby one, or nothing where Newton's iteration finds none close by
    /// on the same branch.
    pub(super) fn equilibrium_from(&self, near: &Equilibrium, mouth_pa: f64) -> Option<Equilibrium> {
        const TOLERANCE: f64 = 1e-12;
        let length_unit = self.length_unit(mouth_pa);
        let scale = Vector3::new(length_unit, length_unit, mouth_pa);
        let ratio = if near.mouth_pa > 0.0 { mouth_pa / near.mouth_pa } else { 0.0 };
        let start = Vector3::new(near.tip_m[0] * ratio, near.tip_m[1] * ratio, near.pressure_pa * ratio);
        let mut x = start.component_div(&scale);
        if ratio == 0.0 {
            x[2] = 1.0;
        }
        for _ in 0..40 {
            let here = self.static_balance(&x, &scale, mouth_pa);
            // On the branch that starts unblown the Jacobian keeps its sign until a fold.
            let lu = here.jacobian.lu();
            if lu.determinant() <= 0.0 {
                return None;
            }
            let step = lu.solve(&here.residual)?;
            x -= step;
            if step.amax() < TOLERANCE * (1.0 + x.amax()) {
                let last = self.static_balance(&x, &scale, mouth_pa);
                let y = x.component_mul(&scale);
                let stays = last.jacobian.determinant() > 0.0 && x.iter().all(|v| v.is_finite());
                return stays.then_some(Equilibrium {
                    mouth_pa,
                    tip_m: [y[0], y[1]],
                    pressure_pa: y[2],
                    flow_m3_s: last.flow,
                });
            }
        }
        None
    }

    fn static_balance(&self, x: &Vector3<f64>, scale: &Vector3<f64>, mouth_pa: f64) -> Linearised {
        let y = x.component_mul(scale);
        let (tip, p) = ([y[0], y[1]], y[2]);
        let slopes = self.aperture.slopes(tip, p);
        let flow = slopes.flow.through_m3_s + self.leak_m3_s(p);
        let flow_by_p = slopes.through_by_pressure + self.leak_slope(p);
        let loss_slope = 2.0 * self.channel_loss * flow.abs();
        let mut residual = Vector3::zeros();
        let mut jacobian = Matrix3::zeros();
        for i in 0..MODES {
            let mode = &self.modes()[i];
            let stiffness = mode.modal_mass_kg * mode.angular_frequency().powi(2);
            // Each row is divided by its own stiffness, so that rows and columns are of order one.
            let pull = mode.swept_area_m2 / stiffness;
            residual[i] = (tip[i] + slopes.flow.share * p * pull) / scale[i];
            for j in 0..MODES {
                jacobian[(i, j)] = f64::from(u8::from(i == j)) + slopes.share_by_tip[j] * p * pull;
            }
            jacobian[(i, 2)] = (slopes.flow.share + p * slopes.share_by_pressure) * pull * scale[2] / scale[i];
        }
        residual[2] = (p + self.channel_loss * flow * flow.abs() - mouth_pa) / scale[2];
        for j in 0..MODES {
            jacobian[(2, j)] = loss_slope * slopes.through_by_tip[j] * scale[j] / scale[2];
        }
        jacobian[(2, 2)] = 1.0 + loss_slope * flow_by_p;
        Linearised { residual, jacobian, flow }
    }

    /// How far the tip would move under `pressure_pa` (m), but not less than a micrometre: the unit of tip motion.
    pub(super) fn length_unit(&self, pressure_pa: f64) -> f64 {
        let mode = &self.modes()[0];
        let stiffness = mode.modal_mass_kg * mode.angular_frequency().powi(2);
        (pressure_pa * mode.swept_area_m2 / stiffness).max(1e-6)
    }
}
