//! The ends of playable windows hold by attacks made anew.

use freereed::cases::reeds::{curved, harmonica};
use freereed::physics::attack::Stop;
use freereed::physics::onset::Search;
use freereed::physics::playable::{Demand, Edge, Like, Playable};
use freereed::physics::{Reed, ReedModel};
use freereed::sheet::Job;

/// Every seventh reed of the demo from 1-draw-in on, whose motion lingers at a few micrometres beyond its choke.
#[test]
fn ends_hold_by_whole_attacks() {
    let job = Job::load(concat!(env!("CARGO_MANIFEST_DIR"), "/data/demo/job.toml")).unwrap();
    let mut tried = 0;
    for reed in job.reeds.iter().flatten().skip(3).step_by(7) {
        let model = ReedModel::new(reed.checked.reed.clone()).unwrap();
        let (rise_s, allowed_s) = (job.player.attack_rise_s, job.player.time_allowed_s.at(reed.note));
        let demand = Demand { rise_s, allowed_s, stress_limit_pa: None };
        let window = model.playable(&model.speaking(&Search::default()), demand).unwrap();
        // Each end is known to 1 % of its pressure or of the time there.
        let within = |pressure_pa: f64, slack: f64| {
            let t50_s = model.attack(&demand.blow(pressure_pa), Stop::WhenSteady).t50_s;
            t50_s.is_some_and(|t50_s| t50_s <= slack * allowed_s)
        };
        let in_time = |pressure_pa: f64| within(pressure_pa, 0.99);
        let ends = [window.low.pressure_pa, window.high.pressure_pa].map(|pressure_pa| within(pressure_pa, 1.01));
        assert_eq!(ends, [true; 2], "{}: {window:?}", reed.id);
        assert!(!in_time(window.low.pressure_pa / 1.01), "{}: {window:?}", reed.id);
        if window.high.edge != Edge::LimitOfSearch {
            assert!(!in_time(1.01 * window.high.pressure_pa), "{}: {window:?}", reed.id);
        }
        tried += 1;
    }
    assert_eq!(tried, 7);
}

/// Sought from that of a neighbour, a window has the same ends and takes less than two thirds of the attacks.
#[test]
fn a_window_like_its_neighbours_is_found_in_less_work() {
    let demand = Demand { rise_s: 10e-3, allowed_s: 0.1, stress_limit_pa: None };
    let solved = [0.2e-3, 0.21e-3].map(|gap_m| {
        let model = ReedModel::new(Reed { rest: curved(gap_m), ..harmonica(5) }).unwrap();
        let speaking = model.speaking(&Search::default());
        (model.playable(&speaking, demand).unwrap(), model, speaking)
    });
    let [(window, _, before), (alone, model, speaking)] = &solved;
    let found = model.playable_like(speaking, demand, Some(Like { speaking: before, window })).unwrap();
    for (found, alone) in [(found.low, alone.low), (found.high, alone.high)] {
        // Each is known to 1 %.
        assert!((found.pressure_pa / alone.pressure_pa).ln().abs() < 0.02, "{found:?} {alone:?}");
        assert_eq!(found.edge, alone.edge);
    }
    assert!(3 * found.evaluations < 2 * alone.evaluations, "{} of {}", found.evaluations, alone.evaluations);
    // One that says nothing of this reed does no harm.
    let far = Playable { low: window.high, high: window.low, evaluations: 0 };
    let found = model.playable_like(speaking, demand, Some(Like { speaking: before, window: &far })).unwrap();
    assert!((found.low.pressure_pa / alone.low.pressure_pa).ln().abs() < 0.02, "{found:?}");
}
