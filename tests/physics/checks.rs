//! The table of published values: all pass, none is trivial, and 1 % of any coefficient shows in it.

use std::collections::HashSet;
use std::f64::consts::PI;
use std::sync::LazyLock;

use freereed::cases::{self, Check};
use freereed::physics::coefficients::{
    CHANNEL_LOSS, CONTRACTION, DRAG, END_CORRECTION, LEAK_SMOOTHING_PA, THIN_SLIT_LENGTH,
};

static CHECKS: LazyLock<Vec<Check>> = LazyLock::new(cases::checks);

/// Number of checks; it may only rise.
const AT_LEAST: usize = 1465;

#[test]
fn every_check_passes() {
    let failed: Vec<String> =
        CHECKS.iter().filter(|check| !check.passes()).map(|check| format!("{check:#?}")).collect();
    assert!(failed.is_empty(), "{}", failed.join("\n"));
    assert!(CHECKS.len() >= AT_LEAST, "only {} checks are left", CHECKS.len());
}

#[test]
fn every_check_has_a_name_of_its_own_a_source_and_a_tolerance() {
    let mut names = HashSet::new();
    for check in CHECKS.iter() {
        assert!(names.insert((check.group, &check.name)), "twice: {}: {}", check.group, check.name);
        assert!(check.source.len() > 10 && !check.unit.is_empty(), "{}", check.name);
        assert!(check.allowed >= 0.0 && check.allowed.is_finite() && check.published.is_finite(), "{}", check.name);
    }
}

#[test]
fn what_is_not_a_number_or_too_far_off_does_not_pass() {
    let check = Check {
        group: "test",
        name: "one".into(),
        computed: 1.0,
        published: 1.0,
        allowed: 0.1,
        unit: "1",
        source: "made up for this test",
    };
    assert!(check.passes());
    for computed in [f64::NAN, f64::INFINITY, 1.11, 0.89] {
        assert!(!Check { computed, ..check.clone() }.passes(), "{computed}");
    }
}

/// The beam's roots are compared closely: were the tolerances to be widened by mistake, this would show it.
#[test]
fn frequencies_of_beams_are_held_to_a_tenth_of_a_cent() {
    let omegas = CHECKS.iter().filter(|check| check.group == "beam" && check.name.contains("Omega"));
    for check in omegas {
        assert!(check.allowed / check.published < 6e-5, "{}", check.name);
    }
}

fn line(name: &str) -> &'static Check {
    CHECKS.iter().find(|check| check.name == name).unwrap_or_else(|| panic!("no check is called {name}"))
}

/// Whether `name` would still pass if the program found `value` instead.
fn would_pass(name: &str, value: f64) -> bool {
    Check { computed: value, ..line(name).clone() }.passes()
}

/// A coefficient, the check that guards it, and what that check would compute from another value of the coefficient: the
/// closed form of the situation, written out here apart from the program.
struct Guard {
    coefficient: f64,
    line: &'static str,
    closed_form: fn(f64) -> f64,
}

/// Speed in a slit: the positive root of equation (3).
fn slit(alpha: f64, kappa: f64, overlap: f64, clearance: f64, viscosity: f64, dp: f64) -> f64 {
    let a = 1.2 / (2.0 * alpha * alpha);
    let b = 12.0 * viscosity * (overlap + kappa * clearance) / (clearance * clearance);
    2.0 * dp / (b + (b * b + 4.0 * a * dp).sqrt())
}

/// Length of the edges of the flat tongue of the flow checks (m).
const EDGE: f64 = 32e-3;

fn slot_air(end: f64) -> f64 {
    1.3 * 1.13 * (1e-3 + end * (3e-5 / PI).sqrt()) / 3e-5
}

fn channel_air(end: f64) -> f64 {
    let excess = (2.0 * 1.9e-5 / (1.13 * 2.0 * PI * 515.643521)).sqrt() * (PI / 2e-5).sqrt();
    1.3 * 1.13 * (20e-3 * (1.0 + excess) + end * (2e-5 / PI).sqrt()) / 2e-5
}

fn guards() -> Vec<Guard> {
    let guard = |coefficient, line, closed_form| Guard { coefficient, line, closed_form };
    vec![
        guard(CONTRACTION, "contraction of the jet", |alpha| alpha),
        guard(CONTRACTION, "orifice, above the plate: jet speed at 1 kPa", |alpha| alpha * (2000.0_f64 / 1.2).sqrt()),
        guard(CONTRACTION, "orifice, reversed: jet speed at -100 Pa", |alpha| alpha * (200.0_f64 / 1.2).sqrt()),
        guard(CONTRACTION, "slot of 31.283 mm2 alone at 1 kPa", |alpha| {
            alpha * 2.08e-3 * 15.04e-3 * (2000.0_f64 / 1.2).sqrt()
        }),
        guard(THIN_SLIT_LENGTH, "thin slit of 40 um: mean speed at 0.1 uPa", |kappa| {
            slit(CONTRACTION, kappa, 0.0, 40e-6, 1.9e-5, 1e-7)
        }),
        guard(THIN_SLIT_LENGTH, "thin slit of 40 um: slope of the flow at no pressure", |kappa| {
            EDGE * 40e-6 * 40e-6 / (12.0 * 1.9e-5 * kappa)
        }),
        guard(THIN_SLIT_LENGTH, "slit of 40 um by 0.2 mm: mean speed at 300 Pa", |kappa| {
            slit(CONTRACTION, kappa, 0.2e-3, 40e-6, 1.9e-5, 300.0)
        }),
        guard(DRAG, "drag on the first mode at 2 m/s", |drag| 0.5 * 1.2 * drag * 3e-5 * 4.0 * 0.184728437889),
        guard(END_CORRECTION, "end correction of the slot, rounded to two digits", |end| end),
        guard(END_CORRECTION, "inertance of the slot's air", slot_air),
        guard(END_CORRECTION, "inertance of the channel's air", channel_air),
        guard(CHANNEL_LOSS, "channel: dynamic pressures lost", |loss| loss),
        guard(LEAK_SMOOTHING_PA, "leak of 1 mm2 at 1 Pa", |smooth| {
            1e-6 * (2.0_f64 / 1.13).sqrt() / (1.0 + smooth * smooth).powf(0.25)
        }),
        guard(0.05, "choke: growth rate over its largest", |share| share),
    ]
}

#[test]
fn one_per_cent_of_any_coefficient_makes_a_check_fail() {
    for guard in guards() {
        let value = |factor: f64| (guard.closed_form)(factor * guard.coefficient);
        assert!(would_pass(guard.line, value(1.0)), "the closed form of {:?} is not that of the check", guard.line);
        for factor in [0.99, 1.01] {
            let off = value(factor);
            assert!(!would_pass(guard.line, off), "{:?} would not notice {factor}: {off}", guard.line);
        }
    }
}

/// All constants of the formulas for moist air, in the order of the publications.
const AIR: [f64; 38] = [
    // saturation pressure
    1.2378847e-5,
    -1.9121316e-2,
    33.93711047,
    -6.3431645e3,
    // enhancement factor
    1.00062,
    3.14e-8,
    5.6e-7,
    // compressibility
    1.58123e-6,
    -2.9331e-8,
    1.1043e-10,
    5.707e-6,
    -2.051e-8,
    1.9898e-4,
    -2.376e-6,
    1.83e-11,
    -0.765e-8,
    // molar masses, gas constant
    28.96546e-3,
    12.011e-3,
    18.01528e-3,
    8.314472,
    // speed of sound
    331.5024,
    0.603055,
    -0.000528,
    51.471935,
    0.1495874,
    -0.000782,
    -1.82e-7,
    3.73e-8,
    -2.93e-10,
    -85.20931,
    -0.228525,
    5.91e-5,
    -2.835149,
    -2.15e-13,
    29.179762,
    0.000486,
    // viscosity
    1.458e-6,
    110.4,
];

const STEAM_BATH: &str = "60 degC, 100 % humidity, 100000 ppm CO2, 110 kPa";

/// What the checks in the hottest, wettest state would compute from other constants.
fn steam_bath(k: &[f64; 38]) -> Vec<(String, f64)> {
    let (celsius, t, p, x_c): (f64, f64, f64, f64) = (60.0, 333.15, 110e3, 0.1);
    let saturation = (k[0] * t * t + k[1] * t + k[2] + k[3] / t).exp();
    let enhancement = k[4] + k[5] * p + k[6] * celsius * celsius;
    let x = enhancement * saturation / p;
    let z = 1.0
        - p / t
            * (k[7]
                + k[8] * celsius
                + k[9] * celsius * celsius
                + (k[10] + k[11] * celsius) * x
                + (k[12] + k[13] * celsius) * x * x)
        + (p / t).powi(2) * (k[14] + k[15] * x * x);
    let dry = k[16] + k[17] * (x_c - 0.0004);
    let density = p * dry / (z * k[19] * t) * (1.0 - x * (1.0 - k[18] / dry));
    let quadratic = |i: usize| k[i] + k[i + 1] * celsius + k[i + 2] * celsius * celsius;
    let speed = quadratic(20)
        + quadratic(23) * x
        + quadratic(26) * p
        + quadratic(29) * x_c
        + k[32] * x * x
        + k[33] * p * p
        + k[34] * x_c * x_c
        + k[35] * x * p * x_c;
    let viscosity = k[36] * 310.15_f64.powf(1.5) / (310.15 + k[37]);
    vec![
        ("saturation pressure, 60 degC".into(), saturation),
        ("enhancement factor, 60 degC, 110 kPa".into(), enhancement),
        (format!("vapour fraction, {STEAM_BATH}"), x),
        (format!("compressibility, {STEAM_BATH}"), z),
        (format!("density, {STEAM_BATH}"), density),
        (format!("speed of sound, {STEAM_BATH}"), speed),
        ("viscosity, 310.15 K".into(), viscosity),
    ]
}

#[test]
fn one_per_cent_of_any_constant_of_the_air_makes_a_check_fail() {
    for (name, value) in steam_bath(&AIR) {
        assert!(would_pass(&name, value), "{name}: {value}");
    }
    for k in 0..AIR.len() {
        for factor in [0.99, 1.01] {
            let mut changed = AIR;
            changed[k] *= factor;
            let noticed = steam_bath(&changed).iter().any(|(name, value)| !would_pass(name, *value));
            assert!(noticed, "no check would notice {} instead of {}", changed[k], AIR[k]);
        }
    }
}

#[test]
fn one_per_cent_of_a_pole_of_the_weighting_makes_a_check_fail() {
    let weighting = |f: f64, poles: &[f64; 4]| {
        let response = |f: f64| {
            let square = f * f;
            let pole = |k: usize| square + poles[k] * poles[k];
            square * square / (pole(0) * (pole(1) * pole(2)).sqrt() * pole(3))
        };
        20.0 * (response(f) / response(1000.0)).log10()
    };
    let poles = [20.598997, 107.65265, 737.86223, 12194.217];
    let noticed = |poles: &[f64; 4]| {
        (10..=43).any(|n| {
            let frequency = 10.0_f64.powf(0.1 * f64::from(n));
            !would_pass(&format!("A-weighting at {frequency:.1} Hz"), weighting(frequency, poles))
        })
    };
    assert!(!noticed(&poles));
    for k in 0..4 {
        for factor in [0.99, 1.01] {
            let mut changed = poles;
            changed[k] *= factor;
            assert!(noticed(&changed), "no check would notice a pole at {} Hz", changed[k]);
        }
    }
}

#[test]
fn they_are_told_as_the_schema_has_it() {
    crate::support::schema::hold("verify", &freereed::print::json::checks(&CHECKS).into());
}
