//! Margins and how sure they are: definitions, and whether the intervals hold what they claim.

use std::sync::LazyLock;

use crate::support::physics::Random;
use approx::assert_relative_eq;
use freereed::answer::Doubt;
use freereed::instrument::{Figure, Margin, MarginOf, ReedAssessment, Surety, assess, assess_sampled};
use freereed::physics::attack::Stop;
use freereed::physics::{Reed, ReedModel};
use freereed::sheet::{CheckedReed, Job, Value};
use rayon::prelude::*;

const JOB: &str = "sheet = \"sheet.csv\"
[instrument]
wind = \"mouth\"
[defaults]
alloy = \"C51000\"
[tolerances]
tip_gap_mm = 0.015
side_clearance_mm = 0.004
ring_down_s = 0.006
[player]
soft_pa = { C4 = 180, C5 = 360, C6 = 1000 }
normal_pa = { C4 = 350, C5 = 700, C6 = 1800 }
hard_pa = { C4 = 700, C5 = 1500, C6 = 3400 }
time_allowed_ms = { C4 = 250, C5 = 200, C6 = 230 }
";
/// What a maker measures; the rest is assumed. The first reed has no ring-down either.
const HEAD: &str =
    "hole,breath,slide,note,length_mm,width_mm,measured_pluck_hz,ring_down_s,tip_gap_mm,side_clearance_mm,leak_mm2";
/// Invented reeds: three that are good, one too wide, one too close, one that leaks.
const ROWS: [&str; 6] = [
    "1,blow,out,C4,17.0,2.2,262.0,,0.40,0.030,",
    "2,blow,out,C5,14.1,2.1,523.3,0.056,0.26,0.027,",
    "3,blow,out,G5,12.1,2.1,784.0,0.037,0.20,0.025,",
    "4,blow,out,E5,13.0,2.1,659.3,0.044,0.55,0.026,",
    "5,blow,out,D5,13.5,2.1,587.3,0.050,0.085,0.026,",
    "6,blow,out,A5,11.6,2.1,880.0,0.033,0.19,0.025,3",
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

/// Against a demand in pascal every doubt of the model counts, so that only what is far off is sure.
#[test]
fn faults_are_sure_where_they_are_large() {
    for (reed, of) in [(3, MarginOf::Soft), (4, MarginOf::Hard), (5, MarginOf::Soft)] {
        assert!(!margin(reed, of).verdict().good, "{:?}", margin(reed, of));
    }
    let leak = margin(5, MarginOf::Leak).verdict();
    assert_eq!((leak.good, leak.surety), (false, Surety::Sure), "{:?}", margin(5, MarginOf::Leak));
    let mut rows = ROWS.map(str::to_owned);
    rows[3] = rows[3].replace(",0.55,", ",1.2,");
    let far = assess(&job(&rows), || ());
    let wide = far.reeds[3].as_ref().unwrap().margin(MarginOf::Soft).unwrap();
    assert_eq!((wide.verdict().good, wide.verdict().surety), (false, Surety::Sure), "{wide:?}");
    for reed in [0, 1, 2] {
        assert!(margin(reed, MarginOf::Soft).verdict().good, "{:?}", margin(reed, MarginOf::Soft));
    }
}

/// What a reed may truly be, given what was measured and what was assumed of it, so many times: every input drawn from an equal
/// share of its distribution in each, in an order of its own (Latin hypercube sampling, M. D. McKay, R. J. Beckman and
/// W. J. Conover, Technometrics 21 (1979) 239), so that few draws show much. A reading and its tool are each off by anything
/// within so much that both together have the variance of the tolerance; what is assumed follows the spread of its key. Draws
/// that no reed can be, as with a loss below the metal's own, are left out.
fn truths(checked: &CheckedReed, random: &mut Random) -> Vec<Reed> {
    let doubts = Doubt::all(checked);
    let shares: Vec<Vec<f64>> = doubts.iter().map(|_| shares(random)).collect();
    let one = |draw: usize| {
        let inputs = doubts.iter().zip(&shares);
        let spec = inputs.fold(checked.spec.clone(), |spec, (doubt, shares)| {
            spec.with(&doubt.key.full_name(), drawn(checked, doubt, shares[draw]))
        });
        Some(spec.checked().ok()?.reed)
    };
    (0..DRAWS).filter_map(one).collect()
}

/// One number from each of equal parts of 0 to 1, in any order.
fn shares(random: &mut Random) -> Vec<f64> {
    let mut all: Vec<f64> = (0..DRAWS).map(|k| (k as f64 + random.between(0.0, 1.0)) / DRAWS as f64).collect();
    for k in (1..DRAWS).rev() {
        all.swap(k, random.between(0.0, (k + 1) as f64) as usize);
    }
    all
}

/// The value of an input below which it lies in a share of all cases.
fn drawn(checked: &CheckedReed, doubt: &Doubt, share: f64) -> f64 {
    let typed = match checked.spec.typed(&doubt.key.full_name()) {
        Some((Value::Number(number), _)) => Some(*number),
        _ => None,
    };
    let value = typed.or_else(|| checked.assumed_number(doubt.key)).unwrap();
    let found = match checked.spec.spread(doubt.key).filter(|_| !doubt.measured) {
        Some(spread) => spread.at(value, share),
        // Of two numbers from -1 to 1, all alike, the mean has the density of a roof.
        None => {
            let roof = if share < 0.5 { (2.0 * share).sqrt() - 1.0 } else { 1.0 - (2.0 * (1.0 - share)).sqrt() };
            value + 2.0_f64.sqrt() * roof * (doubt.values[0] - value).abs()
        }
    };
    found.clamp(doubt.key.least, doubt.key.most)
}

const MARGINS: [MarginOf; 3] = [MarginOf::Soft, MarginOf::Hard, MarginOf::Time];

/// Of a reed that is known exactly: what each interval is of and whether it holds the truth, and whether each verdict does. A
/// window's end lies between two pressures where the reed speaks in time at the inner and not at the outer.
struct Held {
    soft: bool,
    hard: bool,
    time: bool,
    /// Nothing where it does not sound at the normal pressure.
    level: Option<bool>,
    /// Whether it is good, in the order of [`MARGINS`].
    good: [bool; 3],
}

impl Held {
    fn of(reed: Reed, told: &ReedAssessment) -> Self {
        let model = ReedModel::new(reed).unwrap();
        let (pressures, demand) = (told.pressures, told.demand);
        let in_time = |pressure_pa: f64| {
            let t50_s = model.start(&demand.blow(pressure_pa), Stop::WhenSteady).t50_s;
            t50_s.is_some_and(|t50_s| t50_s <= demand.allowed_s)
        };
        let ends = |of: MarginOf| {
            let margin = told.margin(of).unwrap();
            let (expected, half) = (margin.expected().unwrap(), margin.uncertainty.unwrap());
            [expected - half, expected + half]
        };
        // The better end of an interval is the pressure further out.
        let [soft, hard] = [(MarginOf::Soft, -1.0, pressures.soft_pa), (MarginOf::Hard, 1.0, pressures.hard_pa)].map(
            |(of, outwards, asked_pa)| {
                let [inner, outer] = ends(of).map(|margin| asked_pa * (outwards * margin).exp());
                in_time(inner) && !in_time(outer)
            },
        );
        let attack = model.attack(&demand.blow(pressures.normal_pa), Stop::WhenSteady);
        let [least, most] = ends(MarginOf::Time);
        let margin = attack.t50_s.map(|t50_s| (demand.allowed_s / t50_s).ln());
        let (level, known) = (told.figures.get(Figure::Level).unwrap(), told.uncertainties.get(Figure::Level));
        Self {
            soft,
            hard,
            time: margin.is_some_and(|margin| (least..=most).contains(&margin)),
            level: attack.steady.map(|steady| (steady.level.db - level - known.off).abs() <= known.half_interval()),
            good: [in_time(pressures.soft_pa), in_time(pressures.hard_pa), margin.is_some_and(|margin| margin > 0.0)],
        }
    }
}

/// With `n` draws, each inside with probability 0.8, the count inside is binomial and its share has a standard deviation of
/// `sqrt(0.8 0.2/n)`, or less where every input is drawn from equal shares: at most 3.4 % of 138.
#[test]
fn eighty_per_cent_intervals_hold_eighty_per_cent() {
    let mut random = Random::new(20_260_301);
    let drawn: Vec<_> = SET
        .iter()
        .flat_map(|told| truths(&told.reed.checked, &mut random).into_iter().map(move |reed| (reed, told)))
        .collect();
    let held: Vec<(Held, &ReedAssessment)> =
        drawn.into_par_iter().map(|(reed, told)| (Held::of(reed, told), told)).collect();
    for told in &*SET {
        let mine = || held.iter().filter(|(_, other)| other.reed.id == told.reed.id).map(|(held, _)| held);
        let share = |one: fn(&Held) -> Option<bool>| {
            let all: Vec<bool> = mine().filter_map(one).collect();
            format!("{} of {}", all.iter().filter(|held| **held).count(), all.len())
        };
        let told_of = MARGINS.map(|of| {
            let margin = told.margin(of).unwrap();
            format!("{:.2}{:+.2} +- {:.2}", margin.value.unwrap(), margin.off, margin.uncertainty.unwrap())
        });
        println!(
            "{}: {told_of:?}, level +- {:.1}; soft {}, hard {}, time {}, level {}",
            told.reed.id,
            told.uncertainties.get(Figure::Level).half_interval(),
            share(|held| Some(held.soft)),
            share(|held| Some(held.hard)),
            share(|held| Some(held.time)),
            share(|held| held.level)
        );
    }
    #[allow(clippy::type_complexity)]
    let kinds: [(&str, fn(&Held) -> Option<bool>); 4] = [
        ("soft", |held| Some(held.soft)),
        ("hard", |held| Some(held.hard)),
        ("time", |held| Some(held.time)),
        ("level", |held| held.level),
    ];
    let shares = kinds.map(|(name, one)| {
        let all: Vec<bool> = held.iter().filter_map(|(held, _)| one(held)).collect();
        let share = all.iter().filter(|held| **held).count() as f64 / all.len() as f64;
        println!("{name}: {:.1} % of {} inside", 100.0 * share, all.len());
        (name, share)
    });
    for (surety, least) in [(Surety::Sure, 0.95), (Surety::Likely, 0.8)] {
        let of_kind = held.iter().flat_map(|(held, told)| {
            let verdicts = MARGINS.map(|of| told.margin(of).unwrap().verdict());
            let verdicts = verdicts.into_iter().zip(held.good).filter(move |(verdict, _)| verdict.surety == surety);
            verdicts.map(|(verdict, good)| verdict.good == good)
        });
        let of_kind: Vec<bool> = of_kind.collect();
        let (right, all) = (of_kind.iter().filter(|right| **right).count() as f64, of_kind.len() as f64);
        println!("{}: {right} of {all} verdicts hold", surety.words());
        // Two standard deviations of a binomial count below what is claimed at the least.
        assert!(all > 0.0 && right >= least * all - 2.0 * (all * least * (1.0 - least)).sqrt(), "{}", surety.words());
    }
    for (name, share) in shares {
        assert!((0.75..=0.85).contains(&share), "{name}: {share}");
    }
}

/// Two ways to the same doubt; samples see also what does not go in proportion, and scatter by themselves: of 60 samples the
/// half width of an 80 % interval is known to some 15 %.
#[test]
fn samples_tell_what_derivatives_tell() {
    let sampled = assess_sampled(&job(&ROWS.map(str::to_owned)), 60, || ());
    for (told, sampled) in SET[1..3].iter().zip(sampled.good_rows().skip(1)) {
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

/// Draws of each reed.
const DRAWS: usize = 23;
