//! The ends of playable windows hold by attacks made anew.

use freereed::physics::ReedModel;
use freereed::physics::attack::Stop;
use freereed::physics::onset::Search;
use freereed::physics::playable::{Demand, Edge};
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
