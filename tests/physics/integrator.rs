//! The integrator of attacks: its order, and a blow without a rise.

use crate::support::physics::model;
use freereed::cases::outside;
use freereed::cases::reeds::{brass, curved, harmonica, harmonium, slot};
use freereed::physics::attack::{Blow, Ending, Stop};
use freereed::physics::onset::Search;
use freereed::physics::{Air, Reed, ReedModel};

/// A reed in a plate so thick that its slot's air is slow, in air so thick that the flow has no root in it at these pressures:
/// nothing is stiff, and every derivative exists.
fn smooth() -> ReedModel {
    let air = Air { viscosity_pa_s: 0.02, ..harmonium().air };
    model(Reed {
        beam: brass(40e-3, 4e-3, 0.35e-3),
        rest: curved(1.2e-3),
        slot: slot(0.5e-3, 50e-3),
        air,
        ..harmonium()
    })
}

/// A method of order four errs in one step by its fifth power. A run shorter than the first step wanted is one step.
#[test]
fn one_step_errs_by_the_fifth_power_of_its_length() {
    let model = smooth();
    let blow = Blow::to(50.0);
    let error = |duration_s: f64| {
        let attack = model.attack(&blow, Stop::After(duration_s));
        assert_eq!(attack.trace.len(), 2, "one step");
        // The flow is yet so little beside its unit that a looser tolerance would not see it.
        let outside = outside::attack(&model, &blow, duration_s, 1e-17).expect("a run to its end");
        let (found, exact) = (attack.trace.at(duration_s), outside.at(duration_s));
        // Pressure and flow, which the blow moves first.
        [found.pressure_pa[0] - exact.pressure_pa[0], found.flow_m3_s[0] - exact.flow_m3_s[0]]
    };
    let errors = [1.0e-4, 0.5e-4, 0.25e-4].map(error);
    for (name, errors) in ["pressure", "flow"].into_iter().zip([0, 1].map(|i| errors.map(|error: [f64; 2]| error[i]))) {
        let order = [0, 1].map(|k| (errors[k] / errors[k + 1]).abs().log2());
        println!("{name}: orders {order:?}");
        assert!(order[1] > 4.6, "{name}: orders {order:?}");
    }
}

#[test]
fn a_blow_without_a_rise_is_run_like_one_with_a_very_short_one() {
    let model = model(harmonica(4));
    let at = |rise_s: f64| model.attack(&Blow { pressure_pa: 700.0, rise_s }, Stop::WhenSteady);
    let (none, short) = (at(0.0), at(1e-5));
    assert_eq!((none.ending, short.ending), (Ending::Settled, Ending::Settled));
    let half_period = 0.5 / model.modes()[0].frequency_hz;
    assert!((none.t50_s.unwrap() - short.t50_s.unwrap()).abs() < half_period, "{:?} {:?}", none.t50_s, short.t50_s);
}

/// Where nobody asks for the steps, a run leaps over small motion and is coarse; a whole attack takes every step, and finely.
#[test]
fn a_run_that_leaps_speaks_when_one_that_takes_every_step_does() {
    for (place, times) in [(2, 1.3), (2, 2.0), (6, 1.3), (6, 2.0), (9, 1.5), (11, 2.0)] {
        let model = model(harmonica(place));
        let onset_pa = model.onset(&Search::default()).unwrap().pressure_pa;
        let blow = Blow::to(times * onset_pa);
        let (start, whole) = (model.start(&blow, Stop::WhenSteady), model.attack(&blow, Stop::WhenSteady));
        let ratio = start.t50_s.unwrap() / whole.t50_s.unwrap();
        assert!((ratio - 1.0).abs() < 3e-3, "reed {place} at {times} times its onset: {ratio}");
        assert!(2 * start.evaluations < whole.evaluations, "{} of {}", start.evaluations, whole.evaluations);
    }
}
