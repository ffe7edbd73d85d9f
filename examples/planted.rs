//! Faults planted in invented healthy sets: how many are found, and what each is taken for.
//!
//! ```text
//! cargo run --release --example planted -- 8
//! ```
//!
//! Draws so many sets of 24 reeds from three makers' ideas of a set, each with four faults in it (sets 1, 2, ... are always
//! the same), assesses them, and prints what the first finding on each faulty reed names, and how many healthy reeds are
//! blamed. A finding counts from "likely" on.

use std::collections::BTreeMap;

use freereed::instrument::{Cause, Finding, ReedAssessment, Surety, assess};
use freereed::sheet::{Job, Note};

/// What is planted, and what it may be called; dirt makes a reed ring short, a crack makes it far flat.
const KINDS: [(&str, &[&str]); 12] = [
    ("gap close", &["gap close"]),
    ("gap wide", &["gap wide"]),
    ("open slot", &["open slot"]),
    ("leak", &["leak"]),
    ("off centre", &["off centre"]),
    ("flat", &["flat"]),
    ("sharp", &["sharp"]),
    ("misread thickness", &["measure again"]),
    ("low loss", &["loss"]),
    ("crack", &["crack?"]),
    ("dirt", &["loss"]),
    ("narrow channel", &["narrow channel"]),
];
const REEDS: usize = 24;
const FAULTS: usize = 4;

/// Knuth's 64-bit linear congruence (from memory): the same numbers everywhere.
struct Draw(u64);

impl Draw {
    fn even(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Of a normal distribution: the sum of twelve (from memory).
    fn normal(&mut self, deviation: f64) -> f64 {
        deviation * ((0..12).map(|_| self.even()).sum::<f64>() - 6.0)
    }
}

/// A maker's idea of a set.
struct Maker {
    alloy: &'static str,
    density_kg_m3: f64,
    modulus_pa: f64,
    /// Length at C5 and what it loses a semitone (mm), times the usual gap, gap's scatter (mm), cents of scatter.
    length_mm: (f64, f64),
    gap: f64,
    gap_scatter_mm: f64,
    cents: f64,
}

const MAKERS: [Maker; 3] = [
    Maker {
        alloy: "C51000",
        density_kg_m3: 8860.0,
        modulus_pa: 110e9,
        length_mm: (14.1, 0.28),
        gap: 1.0,
        gap_scatter_mm: 0.008,
        cents: 1.5,
    },
    Maker {
        alloy: "C26000",
        density_kg_m3: 8530.0,
        modulus_pa: 110e9,
        length_mm: (13.6, 0.25),
        gap: 1.1,
        gap_scatter_mm: 0.012,
        cents: 3.0,
    },
    Maker {
        alloy: "1.4310",
        density_kg_m3: 7900.0,
        modulus_pa: 185e9,
        length_mm: (14.8, 0.3),
        gap: 0.9,
        gap_scatter_mm: 0.008,
        cents: 2.0,
    },
];

/// A drawn set and what is planted in which reed.
fn set(number: usize, planted: &[&'static str]) -> (Job, BTreeMap<usize, &'static str>) {
    let mut draw = Draw(number as u64 + 1);
    let maker = &MAKERS[number % MAKERS.len()];
    let mut faults = BTreeMap::new();
    while faults.len() < planted.len() {
        // Not the outermost, which have neighbours on one side only.
        let (place, fault) = (2 + (draw.even() * (REEDS - 4) as f64) as usize, planted[faults.len()]);
        faults.entry(place).or_insert(fault);
    }
    let mut job = format!("sheet = \"sheet.csv\"\n[defaults]\ntip_mass_mg = 0\nalloy = \"{}\"\n", maker.alloy);
    let mut rows = "hole,breath,slide,note,length_mm,width_mm,thickness_mm,measured_pluck_hz,ring_down_s,tip_gap_mm,left_clearance_mm,right_clearance_mm,leak_mm2\n".to_owned();
    for k in 0..REEDS {
        let (midi, steps) = (68 + k as i32, k as f64 - 4.0);
        let length_mm = maker.length_mm.0 - maker.length_mm.1 * steps;
        let mut gap_mm = maker.gap * 0.26 * (-0.0365 * steps).exp() + draw.normal(maker.gap_scatter_mm);
        let clearance_mm = 0.027 * (-0.01 * steps).exp() + draw.normal(0.001);
        let mut sides_mm = [clearance_mm, clearance_mm + draw.normal(0.001)];
        let mut quality = 92.0 * draw.normal(0.06).exp();
        let mut cents = draw.normal(maker.cents);
        let (mut leak, mut channel_mm2, mut misread) = (String::new(), 20.0, false);
        let fault = faults.get(&k).copied().unwrap_or_default();
        match fault {
            "gap close" => gap_mm *= 0.5,
            "gap wide" => gap_mm *= 1.8,
            "open slot" => sides_mm = sides_mm.map(|side| 2.0 * side),
            "leak" => leak = "2.0".to_owned(),
            "off centre" => sides_mm = [0.2 * sides_mm[0], 1.8 * sides_mm[1]],
            "flat" => cents -= 17.0,
            "sharp" => cents += 17.0,
            "misread thickness" => misread = true,
            "low loss" => quality *= 0.5,
            "crack" => (cents, quality) = (cents - 40.0, 0.6 * quality),
            "dirt" => (cents, quality) = (cents - 4.0, 0.55 * quality),
            "narrow channel" => channel_mm2 = 4.0,
            _ => {}
        }
        let hertz = 440.0 * (f64::from(midi - 69) / 12.0 + cents / 1200.0).exp2();
        // An even strip: f = 0.1615 h/L^2 sqrt(E/rho), the first mode of a clamped bar (from memory), read a quarter too thick.
        let thick_mm =
            hertz * (1e-3 * length_mm).powi(2) / 0.1615 * (maker.density_kg_m3 / maker.modulus_pa).sqrt() * 1e3;
        let thick = if misread { format!("{:.3}", 1.25 * thick_mm) } else { String::new() };
        let (ring_s, note) = (quality / (std::f64::consts::PI * hertz), Note::from_midi(midi).expect("a note"));
        let [left, right] = sides_mm;
        rows += &format!(
            "{0},blow,out,{note},{length_mm:.2},2.1,{thick},{hertz:.2},{ring_s:.4},{gap_mm:.2},{left:.3},{right:.3},{leak}\n",
            k + 1
        );
        job += &format!(
            "[[chamber]]\nholes = \"{}\"\nvolume_mm3 = 400\nchannel_length_mm = 15\nchannel_area_mm2 = {channel_mm2}\n",
            k + 1
        );
    }
    job += "[player]\nsoft_pa = { C5 = 360, C6 = 1000 }\nnormal_pa = { C5 = 700, C6 = 1800 }\nhard_pa = { C5 = 1500, C6 = 3400 }\ntime_allowed_ms = { C5 = 150, C6 = 230 }\n";
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
    let sets: usize = std::env::args().nth(1).map_or(6, |typed| typed.parse().expect("how many sets"));
    let mut found: BTreeMap<&str, BTreeMap<&str, usize>> = BTreeMap::new();
    let (mut healthy, mut blamed) = (0, Vec::new());
    for number in 0..sets {
        let planted: Vec<&str> = (0..FAULTS).map(|k| KINDS[(FAULTS * number + 5 * k) % KINDS.len()].0).collect();
        let (job, faults) = set(number, &planted);
        for (k, reed) in assess(&job, || ()).reeds.iter().enumerate() {
            let name = reed.as_ref().map_or("no row", named);
            match faults.get(&k) {
                Some(fault) => *found.entry(fault).or_default().entry(name).or_default() += 1,
                None => {
                    healthy += 1;
                    blamed.extend((name != "-").then(|| format!("set {number}, reed {}: {name}", k + 1)));
                }
            }
        }
    }
    let (mut right_of_all, mut all) = (0, 0);
    for (kind, names) in KINDS {
        let Some(taken) = found.get(kind) else { continue };
        let count: usize = taken.values().sum();
        let right: usize = names.iter().filter_map(|name| taken.get(name)).sum();
        let missed = taken.get("-").copied().unwrap_or(0);
        (right_of_all, all) = (right_of_all + right, all + count);
        let taken: Vec<String> = taken.iter().map(|(name, count)| format!("{name} {count}")).collect();
        println!(
            "{kind:<18} {count:>3} planted, {:>3} found, {right:>3} rightly named: {}",
            count - missed,
            taken.join(", ")
        );
    }
    println!(
        "{right_of_all} of {all} rightly named first; {} of {healthy} healthy reeds blamed: {blamed:?}",
        blamed.len()
    );
}
