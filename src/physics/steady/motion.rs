//! The equations of motion of a reed as orbits need them.

use super::period::{Equations, Matrix, STATES, Vector};
use crate::physics::condensed::{FLOW, PRESSURE};
use crate::physics::model::{ReedModel, State};

/// The equations of motion under a steady pressure, with every state in units that make it of order one.
pub(super) struct Motion<'a> {
    pub(super) model: &'a ReedModel,
    pub(super) units: Vector,
}

impl Motion<'_> {
    pub(super) fn to_units(&self, state: &State) -> Vector {
        Vector::from(state.values()).component_div(&self.units)
    }

    pub(super) fn to_state(&self, x: &Vector) -> State {
        State::from_values(&x.component_mul(&self.units).into())
    }

    /// Places of values that the ladder does not have.
    fn missing(&self) -> impl Iterator<Item = usize> + '_ {
        let sections = self.model.ladder.sections();
        let flow = |k: usize| sections.get(k).is_some_and(|section| section.inertance_kg_m4 > 0.0);
        (PRESSURE..FLOW).skip(sections.len()).chain((FLOW..STATES).filter(move |place| !flow(place - FLOW)))
    }
}

impl Equations for Motion<'_> {
    /// Values that the ladder does not have decay, so that every one has a way home.
    fn rates(&self, x: &Vector, pressure_pa: f64) -> (Vector, Matrix, Vector) {
        let (rates, slopes) = self.model.rates_and_slopes(&self.to_state(x), pressure_pa);
        let mut rates = self.to_units(&rates);
        let sections = self.model.ladder.sections().len();
        let column = |j: usize| {
            let mut unit = [0.0; STATES];
            unit[j] = self.units[j];
            Vector::from(slopes.times(&unit, sections)).component_div(&self.units)
        };
        let mut jacobian = Matrix::from_columns(&std::array::from_fn::<_, STATES, _>(column));
        let rate = self.model.modes()[0].angular_frequency();
        for place in self.missing() {
            rates[place] = -rate * x[place];
            jacobian[(place, place)] = -rate;
        }
        let mut by_pressure = Vector::zeros();
        let place = self.model.blown_place();
        by_pressure[place] = slopes.by_blowing / self.units[place];
        (rates, jacobian, by_pressure)
    }
}
