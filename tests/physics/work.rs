//! The work of an answer: solutions and evaluations are counted, so that a change that makes them many shows.
//!
//! The bounds stand 3 % above what was counted; exact equality would tie them to the last bit of the processor.

use crate::support::physics::model;
use freereed::cases::reeds::{harmonica, harmonium};
use freereed::physics::attack::{Blow, Stop};
use freereed::physics::onset::Search;
use freereed::physics::playable::Demand;
use freereed::physics::{Beam, Profile, Reed};

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
    hold("window", [107488, 88355, 0], |reed, _| {
        let model = model(reed.clone());
        model.playable(&model.speaking(&Search::default()), demand).map_or(0, |window| window.evaluations)
    });
}

/// A tongue scanned at thousands of places costs what one with a few stations does: as many solutions and evaluations, each
/// of them at no more than four times the points of a plain one.
#[test]
fn a_fine_scan_takes_the_work_of_a_plain_tongue() {
    let plain = harmonica(5);
    let work = |reed: &Reed| {
        let model = model(reed.clone());
        let start = model.start(&Blow::to(900.0), Stop::WhenSteady);
        (model.aperture().points(), model.speaking(&Search::default()).evaluations, start.evaluations)
    };
    let (points, solutions, evaluations) = work(&plain);
    for count in [300, 2000, 10_000] {
        let station = |k: u32| f64::from(k) / f64::from(count) * plain.beam.length_m;
        let thickness_m = Profile::linear((0..=count).map(|k| (station(k), plain.beam.thickness_m.at(0.0))).collect());
        let scanned = Reed { beam: Beam { thickness_m: thickness_m.unwrap(), ..plain.beam.clone() }, ..plain.clone() };
        let found = work(&scanned);
        assert!(found.0 <= 4 * points, "{count} stations: {} points, {points} of a plain tongue", found.0);
        assert!(found.1.abs_diff(solutions) <= solutions / 50, "{count} stations: {} {solutions}", found.1);
        assert!(found.2.abs_diff(evaluations) <= evaluations / 20, "{count} stations: {} {evaluations}", found.2);
    }
}

/// Of many spans each has fewer points of quadrature: a tapered tongue told by 2 stations, by 6 and by 33 is the same to what
/// is asked of onset (1e-6) and of choke (1e-3, by the corners of the overlap).
#[test]
fn many_stations_of_the_same_taper_change_nothing() {
    let plain = harmonica(5);
    let (length_m, root_m) = (plain.beam.length_m, plain.beam.thickness_m.at(0.0));
    let ends = |count: u32| {
        let share = |k: u32| f64::from(k) / f64::from(count);
        let stations = (0..=count).map(|k| (share(k) * length_m, root_m * (1.0 - 0.1 * share(k)))).collect();
        let thickness_m = Profile::linear(stations).unwrap();
        let reed = Reed { beam: Beam { thickness_m, ..plain.beam.clone() }, ..plain.clone() };
        let speaking = model(reed).speaking(&Search::default());
        (speaking.onset.unwrap().pressure_pa, speaking.choke.pressure_pa().unwrap())
    };
    let (onset_pa, choke_pa) = ends(1);
    for count in [5, 32] {
        let (onset, choke) = ends(count);
        assert!((onset / onset_pa - 1.0).abs() < 1e-6, "{count} spans: onset {onset}, {onset_pa}");
        assert!((choke / choke_pa - 1.0).abs() < 1e-3, "{count} spans: choke {choke}, {choke_pa}");
    }
}
