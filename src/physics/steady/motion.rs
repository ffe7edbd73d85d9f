//! The equations of motion of a reed as orbits need them.

use super::period::{Equations, Matrix, Vector};
use crate::physics::model::{ReedModel, STATES, State};

/// The equations of motion under a steady pressure, with every state in units that make it of order one.
pub(super) struct Motion<'a> {
    pub(super) model: &'a ReedModel,
    pub(super) units: Vector,
}

impl Motion<'_> {
    pub(super) fn to_units(&self, state: &State) -> Vector {
        let (q, v) = (state.tip_m, state.speed_m_s);
        let si = [q[0], q[1], v[0], v[1], state.pressure_pa, state.channel_m3_s, state.mouth_pa];
        Vector::from(si).component_div(&self.units)
    }

    pub(super) fn to_state(&self, x: &Vector) -> State {
        let x = x.component_mul(&self.units);
        State { tip_m: [x[0], x[1]], speed_m_s: [x[2], x[3]], pressure_pa: x[4], channel_m3_s: x[5], mouth_pa: x[6] }
    }
}

impl Equations for Motion<'_> {
    /// Without a player the mouth pressure decays towards the pressure, so that every state has a way home.
    fn rates(&self, x: &Vector, pressure_pa: f64) -> (Vector, Matrix, Vector) {
        let state = self.to_state(x);
        let mut rates = self.to_units(&self.model.rates(&state, pressure_pa));
        let mut jacobian = self.model.jacobian(&state);
        let last = STATES - 1;
        let home = match &self.model.mouth {
            Some(player) => 1.0 / (player.resistance * player.compliance),
            None => {
                let rate = self.model.modes()[0].angular_frequency();
                rates[last] = rate * (pressure_pa / self.units[last] - x[last]);
                jacobian[(last, last)] = -rate;
                rate
            }
        };
        for i in 0..STATES {
            for j in 0..STATES {
                jacobian[(i, j)] *= self.units[j] / self.units[i];
            }
        }
        let mut by_pressure = Vector::zeros();
        by_pressure[last] = home / self.units[last];
        (rates, jacobian, by_pressure)
    }
}
