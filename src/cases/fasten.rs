//! Fasteners: area under a head, torque and clamp force, threads, friction of a ring, the spring that a pitch asks for.

use super::reeds::strip;
use super::{Check, Group, Published};
use crate::workshop::Bounds;
use crate::workshop::fasten::{Fastening, Grip, Head, Screw, Tightening};

const QUADRATURE: &str =
    "integrated numerically over the rectangle with scipy 1.17.1 (integrate.quad in x and y, epsabs 1e-13)";
const TORQUE_M10: &str = "T = K F d, K 0.2: worked M10 at 50 N m, bolt torque page of an engineering reference site";
const TORQUE_M12: &str =
    "T = K F d, K 0.2: worked M12 class 8.8 at 0.7 of proof load, 0.7 x 580 MPa x 84.3 mm2, a bolt torque calculator";
const TORQUE_SMALL: &str = "T = K F d, K 0.2 (computed)";
const STRESS_AREA: &str =
    "stress areas of coarse threads, ISO 898-1 (from memory; M12 seen in the worked example above)";
const RING: &str = "(2/3) mu F (R^3 - r^3)/(R^2 - r^2), uniform pressure: Shigley's Mechanical Engineering Design, collars and clutches (from memory), computed";
const ROOT_SPRING: &str = "computed from k(1 + cos b cosh b) + b(cos b sinh b - sin b cosh b) = 0";
const CIRCLES: &str =
    "areas of full circles: sqrt(77/48); that heads covering 77 % and 48 % stand so is common practice, no source";

pub(super) fn checks() -> Vec<Check> {
    let mut group = Group::new("fasten");
    areas(&mut group);
    torque(&mut group);
    breaking(&mut group);
    friction(&mut group);
    root(&mut group);
    group.checks
}

/// Pad along and across, head, hole (mm), area under the head (mm2), mean distance from the centre (mm).
const AREAS: [([f64; 4], f64, f64); 6] = [
    ([3.0, 2.5, 2.0, 1.0], 2.356194490192, 0.777777777778),
    ([3.0, 2.5, 2.6, 1.4], 3.722115477032, 1.026788746509),
    ([3.0, 2.5, 2.8, 1.4], 4.363118472237, 1.074172407917),
    ([3.0, 2.5, 3.4, 1.0], 6.437939278645, 1.111520406958),
    ([2.5, 3.0, 3.4, 1.0], 6.437939278645, 1.111520406958),
    ([3.0, 2.5, 5.0, 1.2], 6.369026644708, 1.171056837286),
];

fn areas(group: &mut Group) {
    for ([length, width, head_mm, hole], area_mm2, lever_mm) in AREAS {
        let head = of_mm(length, width, head_mm, hole);
        let name = format!("{head_mm} mm head, {hole} mm hole, {length} x {width} mm pad");
        let published = Published::relative(area_mm2, 1e-9, "mm2", QUADRATURE);
        group.add(format!("{name}: area"), 1e6 * head.bearing_m2(), published);
        let published = Published::relative(lever_mm, 1e-9, "mm", QUADRATURE);
        group.add(format!("{name}: lever of friction"), 1e3 * head.friction_lever_m(), published);
    }
    // On a square pad a head that covers 77 % is still a full circle (the largest covers pi/4 = 78.5 %).
    let head_for = |share: f64| 2.0 * (share * 9.0 / std::f64::consts::PI).sqrt();
    let (large, small) = (head_for(0.77), head_for(0.48));
    let share = |head_mm: f64| of_mm(3.0, 3.0, head_mm, 1.0).covered_share();
    group.add("full circle of 77 % of a square pad", share(large), Published::within(0.77, 1e-12, "1", CIRCLES));
    group.add("full circle of 48 % of a square pad", share(small), Published::within(0.48, 1e-12, "1", CIRCLES));
    // Three digits are stated.
    group.add("their diameters", large / small, Published::within(1.27, 5e-3, "1", CIRCLES));
}

fn of_mm(pad_length: f64, pad_width: f64, head: f64, hole: f64) -> Head {
    Head { head_m: 1e-3 * head, hole_m: 1e-3 * hole, pad_length_m: 1e-3 * pad_length, pad_width_m: 1e-3 * pad_width }
}

fn torque(group: &mut Group) {
    let screw = |d: f64, p: f64| Screw { diameter_m: 1e-3 * d, pitch_m: 1e-3 * p };
    let clamp = |d: f64, p: f64, torque_n_m: f64| screw(d, p).usual_clamp_n(torque_n_m);
    group.add("M10, 50 N m: clamp", 1e-3 * clamp(10.0, 1.5, 50.0), Published::within(25.0, 0.05, "kN", TORQUE_M10));
    // The force is printed to three digits.
    group.add("M12, 82.1 N m: clamp", 1e-3 * clamp(12.0, 1.75, 82.1), Published::within(34.2, 0.05, "kN", TORQUE_M12));
    for (name, d, p, torque_n_m, force_n) in
        [("M1.6", 1.6, 0.35, 0.10, 312.5), ("M2", 2.0, 0.4, 0.20, 500.0), ("M3", 3.0, 0.5, 0.5, 833.333)]
    {
        let published = Published::within(force_n, 1e-3, "N", TORQUE_SMALL);
        group.add(format!("{name}, {torque_n_m} N m: clamp"), clamp(d, p, torque_n_m), published);
    }
    let areas = [(3.0, 0.5, 5.03), (3.5, 0.6, 6.78), (4.0, 0.7, 8.78), (10.0, 1.5, 58.0), (12.0, 1.75, 84.3)];
    for (d, p, area_mm2) in areas {
        // Three digits are printed.
        let published = Published::within(area_mm2, if d < 9.0 { 6e-3 } else { 0.06 }, "mm2", STRESS_AREA);
        group.add(format!("M{d}: stress area"), 1e6 * screw(d, p).stress_area_m2(), published);
    }
}

/// Least torque that breaks a screw of class 8.8, twisted with its head held (N m): the harmless torque lies below it, and
/// above half of it, as first yield of the core does (640 MPa, shear over sqrt 3, against 800 MPa and a plastic core).
const BREAKING: [(&str, f64); 7] =
    [("M1", 0.033), ("M1.2", 0.075), ("M1.4", 0.12), ("M1.6", 0.16), ("M2", 0.37), ("M2.5", 0.82), ("M3", 1.5)];

fn breaking(group: &mut Group) {
    const SOURCE: &str = "ISO 898-7, least breaking torques, class 8.8 (from memory)";
    for (name, breaking_n_m) in BREAKING {
        let tightening = Screw::named(name).map(|screw| Tightening {
            screw,
            torque_n_m: None,
            screw_yield_pa: Some(640e6),
            plate_yield_pa: None,
            thread_m: None,
        });
        let harmless = tightening.map_or(f64::NAN, |tightening| tightening.limit(1e-3).screw_n_m);
        let published = Published::within(0.75, 0.25, "1", SOURCE);
        group.add(format!("{name}: harmless torque over breaking torque"), harmless / breaking_n_m, published);
    }
}

fn friction(group: &mut Group) {
    for (head_mm, hole_mm, lever_mm) in [(2.0, 1.0, 0.777_777_777_778), (2.2, 1.4, 0.914_814_814_815), (2.4, 0.0, 0.8)]
    {
        let head = of_mm(3.0, 2.5, head_mm, hole_mm);
        let published = Published::within(lever_mm, 1e-11, "mm", RING);
        group.add(format!("ring {head_mm}/{hole_mm} mm: lever of friction"), 1e3 * head.friction_lever_m(), published);
    }
    let screw = Tightening {
        screw: Screw { diameter_m: 2e-3, pitch_m: 0.4e-3 },
        torque_n_m: Some(0.2),
        screw_yield_pa: None,
        plate_yield_pa: None,
        thread_m: None,
    };
    let head = of_mm(3.0, 2.5, 2.4, 0.0);
    let fastening = Fastening { head: Some(head), screw: Some(screw), ..Fastening::default() };
    let grip = Grip::of(&fastening, 13.5e-3);
    // 500 N/1.3 x 0.1 and 500 N/0.7 x 0.4, both on 0.8 mm.
    let bounds = grip.and_then(|grip| grip.twist_n_m).unwrap_or(Bounds::exactly(f64::NAN));
    group.add("M2, 0.2 N m: least twist", bounds.low, Published::relative(0.030_769_230_769, 1e-9, "N m", RING));
    group.add("M2, 0.2 N m: most twist", bounds.high, Published::relative(0.228_571_428_571, 1e-9, "N m", RING));
}

/// `k L/E I` and what it takes off a uniform tongue (cents): found back from the pitch.
const ROOT_SPRINGS: [(f64, f64); 6] =
    [(10.0, 293.435), (50.0, 66.7655), (100.0, 33.9897), (200.0, 17.1518), (500.0, 6.89907), (1000.0, 3.45599)];

fn root(group: &mut Group) {
    let beam = strip();
    let built_in_hz = beam.modes(1)[0].frequency_hz;
    for (spring, cents) in ROOT_SPRINGS {
        let found = beam.root_spring_for(built_in_hz * (-cents / 1200.0_f64).exp2()).unwrap_or(f64::NAN);
        // Six digits of cents are printed, and the spring goes with their inverse.
        let published = Published::relative(spring, 4e-6, "E I/L", ROOT_SPRING);
        group.add(format!("{cents} cents flat: root spring"), found / beam.root_stiffness_n_m_per_rad(), published);
    }
}
