//! The work of an answer: solutions and evaluations are counted, so that a change that makes them many shows.
//!
//! The bounds stand 3 % above what was counted; exact equality would tie them to the last bit of the processor.

use crate::support::physics::model;
use freereed::cases::reeds::{harmonica, harmonium};
use freereed::physics::Reed;
use freereed::physics::attack::{Blow, Stop};
use freereed::physics::onset::Search;
use freereed::physics::playable::Demand;

/// Refuses more work than was counted, and a count that has become loose.
#[track_caller]
fn hold(what: &str, counted: [usize; 3], work: impl Fn(&Reed, f64) -> usize) {
    let found = reeds().map(|(_, reed, pressure)| work(&reed, pressure));
    println!("{what}: {found:?}");
    for (found, counted) in found.into_iter().zip(counted) {
        assert!(found <= counted + 3 * counted / 100, "{what}: {found}, more than the {counted} counted");
        assert!(found >= counted - counted / 10, "{what}: {found}, fewer than the {counted} counted: lower the number");
    }
}

fn reeds() -> [(&'static str, Reed, f64); 3] {
    [("low", harmonica(2), 250.0), ("middle", harmonica(5), 900.0), ("harmonium", harmonium(), 800.0)]
}

#[test]
fn onset_and_choke_take_little_more_than_their_scan() {
    // 1 Pa to 20 kPa in steps of 1 % is 996 solutions.
    hold("scan", [1079, 1063, 1070], |reed, _| model(reed.clone()).speaking(&Search::default()).evaluations);
}

#[test]
fn an_attack_takes_as_many_evaluations_as_it_did() {
    hold("attack", [6190, 8300, 12298], |reed, pressure| {
        model(reed.clone()).start(&Blow::to(pressure), Stop::WhenSteady).evaluations
    });
}

/// The steady state is settled to finely, for a few times what it takes to know when the reed speaks.
#[test]
fn the_steady_state_takes_as_many_evaluations_as_it_did() {
    hold("steady state", [34944, 36000, 39154], |reed, pressure| {
        model(reed.clone()).attack(&Blow::to(pressure), Stop::WhenSteady).evaluations
    });
}

#[test]
fn a_window_takes_as_many_evaluations_as_it_did() {
    let demand = Demand { rise_s: 10e-3, allowed_s: 0.25, stress_limit_pa: None };
    // The harmonium reed takes longer than that.
    hold("window", [104335, 87439, 0], |reed, _| {
        let model = model(reed.clone());
        model.playable(&model.speaking(&Search::default()), demand).map_or(0, |window| window.evaluations)
    });
}
