//! Orbits found directly against long runs in time.

use freereed::cases::reeds;
use freereed::physics::ReedModel;
use freereed::physics::attack::{Blow, Ending, Stop};
use freereed::physics::onset::Search;
use freereed::physics::steady::{BranchEnd, Hint, SetIn};

fn models() -> Vec<ReedModel> {
    let range = (0..12).map(reeds::harmonica);
    let some = range.step_by(4).chain([reeds::harmonium()]);
    some.map(|reed| ReedModel::new(reed).unwrap()).collect()
}

/// A run in time ends 0.1 % from steady; the orbit is some 1e-5 from exact: 0.3 % is thrice what the run leaves open.
#[test]
fn an_orbit_is_what_a_long_run_settles_to() {
    for model in models() {
        let speaking = model.speaking(&Search::default());
        let branch = model.branch(&speaking, 5e3).unwrap();
        let onset = speaking.onset.unwrap().pressure_pa;
        for pressure in [3.0 * onset, 6.0 * onset] {
            let orbit = model.orbit_at(&speaking, &branch, pressure).unwrap();
            let attack = model.attack(&Blow::to(pressure), Stop::WhenSteady);
            assert_eq!(attack.ending, Ending::Settled, "{pressure} Pa");
            let run = attack.steady.unwrap();
            let amplitude = orbit.steady.tip_amplitude_m / run.tip_amplitude_m;
            assert!((amplitude - 1.0).abs() < 3e-3, "{pressure} Pa: amplitude {amplitude}");
            let cents = 1200.0 * (orbit.steady.frequency_hz / run.frequency_hz).log2();
            assert!(cents.abs() < 0.05, "{pressure} Pa: {cents} cents");
            assert!((orbit.steady.level.db - run.level.db).abs() < 0.1, "{pressure} Pa");
            assert!(orbit.stable, "{pressure} Pa");
            let work = orbit.evaluations as f64 / attack.evaluations as f64;
            assert!(work < 0.2, "{pressure} Pa: {work} of the evaluations of the run");
        }
    }
}

/// Beyond choke a soft attack starts nothing, yet the branch goes on: a reed already sounding keeps sounding.
#[test]
fn the_branch_outlives_the_choke_and_comes_back_to_rest() {
    let model = models().remove(0);
    let speaking = model.speaking(&Search::default());
    let branch = model.branch(&speaking, 20e3).unwrap();
    let choke = speaking.choke.pressure_pa().unwrap();
    assert_eq!(branch.end, BranchEnd::Rest);
    assert!(branch.highest_pa.unwrap() > 1.2 * choke, "{:?} beyond {choke}", branch.highest_pa);
    assert!(branch.swings().any(|(_, _, stable)| !stable), "the way back is unstable");
    let onset = speaking.onset.unwrap().pressure_pa;
    match branch.set_in {
        SetIn::Soft => assert!(branch.lowest_pa > 0.99 * onset),
        SetIn::Sudden => assert!(branch.lowest_pa < onset),
    }
}

/// What will sound being known, a run need not wait for it: the same times for less than three fifths of the work. A run to steady reads
/// its times against a last value 0.1 % from steady, at a slope of the envelope that makes 1 % in time of it at most.
#[test]
fn a_run_towards_a_known_orbit_speaks_at_the_same_times() {
    let (mut known, mut waited) = (0, 0);
    for model in models() {
        let onset = model.speaking(&Search::default()).onset.unwrap().pressure_pa;
        for pressure in [2.0 * onset, 4.0 * onset] {
            let blow = Blow::to(pressure);
            let whole = model.attack(&blow, Stop::WhenSteady);
            let hint = Hint::from_attack(&whole).unwrap();
            let orbit = model.orbit_near(&hint, pressure).unwrap();
            let short = model.attack_towards(&blow, &orbit);
            for (a, b) in [(short.t50_s, whole.t50_s), (short.t90_s, whole.t90_s)] {
                assert!((a.unwrap() / b.unwrap() - 1.0).abs() < 0.01, "{pressure} Pa: {a:?} and {b:?}");
            }
            assert_eq!(short.steady, Some(orbit.steady));
            known += short.evaluations;
            waited += whole.evaluations;
        }
    }
    assert!(5 * known < 3 * waited, "{known} evaluations with the orbit known, {waited} without");
}

/// A reed blown towards an orbit that is not its own settles where it would have settled anyway.
#[test]
fn a_run_towards_a_strange_orbit_goes_its_own_way() {
    let model = models().remove(1);
    let onset = model.speaking(&Search::default()).onset.unwrap().pressure_pa;
    let whole = |pressure: f64| model.attack(&Blow::to(pressure), Stop::WhenSteady);
    let (soft, hard) = (whole(2.0 * onset), whole(6.0 * onset));
    let strange = model.orbit_near(&Hint::from_attack(&hard).unwrap(), 6.0 * onset).unwrap();
    let astray = model.attack_towards(&soft.blow, &strange);
    assert_eq!((astray.t50_s, astray.steady), (soft.t50_s, soft.steady));
}

/// The orbit of a reed with a slightly other gap is found from this one's, in less work than a twentieth of a run.
#[test]
fn a_neighbour_helps_to_find_an_orbit() {
    for reed in [reeds::harmonica(3), reeds::harmonica(9)] {
        let model = ReedModel::new(reed.clone()).unwrap();
        let pressure = 4.0 * model.speaking(&Search::default()).onset.unwrap().pressure_pa;
        let hint = Hint::from_attack(&model.attack(&Blow::to(pressure), Stop::WhenSteady)).unwrap();
        let mut other = reed;
        other.quality_factor *= 1.1;
        let other = ReedModel::new(other).unwrap();
        let run = other.attack(&Blow::to(pressure), Stop::WhenSteady);
        let found = other.orbit_near(&hint, pressure).unwrap();
        assert!((found.steady.tip_amplitude_m / run.steady.unwrap().tip_amplitude_m - 1.0).abs() < 3e-3);
        assert!(20 * found.evaluations < run.evaluations, "{} of {}", found.evaluations, run.evaluations);
    }
}
