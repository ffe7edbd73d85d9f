//! The tongue as a beam: convergence, scaling and what a file does to it.

use crate::support::physics::Random;
use freereed::cases::reeds::{brass, strip};
use freereed::physics::beam::Load;
use freereed::physics::{Beam, InputError, Profile};

fn assert_close(what: &str, a: f64, b: f64, share: f64) {
    assert!((a / b - 1.0).abs() <= share, "{what}: {a:e} and {b:e}");
}

#[test]
fn frequencies_converge_with_the_fourth_power_of_the_elements() {
    // First roots of 1 + cos b cosh b = 0; Blevins, Formulas for Natural Frequency and Mode Shape (from memory).
    const ROOTS: [f64; 3] = [1.875104068711961, 4.694091132974175, 7.854757438237613];
    let beam = strip();
    let unit = (beam.youngs_modulus_pa / (12.0 * beam.density_kg_m3)).sqrt() * 0.2e-3 / (15e-3_f64).powi(2);
    let error = |elements: usize, mode: usize| {
        let exact = ROOTS[mode] * ROOTS[mode] * unit / std::f64::consts::TAU;
        beam.modes_with(3, elements)[mode].frequency_hz / exact - 1.0
    };
    for (mode, root) in ROOTS.into_iter().enumerate() {
        let errors = [10, 20, 40].map(|elements| error(elements, mode));
        for pair in errors.windows(2) {
            let slope = (pair[0] / pair[1]).log2();
            // The next term of the error is of relative order (beta l)^2, at its largest a tenth for the third mode.
            assert!((slope - 4.0).abs() < 0.1, "mode {mode}: slope {slope}");
        }
        assert_close("size of the error", errors[2], (root / 40.0).powi(4) / 1440.0, 0.05);
    }
}

#[test]
fn a_taper_converges_as_fast() {
    let mut beam = strip();
    beam.thickness_m = Profile::linear(vec![(0.0, 0.2e-3), (15e-3, 0.1e-3)]).unwrap();
    let frequency = |elements| beam.modes_with(1, elements)[0].frequency_hz;
    let [a, b, c] = [10, 20, 40].map(frequency);
    let slope = ((a - b) / (b - c)).log2();
    assert!((slope - 4.0).abs() < 0.1, "slope {slope}");
}

#[test]
fn frequencies_scale_as_thickness_over_length_squared() {
    let mut random = Random::new(1);
    for _ in 0..20 {
        let (length, width, thickness) =
            (random.decades(3e-3, 80e-3), random.decades(1e-3, 10e-3), random.decades(0.03e-3, 1.5e-3));
        let (f, g) = (random.decades(0.3, 3.0), random.decades(0.3, 3.0));
        let taper = |root: f64, tip: f64, length: f64| {
            Profile::linear(vec![(0.0, root), (0.4 * length, 0.9 * root), (length, tip)]).unwrap()
        };
        let beam = |length: f64, thickness: f64| Beam {
            thickness_m: taper(thickness, 0.7 * thickness, length),
            width_m: taper(width, 0.8 * width, length),
            ..brass(length, width, thickness)
        };
        let (one, other) = (beam(length, thickness), beam(f * length, g * thickness));
        for (a, b) in one.modes(2).iter().zip(other.modes(2)) {
            // The problem is solved in dimensionless form: only round-off is left.
            assert_close("f ~ h/L^2", b.frequency_hz, a.frequency_hz * g / (f * f), 1e-11);
            assert_close("mass ~ h L", b.modal_mass_kg, a.modal_mass_kg * f * g, 1e-10);
            assert_close("swept area ~ L", b.swept_area_m2, a.swept_area_m2 * f, 1e-10);
        }
        assert_close("k ~ h^3/L^3", other.tip_stiffness_n_m(), one.tip_stiffness_n_m() * (g / f).powi(3), 1e-9);
        let stiffer = Beam { youngs_modulus_pa: 4.0 * one.youngs_modulus_pa, ..one.clone() };
        assert_close("f ~ sqrt(E)", stiffer.modes(1)[0].frequency_hz, 2.0 * one.modes(1)[0].frequency_hz, 1e-9);
        let heavier = Beam { density_kg_m3: 4.0 * one.density_kg_m3, ..one.clone() };
        assert_close("f ~ 1/sqrt(rho)", 2.0 * heavier.modes(1)[0].frequency_hz, one.modes(1)[0].frequency_hz, 1e-9);
        assert_close("twist", 2.0 * heavier.torsional_frequency_hz(), one.torsional_frequency_hz(), 1e-9);
        let scaled = one.with_thickness_scaled(g);
        assert_close("scaled", scaled.modes(1)[0].frequency_hz, g * one.modes(1)[0].frequency_hz, 1e-9);
    }
}

#[test]
fn width_alone_changes_nothing_but_the_masses() {
    let (narrow, wide) = (brass(15e-3, 1e-3, 0.2e-3), brass(15e-3, 3e-3, 0.2e-3));
    let (a, b) = (&narrow.modes(1)[0], &wide.modes(1)[0]);
    assert_close("frequency", a.frequency_hz, b.frequency_hz, 1e-12);
    assert_close("modal mass", 3.0 * a.modal_mass_kg, b.modal_mass_kg, 1e-12);
    assert_close("swept area", 3.0 * a.swept_area_m2, b.swept_area_m2, 1e-12);
}

#[test]
fn modes_are_orthogonal_and_of_unit_tip() {
    let mut beam = strip();
    beam.thickness_m = Profile::linear(vec![(0.0, 0.22e-3), (15e-3, 0.15e-3)]).unwrap();
    beam.tip_mass_kg = 2e-6;
    let modes = beam.modes(4);
    let points = 4000;
    for (i, a) in modes.iter().enumerate() {
        assert!((a.shape.at(beam.length_m) - 1.0).abs() < 1e-12 && a.shape.at(0.0).abs() < 1e-15);
        assert!(a.shape.slope(0.0).abs() * beam.length_m < 1e-12, "built in");
        for b in &modes[..=i] {
            let line: f64 = (0..points)
                .map(|k| {
                    let s = (f64::from(k) + 0.5) / f64::from(points) * beam.length_m;
                    8530.0 * 2e-3 * beam.thickness_m.at(s) * a.shape.at(s) * b.shape.at(s)
                })
                .sum::<f64>()
                * beam.length_m
                / f64::from(points);
            let product = line + beam.tip_mass_kg;
            let expected = if std::ptr::eq(a, b) { a.modal_mass_kg } else { 0.0 };
            // The midpoint rule with 4000 points errs by 1e-6 of the mass at the highest mode.
            assert!((product - expected).abs() < 3e-6 * beam.mass_kg(), "modes product {product:e}, not {expected:e}");
        }
    }
}

#[test]
fn more_metal_at_the_tip_lowers_the_pitch_and_at_the_root_raises_it() {
    let filed = |from: f64, to: f64, factor: f64| {
        let mut beam = strip();
        let (h, l) = (0.2e-3, beam.length_m);
        let stations = [(0.0, h), (from * l, h), (from * l, factor * h), (to * l, factor * h), (to * l, h), (l, h)];
        beam.thickness_m = Profile::linear(stations.to_vec()).unwrap();
        beam.modes(1)[0].frequency_hz
    };
    let plain = strip().modes(1)[0].frequency_hz;
    assert!(filed(0.8, 0.95, 0.9) > plain && filed(0.8, 0.95, 1.1) < plain);
    assert!(filed(0.05, 0.2, 0.9) < plain && filed(0.05, 0.2, 1.1) > plain);
}

#[test]
fn stress_is_largest_where_the_tongue_has_been_thinned() {
    let mut beam = strip();
    let l = beam.length_m;
    let stations = vec![(0.0, 0.3e-3), (0.3 * l, 0.3e-3), (0.3 * l, 0.12e-3), (l, 0.12e-3)];
    beam.thickness_m = Profile::linear(stations).unwrap();
    let shape = beam.deflection(Load::Force { at_m: l, newton: 1e-3 });
    let (stress, place) = beam.largest_stress(&shape);
    assert_close("place", place, 0.3 * l, 1e-9);
    // sigma = 6 M/(w h^2), M = P (L - s).
    assert_close("stress", stress, 6.0 * 1e-3 * 0.7 * l / (2e-3 * 0.12e-3_f64.powi(2)), 1e-8);
}

#[test]
fn reciprocity_of_place_and_force() {
    // Maxwell and Betti: what a force here does there, a force there does here.
    let mut beam = strip();
    beam.thickness_m = Profile::linear(vec![(0.0, 0.2e-3), (6e-3, 0.12e-3), (15e-3, 0.25e-3)]).unwrap();
    let at = |place: f64| beam.deflection(Load::Force { at_m: place, newton: 1.0 });
    // Both places are ends of elements, where the method is best.
    assert_close("reciprocity", at(6e-3).at(15e-3), at(15e-3).at(6e-3), 1e-8);
}

#[test]
fn a_beam_that_means_nothing_is_refused() {
    let bad = [
        Beam { length_m: 0.0, ..strip() },
        Beam { length_m: f64::NAN, ..strip() },
        Beam { density_kg_m3: -1.0, ..strip() },
        Beam { youngs_modulus_pa: f64::INFINITY, ..strip() },
        Beam { tip_mass_kg: -1e-9, ..strip() },
        Beam { root_spring_n_m_per_rad: Some(0.0), ..strip() },
        Beam { thickness_m: Profile::constant(0.0), ..strip() },
        Beam { width_m: Profile::constant(-1e-3), ..strip() },
    ];
    for beam in bad {
        let refused = beam.check();
        assert!(matches!(refused, Err(InputError::NotPositive { .. } | InputError::Negative { .. })), "{beam:?}");
    }
    assert!(Profile::linear(vec![]).is_err());
    assert!(Profile::linear(vec![(1.0, 1.0), (0.0, 1.0)]).is_err());
    assert!(Profile::linear(vec![(0.0, 1.0), (0.0, 2.0), (0.0, 3.0)]).is_err());
    assert!(Profile::linear(vec![(0.0, f64::NAN)]).is_err());
}

/// A straight taper written down at many places.
fn scanned(stations: u32) -> Beam {
    let mut beam = strip();
    let length = beam.length_m;
    let place = |k: u32| f64::from(k) / f64::from(stations) * length;
    let thickness = |s: f64| 0.2e-3 - 0.08e-3 * s / length;
    beam.thickness_m = Profile::linear((0..=stations).map(|k| (place(k), thickness(place(k)))).collect()).unwrap();
    beam
}

#[test]
fn a_fine_scan_of_a_taper_is_that_taper() {
    let taper = scanned(1);
    for stations in [30, 300, 2000, 20_000] {
        let scan = scanned(stations);
        // The elements are finer for a scan: what is left is the error of the taper's own 40.
        for (a, b) in scan.modes(2).iter().zip(taper.modes_with(2, 120)) {
            assert_close("frequency", a.frequency_hz, b.frequency_hz, 1e-9);
            assert_close("modal mass", a.modal_mass_kg, b.modal_mass_kg, 1e-8);
            assert_close("swept area", a.swept_area_m2, b.swept_area_m2, 1e-8);
        }
        assert_close("stiffness", scan.tip_stiffness_n_m(), taper.tip_stiffness_n_m(), 1e-7);
        assert_close("twist", scan.torsional_frequency_hz(), taper.torsional_frequency_hz(), 1e-6);
        assert_close("sideways", scan.lateral_frequency_hz(), taper.lateral_frequency_hz(), 1e-7);
        let (mode, other) = (&scan.modes(1)[0], &taper.modes(1)[0]);
        let cents = |beam: &Beam, mode| beam.filing_cents(mode, 2e-3, 7e-3, 1e-6);
        assert_close("filing", cents(&scan, mode), cents(&taper, other), 1e-5);
        let stress = |beam: &Beam, mode: &freereed::physics::beam::Mode| beam.largest_stress(&mode.shape).0;
        assert_close("stress", stress(&scan, mode), stress(&taper, other), 1e-3);
    }
}

#[test]
fn kinks_inside_elements_cost_little_and_less_with_finer_elements() {
    let mut beam = strip();
    let length = beam.length_m;
    // Hills and dales of 5 % and scratches of 1 %, as a scan shows them.
    let thickness = |x: f64| 0.2e-3 * (1.0 - 0.3 * x + 0.05 * (9.0 * x).sin() + 0.01 * (40.0 * x).cos());
    let scan = (0..=300).map(|k| f64::from(k) / 300.0).map(|x| (x * length, thickness(x))).collect();
    beam.thickness_m = Profile::linear(scan).unwrap();
    let frequency = |elements| beam.modes_with(1, elements)[0].frequency_hz;
    let finest = frequency(1280);
    let errors = [10, 20, 40].map(|elements| frequency(elements) / finest - 1.0);
    assert!(
        errors[2] > 0.0 && errors[2] < 1e-7 && errors[1] > 2.0 * errors[2] && errors[0] > 2.0 * errors[1],
        "{errors:?}"
    );
}

#[test]
fn a_step_keeps_an_end_of_elements_in_a_fine_scan() {
    let mut beam = strip();
    let length = beam.length_m;
    let [thick, thin] = [0.25e-3, 0.15e-3];
    let side =
        |from: f64, to: f64, h: f64| (0..=200).map(move |k| ((from + (to - from) * f64::from(k) / 200.0) * length, h));
    beam.thickness_m = Profile::linear(side(0.0, 0.37, thick).chain(side(0.37, 1.0, thin)).collect()).unwrap();
    let few = vec![(0.0, thick), (0.37 * length, thick), (0.37 * length, thin), (length, thin)];
    let plain = Beam { thickness_m: Profile::linear(few).unwrap(), ..beam.clone() };
    assert_close("frequency", beam.modes(1)[0].frequency_hz, plain.modes_with(1, 120)[0].frequency_hz, 1e-9);
}
