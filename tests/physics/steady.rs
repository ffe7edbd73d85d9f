//! Orbits found directly against long runs in time.

use freereed::cases::reeds;
use freereed::physics::ReedModel;
use freereed::physics::attack::{Blow, Ending, Stop};
use freereed::physics::onset::Search;
use freereed::physics::steady::{BranchEnd, SetIn};

fn models() -> Vec<ReedModel> {
    let range = (0..12).map(reeds::harmonica);
    let some = range.step_by(4).chain([reeds::harmonium()]);
    some.map(|reed| ReedModel::new(reed).unwrap()).collect()
}

/// A run in time ends 0.1 % from steady and is integrated to some 0.3 % of its swing, its pitch to 1e-4; the orbit is some 1e-5 from exact.
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
            assert!((amplitude - 1.0).abs() < 4e-3, "{pressure} Pa: amplitude {amplitude}");
            let cents = 1200.0 * (orbit.steady.frequency_hz / run.frequency_hz).log2();
            assert!(cents.abs() < 0.15, "{pressure} Pa: {cents} cents");
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
