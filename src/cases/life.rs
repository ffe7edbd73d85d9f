//! Fatigue: Basquin's line, Goodman's factor, surface factors.

use super::{Check, Group, Published};
use crate::physics::bending::StressCycle;
use crate::workshop::life::{Scratch, SnLine, goodman, marin};

const SHIGLEY: &str =
    "Shigley's Mechanical Engineering Design, solution of problem 6-15 (S_ut 551, S_e 276, S_y 413, sigma_a 358.5 MPa)";
const SHIGLEY_COMPUTED: &str = "the same problem, computed without rounding";
const GOODMAN: &str =
    "sigma_a/S_e + sigma_m/S_ut = 1/n (mechanical engineering course, Princeton), computed for 160 and 650 MPa";
const BASQUIN: &str =
    "two-point line through 0.9 S_ut at 1e3 and 160 MPa at 1e8, S_ut 650 MPa (spring-tempered C26000), computed";
const MARIN: &str = "Shigley's Mechanical Engineering Design, example 6-3: machined steel, S_ut 520 MPa (from memory)";
const PETERSON: &str = "Peterson's constant of quenched and tempered steel near 1240 MPa, 0.064 mm: Dowling, Mechanical Behavior of Materials, chapter on notches (from memory)";
const INGLIS: &str = "a notch as deep as its radius triples the stress (Inglis; Kirsch's hole)";

pub(super) fn checks() -> Vec<Check> {
    let mut group = Group::new("life");
    lines(&mut group);
    means(&mut group);
    surfaces(&mut group);
    group.checks
}

fn lines(group: &mut Group) {
    let steel = SnLine::of(551e6, 276e6, 1e6);
    group.add("steel: A", 1e-6 * steel.coefficient_pa, Published::within(891.0, 0.05, "MPa", SHIGLEY));
    group.add("steel: b", steel.exponent, Published::within(-0.084828, 5e-7, "1", SHIGLEY));
    // The solution rounds a and b before it divides; it prints three digits.
    group.add("steel: cycles", steel.cycles(358.5e6), Published::within(45_800.0, 50.0, "1", SHIGLEY));
    group.add("steel: cycles, exactly", steel.cycles(358.5e6), Published::within(45_820.0, 5.0, "1", SHIGLEY_COMPUTED));
    let swing = cycle(358.5, 0.0);
    let endless = goodman(&swing, steel.strength_pa(1e6), 551e6);
    group.add("steel: factor on fatigue", endless, Published::within(0.77, 5e-3, "1", SHIGLEY));
    group.add("steel: factor on yield", 413e6 / swing.peak_pa(), Published::within(1.15, 5e-3, "1", SHIGLEY));
    let brass = SnLine::of(650e6, 160e6, 1e8);
    group.add("brass: A", 1e-6 * brass.coefficient_pa, Published::within(1273.437, 6e-4, "MPa", BASQUIN));
    group.add("brass: b", brass.exponent, Published::within(-0.112_607_18, 6e-9, "1", BASQUIN));
    // Four digits are printed.
    for (stress_mpa, cycles, last_digit) in [(200.0, 1.378e7, 1e4), (250.0, 1.900e6, 1e3)] {
        let published = Published::within(cycles, 0.5 * last_digit, "1", BASQUIN);
        group.add(format!("brass at {stress_mpa} MPa: cycles"), brass.cycles(1e6 * stress_mpa), published);
    }
    let hours = |cycles: f64| cycles / 440.0 / 3600.0;
    group.add(
        "brass at 200 MPa, 440 Hz: hours",
        hours(brass.cycles(200e6)),
        Published::within(8.70, 5e-3, "h", BASQUIN),
    );
    group.add(
        "brass at 160 MPa, 440 Hz: hours",
        hours(brass.cycles(160e6)),
        Published::within(63.13, 6e-3, "h", BASQUIN),
    );
    group.add("brass: strength at 1e8", 1e-6 * brass.strength_pa(1e8), Published::within(160.0, 1e-9, "MPa", BASQUIN));
}

fn cycle(amplitude_mpa: f64, mean_mpa: f64) -> StressCycle {
    StressCycle { at_m: 0.0, mean_pa: 1e6 * mean_mpa, amplitude_pa: 1e6 * amplitude_mpa }
}

fn means(group: &mut Group) {
    for (amplitude, mean, factor) in [(60.0, 0.0, 2.6667), (60.0, 100.0, 1.8909), (100.0, 100.0, 1.2840)] {
        for sign in [1.0, -1.0] {
            let found = goodman(&cycle(amplitude, sign * mean), 160e6, 650e6);
            let published = Published::within(factor, 6e-5, "1", GOODMAN);
            group.add(format!("{amplitude} MPa about {} MPa: factor", sign * mean), found, published);
        }
    }
}

fn surfaces(group: &mut Group) {
    group.add("machined steel: surface factor", marin(4.51, -0.265, 520e6), Published::within(0.860, 6e-4, "1", MARIN));
    // A blunt notch is felt in full.
    let blunt = Scratch { depth_m: 1.0, radius_m: 1.0 };
    group.add("notch as deep as wide", blunt.notch_factor(1240e6), Published::within(3.0, 1e-3, "1", INGLIS));
    // K_f - 1 of a notch whose radius is the constant itself is half of K_t - 1; two digits are printed.
    let even = Scratch { depth_m: 0.064e-3, radius_m: 0.064e-3 };
    group.add("notch of the constant's radius", even.notch_factor(1240e6), Published::within(2.0, 0.02, "1", PETERSON));
}
