//! What filing does to the pitch: against the closed form and against solving the filed reed anew.

use freereed::cases::reeds::strip;
use freereed::physics::{Beam, Profile};

const CENTS_PER_RATIO: f64 = 1200.0 / std::f64::consts::LN_2;

/// A tongue with everything on it: taper, step, weight on the tip, a root that gives.
fn worked() -> Beam {
    let l = strip().length_m;
    let stations = vec![(0.0, 0.21e-3), (0.4 * l, 0.16e-3), (0.4 * l, 0.19e-3), (l, 0.13e-3)];
    Beam {
        thickness_m: Profile::linear(stations).unwrap(),
        width_m: Profile::linear(vec![(0.0, 2.3e-3), (l, 1.8e-3)]).unwrap(),
        tip_mass_kg: 4e-6,
        root_spring_n_m_per_rad: Some(0.3),
        ..strip()
    }
}

fn cents(after: f64, before: f64) -> f64 {
    CENTS_PER_RATIO * (after / before).ln()
}

// The cantilever's first shape in closed form: R. D. Blevins, Formulas for Natural Frequency and Mode Shape, table 8-1
// (from memory), solved here by itself.
fn cantilever_shape(x: f64) -> (f64, f64) {
    let b = 1.875104068711961_f64;
    let sigma = (b.sinh() - b.sin()) / (b.cosh() + b.cos());
    let (c, s, ch, sh) = ((b * x).cos(), (b * x).sin(), (b * x).cosh(), (b * x).sinh());
    (ch - c - sigma * (sh - s), ch + c - sigma * (sh + s))
}

#[test]
fn the_uniform_cantilever_has_its_closed_form() {
    let (beam, mode) = (strip(), &strip().modes(1)[0]);
    let (h, l) = (0.2e-3, beam.length_m);
    let curve = beam.filing_curve(mode);
    // The modal mass is a quarter of the mass, and the curvature at the root equals `(b/L)^2` of the tip's motion: the tip
    // raises by 2/(h L), the root lowers by three times as much.
    let tip = CENTS_PER_RATIO * 2.0 / (h * l);
    assert!((curve[curve.len() - 1].1 / tip - 1.0).abs() < 1e-4, "{:?}", curve.last());
    assert!((curve[0].1 / (-3.0 * tip) - 1.0).abs() < 1e-3, "{:?}", curve.first());
    // Everywhere: `(phi/phi(L))^2 - 3 (phi''/(b^2 phi(L)))^2`.
    let at_tip = cantilever_shape(1.0).0;
    for &(s, found) in &curve {
        let (shape, curvature) = cantilever_shape(s / l);
        let expected = tip * (shape * shape - 3.0 * curvature * curvature) / (at_tip * at_tip);
        assert!((found - expected).abs() < 1e-3 * tip, "{s}: {found:e}, not {expected:e}");
    }
}

#[test]
fn the_uniform_cantilever_s_neutral_place() {
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        let (shape, curvature) = cantilever_shape(middle);
        if shape < 3.0_f64.sqrt() * curvature { low = middle } else { high = middle }
    }
    let found = strip().neutral_places_m(&strip().modes(1)[0]);
    assert_eq!(found.len(), 1);
    assert!((found[0] / strip().length_m - low).abs() < 1e-4, "{} and {low}", found[0] / strip().length_m);
}

#[test]
fn thinning_the_whole_uniform_tongue_lowers_it_by_its_share() {
    // f ~ h.
    let (beam, mode) = (strip(), &strip().modes(1)[0]);
    let found = beam.filing_cents(mode, 0.0, beam.length_m, 1e-6);
    assert!((found / (-CENTS_PER_RATIO * 1e-6 / 0.2e-3) - 1.0).abs() < 1e-5, "{found}");
}

#[test]
fn shallow_cuts_move_the_pitch_as_the_filed_reed_solved_anew() {
    for beam in [strip(), worked()] {
        let l = beam.length_m;
        let modes = beam.modes(2);
        for (n, mode) in modes.iter().enumerate() {
            let largest = beam.filing_curve(mode).iter().map(|point| point.1.abs()).fold(0.0, f64::max);
            for (from, to) in [(0.0, 0.05), (0.1, 0.17), (0.35, 0.45), (0.7, 0.8), (0.93, 1.0)] {
                let error = |depth: f64| {
                    let exact = cents(beam.filed(from * l, to * l, depth).modes(2)[n].frequency_hz, mode.frequency_hz);
                    let first = beam.filing_cents(mode, from * l, to * l, depth);
                    (exact - first).abs() / (largest * (to - from) * l * depth)
                };
                let [coarse, fine] = [1e-6, 1e-7].map(error);
                // What is left out is of the order of the depth over the thickness; below that only the elements are left,
                // which the cut moves: 1e-3 of the largest.
                assert!(coarse < 2e-2 && fine < 3e-3, "mode {n}, {from}..{to}: {coarse:e}, {fine:e}");
            }
        }
    }
}

#[test]
fn a_weight_on_the_tip_moves_the_neutral_place_outwards() {
    let mut last = 0.0;
    for tip_mass_kg in [0.0, 2e-6, 10e-6, 50e-6] {
        let beam = Beam { tip_mass_kg, ..strip() };
        let place = beam.neutral_places_m(&beam.modes(1)[0])[0];
        assert!(place > last);
        last = place;
    }
}

#[test]
fn filing_takes_the_metal_it_says() {
    let beam = worked();
    let l = beam.length_m;
    let filed = beam.filed(0.3 * l, 0.6 * l, 10e-6);
    let width = 0.5 * (beam.width_m.at(0.3 * l) + beam.width_m.at(0.6 * l));
    let taken = beam.density_kg_m3 * width * 0.3 * l * 10e-6;
    assert!(((beam.mass_kg() - filed.mass_kg()) / taken - 1.0).abs() < 1e-9);
    assert_eq!(filed.thickness_m.at(0.8 * l), beam.thickness_m.at(0.8 * l));
    assert!(beam.filed(0.3 * l, 0.6 * l, 0.2e-3).check().is_err(), "filed through");
}

#[test]
fn the_second_mode_of_a_uniform_tongue_stands_still_at_its_node() {
    // 0.7834 L: Blevins, table 8-1 (from memory); the third mode's nodes are at 0.5035 L and 0.8677 L.
    let modes = strip().modes(3);
    let nodes = |n: usize| modes[n].shape.nodes_m().iter().map(|s| s / strip().length_m).collect::<Vec<_>>();
    assert!(nodes(0).is_empty());
    let [second, third] = [nodes(1), nodes(2)];
    assert!(second.len() == 1 && (second[0] - 0.7834).abs() < 2e-4, "{second:?}");
    assert!(third.len() == 2 && (third[0] - 0.5035).abs() < 2e-4 && (third[1] - 0.8677).abs() < 2e-4, "{third:?}");
}

#[test]
fn deep_cuts_near_the_clamp_lower_by_about_a_fifth_more() {
    // What the chart says of a cut a tenth of the thickness deep and a tenth of the length long.
    let (beam, mode) = (strip(), &strip().modes(1)[0]);
    let ratio = |from: f64| {
        let (from, to, depth) = (from * beam.length_m, (from + 0.1) * beam.length_m, 0.02e-3);
        let exact = cents(beam.filed(from, to, depth).modes(1)[0].frequency_hz, mode.frequency_hz);
        exact / beam.filing_cents(mode, from, to, depth)
    };
    assert!((1.15..1.22).contains(&ratio(0.0)) && (1.18..1.25).contains(&ratio(0.2)));
    assert!((1.0..1.03).contains(&ratio(0.9)), "as the first order says near the tip");
}
