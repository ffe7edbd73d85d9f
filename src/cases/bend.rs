//! Bending past yield: the section, springback, the small-rotation cantilever, the large-rotation elastic one, and full
//! tongues solved independently.
//!
//! Tolerances: the digits of closed forms; for cantilevers the error of 240 cells beside them, about 1e-10 where all is
//! elastic, 1e-8 where the metal yields, 2e-7 on both sides of a support.

use serde::Deserialize;

use super::reeds::brass;
use super::{Check, Group, Published};
use crate::physics::{Beam, Profile, RestShape};
use crate::workshop::bend::{Bending, Bent, Direction, Knee, Push, Section, Support, Tongue};

const SECTION: &str = "computed from M/M_y = 3/2 (1 - (kappa_y/kappa)^2/3), elastic, perfectly plastic rectangle; Prager & Hodge, Theory of Perfectly Plastic Solids (from memory)";
const SPRINGBACK: &str = "springback formula R_i/R_f = 4 X^3 - 3 X + 1, X = R_i Y/(E t): Kalpakjian & Schmid, Manufacturing Engineering and Technology, ch. 16 (from memory)";
const TIP_LOAD: &str = "computed from delta/delta_y = (5 - (3 + m) sqrt(3 - 2 m))/m^2, the double integral of the curvature under a tip load m = P/P_y";
const ELASTICA: &str = "Bisshopp & Drucker, Quart. Appl. Math. 3 (1945) 272 and Mattiasson, Int. J. Numer. Meth. Eng. 17 (1981) 145 (five digits from memory), solved again with scipy 1.17.1 solve_bvp, src/cases/reference/bend.py";
const REFERENCE: &str = "independent solution with scipy 1.17.1, src/cases/reference/bend.py";

pub(super) fn checks() -> Vec<Check> {
    let mut group = Group::new("bend");
    section(&mut group);
    springback(&mut group);
    tip_load(&mut group);
    let file: File = serde_json::from_str(include_str!("reference/bend.json")).expect("a file of this crate");
    file.elastica.iter().for_each(|case| elastica(case, &mut group));
    file.rounds.iter().for_each(|case| round(case, &mut group));
    file.cases.iter().for_each(|case| full_tongue(case, &mut group));
    group.checks
}

fn section(group: &mut Group) {
    let strip = Section::rectangle(2e-3, 0.25e-3, 110e9, 510e6);
    let (yields, unit) = (strip.yield_moment_n_m, strip.yield_curvature_per_m());
    // Nine decimals are printed.
    let near = |value: f64| Published::within(value, 6e-9, "1", SECTION);
    for (k, moment, residual) in [
        (1.5, 1.27777778, 0.22222222),
        (2.0, 1.375, 0.625),
        (3.0, 1.44444444, 1.55555556),
        (5.0, 1.48, 3.52),
        (10.0, 1.495, 8.505),
    ] {
        group.add(format!("moment at {k} kappa_y"), strip.moment_n_m(k * unit) / yields, near(moment));
        let remains = strip.residual_curvature_per_m(k * unit) / unit;
        group.add(format!("curvature that remains of {k} kappa_y"), remains, near(residual));
        if k < 5.5 {
            let back = strip.curvature_per_m(moment * yields) / unit;
            // The curve is steep: eight decimals of the moment are fewer of the curvature.
            let published = Published::within(k, 6e-9 * k.powi(3), "1", SECTION);
            group.add(format!("curvature at {moment} M_y"), back, published);
        }
    }
    let published = Published::relative(10.625e-3, 1e-12, "N m", "computed from sigma w h^2/6, 510 MPa, 2 x 0.25 mm");
    group.add("strip 2 x 0.25 mm: moment that just yields", yields, published);
}

fn springback(group: &mut Group) {
    let inch = 25.4e-3;
    let ksi = 6.894757293168e6;
    // Name, inner radius, yield strength, modulus, thickness, R_i/R_f as printed (8 or 6 digits).
    for (name, radius_m, strength_pa, modulus_pa, thickness_m, ratio, allowed) in [
        ("0.5 in, 40 ksi, 29 Msi, 0.0359 in", 0.5 * inch, 40.0 * ksi, 29e3 * ksi, 0.0359 * inch, 0.94239701, 6e-9),
        ("50 mm, 300 MPa, 210 GPa, 2 mm", 50e-3, 300e6, 210e9, 2e-3, 0.89303936, 6e-9),
        ("brass 3 mm, 510 MPa, 0.25 mm", 3e-3, 510e6, 110e9, 0.25e-3, 0.833780, 6e-7),
        ("brass 5 mm, 510 MPa, 0.25 mm", 5e-3, 510e6, 110e9, 0.25e-3, 0.725007, 6e-7),
        ("brass 10 mm, 510 MPa, 0.25 mm", 10e-3, 510e6, 110e9, 0.25e-3, 0.469150, 6e-7),
        ("brass 15 mm, 510 MPa, 0.25 mm", 15e-3, 510e6, 110e9, 0.25e-3, 0.251563, 6e-7),
        ("brass 27 mm, elastic", 27e-3, 510e6, 110e9, 0.25e-3, 0.0, 1e-12),
    ] {
        let strip = Section::rectangle(2e-3, thickness_m, modulus_pa, strength_pa);
        let found = strip.residual_curvature_per_m(1.0 / radius_m) * radius_m;
        group.add(format!("springback of {name}"), found, Published::within(ratio, allowed, "1", SPRINGBACK));
    }
}

/// So soft that it yields at a millionth of strain: the rotations are as small as the closed form takes them to be.
fn tip_load(group: &mut Group) {
    let beam = brass(15e-3, 2e-3, 0.2e-3);
    let tongue = Tongue { yield_strength_pa: 1e-6 * beam.youngs_modulus_pa, beam, rest: straight(), knee: Knee::Sharp };
    let length = tongue.beam.length_m;
    let section = Section::rectangle(2e-3, 0.2e-3, tongue.beam.youngs_modulus_pa, tongue.yield_strength_pa);
    let unit = section.yield_curvature_per_m() * length * length / 3.0;
    for (m, travel, set) in
        [(0.9, 0.9, 0.0), (1.1, 1.10152770, 0.00152770), (1.25, 1.27666956, 0.02666956), (1.4, 1.54707152, 0.14707152)]
    {
        let bent = pushed(&tongue, Push { place_m: length, support: None }, Direction::Down)
            .and_then(|bending| bending.under(m * section.yield_moment_n_m / length, 0.0).ok());
        let near = |value: f64| Published::within(value, 2e-8, "1", TIP_LOAD);
        let of = |value: fn(&Bent) -> f64| bent.map_or(f64::NAN, |bent| value(&bent) / unit);
        group.add(format!("tip travel at {m} P_y"), of(|bent| bent.tip_travel_m), near(travel));
        group.add(format!("tip set after {m} P_y"), of(|bent| bent.tip_set_m), near(set));
    }
}

#[derive(Deserialize)]
struct RoundSection {
    exponent: i32,
    elastic_strain: f64,
    curvature_ratio: f64,
    moment_ratio: f64,
    work_ratio: f64,
}

/// A metal that yields roundly: the fibres summed by adaptive quadrature, to some 1e-12.
fn round(case: &RoundSection, group: &mut Group) {
    let (modulus_pa, k) = (110e9, case.curvature_ratio);
    let strip = Section::rectangle(2e-3, 0.25e-3, modulus_pa, case.elastic_strain * modulus_pa)
        .with_knee(Knee::Round { exponent: case.exponent }, case.elastic_strain);
    let (yields, unit) = (strip.yield_moment_n_m, strip.yield_curvature_per_m());
    let name = |what: &str| {
        format!("{what}, Ramberg-Osgood n = {}, {k} kappa_y, strain {}", case.exponent, case.elastic_strain)
    };
    let near = |value: f64| Published::relative(value, 1e-10, "1", REFERENCE);
    group.add(name("moment"), strip.moment_n_m(k * unit) / yields, near(case.moment_ratio));
    group.add(name("work"), strip.work_j_m(k * unit) / (yields * unit), near(case.work_ratio));
    // The curve is flat where the metal yields: an error of the moment is some n times that of the curvature.
    let published = Published::relative(k, 1e-10 * f64::from(case.exponent), "1", REFERENCE);
    group.add(
        name("curvature back from the moment"),
        strip.curvature_per_m(case.moment_ratio * yields) / unit,
        published,
    );
}

fn knee(exponent: Option<i32>) -> Knee {
    exponent.map_or(Knee::Sharp, |exponent| Knee::Round { exponent })
}

fn straight() -> RestShape {
    RestShape::Power { root_gap_m: 0.0, tip_gap_m: 0.0, exponent: 1.0 }
}

fn pushed(tongue: &Tongue, push: Push, direction: Direction) -> Option<Bending> {
    Bending::new(tongue, push, direction).ok()
}

#[derive(Deserialize)]
struct File {
    elastica: Vec<Elastica>,
    rounds: Vec<RoundSection>,
    cases: Vec<Case>,
}

#[derive(Deserialize)]
struct Elastica {
    load: f64,
    along: f64,
    across: f64,
    angle_rad: f64,
}

/// A dead load: the push is tilted until it stands square to the line of rest.
fn elastica(case: &Elastica, group: &mut Group) {
    let beam = brass(15e-3, 2e-3, 0.2e-3);
    let tongue = Tongue { yield_strength_pa: 1e6 * beam.youngs_modulus_pa, beam, rest: straight(), knee: Knee::Sharp };
    let length = tongue.beam.length_m;
    let stiffness = tongue.beam.youngs_modulus_pa * 2e-3 * 0.2e-3_f64.powi(3) / 12.0;
    let force = case.load * stiffness / (length * length);
    let bending = pushed(&tongue, Push { place_m: length, support: None }, Direction::Up);
    let at = |tilt: f64| bending.as_ref().and_then(|bending| bending.under(force, tilt).ok());
    let leans = |tilt: f64| at(tilt).map_or(f64::NAN, |bent| tilt + bent.turn_rad);
    let (mut low, mut high) = (-1.57, 0.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if leans(middle) > 0.0 { high = middle } else { low = middle }
    }
    let bent = at(0.5 * (low + high));
    let near = |value: f64, unit| Published::within(value, 1e-9, unit, ELASTICA);
    let of = |value: &dyn Fn(&Bent) -> f64| bent.map_or(f64::NAN, |bent| value(&bent));
    let name = |what: &str| format!("elastica, P L^2/E I = {}: {what}", case.load);
    group.add(name("deflection"), of(&|bent| bent.tip_travel_m / length), near(case.across, "L"));
    group.add(name("shortening"), of(&|bent| 1.0 - bent.tip_along_m / length), near(case.along, "L"));
    group.add(name("angle"), of(&|bent| bent.turn_rad), near(case.angle_rad, "rad"));
}

#[derive(Deserialize)]
struct Case {
    name: String,
    length_mm: f64,
    width_mm: [f64; 2],
    thickness_mm: [f64; 2],
    young_mpa: f64,
    yield_mpa: f64,
    exponent: Option<i32>,
    tip_gap_mm: f64,
    rest_exponent: f64,
    direction: String,
    place_mm: f64,
    support_mm: Option<[f64; 2]>,
    force_n: f64,
    place_travel_mm: f64,
    place_set_mm: f64,
    tip_travel_mm: f64,
    tip_set_mm: f64,
    turn_rad: f64,
    support_n: Option<f64>,
}

fn full_tongue(case: &Case, group: &mut Group) {
    let length_m = 1e-3 * case.length_mm;
    let taper = |ends: [f64; 2]| {
        Profile::linear(vec![(0.0, 1e-3 * ends[0]), (length_m, 1e-3 * ends[1])]).expect("a file of this crate")
    };
    let (width_m, thickness_m) = (taper(case.width_mm), taper(case.thickness_mm));
    let beam = Beam { width_m, thickness_m, youngs_modulus_pa: 1e6 * case.young_mpa, ..brass(length_m, 1e-3, 1e-3) };
    let rest = RestShape::Power { root_gap_m: 0.0, tip_gap_m: 1e-3 * case.tip_gap_mm, exponent: case.rest_exponent };
    let tongue = Tongue { beam, rest, yield_strength_pa: 1e6 * case.yield_mpa, knee: knee(case.exponent) };
    let support = case.support_mm.map(|[place, height]| Support { place_m: 1e-3 * place, height_m: 1e-3 * height });
    let direction = if case.direction == "down" { Direction::Down } else { Direction::Up };
    let bent = pushed(&tongue, Push { place_m: 1e-3 * case.place_mm, support }, direction)
        .and_then(|bending| bending.under(case.force_n, 0.0).ok());
    let of = |value: fn(&Bent) -> f64| bent.map_or(f64::NAN, |bent| value(&bent));
    let mut add = |what: &str, found: f64, value: f64, unit| {
        let published = Published::relative(value, 5e-7, unit, REFERENCE);
        group.add(format!("{}: {what}", case.name), found, published);
    };
    add("travel of the push", of(|bent| 1e3 * bent.place_travel_m), case.place_travel_mm, "mm");
    add("set of the push", of(|bent| 1e3 * bent.place_set_m), case.place_set_mm, "mm");
    add("travel of the tip", of(|bent| 1e3 * bent.tip_travel_m), case.tip_travel_mm, "mm");
    add("set of the tip", of(|bent| 1e3 * bent.tip_set_m), case.tip_set_mm, "mm");
    add("turn at the push", of(|bent| bent.turn_rad), case.turn_rad, "rad");
    if let Some(support) = case.support_n {
        add("force of the support", of(|bent| bent.support_n.unwrap_or(f64::NAN)), support, "N");
    }
}
