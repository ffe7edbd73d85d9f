use std::time::{Duration, Instant};
use freereed::sheet::Job;
use freereed::physics::onset::Search;
use freereed::physics::attack::{Blow, Stop};
use freereed::predict::{Prediction, Question};
fn main() {
    rayon_off();
    let job = Job::load("data/demo/job.toml").unwrap();
    let mut t = [Duration::ZERO; 6];
    let mut ev = [0usize; 6];
    let all = Instant::now();
    for reed in job.reeds.iter().flatten() {
        let p = [job.player.soft_pa.at(reed.note), job.player.normal_pa.at(reed.note), job.player.hard_pa.at(reed.note)];
        let now = Instant::now();
        let prediction = Prediction::of(&reed.checked, &Question { at_pa: p.to_vec(), search: Search::default() }).unwrap();
        t[0] += now.elapsed();
        for k in 0..3 {
            let now = Instant::now();
            let a = prediction.model.attack(&Blow { pressure_pa: p[k], rise_s: job.player.attack_rise_s }, Stop::WhenSteady);
            t[1 + k] += now.elapsed();
            ev[1 + k] += a.evaluations;
        }
        let now = Instant::now();
        let demand = freereed::physics::playable::Demand { rise_s: job.player.attack_rise_s, allowed_s: job.player.time_allowed_s.at(reed.note), stress_limit_pa: None };
        eprintln!("REED {} allowed {}", reed.id, demand.allowed_s);
        let w = prediction.model.playable(&prediction.speaking, demand);
        ev[4] += w.map_or(0, |w| w.evaluations);
        t[4] += now.elapsed();
    }
    println!("predict {:?} soft {:?} normal {:?} hard {:?} window {:?}; all {:?}; evaluations {ev:?}", t[0], t[1], t[2], t[3], t[4], all.elapsed());
}
fn rayon_off() {}
