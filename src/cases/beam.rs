//! Cantilevers: roots and shapes, tip mass, root spring, tapers, static deflection.
//!
//! `Omega = w L^2 sqrt(rho A_0 / E I_0)` and `beta L = sqrt(Omega)`, subscript 0 at the clamp; a taper is named by its
//! tip over its root. The finite elements are too stiff by about `Omega^2/(1440 * 40^4)` in frequency: that, doubled, and
//! the last digit of the source make the tolerances of frequencies.

use std::f64::consts::TAU;

use super::reeds::{brass, strip};
use super::{Check, Group, Published};
use crate::physics::beam::{Beam, Load, Mode};
use crate::physics::{Air, Chamber, Coefficients, Profile, Reed, ReedModel};

const EXACT_UNIFORM: &str = "computed from 1 + cos b cosh b = 0 at 30 digits; Blevins, Formulas for Natural Frequency and Mode Shape; Rao, Mechanical Vibrations; Fletcher & Rossing, The Physics of Musical Instruments, ch. 2 (from memory)";
const TIP_MASS: &str = "Karnovsky & Lebed, Formulas for Structural Dynamics, section 7.5.3, solved at 12 digits";
const ROOT_SPRING: &str = "computed from k(1 + cos b cosh b) + b(cos b sinh b - sin b cosh b) = 0";
const TAPER: &str = "computed by the Rayleigh-Ritz method with 14-30 polynomials at 40 digits and more; compare Mabie & Rogers, J. Acoust. Soc. Am. 51 (1972) 1771-1774";
const WEDGE: &str = "computed from J1(z) I2(z) + I1(z) J2(z) = 0, Omega = z^2/4 (Kirchhoff's wedge)";
const STATIC: &str = "Roark's Formulas for Stress and Strain, cantilever cases (formulas from memory, values computed)";
const WORKED: &str = "computed from the exact first root for E 110 GPa, 8530 kg/m3, 15 x 2 x 0.2 mm";

pub(super) fn checks() -> Vec<Check> {
    let mut group = Group::new("beam");
    uniform(&mut group);
    published_ratios(&mut group);
    tip_mass(&mut group);
    root_spring(&mut group);
    thickness_tapers(&mut group);
    width_tapers(&mut group);
    wedge(&mut group);
    filing(&mut group);
    static_deflection(&mut group);
    worked_strip(&mut group);
    group.checks
}

/// `n`, root, swept area over `w L`, tip slope times `L`.
const UNIFORM: [(usize, f64, f64, f64); 6] = [
    (1, 1.875104068712, 0.39149587802, 1.37650548467),
    (2, 4.6940911329742, -0.216967947555, 4.78077841),
    (3, 7.8547574382376, 0.127212648433, 7.84866605),
    (4, 10.995540734875, -0.0909490108, 10.99590967),
    (5, 14.137168391046, 0.0707354204, 14.13714789),
    (6, 17.278759532088, -0.0578745286, 17.27876061),
];

fn uniform(group: &mut Group) {
    let beam = strip();
    let modes = beam.modes(6);
    for ((n, root, swept, slope), mode) in UNIFORM.into_iter().zip(&modes) {
        let error = element_error(root * root);
        let exact = |value: f64, share: f64, unit| Published::relative(value, share, unit, EXACT_UNIFORM);
        group.add(format!("uniform: root of mode {n}"), omega(&beam, mode).sqrt(), exact(root, 0.5 * error, "1"));
        // The shape's error is of the order of the frequency's; the constant was found by comparison and is the same
        // for all modes.
        group.add(
            format!("uniform: modal mass of mode {n}"),
            mode.modal_mass_kg / beam.mass_kg(),
            exact(0.25, 3.0 * error, "tongue masses"),
        );
        group.add(
            format!("uniform: swept area of mode {n}"),
            mode.swept_area_m2 / (beam.width_m.at(0.0) * beam.length_m),
            exact(swept, 3.0 * error + 1e-9, "w L"),
        );
        group.add(
            format!("uniform: tip slope of mode {n}"),
            mode.shape.tip_slope() * beam.length_m,
            exact(slope, 3.0 * error + 1e-8, "1/L"),
        );
    }
    // One digit: a rounded value in use elsewhere.
    let rounded = Published::within(0.4, 0.01, "w L", "J. Woodhouse, Euphonics, section 11.6.3, rounded");
    group.add("uniform: swept area of mode 1, rounded", modes[0].swept_area_m2 / (2e-3 * 15e-3), rounded);
    // The largest stress of a mode is at the root, where |phi''| L^2 = Omega for a unit tip.
    for (n, root, ..) in UNIFORM {
        let (stress, place) = beam.largest_stress(&modes[n - 1].shape);
        let curvature = stress / (0.5 * beam.youngs_modulus_pa * beam.thickness_m.at(0.0)) * beam.length_m.powi(2);
        let exact = Published::relative(root * root, first_element(root * root), "1/L^2", EXACT_UNIFORM);
        group.add(format!("uniform: root curvature of mode {n}, from the stress"), curvature, exact);
        group.add(
            format!("uniform: place of the largest stress of mode {n}"),
            place / beam.length_m,
            Published::within(0.0, 0.0, "L", EXACT_UNIFORM),
        );
    }
    for (n, from, to, place) in [(2, 0.7, 0.9, 0.783444551), (3, 0.4, 0.6, 0.503547873), (3, 0.8, 0.95, 0.867677592)] {
        let node = zero(|x| modes[n - 1].shape.at(x * beam.length_m), from, to);
        // Ten digits in the source, and the shape's own error.
        let allowed = element_error(UNIFORM[n - 1].1.powi(2)) + 1e-9;
        group.add(
            format!("uniform: node of mode {n} near {from}-{to}"),
            node,
            Published::within(place, allowed, "L", EXACT_UNIFORM),
        );
    }
}

fn published_ratios(group: &mut Group) {
    // Rounded to 0.01 Hz in 19.64: 0.03 %. The mass ratio is given to one digit, which leaves 0.3 % open.
    const SOURCE: &str = "Appl. Sci. 9 (2019) 2996, tables 1-2";
    let modes = strip().modes(3);
    let ratio = |n: usize| modes[n].frequency_hz / modes[0].frequency_hz;
    group.add("uniform: second over first frequency", ratio(1), Published::relative(123.07 / 19.64, 3e-4, "1", SOURCE));
    group.add("uniform: third over first frequency", ratio(2), Published::relative(344.64 / 19.64, 3e-4, "1", SOURCE));
    let loaded = with_tip_mass(0.2).modes(1)[0].frequency_hz / modes[0].frequency_hz;
    group.add("tip mass 0.2: frequency ratio", loaded, Published::relative(14.56 / 19.64, 3e-3, "1", SOURCE));
}

/// Tip mass over tongue mass, roots of three modes.
const TIP_MASSES: [(f64, [f64; 3]); 8] = [
    (0.01, [1.85678697696, 4.64972648342, 7.78267123973]),
    (0.1, [1.72274152059, 4.39952281616, 7.45105667330]),
    (0.25, [1.57375130266, 4.22511285671, 7.28123637341]),
    (0.5, [1.41996442977, 4.11113338642, 7.19033524196]),
    (1.0, [1.24791740961, 4.03113943671, 7.13413224094]),
    (2.0, [1.07619566408, 3.98257328776, 7.10265018605]),
    (5.0, [0.87002145889, 3.94998049114, 7.08253760284]),
    (10.0, [0.73578191939, 3.93846583325, 7.07561636703]),
];

fn tip_mass(group: &mut Group) {
    for (share, roots) in TIP_MASSES {
        let beam = with_tip_mass(share);
        for ((n, root), mode) in roots.into_iter().enumerate().zip(beam.modes(3)) {
            let published = Published::relative(root, 0.5 * element_error(root * root) + 1e-11, "1", TIP_MASS);
            group.add(format!("tip mass {share}: root of mode {}", n + 1), omega(&beam, &mode).sqrt(), published);
        }
    }
    const PAPER: &str = "Math. Probl. Eng. 2017, 1568019, table 1, last column";
    let beam = with_tip_mass(1.0);
    for ((n, value), mode) in [1.557298, 16.25009, 50.89584].into_iter().enumerate().zip(beam.modes(3)) {
        // Seven digits printed: half of the last, and the elements' error.
        let published = Published::relative(value, 4e-7 + element_error(value), "1", PAPER);
        group.add(format!("tip mass 1: Omega of mode {}", n + 1), omega(&beam, &mode), published);
    }
    // dlnf/dmu = -2 phi(L)^2: a tip mass of 2.89e-4 of the tongue makes it one cent flat.
    let ratio = with_tip_mass(2.89e-4).modes(1)[0].frequency_hz / strip().modes(1)[0].frequency_hz;
    let published = Published::within(-1.0, 2e-3, "cent", "computed from d ln f / d mu = -2 phi(L)^2; three digits");
    group.add("tip mass 0.000289: pitch", 1200.0 * ratio.log2(), published);
}

/// `k L / E I`, root, cents from built in.
const ROOT_SPRINGS: [(f64, f64, f64); 8] = [
    (1.0, 1.24791740961, -1409.876),
    (10.0, 1.72274152059, -293.435),
    (50.0, 1.83929350798, -66.7655),
    (100.0, 1.85678697696, -33.9897),
    (200.0, 1.86583847490, -17.1518),
    (500.0, 1.87137158998, -6.89907),
    (1000.0, 1.87323340888, -3.45599),
    (1e4, 1.87491660286, -0.346182),
];

fn root_spring(group: &mut Group) {
    let built_in = strip().modes(1)[0].frequency_hz;
    for (spring, root, cents) in ROOT_SPRINGS {
        let mut beam = strip();
        beam.root_spring_n_m_per_rad = Some(spring * bending_stiffness(&beam) / beam.length_m);
        let mode = &beam.modes(1)[0];
        let allowed = Published::relative(root, element_error(root * root) + 1e-11, "1", ROOT_SPRING);
        group.add(format!("root spring {spring}: first root"), omega(&beam, mode).sqrt(), allowed);
        let pitch = 1200.0 * (mode.frequency_hz / built_in).log2();
        group.add(format!("root spring {spring}: pitch"), pitch, Published::relative(cents, 3e-5, "cent", ROOT_SPRING));
    }
}

/// Tip over root, three values of `Omega`, modal mass over mass, and the root's curvature with its own second derivative over it.
type Taper = (f64, [f64; 3], f64, (f64, f64));

const THICKNESS_TAPERS: [Taper; 14] = [
    (2.0, [3.2759648154, 28.220289731, 86.417279898], 0.325992224, (5.694926652, 20.1353)),
    (1.5, [3.3669304939, 25.273235862, 74.501767148], 0.295070165, (4.617929342, 7.08962)),
    (1.25, [3.4309474996, 23.698722105, 68.240231567], 0.274855966, (4.070980081, 2.80310)),
    (0.9, [3.5587020699, 21.338102791, 58.979904918], 0.238377761, (3.291158352, -0.708347)),
    (0.8, [3.6082748735, 20.621017591, 56.192278369], 0.225574635, (3.064287723, -1.18253)),
    (0.75, [3.6362425340, 20.253908939, 54.768437203], 0.218672284, (2.949997141, -1.33238)),
    (0.7, [3.6667494596, 19.880606401, 53.322198861], 0.211400287, (2.835073552, -1.42445)),
    (0.6, [3.7370761322, 19.113812768, 50.353654607], 0.195622348, (2.603104374, -1.43693)),
    (0.5, [3.8237848473, 18.317260904, 47.264827010], 0.177955385, (2.367866343, -1.22441)),
    (0.4, [3.9342774899, 17.487855151, 44.024809362], 0.15804789, (2.128732182, -0.794291)),
    (0.3, [4.0817123781, 16.625249932, 40.587877567], 0.135470567, (1.885018636, -0.160101)),
    (0.25, [4.1765926028, 16.184290637, 38.775020493], 0.123025749, (1.761297572, 0.2258)),
    (0.2, [4.29249453924, 15.742700171, 36.884553260], 0.109723511, (1.636417885, 0.65)),
    (0.1, [4.6307238624, 14.930792668, 32.833121136], 0.0803731506, (1.38589, 1.51)),
];

const WIDTH_TAPERS: [Taper; 12] = [
    (2.0, [2.8396872499, 20.637622703, 60.359662382], 0.309659135, (4.156088873, 4.68162)),
    (1.25, [3.2824670703, 21.575753738, 61.258873850], 0.269450912, (3.683635565, 0.806447)),
    (0.9, [3.6310276919, 22.254029896, 61.909628174], 0.240915524, (3.447656299, -0.256735)),
    (0.8, [3.7628590684, 22.501813973, 62.152516258], 0.23091285, (3.378739973, -0.476904)),
    (0.75, [3.8364319086, 22.638701435, 62.288407422], 0.225521752, (3.344153093, -0.573608)),
    (0.7, [3.9160338571, 22.785958070, 62.436120600], 0.21984274, (3.309545826, -0.661627)),
    (0.6, [4.0969763820, 23.118642806, 62.776305843], 0.20752291, (3.24057449, -0.812557)),
    (0.4, [4.5853122153, 24.021080153, 63.751469657], 0.178188338, (3.107733732, -1.02482)),
    (0.3, [4.9316419818, 24.687279635, 64.526627330], 0.160566378, (3.048978666, -1.09746)),
    (0.25, [5.1457143032, 25.119543858, 65.056944711], 0.150856557, (3.023981988, -1.13014)),
    (0.2, [5.39758833392, 25.655827300, 65.746960729], 0.140481926, (3.003918171, -1.16379)),
    (0.1, [6.07038679141, 27.298944045, 68.114496001], 0.1175902656, (2.991344245, -1.25306)),
];

fn thickness_tapers(group: &mut Group) {
    for row in THICKNESS_TAPERS {
        taper(group, "thickness", &with_thickness_taper(row.0), row);
    }
}

fn width_tapers(group: &mut Group) {
    for row in WIDTH_TAPERS {
        taper(group, "width", &with_width_taper(row.0), row);
    }
}

fn taper(group: &mut Group, what: &str, beam: &Beam, (ratio, omegas, mass, (curvature, bend)): Taper) {
    let modes = beam.modes(3);
    let own = |omega: f64| element_error(omega) / ratio.min(1.0) + 2e-7 * (1.0 - ratio).powi(2);
    for (n, value) in omegas.into_iter().enumerate() {
        let published = Published::relative(value, own(value), "1", TAPER);
        group.add(format!("{what} taper {ratio}: Omega of mode {}", n + 1), omega(beam, &modes[n]), published);
    }
    let share = modes[0].modal_mass_kg / beam.mass_kg();
    let published = Published::relative(mass, 4.0 * own(omegas[0]) + 5e-9, "tongue masses", TAPER);
    group.add(format!("{what} taper {ratio}: modal mass"), share, published);
    // Inside an element the curvature is a straight line, which misses its second derivative times l^2/12 at the ends.
    let missed = bend.abs() / (12.0 * 1600.0);
    group.add(
        format!("{what} taper {ratio}: root curvature"),
        modes[0].shape.curvature(0.0) * beam.length_m.powi(2),
        Published::relative(curvature, 1.1 * missed + 3e-6, "1/L^2", TAPER),
    );
}

fn wedge(group: &mut Group) {
    let beam = with_thickness_taper(0.0);
    for ((n, z), mode) in [4.6108998790491_f64, 7.7992738008, 10.958067192].into_iter().enumerate().zip(beam.modes(3)) {
        let value = 0.25 * z * z;
        // Waves are shortest at the point: five times the error of an even strip.
        let published = Published::relative(value, 5.0 * element_error(value), "1", WEDGE);
        group.add(format!("pointed wedge: Omega of mode {}", n + 1), omega(&beam, &mode), published);
    }
}

/// What a file does: metal taken off near the root flattens, near the tip sharpens.
fn filing(group: &mut Group) {
    const FIRST_ORDER: &str = "computed from d ln f = integral of S d ln h, S = 2(3 phi''^2/b^4 - phi^2) per L";
    const STEP: &str = "computed by matching two uniform spans exactly";
    let plain = strip().modes(1)[0].frequency_hz;
    let filed = |from: f64, to: f64, factor: f64| {
        let mut beam = strip();
        let at = |x: f64, h: f64| (x * beam.length_m, h * 0.2e-3);
        let mut stations = vec![at(from, factor), at(to, factor)];
        if from > 0.0 {
            stations.splice(0..0, [at(0.0, 1.0), at(from, 1.0)]);
        }
        if to < 1.0 {
            stations.extend([at(to, 1.0), at(1.0, 1.0)]);
        }
        beam.thickness_m = Profile::linear(stations).expect("stations in order");
        beam.modes(1)[0].frequency_hz / plain
    };
    // Central difference of 1e-4 in thickness over a tenth of the length.
    let slope =
        |from: f64, to: f64| (filed(from, to, 1.0 + 1e-4) / filed(from, to, 1.0 - 1e-4)).ln() / 2e-4 / (to - from);
    // The elements leave 2e-8, the central difference as much.
    let published = |value: f64| Published::relative(value, 5e-8, "1", FIRST_ORDER);
    group.add("filing the first tenth: d ln f/d ln h per L", slope(0.0, 0.1), published(5.21198464));
    group.add("filing the last tenth: d ln f/d ln h per L", slope(0.9, 1.0), published(-1.73702326));
    let cents = 1200.0 * filed(0.0, 0.1, 0.9).log2();
    group.add("first tenth thinned by a tenth: pitch", cents, Published::within(-105.37, 6e-3, "cent", STEP));
}

fn static_deflection(group: &mut Group) {
    let beam = strip();
    let (length, stiffness) = (beam.length_m, bending_stiffness(&beam));
    let force = |at: f64| Load::Force { at_m: at * length, newton: 1.0 };
    let pressure = Load::Pressure { pascal: 1.0 };
    // Nodal values of a uniform beam are exact in this method: only round-off is left.
    let exact = |value: f64, unit| Published::relative(value, 1e-11, unit, STATIC);
    let by_force = |beam: &Beam, load| beam.deflection(load).tip() * stiffness / length.powi(3);
    let per_length = beam.width_m.at(0.0) * length;
    group.add("force at the tip", by_force(&beam, force(1.0)), exact(1.0 / 3.0, "P L^3/E I"));
    group.add("force at 0.4 L", by_force(&beam, force(0.4)), exact(0.16 * 2.6 / 6.0, "P L^3/E I"));
    group.add("uniform pressure", by_force(&beam, pressure) / per_length, exact(1.0 / 8.0, "q L^4/E I"));
    let moment = beam.deflection(Load::TipMoment { newton_metre: 1.0 }).tip() * stiffness / length.powi(2);
    group.add("moment at the tip", moment, exact(0.5, "M L^2/E I"));
    group.add("tip stiffness", beam.tip_stiffness_n_m() / stiffness * length.powi(3), exact(3.0, "E I/L^3"));
    group.add(
        "compliance to pressure",
        beam.compliance_m_pa() * stiffness / length.powi(4),
        exact(0.125 * 2e-3, "L^4/E I m"),
    );

    for (ratio, tip_load) in [(0.1, 1.39105289), (0.25, 1.28279749), (0.5, 1.15888308), (0.75, 1.06966382)] {
        let factor = by_force(&with_width_taper(ratio), force(1.0)) * 3.0;
        // Nine digits; the elements' error falls with the fourth power and is largest for the sharpest plan.
        group.add(
            format!("plan taper {ratio}: tip load"),
            factor,
            Published::relative(tip_load, 2e-7, "P L^3/3 E I", STATIC),
        );
    }
    for (ratio, tip_load, uniform_load) in
        [(0.5, 1.63553233, 1.45787067), (0.75, 1.23495791, 1.18050507), (0.9, 1.08154697, 1.06430896)]
    {
        let beam = with_thickness_taper(ratio);
        let factor = by_force(&beam, force(1.0)) * 3.0;
        group.add(
            format!("thickness taper {ratio}: tip load"),
            factor,
            Published::relative(tip_load, 5e-8, "P L^3/3 E I", STATIC),
        );
        let factor = by_force(&beam, pressure) / per_length * 8.0;
        group.add(
            format!("thickness taper {ratio}: uniform load"),
            factor,
            Published::relative(uniform_load, 5e-8, "q L^4/8 E I", STATIC),
        );
    }

    // Stress at the root for a tip deflection d, in units of E h d / L^2.
    let unit = beam.youngs_modulus_pa * beam.thickness_m.at(0.0) / length.powi(2);
    let root_stress = |load| {
        let shape = beam.deflection(load);
        beam.largest_stress(&shape).0 / (unit * shape.tip())
    };
    group.add("root stress, tip load", root_stress(force(1.0)), exact(1.5, "E h d/L^2"));
    // A uniform load bends each element between its ends by the fixed-end moment q l^2/12, which the element's own
    // curvature leaves out: 1/(6 * 40^2) of the root moment.
    let published = Published::relative(2.0, 1.1 / (6.0 * 1600.0), "E h d/L^2", STATIC);
    group.add("root stress, uniform pressure", root_stress(pressure), published);
    let mode = &beam.modes(1)[0];
    let published = Published::relative(1.75800763, first_element(3.516), "E h d/L^2", EXACT_UNIFORM);
    group.add("root stress, first mode", beam.largest_stress(&mode.shape).0 / unit, published);
}

fn worked_strip(group: &mut Group) {
    let beam = strip();
    let mode = &beam.modes(1)[0];
    // Nine digits are printed; the elements' error in the modal mass is 1.4e-8.
    let worked = |value: f64, unit| Published::relative(value, 2e-8, unit, WORKED);
    group.add("worked strip: first frequency", mode.frequency_hz, worked(515.643521, "Hz"));
    group.add("worked strip: tip stiffness", beam.tip_stiffness_n_m(), worked(130.370370, "N/m"));
    let stiffness = mode.modal_mass_kg * mode.angular_frequency().powi(2);
    group.add("worked strip: modal stiffness", stiffness, worked(134.307158, "N/m"));
    group.add("worked strip: mass", beam.mass_kg() * 1e6, worked(51.18, "mg"));
    group.add("worked strip: modal mass", mode.modal_mass_kg * 1e6, worked(12.795, "mg"));
    let pressure = 0.3e-3 / beam.compliance_m_pa();
    group.add(
        "worked strip: pressure that lifts the tip 0.3 mm",
        pressure,
        Published::within(3476.543, 5e-4, "Pa", WORKED),
    );
    let sideways = "computed: a uniform strip swings sideways w/h = 10 times as fast";
    group.add(
        "worked strip: sideways frequency",
        beam.lateral_frequency_hz(),
        Published::relative(5156.43521, 1e-8, "Hz", sideways),
    );
    // The stress of a state goes the same way as that of a shape.
    let model = ReedModel::new(on_a_chamber(beam)).expect("a valid reed");
    let state = crate::physics::State { tip_m: [1e-3, 0.0], ..Default::default() };
    let published = Published::within(171.89, 5e-3, "MPa", WORKED);
    group.add(
        "worked strip: root stress in the first mode at 1 mm",
        model.largest_stress(&[state]).0 * 1e-6,
        published,
    );
}

fn on_a_chamber(beam: Beam) -> Reed {
    let chamber =
        Chamber { volume_m3: 500e-9, channel_length_m: 20e-3, channel_area_m2: 20e-6, channel_perimeter_m: None };
    Reed {
        beam,
        quality_factor: 60.0,
        rest: super::reeds::curved(0.25e-3),
        slot: super::reeds::slot(0.04e-3, 1e-3),
        chamber: Some(chamber),
        air: Air::default(),
        player: None,
        coefficients: Coefficients::default(),
    }
}

/// Relative error of a frequency with the 40 elements used, `(beta L/40)^4/1440`, doubled to leave room for the terms
/// that were dropped, and the round-off of the eigenvalue.
fn element_error(omega: f64) -> f64 {
    2.0 * omega * omega / (1440.0 * 40.0_f64.powi(4)) + 1e-12
}

/// Relative error of the root curvature of an even strip, a tenth to spare: the first element leaves out the fixed-end
/// moment of its own inertia, which grows with the square of the place: `Omega^2 l^4/120`.
fn first_element(omega: f64) -> f64 {
    1.1 * omega * omega / (120.0 * 40.0_f64.powi(4)) + 1e-9
}

fn bending_stiffness(beam: &Beam) -> f64 {
    beam.youngs_modulus_pa * beam.width_m.at(0.0) * beam.thickness_m.at(0.0).powi(3) / 12.0
}

/// `Omega = w L^2 sqrt(rho A_0 / E I_0)` of a mode.
fn omega(beam: &Beam, mode: &Mode) -> f64 {
    let line_mass = beam.density_kg_m3 * beam.width_m.at(0.0) * beam.thickness_m.at(0.0);
    TAU * mode.frequency_hz * beam.length_m.powi(2) * (line_mass / bending_stiffness(beam)).sqrt()
}

fn with_tip_mass(share: f64) -> Beam {
    let beam = strip();
    Beam { tip_mass_kg: share * beam.mass_kg(), ..beam }
}

fn tapered(root: f64, ratio: f64, length: f64) -> Profile {
    Profile::linear(vec![(0.0, root), (length, ratio * root)]).expect("two stations in order")
}

fn with_thickness_taper(ratio: f64) -> Beam {
    let beam = brass(15e-3, 2e-3, 0.2e-3);
    Beam { thickness_m: tapered(0.2e-3, ratio, beam.length_m), ..beam }
}

fn with_width_taper(ratio: f64) -> Beam {
    let beam = brass(15e-3, 2e-3, 0.2e-3);
    Beam { width_m: tapered(2e-3, ratio, beam.length_m), ..beam }
}

/// Where a function that changes sign between two places is zero, by halving.
fn zero(f: impl Fn(f64) -> f64, mut from: f64, mut to: f64) -> f64 {
    let sign = f(from).signum();
    for _ in 0..60 {
        let middle = 0.5 * (from + to);
        if f(middle).signum() == sign { from = middle } else { to = middle }
    }
    0.5 * (from + to)
}
