//! Margins and how sure they are: definitions, and whether the intervals hold what they claim.

use std::f64::consts::E;
use std::sync::LazyLock;

use approx::assert_relative_eq;
use freereed::answer::{Conditions, Neighbour, Quantity, Solved};
use freereed::instrument::{Margin, MarginOf, ReedAssessment, Surety, Tool, assess, assess_sampled};
use freereed::physics::attack::Promptness;
use freereed::physics::playable::Demand;
use freereed::physics::{Reed, ReedModel};
use freereed::sheet::Job;
use freereed::sheet::keys::find;
use rayon::prelude::*;

const JOB: &str = "sheet = \"sheet.csv\"
[defaults]
tip_mass_mg = 0
alloy = \"C51000\"
[tolerances]
tip_gap_mm = 0.015
side_clearance_mm = 0.004
ring_down_s = 0.006
rest_exponent = 0.2
[player]
soft_pa = { C5 = 360, C6 = 1000 }
normal_pa = { C5 = 700, C6 = 1800 }
hard_pa = { C5 = 1500, C6 = 3400 }
time_allowed_ms = { C5 = 150, C6 = 230 }
";
/// Every input that is not taken as known, so that nothing is assumed.
const HEAD: &str = "hole,breath,slide,note,length_mm,width_mm,measured_pluck_hz,ring_down_s,tip_gap_mm,side_clearance_mm,\
                    leak_mm2,root_gap_mm,rest_exponent,tip_clearance_mm,plate_thickness_mm,volume_mm3,channel_length_mm,\
                    channel_area_mm2";
/// Invented reeds: two that are good, one too wide, one too close, one that leaks.
const ROWS: [&str; 5] = [
    "1,blow,out,C5,14.1,2.1,523.3,0.056,0.26,0.027,0.2,0.03,2,0.03,1,400,15,20",
    "2,blow,out,G5,12.1,2.1,784.0,0.037,0.20,0.025,0.2,0.03,2,0.03,1,400,15,20",
    "3,blow,out,E5,13.0,2.1,659.3,0.044,0.55,0.026,0.2,0.03,2,0.03,1,400,15,20",
    "4,blow,out,D5,13.5,2.1,587.3,0.050,0.085,0.026,0.2,0.03,2,0.03,1,400,15,20",
    "5,blow,out,A5,11.6,2.1,880.0,0.033,0.19,0.025,2.5,0.03,2,0.03,1,400,15,20",
];

fn job(rows: &[String]) -> Job {
    Job::parse(("job.toml", JOB), ("sheet.csv", &format!("{HEAD}\n{}", rows.join("\n")))).unwrap()
}

static SET: LazyLock<Vec<ReedAssessment>> = LazyLock::new(|| {
    let rows = ROWS.map(str::to_owned);
    assess(&job(&rows), || ()).reeds.into_iter().map(|reed| reed.unwrap()).collect()
});

fn margin(reed: usize, of: MarginOf) -> Margin {
    *SET[reed].margin(of).unwrap()
}

#[test]
fn margins_are_logarithms_of_what_is_asked_over_what_is_there() {
    for reed in &*SET {
        let window = reed.playable.unwrap();
        let value = |of| reed.margin(of).unwrap().value.unwrap();
        assert_relative_eq!(
            value(MarginOf::Soft),
            (reed.pressures.soft_pa / window.low.pressure_pa).ln(),
            epsilon = 1e-12
        );
        assert_relative_eq!(
            value(MarginOf::Hard),
            (window.high.pressure_pa / reed.pressures.hard_pa).ln(),
            epsilon = 1e-12
        );
        let t50_s = reed.attacks[1].t50_s.unwrap();
        assert_relative_eq!(value(MarginOf::Time), (reed.demand.allowed_s / t50_s).ln(), epsilon = 1e-12);
    }
}

#[test]
fn faults_are_sure_where_they_are_large() {
    for (reed, of) in [(2, MarginOf::Soft), (3, MarginOf::Hard), (4, MarginOf::Soft), (4, MarginOf::Leak)] {
        let verdict = margin(reed, of).verdict();
        assert_eq!((verdict.good, verdict.surety), (false, Surety::Sure), "{:?}", margin(reed, of));
    }
    for reed in [0, 1] {
        assert!(margin(reed, MarginOf::Soft).verdict().good && margin(reed, MarginOf::Leak).verdict().good);
    }
}

/// A generator of numbers that look random (S. Vigna's splitmix64, public domain), from 0 to 1.
struct Draws(u64);

impl Draws {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Anywhere from `-half` to `half`, all alike.
    fn within(&mut self, half: f64) -> f64 {
        half * (2.0 * self.next() - 1.0)
    }
}

/// The rows as they may truly be, given what was measured: every tool off alike for all, and every reading off by itself,
/// each by anything within so much that both together have the variance of the tolerance.
fn true_rows(draws: &mut Draws) -> Vec<String> {
    let part = 0.5_f64.sqrt();
    let tools: Vec<f64> = (0..Tool::COUNT).map(|_| draws.within(part)).collect();
    let mut moved = |name: &str, cell: &str, tolerance: f64| {
        let key = find(name).unwrap();
        let measured: f64 = cell.parse().unwrap();
        let off = match Tool::of(key) {
            Tool::Other => draws.within(1.0),
            tool => tools[tool as usize] + draws.within(part),
        };
        (measured + tolerance * off).clamp(key.least, key.most).to_string()
    };
    let row = |(row, reed): (&&str, &ReedAssessment)| {
        let cells = row.split(',').zip(HEAD.split(',')).enumerate().map(|(k, (cell, name))| {
            let tolerance = (k > 3).then(|| reed.reed.checked.spec.tolerance(find(name).unwrap()).unwrap());
            tolerance.map_or(cell.to_owned(), |tolerance| moved(name, cell, tolerance))
        });
        cells.collect::<Vec<_>>().join(",")
    };
    ROWS.iter().zip(&*SET).map(row).collect()
}

const ASKED: [Quantity; 3] = [Quantity::PlayableLow, Quantity::PlayableHigh, Quantity::HalfTime];
const MARGINS: [MarginOf; 3] = [MarginOf::Soft, MarginOf::Hard, MarginOf::Time];

/// An end of the playable window to 0.4 %, from one that was found to 3 % on its inner side.
fn end_pa(model: &ReedModel, demand: &Demand, inside_pa: f64, outwards: f64) -> f64 {
    let in_time = |pressure_pa: f64| {
        let growth = model.growth(&[pressure_pa])[0].map_or(f64::NEG_INFINITY, |growth| growth.growth_per_s);
        model.trial(&demand.blow(pressure_pa), demand.allowed_s, growth).promptness == Promptness::InTime
    };
    let (mut good, mut bad) = (inside_pa, inside_pa * outwards.powf(0.03));
    for _ in 0..3 {
        let middle = (good * bad).sqrt();
        if in_time(middle) { good = middle } else { bad = middle }
    }
    (good * bad).sqrt()
}

/// The margins of a reed that is known exactly, solved in full.
fn true_margins(reed: &Reed, told: &ReedAssessment) -> [Option<f64>; 3] {
    let (pressures, demand) = (told.pressures, told.demand);
    let conditions = Conditions {
        pressure_pa: pressures.normal_pa,
        rise_s: demand.rise_s,
        allowed_s: demand.allowed_s,
        ..Conditions::default()
    };
    let solved = Solved::of(reed, &ASKED, &conditions, 1.0, &mut Neighbour::default()).unwrap();
    let [low, high, time] = ASKED.map(|quantity| solved.answer(quantity).value);
    let model = ReedModel::new(reed.clone()).unwrap();
    let [low, high] =
        [(low, 1.0 / E), (high, E)].map(|(end, outwards)| end.map(|end| end_pa(&model, &demand, end, outwards)));
    [
        low.map(|low| (pressures.soft_pa / low).ln()),
        high.map(|high| (high / pressures.hard_pa).ln()),
        time.map(|time| (demand.allowed_s / time).ln()),
    ]
}

/// With `n` draws, each inside with probability 0.8, the count inside is binomial and its share has a standard deviation of
/// `sqrt(0.8 0.2/n)`: 2.8 % at `n` = 200, so that an honest 80 % interval comes out within 75 to 85 % in nine of ten series,
/// and one that truly holds 67 or 93 % hardly ever. Draws of one set share their tools and scatter somewhat more.
#[test]
fn eighty_per_cent_intervals_hold_eighty_per_cent() {
    let mut draws = Draws(20_260_301);
    let sets: Vec<Vec<String>> = (0..SETS).map(|_| true_rows(&mut draws)).collect();
    let truths: Vec<Vec<[Option<f64>; 3]>> = sets
        .par_iter()
        .map(|rows| {
            let reeds = job(rows).reeds;
            reeds
                .iter()
                .zip(&*SET)
                .map(|(reed, told)| true_margins(&reed.as_ref().unwrap().checked.reed, told))
                .collect()
        })
        .collect();
    // Verdicts by how sure they are, and how many of them hold; a reed without a window is bad.
    let mut verdicts = [(Surety::Sure, 0.95, 0, 0), (Surety::Likely, 0.8, 0, 0)];
    for (k, of) in MARGINS.into_iter().enumerate() {
        let mut held = Vec::new();
        for (place, told) in SET.iter().enumerate() {
            let verdict = told.margin(of).unwrap().verdict();
            for (_, _, right, all) in verdicts.iter_mut().filter(|kind| kind.0 == verdict.surety) {
                *right += truths.iter().filter(|set| (set[place][k] > Some(0.0)) == verdict.good).count();
                *all += truths.len();
            }
        }
        for (place, told) in SET.iter().enumerate() {
            let margin = told.margin(of).unwrap();
            let (value, uncertainty) = (margin.value.unwrap(), margin.uncertainty.unwrap());
            let off: Vec<f64> = truths.iter().filter_map(|set| Some(set[place][k]? - value)).collect();
            let inside = off.iter().filter(|off| off.abs() <= uncertainty).count();
            let mean = off.iter().sum::<f64>() / off.len() as f64;
            println!(
                "  {} {}: {inside} of {}, told {value:.3} +- {uncertainty:.3}, mean off {mean:.3}, rms {:.3}",
                of.key(),
                told.reed.id,
                off.len(),
                (off.iter().map(|x| x * x).sum::<f64>() / off.len() as f64).sqrt()
            );
            held.extend(off.iter().map(|off| off.abs() <= uncertainty));
        }
        let share = held.iter().filter(|held| **held).count() as f64 / held.len() as f64;
        println!("{}: {:.1} % of {} inside", of.key(), 100.0 * share, held.len());
        assert!((0.75..0.85).contains(&share), "{}: {share}", of.key());
    }
    for (surety, least, right, all) in verdicts {
        println!("{}: {right} of {all} verdicts hold", surety.words());
        // Two standard deviations of a binomial count below what is claimed at the least.
        let (right, all) = (right as f64, all as f64);
        assert!(all > 0.0 && right >= least * all - 2.0 * (all * least * (1.0 - least)).sqrt(), "{}", surety.words());
    }
}

/// Two ways to the same doubt; samples see also what does not go in proportion, and scatter by themselves: of 200 samples the
/// half width of an 80 % interval is known to some 8 %.
#[test]
fn samples_tell_what_derivatives_tell() {
    let rows = ROWS.map(str::to_owned);
    let sampled = assess_sampled(&job(&rows), 200, || ());
    for (told, sampled) in SET.iter().zip(sampled.good_rows()) {
        for of in [MarginOf::Soft, MarginOf::Hard] {
            let [by_derivatives, by_samples] = [told, sampled].map(|reed| *reed.margin(of).unwrap());
            assert_eq!(by_derivatives.value, by_samples.value);
            let ratio = by_samples.uncertainty.unwrap() / by_derivatives.uncertainty.unwrap();
            println!("{} {}: {ratio:.2}", told.reed.id, of.key());
            assert!((0.6..1.6).contains(&ratio), "{} {}: {ratio}", told.reed.id, of.key());
            assert_ne!(ratio, 1.0);
        }
    }
}

/// Sets drawn.
const SETS: usize = 40;
