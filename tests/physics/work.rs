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
fn holds(what: &str, found: usize, counted: usize) {
    println!("{what}: {found}");
    assert!(found <= counted + 3 * counted / 100, "{what}: {found}, more than the {counted} counted");
    assert!(found >= counted - counted / 10, "{what}: {found}, fewer than the {counted} counted: lower the number");
}

fn reeds() -> [(&'static str, Reed, f64); 3] {
    [("low", harmonica(2), 250.0), ("middle", harmonica(5), 900.0), ("harmonium", harmonium(), 800.0)]
}

#[test]
fn onset_and_choke_take_little_more_than_their_scan() {
    // 1 Pa to 20 kPa in steps of 1 % is 996 solutions.
    for ((name, reed, _), counted) in reeds().into_iter().zip([1039, 1039, 1045]) {
        holds(name, model(reed).speaking(&Search::default()).evaluations, counted);
    }
}

#[test]
fn an_attack_takes_as_many_evaluations_as_it_did() {
    for ((name, reed, pressure), counted) in reeds().into_iter().zip([1, 1, 1]) {
        holds(name, model(reed).start(&Blow::to(pressure)).evaluations, counted);
    }
}

/// What is read off at the end, the last periods run again finely, costs little beside the attack.
#[test]
fn the_steady_state_is_read_off_for_a_part_of_the_attack() {
    for ((name, reed, pressure), counted) in reeds().into_iter().zip([1, 1, 1]) {
        let model = model(reed);
        let blow = Blow::to(pressure);
        let whole = model.attack(&blow, Stop::WhenSteady).evaluations;
        holds(name, whole - model.start(&blow).evaluations, counted);
    }
}

#[test]
fn a_window_takes_as_many_evaluations_as_it_did() {
    for ((name, reed, _), counted) in reeds().into_iter().zip([1, 1, 1]) {
        let model = model(reed);
        let speaking = model.speaking(&Search::default());
        let demand = Demand { rise_s: 10e-3, allowed_s: 0.25, stress_limit_pa: None };
        holds(name, model.playable(&speaking, demand).expect("it speaks").evaluations, counted);
    }
}
