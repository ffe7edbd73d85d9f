//! Faults planted in invented healthy sets: how many are found, and what each is taken for.
//!
//! ```text
//! cargo run --release --example planted -- 9
//! ```
//!
//! Draws so many sets of 24 reeds, each with four faults in it (sets 1, 2, ... are always the same): three sets hold each
//! kind once, and the next three are by another maker. Assesses them, and prints what the first finding on each faulty reed
//! names, and how many healthy reeds are blamed. A finding counts from "likely" on.

use std::collections::BTreeMap;

use freereed::instrument::{Cause, Finding, ReedAssessment, Surety, assess};
use freereed::sheet::{Job, Note};
use physics::Random;

#[path = "../tests/support/physics.rs"]
mod physics;

/// A kind of fault: its name, what it is rightly called, what it does to a healthy reed.
type Kind = (&'static str, &'static str, fn(&mut Drawn));

/// Dirt makes a reed ring short, a crack makes it far flat.
const KINDS: [Kind; 12] = [
    ("gap close", "gap close", |reed| reed.gap_mm *= 0.5),
    ("gap wide", "gap wide", |reed| reed.gap_mm *= 1.8),
    ("open slot", "open slot", |reed| reed.sides_mm = reed.sides_mm.map(|side| 2.0 * side)),
    ("leak", "leak", |reed| reed.leak_mm2 = 2.0),
    ("off centre", "off centre", |reed| reed.sides_mm = [0.2 * reed.sides_mm[0], 1.8 * reed.sides_mm[1]]),
    ("flat", "flat", |reed| reed.cents -= 17.0),
    ("sharp", "sharp", |reed| reed.cents += 17.0),
    ("misread thickness", "measure again", |reed| reed.misread = Some(1.25)),
    ("low loss", "loss", |reed| reed.quality *= 0.5),
    ("crack", "crack?", |reed| (reed.cents, reed.quality) = (reed.cents - 40.0, 0.6 * reed.quality)),
    ("dirt", "loss", |reed| (reed.cents, reed.quality) = (reed.cents - 4.0, 0.55 * reed.quality)),
    ("narrow channel", "narrow channel", |reed| reed.channel_mm2 = 4.0),
];
const REEDS: usize = 24;
const FAULTS: usize = 4;
/// So many sets hold each kind once.
const SETS_OF_ALL: usize = KINDS.len() / FAULTS;

const HEAD: &str = "hole,breath,slide,note,length_mm,width_mm,thickness_mm,measured_pluck_hz,ring_down_s,tip_gap_mm,\
                    left_clearance_mm,right_clearance_mm,leak_mm2\n";
const PLAYER: &str = "[player]
soft_pa = { C5 = 360, C6 = 1000 }
normal_pa = { C5 = 700, C6 = 1800 }
hard_pa = { C5 = 1500, C6 = 3400 }
time_allowed_ms = { C5 = 150, C6 = 230 }
";

/// A maker's idea of a set.
struct Maker {
    alloy: &'static str,
    density_kg_m3: f64,
    modulus_pa: f64,
    /// Length at C5, and what it loses a semitone (mm).
    length_mm: (f64, f64),
    /// Times the usual gap, and its scatter (mm).
    gap: (f64, f64),
    /// Scatter of the plucked pitch.
    cents: f64,
}

#[rustfmt::skip]
const MAKERS: [Maker; 3] = [
    Maker { alloy: "C51000", density_kg_m3: 8860.0, modulus_pa: 110e9, length_mm: (14.1, 0.28), gap: (1.0, 0.008), cents: 1.5 },
    Maker { alloy: "C26000", density_kg_m3: 8530.0, modulus_pa: 110e9, length_mm: (13.6, 0.25), gap: (1.1, 0.012), cents: 3.0 },
    Maker { alloy: "1.4310", density_kg_m3: 7880.0, modulus_pa: 185e9, length_mm: (14.8, 0.3), gap: (0.9, 0.008), cents: 2.0 },
];

/// A reed as it is drawn.
struct Drawn {
    midi: i32,
    length_mm: f64,
    gap_mm: f64,
    sides_mm: [f64; 2],
    quality: f64,
    cents: f64,
    leak_mm2: f64,
    channel_mm2: f64,
    /// Times the true thickness, where that is written down.
    misread: Option<f64>,
}

impl Drawn {
    fn healthy(place: usize, maker: &Maker, random: &mut Random) -> Self {
        let steps = place as f64 - 4.0;
        let clearance_mm = random.normal(0.027 * (-0.01 * steps).exp(), 0.001);
        Self {
            midi: 68 + place as i32,
            length_mm: maker.length_mm.0 - maker.length_mm.1 * steps,
            gap_mm: random.normal(maker.gap.0 * 0.26 * (-0.0365 * steps).exp(), maker.gap.1),
            sides_mm: [clearance_mm, random.normal(clearance_mm, 0.001)],
            quality: 92.0 * random.normal(0.0, 0.06).exp(),
            cents: random.normal(0.0, maker.cents),
            leak_mm2: 0.0,
            channel_mm2: 20.0,
            misread: None,
        }
    }

    /// Its row of the sheet.
    fn row(&self, hole: usize, maker: &Maker) -> String {
        let hertz = 440.0 * (f64::from(self.midi - 69) / 12.0 + self.cents / 1200.0).exp2();
        // An even strip: f = 0.1615 h/L^2 sqrt(E/rho), the first mode of a clamped bar (from memory).
        let thick_mm =
            hertz * (1e-3 * self.length_mm).powi(2) / 0.1615 * (maker.density_kg_m3 / maker.modulus_pa).sqrt() * 1e3;
        let thick = self.misread.map_or(String::new(), |times| format!("{:.3}", times * thick_mm));
        let note = Note::from_midi(self.midi).expect("a note");
        let Self { length_mm, gap_mm, sides_mm: [left, right], leak_mm2, .. } = self;
        let ring_s = self.quality / (std::f64::consts::PI * hertz);
        format!(
            "{hole},blow,out,{note},{length_mm:.2},2.1,{thick},{hertz:.2},{ring_s:.4},{gap_mm:.2},{left:.3},{right:.3},{leak_mm2}\n"
        )
    }
}

/// A drawn set, and of which kind what is planted in which reed is.
fn set(number: usize) -> (Job, BTreeMap<usize, usize>) {
    let (mut random, maker) = (Random::new(number as u64), &MAKERS[number / SETS_OF_ALL % MAKERS.len()]);
    let mut faults = BTreeMap::new();
    while faults.len() < FAULTS {
        // Not the outermost, which have neighbours on one side only.
        let (place, kind) = (random.between(2.0, REEDS as f64 - 2.0) as usize, number + SETS_OF_ALL * faults.len());
        faults.entry(place).or_insert(kind % KINDS.len());
    }
    let mut job = format!("sheet = \"sheet.csv\"\n[defaults]\ntip_mass_mg = 0\nalloy = \"{}\"\n", maker.alloy);
    let mut rows = HEAD.to_owned();
    for place in 0..REEDS {
        let mut reed = Drawn::healthy(place, maker, &mut random);
        if let Some(&kind) = faults.get(&place) {
            KINDS[kind].2(&mut reed);
        }
        let (hole, area_mm2) = (place + 1, reed.channel_mm2);
        rows += &reed.row(hole, maker);
        job += &format!(
            "[[chamber]]\nholes = \"{hole}\"\nvolume_mm3 = 400\nchannel_length_mm = 15\nchannel_area_mm2 = {area_mm2}\n"
        );
    }
    job += PLAYER;
    (Job::parse(("job.toml", &job), ("sheet.csv", &rows)).expect("a sound job"), faults)
}

/// What a reed is first said to have.
fn named(reed: &ReedAssessment) -> &'static str {
    let Some(first) = reed.findings.iter().find(|found| found.surety(reed) >= Surety::Likely) else { return "-" };
    match (first, first.why().map(|why| why.cause)) {
        (_, Some(Cause::GapTooClose { .. })) => "gap close",
        (_, Some(Cause::GapTooWide { .. })) => "gap wide",
        (_, Some(Cause::Clearance { .. })) => "open slot",
        (_, Some(Cause::Leak { .. })) => "leak",
        (_, Some(Cause::Loss { .. })) => "loss",
        (_, Some(Cause::Channel { .. })) => "narrow channel",
        (_, Some(_)) => "cannot say why",
        (Finding::OutOfTune { cents, .. }, _) if *cents < -20.0 => "crack?",
        (other, _) => other.kind(),
    }
}

fn main() {
    let sets: usize = std::env::args().nth(1).map_or(SETS_OF_ALL, |typed| typed.parse().expect("how many sets"));
    let mut taken_for: BTreeMap<usize, BTreeMap<&str, usize>> = BTreeMap::new();
    let (mut healthy, mut blamed) = (0, Vec::new());
    for number in 0..sets {
        let (job, faults) = set(number);
        for (place, reed) in assess(&job, || ()).reeds.iter().enumerate() {
            let name = reed.as_ref().map_or("no row", named);
            match faults.get(&place) {
                Some(kind) => *taken_for.entry(*kind).or_default().entry(name).or_default() += 1,
                None => {
                    healthy += 1;
                    blamed.extend((name != "-").then(|| format!("set {}, reed {}: {name}", number + 1, place + 1)));
                }
            }
        }
    }
    for (kind, names) in taken_for {
        let (planted, rightly, _) = KINDS[kind];
        let count = |name: &str| names.get(name).copied().unwrap_or(0);
        let (all, missed) = (names.values().sum::<usize>(), count("-"));
        let list: Vec<String> = names.iter().map(|(name, count)| format!("{name} {count}")).collect();
        println!(
            "{planted:<18} {all:>3} planted, {:>3} found, {:>3} rightly named first: {}",
            all - missed,
            count(rightly),
            list.join(", ")
        );
    }
    println!("{} of {healthy} healthy reeds blamed: {blamed:?}", blamed.len());
}
