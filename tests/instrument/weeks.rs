//! The job over its weeks, `data/weeks`: invented, and drawn so that what is true is known.
//!
//! The sheet of the demo is taken as what was measured of a set, with the tolerances of the job; what is true of each reed
//! is drawn as it is likely then: sizes about their readings, loss about the ring-down and about what the set loses, a
//! stray leak as the fit assumes one. Then hands do the work of three rounds, a little beside their aims, and every
//! reading is the model's, off by the tolerance of its tool.
//! `FREEREED_WRITE_WEEKS=1 cargo test --test instrument weeks` writes the rounds anew.

use std::collections::BTreeMap;
use std::f64::consts::PI;

use super::demo::weight_share;
use crate::support::physics::Random;
use freereed::instrument::rounds::{Basis, Fit, LEAK_DOUBT_M2, Quantity, Reach, Rounds};
use freereed::physics::ReedModel;
use freereed::physics::onset::Search;
use freereed::sheet::BEYOND_ONSET;
use freereed::sheet::{Job, JobFile, JobSources, Note, Source};

const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/data/weeks");
const JOB: &str = include_str!("../../data/weeks/job.toml");
const SHEET: &str = include_str!("../../data/demo/sheet.csv");
const SEED: u64 = 20_260_302;
/// What the set loses in common, and how far its reeds scatter about it.
const QUALITY: f64 = 91.0;
const SCATTER: f64 = 0.12;
/// How far a hand stays from its aim: a gap (mm), a pitch (cents).
const HAND: (f64, f64) = (0.012, 1.5);
/// What springs back in the days after a bend, as a share of it.
const CREEP: f64 = 0.04;

/// Tolerances of the job.
const GAP_MM: f64 = 0.01;
const SIDE_MM: f64 = 0.005;
const CENTS: f64 = 1.0;
const RING_S: f64 = 0.004;
const BLOW_PA: f64 = 5.0;
const LEAK_MM2: f64 = 0.05;

/// What is true of a reed.
#[derive(Debug, Clone)]
struct True {
    note: String,
    /// As measured: the pitch tells the stiffness, whatever they are.
    sizes_mm: [f64; 3],
    pluck_hz: f64,
    gap_mm: f64,
    sides_mm: [f64; 2],
    quality: f64,
    leak_mm2: f64,
}

/// Readings of one reed in one round, by column.
type Row = BTreeMap<&'static str, String>;

struct Bench {
    random: Random,
    reeds: BTreeMap<String, True>,
    rows: Vec<(String, Row)>,
}

impl Bench {
    fn new(seed: u64) -> Self {
        let mut random = Random::new(seed);
        let reeds = SHEET.lines().skip(1).map(|line| drawn(line, &mut random)).collect();
        Self { random, reeds, rows: Vec::new() }
    }

    fn reed(&mut self, id: &str) -> &mut True {
        self.reeds.get_mut(id).unwrap()
    }

    fn row(&mut self, id: &str, operation: &str, minutes: u32) {
        let words = [("operation", operation.to_owned()), ("minutes", minutes.to_string())];
        self.rows.push((id.to_owned(), words.into()));
    }

    fn write(&mut self, column: &'static str, text: impl ToString) {
        self.rows.last_mut().unwrap().1.insert(column, text.to_string());
    }

    /// Reads what the columns name of the reed whose row was begun last.
    fn read(&mut self, columns: &[&'static str]) {
        let id = self.rows.last().unwrap().0.clone();
        let reed = self.reeds[&id].clone();
        for &column in columns {
            let random = &mut self.random;
            let (value, decimals) = match column {
                "tip_gap_mm" => (random.normal(reed.gap_mm, GAP_MM), 2),
                "measured_pluck_hz" => (reed.pluck_hz * cents(random.normal(0.0, CENTS)), 1),
                "side_clearance_mm" => (random.normal(reed.sides_mm[0], SIDE_MM), 3),
                "left_clearance_mm" => (random.normal(reed.sides_mm[0], SIDE_MM), 3),
                "right_clearance_mm" => (random.normal(reed.sides_mm[1], SIDE_MM), 3),
                "ring_down_s" => (random.normal(reed.quality / (PI * reed.pluck_hz), RING_S).max(0.001), 3),
                "leak_mm2" => (random.normal(reed.leak_mm2, LEAK_MM2).max(0.0), 2),
                "softest_blow_pa" => {
                    let beyond = random.normal(0.0, BEYOND_ONSET).exp();
                    ((onset_pa(&id, &reed) * beyond + random.normal(0.0, BLOW_PA)).max(1.0), 0)
                }
                other => panic!("{other} is not read"),
            };
            self.write(column, format!("{value:.decimals$}"));
        }
    }

    fn bend(&mut self, aim_mm: f64) -> f64 {
        let id = self.rows.last().unwrap().0.clone();
        let off_mm = self.random.normal(0.0, HAND.0);
        let before_mm = std::mem::replace(&mut self.reed(&id).gap_mm, aim_mm + off_mm);
        self.write("aimed_gap_mm", aim_mm);
        aim_mm + off_mm - before_mm
    }

    fn tune(&mut self, aim_hz: f64) {
        let id = self.rows.last().unwrap().0.clone();
        let off = cents(self.random.normal(0.0, HAND.1));
        self.reed(&id).pluck_hz = aim_hz * off;
        self.write("aimed_pluck_hz", aim_hz);
    }

    /// The round as a sheet, with the columns that were used, as they are asked for.
    fn close(&mut self, columns: &[&str]) -> String {
        let rows = std::mem::take(&mut self.rows);
        let used = |column: &&&str| rows.iter().any(|(_, row)| row.contains_key(**column));
        let columns: Vec<&str> = columns.iter().filter(used).copied().collect();
        let mut text = format!("hole,breath,slide,{}\n", columns.join(","));
        for (id, row) in &rows {
            let cells = columns.iter().map(|column| row.get(column).map_or("", String::as_str));
            text += &format!("{},{}\n", id.replace('-', ","), cells.collect::<Vec<_>>().join(","));
            assert!(row.keys().all(|column| columns.contains(column)), "{row:?}");
        }
        text
    }
}

fn cents(cents: f64) -> f64 {
    (cents / 1200.0).exp2()
}

/// What may be true of a row of the sheet.
fn drawn(line: &str, random: &mut Random) -> (String, True) {
    let cells: Vec<&str> = line.split(',').collect();
    let number = |at: usize| cells[at].parse::<f64>().ok();
    let pluck_hz = number(7).unwrap() * cents(random.normal(0.0, CENTS));
    let measured = PI * pluck_hz * number(9).unwrap();
    let (of_set, of_ring) = (SCATTER.powi(-2), (RING_S / number(9).unwrap()).powi(-2));
    let middle = (of_set * QUALITY.ln() + of_ring * measured.ln()) / (of_set + of_ring);
    let side = random.normal(0.0, SIDE_MM);
    let sides_mm = match number(11) {
        Some(both) => [both + side; 2],
        None => [number(12).unwrap() + side, number(13).unwrap() - side].map(|side_mm| side_mm.max(0.003)),
    };
    let stray_mm2 = random.normal(0.0, 1e6 * LEAK_DOUBT_M2).abs();
    let reed = True {
        note: cells[3].to_owned(),
        sizes_mm: [4, 5, 6].map(|at| number(at).unwrap()),
        pluck_hz,
        gap_mm: random.normal(number(10).unwrap(), GAP_MM),
        sides_mm,
        quality: random.normal(middle, (of_set + of_ring).powf(-0.5)).exp(),
        leak_mm2: number(14).map_or(stray_mm2, |measured| random.normal(measured, LEAK_MM2)),
    };
    (cells[..3].join("-"), reed)
}

/// Onset of what is true (Pa).
fn onset_pa(id: &str, reed: &True) -> f64 {
    let [length, width, thickness] = reed.sizes_mm;
    let True { note, pluck_hz, gap_mm, sides_mm: [left, right], quality, leak_mm2, .. } = reed;
    let sheet = format!(
        "hole,breath,slide,note,length_mm,width_mm,thickness_mm,measured_pluck_hz,tip_weight_share,tip_gap_mm,\
         left_clearance_mm,right_clearance_mm,quality_factor,leak_mm2\n{},{note},{length},{width},{thickness},{pluck_hz},{},\
         {gap_mm},{left},{right},{quality},{leak_mm2}\n",
        id.replace('-', ","),
        weight_share(Note::parse(note).unwrap()),
    );
    let job = Job::parse(("job.toml", JOB), ("sheet.csv", &sheet)).unwrap();
    let reed = job.reeds[0].as_ref().unwrap_or_else(|error| panic!("{error}"));
    let model = ReedModel::new(reed.checked.reed.clone()).unwrap();
    model.onset(&Search { limit_pa: 9000.0, ..Search::default() }).expect("it speaks").pressure_pa
}

const DAYS: [&str; 3] = ["2026-03-02", "2026-03-05", "2026-03-14"];
const COLUMNS: [&str; 16] = [
    "operation",
    "minutes",
    "length_mm",
    "width_mm",
    "thickness_mm",
    "aimed_gap_mm",
    "tip_gap_mm",
    "aimed_pluck_hz",
    "measured_pluck_hz",
    "side_clearance_mm",
    "left_clearance_mm",
    "right_clearance_mm",
    "ring_down_s",
    "leak_mm2",
    "softest_blow_pa",
    "remark",
];

/// The three rounds of one drawing, and what is true at their end.
fn weeks(seed: u64) -> ([String; 3], BTreeMap<String, True>) {
    let mut bench = Bench::new(seed);
    let before = measure_before(&mut bench);
    let (work, bends) = work(&mut bench);
    let after = measure_after(&mut bench, bends);
    ([before, work, after], bench.reeds)
}

/// Before any work: how the set loses, where it leaks.
fn measure_before(bench: &mut Bench) -> String {
    for id in
        ["1-blow-out", "2-blow-out", "3-blow-out", "4-blow-in", "5-draw-in", "6-draw-in", "7-draw-out", "8-draw-in"]
    {
        bench.row(id, "measure", 5);
        bench.read(&["ring_down_s", "softest_blow_pa"]);
        if ["2-blow-out", "6-draw-in", "8-draw-in"].contains(&id) {
            bench.read(&["leak_mm2"]);
        }
    }
    bench.row("9-draw-out", "measure", 3);
    bench.read(&["ring_down_s"]);
    bench.write("remark", "a crack at the clamp");
    bench.row("10-blow-out", "measure", 6);
    bench.read(&["ring_down_s", "softest_blow_pa"]);
    bench.write("thickness_mm", 0.215);
    bench.write("remark", "thickness measured three times");
    bench.row("11-blow-in", "measure", 3);
    bench.read(&["softest_blow_pa"]);
    bench.close(&COLUMNS)
}

/// The work, and how far two tongues were bent (mm).
fn work(bench: &mut Bench) -> (String, [(&'static str, f64); 2]) {
    bench.row("2-blow-out", "seal", 25);
    bench.reed("2-blow-out").sides_mm = [0.02; 2];
    bench.read(&["side_clearance_mm", "softest_blow_pa"]);
    bench.write("remark", "edges of the slot closed");
    bench.row("3-blow-out", "regap", 4);
    let opened_mm = bench.bend(0.31);
    bench.read(&["tip_gap_mm", "measured_pluck_hz", "softest_blow_pa"]);
    bench.row("4-blow-in", "align", 5);
    let wide_mm: f64 = bench.reed("4-blow-in").sides_mm.iter().sum();
    bench.reed("4-blow-in").sides_mm = [0.52 * wide_mm, 0.48 * wide_mm];
    bench.read(&["left_clearance_mm", "right_clearance_mm", "softest_blow_pa"]);
    bench.row("5-draw-in", "regap", 6);
    let closed_mm = bench.bend(0.26);
    bench.read(&["tip_gap_mm", "measured_pluck_hz", "softest_blow_pa"]);
    bench.row("6-draw-in", "seal", 14);
    bench.reed("6-draw-in").leak_mm2 = 0.12;
    bench.read(&["leak_mm2", "softest_blow_pa"]);
    bench.write("remark", "a new valve");
    bench.row("7-draw-out", "retune", 9);
    bench.tune(884.0);
    bench.read(&["measured_pluck_hz", "softest_blow_pa"]);
    bench.row("9-draw-out", "replace", 41);
    let quality = bench.random.normal(QUALITY.ln(), SCATTER).exp();
    let new = True { sizes_mm: [10.2, 1.95, 0.216], quality, ..bench.reeds["9-draw-out"].clone() };
    *bench.reed("9-draw-out") = new;
    for (column, size) in [("length_mm", 10.2), ("width_mm", 1.95), ("thickness_mm", 0.216)] {
        bench.write(column, size);
    }
    bench.bend(0.15);
    bench.tune(1180.0);
    bench.read(&["tip_gap_mm", "measured_pluck_hz", "side_clearance_mm", "ring_down_s", "softest_blow_pa"]);
    (bench.close(&COLUMNS), [("3-blow-out", opened_mm), ("5-draw-in", closed_mm)])
}

/// Nine days later: metal that was bent springs back a little, metal that was filed settles.
fn measure_after(bench: &mut Bench, bends: [(&'static str, f64); 2]) -> String {
    for (id, bent_mm) in bends {
        bench.reed(id).gap_mm -= CREEP * bent_mm;
    }
    bench.reed("7-draw-out").pluck_hz *= cents(-1.2);
    for (id, columns) in [
        ("3-blow-out", &["tip_gap_mm", "measured_pluck_hz", "softest_blow_pa"][..]),
        ("4-blow-in", &["softest_blow_pa"]),
        ("5-draw-in", &["tip_gap_mm", "measured_pluck_hz", "softest_blow_pa"]),
        ("6-draw-in", &["leak_mm2", "softest_blow_pa"]),
        ("7-draw-out", &["measured_pluck_hz"]),
        ("9-draw-out", &["tip_gap_mm", "measured_pluck_hz", "ring_down_s"]),
    ] {
        bench.row(id, "measure", 3);
        bench.read(columns);
    }
    bench.close(&COLUMNS)
}

fn stages(rounds: &[String; 3]) -> Vec<Job> {
    let file = JobFile::from_source(&Source::new("job.toml", JOB)).unwrap();
    let sheet = Source::new("sheet.csv", SHEET);
    let source = |(day, text): (&str, &String)| Source::new(format!("{day}.csv"), text.as_str());
    let rounds: Vec<Source> = DAYS.into_iter().zip(rounds).map(source).collect();
    Job::stages(&file, &JobSources { sheet: &sheet, target: None, rounds: &rounds }).unwrap_or_else(|e| panic!("{e}"))
}

#[test]
fn the_rounds_are_what_was_drawn() {
    let (rounds, _) = weeks(SEED);
    for (day, text) in DAYS.iter().zip(&rounds) {
        let path = format!("{FOLDER}/rounds/{day}.csv");
        if std::env::var_os("FREEREED_WRITE_WEEKS").is_some() {
            std::fs::write(&path, text).unwrap();
        }
        assert_eq!(&std::fs::read_to_string(&path).unwrap(), text, "{day}");
    }
    let job = Job::load(format!("{FOLDER}/job.toml")).unwrap();
    assert_eq!((job.rounds.len(), job.bad_rows().count(), job.reeds.len()), (3, 0, 48));
}

/// How many ranges of a fit hold what is true: losses of reeds that something was measured of, and leaks.
fn held(fit: &Fit, truth: &BTreeMap<String, True>) -> [[usize; 2]; 2] {
    let mut count = [[0; 2]; 2];
    for reed in &fit.reeds {
        let quality = reed.quality_factor;
        count[0][0] += usize::from((quality.low..=quality.high).contains(&truth[&reed.id].quality));
        count[0][1] += 1;
        if let Some(leak) = reed.leak_m2 {
            count[1][0] += usize::from((leak.low..=leak.high).contains(&(1e-6 * truth[&reed.id].leak_mm2)));
            count[1][1] += 1;
        }
    }
    count
}

/// Ranges hold what is true as often as they say, four times in five: of 288 losses and 66 leaks in six drawings. Reeds of
/// one set share what is not known of it, so that the tolerance is that of some hundred independent ones: 2.7 standard
/// deviations of the binomial distribution are 11 %.
#[test]
fn the_fit_finds_what_is_true_as_often_as_it_says() {
    let mut of_all = [[0; 2]; 2];
    for seed in SEED..SEED + 6 {
        let (rounds, truth) = weeks(seed);
        let fit = Fit::of(&stages(&rounds)).unwrap();
        assert!(fit.converged && fit.unused.is_empty(), "{:?}", fit.unused);
        let count = held(&fit, &truth);
        if seed == SEED {
            // The rounds that are shipped: 38 of 48 losses, 8 of 11 leaks, and what the set has in common.
            assert_eq!(count, [[38, 48], [8, 11]]);
            assert!((fit.common.low..=fit.common.high).contains(&QUALITY), "{:?}", fit.common);
        }
        of_all = std::array::from_fn(|k| std::array::from_fn(|l| of_all[k][l] + count[k][l]));
    }
    for [held, all] in of_all {
        assert!((held as f64 / all as f64 - 0.8).abs() < 0.11, "{held} of {all}");
    }
    assert_eq!(of_all.map(|[_, all]| all), [288, 66]);
}

/// What was expected of a pluck, a gap or a softest blow comes as near as is said: of the shipped rounds all but one
/// within twice the doubt. That one is the dice's: 94 Pa were read where 77 Pa are true, and the model expected 74 Pa.
#[test]
fn what_is_measured_comes_as_near_as_was_said() {
    let (texts, truth) = weeks(SEED);
    let rounds = Rounds::of(&stages(&texts));
    let outcomes = || rounds.rows.iter().flat_map(|row| row.outcomes.iter().map(move |outcome| (row, outcome)));
    let expected: Vec<_> = outcomes().filter(|(_, outcome)| outcome.basis != Basis::Aim).collect();
    let far = |limit: f64| expected.iter().filter(|(_, o)| o.off_doubts().expect("a doubt").abs() > limit).count();
    // A third of so many is 11 give or take 2.7.
    assert!(expected.len() > 30 && far(1.0) <= expected.len() / 3 + 7, "{} of {}", far(1.0), expected.len());
    let surprises: Vec<_> = outcomes().filter(|(_, outcome)| outcome.is_surprise()).collect();
    assert_eq!(surprises.len(), 1);
    assert_eq!((surprises[0].0.id.as_str(), surprises[0].1.quantity), ("4-blow-in", Quantity::SoftestBlow));
    let outcome = surprises[0].1;
    let true_pa = onset_pa("4-blow-in", &truth["4-blow-in"]);
    let of_a_reading = (BEYOND_ONSET * true_pa).hypot(BLOW_PA);
    assert!(outcome.measured - true_pa > 2.0 * of_a_reading, "{true_pa}");
    assert!((outcome.expected.unwrap() - true_pa).abs() < of_a_reading, "{outcome:?}");
    // Aims: as far as tuner and feeler tell.
    let aims: Vec<_> = outcomes().filter_map(|(row, outcome)| Some((row.id.as_str(), outcome.reach()?))).collect();
    let wanted = [
        ("3-blow-out", Reach::AsAimed),
        ("5-draw-in", Reach::AsAimed),
        ("7-draw-out", Reach::AsAimed),
        ("9-draw-out", Reach::Missed),
        ("9-draw-out", Reach::AsAimed),
    ];
    assert_eq!(aims, wanted);
}
