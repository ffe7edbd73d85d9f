//! Orbits against runs in time that start off them, over the demo set and over random reeds, and what they show on a
//! windchest. Exceptions are counted (`cargo test --test physics orbits -- --nocapture`) and may only fall.

use crate::support::physics::{model, random_reed};
use freereed::cases::reeds::harmonium;
use freereed::physics::ReedModel;
use freereed::physics::attack::{Blow, Ending, Stop};
use freereed::physics::onset::{Search, Speaking};
use freereed::physics::steady::{Branch, BranchEnd};
use freereed::sheet::Job;
use rayon::prelude::*;

const LIMIT_PA: f64 = 20e3;

/// How the orbit at a pressure and a run from rest compare.
#[derive(Debug, PartialEq)]
enum Outcome {
    Agrees,
    /// The run came to something else.
    Differs(String),
    /// The run came to no steady swing.
    NoRun,
    NoOrbit,
}

/// A run ends within 0.1 % of steady and is integrated to some 0.3 % of its swing, its pitch to 1e-4 and less; the orbit is
/// some 1e-5 from exact.
fn compare(model: &ReedModel, speaking: &Speaking, branch: Option<&Branch>, pressure_pa: f64) -> Outcome {
    let orbit = branch.and_then(|branch| model.orbit_at(speaking, branch, pressure_pa));
    let Some(orbit) = orbit.filter(|orbit| orbit.stable) else { return Outcome::NoOrbit };
    let attack = model.attack(&Blow::to(pressure_pa), Stop::WhenSteady);
    let Some(run) = attack.steady.filter(|_| attack.ending == Ending::Settled) else { return Outcome::NoRun };
    let amplitude = orbit.steady.tip_amplitude_m / run.tip_amplitude_m - 1.0;
    let cents = 1200.0 * (orbit.steady.frequency_hz / run.frequency_hz).log2();
    let agrees = amplitude.abs() < 4e-3 && cents.abs() < 0.15;
    let text = format!("{pressure_pa:.0} Pa: amplitude {:.2} %, {cents:.3} cents", 1e2 * amplitude);
    if agrees { Outcome::Agrees } else { Outcome::Differs(text) }
}

#[test]
fn a_run_from_rest_comes_to_the_orbit_of_every_fifth_demo_reed() {
    let job = Job::load(concat!(env!("CARGO_MANIFEST_DIR"), "/data/demo/job.toml")).unwrap();
    let reeds: Vec<_> = job.reeds.iter().step_by(5).map(|reed| reed.as_ref().unwrap()).collect();
    let all: Vec<(&str, Outcome)> = reeds
        .par_iter()
        .filter_map(|reed| {
            let model = ReedModel::new(reed.checked.reed.clone()).unwrap();
            let speaking = model.speaking(&Search::default());
            let pressure = 3.0 * speaking.onset?.pressure_pa;
            let branch = model.branch(&speaking, LIMIT_PA);
            Some((reed.id.as_str(), compare(&model, &speaking, branch.as_ref(), pressure)))
        })
        .collect();
    println!("{all:?}");
    assert!(all.len() >= 9, "{} of the demo's reeds speak", all.len());
    for (id, outcome) in all {
        assert_eq!(outcome, Outcome::Agrees, "{id}");
    }
}

/// Random reeds of the size of a harmonica's. Once counted over the first 100 too: 97 speak, no branch is lost, and every
/// run comes to its orbit.
#[test]
fn the_branch_of_a_random_reed_comes_to_an_end_and_runs_confirm_it() {
    let found: Vec<(u64, Option<BranchEnd>, Outcome)> = (0..40)
        .into_par_iter()
        .filter_map(|seed| {
            let model = model(random_reed(seed));
            let speaking = model.speaking(&Search { ratio: 1.05, ..Search::default() });
            let onset = speaking.onset?.pressure_pa;
            let branch = model.branch(&speaking, LIMIT_PA);
            // Half way, in the logarithm, to where a soft attack starts nothing.
            let choke = speaking.choke.pressure_pa().unwrap_or(LIMIT_PA);
            let outcome = compare(&model, &speaking, branch.as_ref(), (onset * choke).sqrt());
            Some((seed, branch.map(|branch| branch.end), outcome))
        })
        .collect();
    let lost: Vec<_> = found.iter().filter(|(_, end, _)| matches!(end, None | Some(BranchEnd::Lost))).collect();
    let astray: Vec<_> = found.iter().filter(|(_, _, outcome)| *outcome != Outcome::Agrees).collect();
    println!("of {} that speak: lost {lost:?}, not confirmed {astray:?}", found.len());
    assert_eq!(lost.len(), 0, "{lost:?}");
    assert_eq!(astray.len(), 0, "{astray:?}");
}

/// Frequency falls about linearly with pressure (Koopman, Hanzelka and Cottingham, 131st Meeting of the ASA (1996) 3aED2:
/// over the range that includes normal playing pressure), and by little (Cottingham et al., 129th Meeting of the ASA (1995)
/// 5aMU10: essentially constant over a wide range). Both for reed-organ reeds.
#[test]
fn the_frequency_of_a_reed_on_a_windchest_falls_nearly_linearly_and_by_little() {
    let model = model(harmonium());
    let speaking = model.speaking(&Search::default());
    let branch = model.branch(&speaking, LIMIT_PA).unwrap();
    let frequency = |k: u32| {
        let pressure = 600.0 + 100.0 * f64::from(k);
        model.orbit_at(&speaking, &branch, pressure).unwrap().steady.frequency_hz
    };
    let frequencies: Vec<f64> = (0..=6).map(frequency).collect();
    println!("{frequencies:?}");
    assert!(frequencies.windows(2).all(|pair| pair[1] < pair[0]), "{frequencies:?}");
    let (first, fall) = (frequencies[0], frequencies[0] - frequencies[6]);
    for (k, frequency) in frequencies.iter().enumerate() {
        let line = first - fall * k as f64 / 6.0;
        assert!(
            (frequency - line).abs() < 0.1 * fall,
            "{frequency} Hz is off the line by more than a tenth of the fall"
        );
    }
    let cents = 1200.0 * (frequencies[6] / first).log2();
    assert!((-50.0..0.0).contains(&cents), "{cents} cents from 0.6 to 1.2 kPa");
}
