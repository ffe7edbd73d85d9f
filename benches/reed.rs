//! How long the answers about one reed take: `cargo bench --bench reed`.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use freereed::cases::reeds::{harmonica, harmonium};
use freereed::physics::attack::{Blow, Stop};
use freereed::physics::onset::Search;
use freereed::physics::playable::Demand;
use freereed::physics::{Beam, Profile, Reed, ReedModel};

fn model(reed: Reed) -> ReedModel {
    ReedModel::new(reed).expect("a valid reed")
}

/// The same tongue with its thickness written down at many places.
fn scanned(beam: &Beam) -> Beam {
    let station = |k: u32| f64::from(k) / 2000.0 * beam.length_m;
    let stations = (0..=2000).map(station).map(|s| (s, beam.thickness_m.at(s))).collect();
    Beam { thickness_m: Profile::linear(stations).expect("stations in order"), ..beam.clone() }
}

fn reed(criterion: &mut Criterion) {
    let middle = harmonica(4);
    let ready = model(middle.clone());
    let chest = model(harmonium());

    criterion.bench_function("modes", |b| b.iter(|| black_box(&middle.beam).modes(2)));
    let scan = scanned(&middle.beam);
    criterion.bench_function("modes, 2000 stations", |b| b.iter(|| black_box(&scan).modes(2)));
    criterion.bench_function("model", |b| b.iter(|| model(black_box(middle.clone()))));
    criterion.bench_function("flow", |b| {
        b.iter(|| ready.aperture().flow(black_box([-1e-4, 2e-6]), black_box([0.3, 0.01]), black_box(400.0)))
    });
    criterion
        .bench_function("slopes", |b| b.iter(|| ready.aperture().slopes(black_box([-1e-4, 2e-6]), black_box(400.0))));

    let mut slow = criterion.benchmark_group("whole answers");
    slow.sample_size(20);
    slow.bench_function("speaking, harmonica", |b| b.iter(|| ready.speaking(&Search::default())));
    slow.bench_function("speaking, harmonium", |b| b.iter(|| chest.speaking(&Search::default())));
    slow.bench_function("attack of 0.1 s, harmonica", |b| b.iter(|| ready.attack(&Blow::to(700.0), Stop::After(0.1))));
    slow.bench_function("attack of 0.1 s, harmonium", |b| b.iter(|| chest.attack(&Blow::to(800.0), Stop::After(0.1))));
    let speaking = ready.speaking(&Search::default());
    let demand = Demand { rise_s: 10e-3, allowed_s: 0.1, stress_limit_pa: None };
    slow.bench_function("playable window, harmonica", |b| b.iter(|| ready.playable(&speaking, demand)));
    slow.finish();
}

criterion_group!(benches, reed);
criterion_main!(benches);
