//! The equations of motion as the integrator takes them.

use nalgebra::SVector;
use ode_solvers::System;

use super::Blow;
use crate::physics::model::{ReedModel, State};

type Vector = SVector<f64, 7>;

/// The equations of motion with every state in units that make it of order one.
#[derive(Clone, Copy)]
pub(super) struct Scaled<'a> {
    pub(super) model: &'a ReedModel,
    pub(super) blow: &'a Blow,
    pub(super) units: &'a State,
}

impl Scaled<'_> {
    pub(super) fn scale(&self, state: &State) -> Vector {
        vector(state).component_div(&vector(self.units))
    }

    pub(super) fn unscale(&self, scaled: &Vector, time_s: f64) -> State {
        let x = scaled.component_mul(&vector(self.units));
        let mouth_pa = if self.model.mouth.is_some() { x[6] } else { self.blow.pressure_at(time_s) };
        State { tip_m: [x[0], x[1]], speed_m_s: [x[2], x[3]], pressure_pa: x[4], channel_m3_s: x[5], mouth_pa }
    }
}

fn vector(state: &State) -> Vector {
    let (q, v) = (state.tip_m, state.speed_m_s);
    Vector::from([q[0], q[1], v[0], v[1], state.pressure_pa, state.channel_m3_s, state.mouth_pa])
}

impl System<f64, Vector> for Scaled<'_> {
    fn system(&self, time_s: f64, scaled: &Vector, rates: &mut Vector) {
        let state = self.unscale(scaled, time_s);
        *rates = self.scale(&self.model.rates(&state, self.blow.pressure_at(time_s)));
    }
}
