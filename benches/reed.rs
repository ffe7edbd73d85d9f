//! How long the answers about a reed and about a set take, and how that grows with pitch, reeds and threads: `cargo bench`.

use std::hint::black_box;

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use freereed::answer::{Comparing, Conditions, ROWS};
use freereed::cases::outside;
use freereed::cases::reeds::{STEPS, harmonica, harmonium};
use freereed::instrument::assess;
use freereed::instrument::balance::{BalanceOptions, balance};
use freereed::instrument::work::{WorkList, work_list};
use freereed::physics::attack::{Blow, Stop};
use freereed::physics::onset::Search;
use freereed::physics::playable::Demand;
use freereed::physics::{Beam, Profile, Reed, ReedModel};
use freereed::predict::{Prediction, Question};
use freereed::print::json;
use freereed::sheet::{Job, ReedFile};

const REED: &str = include_str!("../data/demo/reed.toml");
const JOB: &str = include_str!("../data/demo/job.toml");
const SHEET: &str = include_str!("../data/demo/sheet.csv");

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
    // The same equations for a fifth of the time, by an explicit method at a tight tolerance.
    slow.bench_function("attack of 0.02 s by DOP853, harmonium", |b| {
        b.iter(|| outside::attack(&chest, &Blow::to(800.0), 0.02, 1e-9))
    });
    let speaking = ready.speaking(&Search::default());
    let demand = Demand { rise_s: 10e-3, allowed_s: 0.1, stress_limit_pa: None };
    slow.bench_function("playable window, harmonica", |b| b.iter(|| ready.playable(&speaking, demand)));
    slow.finish();
}

/// A reed file to what is printed of it.
fn predict() -> String {
    let checked = ReedFile::parse("reed.toml", black_box(REED)).expect("a reed");
    let prediction = Prediction::of(&checked, &Question::default()).expect("a reed that can be solved");
    serde_json::to_string(&json::prediction(&prediction, &checked)).expect("plain values")
}

/// Today's reed beside the same with a wider gap: every result, and how sure each difference is.
fn whatif() -> usize {
    let reed = ReedFile::parse("reed.toml", black_box(REED)).expect("a reed");
    let of: Vec<_> = ROWS.iter().map(|row| row.quantity).collect();
    let changes = [("tip_gap_mm".to_owned(), "0.3".to_owned())];
    let comparing =
        Comparing { reed: &reed, changes: &changes, of: &of, conditions: Conditions::default(), swing_scale: 1.0 };
    comparing.run(&|| ()).expect("a change that can be made").lines.len()
}

/// `count` reeds of the demo, even over the set; beyond its 48 the same again in holes of their own. What is bad about a reed
/// is its gap, half as much again.
fn set(count: usize, are_bad: bool) -> Job {
    let (head, rows) = SHEET.split_once('\n').expect("a sheet");
    let rows: Vec<&str> = rows.lines().collect();
    let gap = head.split(',').position(|name| name == "tip_gap_mm").expect("a column");
    let (step, mut text) = ((rows.len() / count).max(1), head.to_owned());
    for k in 0..count {
        let (row, round) = ((k * step) % rows.len(), k * step / rows.len());
        let mut cells: Vec<String> = rows[row].split(',').map(str::to_owned).collect();
        cells[0] = (cells[0].parse::<usize>().expect("a hole") + 12 * round).to_string();
        if are_bad {
            cells[gap] = format!("{:.3}", 1.5 * cells[gap].parse::<f64>().expect("a gap"));
        }
        text.push_str(&format!("\n{}", cells.join(",")));
    }
    let chambers = JOB.replace("holes = \"1-4\"", "holes = \"1-4, 13-999\"");
    Job::parse(("job.toml", &chambers), ("sheet.csv", &text)).expect("a job")
}

fn worklist(job: &Job) -> WorkList {
    let assessment = assess(job, || ());
    let balance = balance(job, &assessment, &BalanceOptions::default(), || ());
    work_list(job, &assessment, &balance, &[], || ())
}

fn commands(criterion: &mut Criterion) {
    let mut slow = criterion.benchmark_group("commands");
    slow.sample_size(10);
    slow.bench_function("predict", |b| b.iter(predict));
    slow.bench_function("whatif", |b| b.iter(whatif));
    let (twelve, bad) = (set(12, false), set(12, true));
    slow.bench_function("assess, 12 reeds", |b| b.iter(|| assess(&twelve, || ())));
    slow.bench_function("worklist, 12 bad reeds", |b| b.iter(|| worklist(&bad)));
    slow.finish();
}

fn growth(criterion: &mut Criterion) {
    let mut pitch = criterion.benchmark_group("attack by pitch");
    pitch.sample_size(20);
    for place in (1..STEPS).step_by(5) {
        let ready = model(harmonica(place));
        let speaking = ready.speaking(&Search::default());
        let blow = Blow::to(2.0 * speaking.onset.expect("a reed that speaks").pressure_pa);
        let name = BenchmarkId::from_parameter(format!("{:.0} Hz", ready.modes()[0].frequency_hz));
        pitch.bench_function(name, |b| b.iter(|| ready.start(&blow, Stop::WhenSteady)));
    }
    pitch.finish();
    let mut reeds = criterion.benchmark_group("assess by reeds");
    reeds.sample_size(10);
    for count in [12, 48, 96] {
        let job = set(count, false);
        reeds.bench_function(BenchmarkId::from_parameter(count), |b| b.iter(|| assess(&job, || ())));
    }
    reeds.finish();
    let mut threads = criterion.benchmark_group("assess by threads");
    threads.sample_size(10);
    let job = set(12, false);
    for count in [1, 2] {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(count).build().expect("threads");
        threads.bench_function(BenchmarkId::from_parameter(count), |b| b.iter(|| pool.install(|| assess(&job, || ()))));
    }
    threads.finish();
}

criterion_group!(benches, reed, commands, growth);
criterion_main!(benches);
