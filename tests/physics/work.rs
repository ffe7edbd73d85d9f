//! The work of an answer: solutions and evaluations are counted, so that a change that makes them many shows.
//!
//! The bounds stand a tenth above what was counted; exact equality would tie them to the last bit of the processor.

use crate::support::physics::model;
use freereed::cases::reeds::{harmonica, harmonium};
use freereed::physics::attack::{Blow, Stop};
use freereed::physics::onset::Search;

#[test]
fn onset_and_choke_take_little_more_than_their_scan() {
    // 1 Pa to 20 kPa in steps of 1 % is 996 solutions.
    for (name, reed, counted) in [("harmonica", harmonica(4), 1039), ("harmonium", harmonium(), 1045)] {
        let found = model(reed).speaking(&Search::default()).evaluations;
        println!("{name}: {found}");
        assert!(found >= 996 && found <= counted + counted / 10, "{name}: {found} solutions");
    }
}

#[test]
fn an_attack_takes_as_many_evaluations_as_it_did() {
    for (name, reed, pressure, counted) in
        [("harmonica", harmonica(4), 700.0, 231_000), ("harmonium", harmonium(), 800.0, 118_000)]
    {
        let found = model(reed).attack(&Blow::to(pressure), Stop::After(0.4)).evaluations;
        println!("{name}: {found}");
        assert!(found <= counted + counted / 10 && found > counted / 2, "{name}: {found} evaluations");
    }
}
