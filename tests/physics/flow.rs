//! The opening and the flow through it: signs, limits, monotony, mirror image, and slopes beside finite differences.

use crate::support::physics::{Random, model, random_reed};
use freereed::cases::reeds::{brass, harmonica, slot};
use freereed::physics::aperture::{Aperture, FlowSlopes};
use freereed::physics::onset::Search;
use freereed::physics::{Air, Profile, Reed, ReedModel, RestShape, Slot};

/// A tongue with unequal sides, tapered in width and thickness, parallel to the plate at `height`.
fn flat(height: f64, thickness: f64, plate: f64) -> Aperture {
    let length = 14e-3;
    let mut beam = brass(length, 2.2e-3, thickness);
    beam.width_m = Profile::linear(vec![(0.0, 2.2e-3), (length, 1.9e-3)]).unwrap();
    model(Reed {
        beam,
        rest: RestShape::Power { root_gap_m: height, tip_gap_m: height, exponent: 1.0 },
        slot: Slot {
            left_clearance_m: Profile::linear(vec![(0.0, 0.03e-3), (length, 0.06e-3)]).unwrap(),
            right_clearance_m: Profile::constant(0.05e-3),
            tip_clearance_m: 0.07e-3,
            ..slot(0.05e-3, plate)
        },
        ..harmonica(4)
    })
    .aperture()
    .clone()
}

/// Underside above the plate, entering, wholly inside, leaving, below; each with the tongue thinner and thicker than the
/// plate.
fn regions() -> Vec<(&'static str, Aperture)> {
    let thin = |height| flat(height, 0.2e-3, 1e-3);
    let thick = |height| flat(height, 1.4e-3, 1e-3);
    vec![
        ("above", thin(0.3e-3)),
        ("entering", thin(-0.07e-3)),
        ("inside", thin(-0.5e-3)),
        ("leaving", thin(-1.06e-3)),
        ("below", thin(-1.5e-3)),
        ("thick, above", thick(0.3e-3)),
        ("thick, entering", thick(-0.3e-3)),
        ("thick, right through", thick(-1.2e-3)),
        ("thick, leaving", thick(-2.0e-3)),
        ("thick, below", thick(-2.6e-3)),
    ]
}

const TIP: [f64; 2] = [4e-6, -3e-6];

fn moved(tip: [f64; 2], mode: usize, by: f64) -> [f64; 2] {
    std::array::from_fn(|i| tip[i] + if i == mode { by } else { 0.0 })
}

/// Relative to the larger of the two; both zero is agreement.
fn assert_close(what: &str, a: f64, b: f64, share: f64) {
    assert!((a - b).abs() <= share * a.abs().max(b.abs()), "{what}: {a:e} and {b:e}");
}

#[test]
fn slopes_are_the_derivatives_of_the_flow() {
    // Steps of 0.1 um beside openings of 30 um and more, and 1e-4 of the pressure: what the central difference leaves out
    // is about 1e-6 of a slope or less, and its round-off the same.
    const STEP: f64 = 1e-7;
    for (region, aperture) in regions() {
        for dp in [0.3, 30.0, 900.0, -0.3, -30.0, -900.0] {
            let slopes = aperture.slopes(TIP, dp);
            let flow = |tip, dp| aperture.flow(tip, [0.0; 2], dp);
            assert_eq!(slopes.flow.through_m3_s, flow(TIP, dp).through_m3_s, "{region} {dp}");
            for mode in 0..2 {
                let (less, more) = (flow(moved(TIP, mode, -STEP), dp), flow(moved(TIP, mode, STEP), dp));
                let through = (more.through_m3_s - less.through_m3_s) / (2.0 * STEP);
                let share = (more.share - less.share) / (2.0 * STEP);
                // Where the tongue is wholly inside nothing depends on its place.
                let floor = 1e-9 * slopes.flow.through_m3_s.abs() / STEP;
                assert!((through - slopes.through_by_tip[mode]).abs() <= 1e-5 * through.abs() + floor, "{region} {dp}");
                assert!((share - slopes.share_by_tip[mode]).abs() <= 1e-5 * share.abs() + 1e-9 / STEP, "{region} {dp}");
            }
            let step = 1e-4 * dp.abs();
            let (less, more) = (flow(TIP, dp - step), flow(TIP, dp + step));
            let through = (more.through_m3_s - less.through_m3_s) / (2.0 * step);
            assert_close(&format!("{region} {dp}: flow by pressure"), slopes.through_by_pressure, through, 1e-6);
            let share = (more.share - less.share) / (2.0 * step);
            assert!(
                (share - slopes.share_by_pressure).abs() <= 1e-6 * share.abs() + 1e-11 / step,
                "{region} {dp}: share"
            );
        }
    }
}

/// Points and weights of the Gauss-Legendre rule with 32 points on 0 to 1, by Newton's method on the recurrence of the
/// polynomials (M. Abramowitz and I. A. Stegun, *Handbook of Mathematical Functions*, 22.7 and 25.4).
fn gauss_legendre() -> Vec<(f64, f64)> {
    const COUNT: i32 = 32;
    let polynomial = |x: f64| {
        let (mut before, mut here) = (1.0, x);
        for n in 1..COUNT {
            let n = f64::from(n);
            (before, here) = (here, ((2.0 * n + 1.0) * x * here - n * before) / (n + 1.0));
        }
        (here, f64::from(COUNT) * (x * here - before) / (x * x - 1.0))
    };
    let point = |k: i32| {
        let mut x = (std::f64::consts::PI * (f64::from(k) + 0.75) / (f64::from(COUNT) + 0.5)).cos();
        for _ in 0..8 {
            let (value, slope) = polynomial(x);
            x -= value / slope;
        }
        let slope = polynomial(x).1;
        (0.5 * (1.0 + x), 1.0 / ((1.0 - x * x) * slope * slope))
    };
    (0..COUNT).map(point).collect()
}

/// Flow, share and drag by equations (1) to (6) and (8), one point after the other, with nothing shared but the reed.
fn plainly(model: &ReedModel, tip: [f64; 2], speed: [f64; 2], dp: f64) -> (f64, f64, [f64; 2]) {
    let (reed, modes) = (model.reed(), model.modes());
    let (beam, slot, air) = (&reed.beam, &reed.slot, &reed.air);
    let (alpha, kappa, plate) = (0.61, 32.0 / (12.0 * std::f64::consts::PI), slot.plate_thickness_m);
    let length = beam.length_m;
    let opening = |y: f64, h: f64, c: f64| {
        let distance = (c * c + y.max(0.0).powi(2) + (-plate - h - y).max(0.0).powi(2)).sqrt();
        let overlap = ((y + h).min(0.0) - y.max(-plate)).max(0.0);
        let (a, b) = (
            air.density_kg_m3 / (2.0 * alpha * alpha),
            12.0 * air.viscosity_pa_s * (overlap + kappa * distance) / (distance * distance),
        );
        (distance * 2.0 * dp.abs() / (b + (b * b + 4.0 * a * dp.abs()).sqrt()), overlap)
    };
    let (mut edges, mut drag) = (0.0, [0.0; 2]);
    for (x, weight) in gauss_legendre() {
        let (s, ds) = (x * length, weight * length);
        let phi = [modes[0].shape.at(s), modes[1].shape.at(s)];
        let y = reed.rest.height_m(s, length) + phi[0] * tip[0] + phi[1] * tip[1];
        let v = phi[0] * speed[0] + phi[1] * speed[1];
        let h = beam.thickness_m.at(s);
        let mut force = 0.5 * air.density_kg_m3 * 5.0 * beam.width_m.at(s) * v * v.abs();
        for clearance in [&slot.left_clearance_m, &slot.right_clearance_m] {
            let c = clearance.at(s);
            let (flow, overlap) = opening(y, h, c);
            edges += flow * ds;
            force += air.viscosity_pa_s * overlap / c * v;
        }
        (0..2).for_each(|i| drag[i] += phi[i] * force * ds);
    }
    let tip_height = reed.rest.height_m(length, length) + tip[0] + tip[1];
    edges += beam.width_m.at(length) * opening(tip_height, beam.thickness_m.at(length), slot.tip_clearance_m).0;
    let width = beam.width_m.at(0.0) + slot.left_clearance_m.at(0.0) + slot.right_clearance_m.at(0.0);
    let in_series = alpha * width * (length + slot.tip_clearance_m) * (2.0 * dp.abs() / air.density_kg_m3).sqrt();
    let ratio = edges / in_series;
    (dp.signum() * edges / (1.0 + ratio * ratio).sqrt(), 1.0 / (1.0 + ratio * ratio), drag)
}

#[test]
fn the_flow_in_lanes_is_that_of_plain_sums() {
    for seed in 0..20 {
        let model = model(random_reed(seed));
        let mut random = Random::new(500 + seed);
        for _ in 0..20 {
            let tip = [random.between(-2.5e-3, 1e-3), random.between(-1e-4, 1e-4)];
            let speed = [random.between(-2.0, 2.0), random.between(-0.3, 0.3)];
            let dp = random.decades(1e-3, 5e3) * if random.between(0.0, 1.0) < 0.2 { -1.0 } else { 1.0 };
            let found = model.aperture().flow(tip, speed, dp);
            let (through, share, drag) = plainly(&model, tip, speed, dp);
            assert_close(&format!("seed {seed}: flow"), found.through_m3_s, through, 1e-12);
            assert_close(&format!("seed {seed}: share"), found.share, share, 1e-12);
            let size = drag[0].abs().max(drag[1].abs());
            for i in 0..2 {
                assert!((found.drag_n[i] - drag[i]).abs() <= 1e-12 * size, "seed {seed}: {:?}, {drag:?}", found.drag_n);
            }
        }
    }
}

#[test]
fn the_drag_is_linear_about_rest() {
    // At 1e-7 m/s the part that goes with the square of the speed is under 1e-6 of the viscous part inside the slot.
    const STEP: f64 = 1e-7;
    for (region, aperture) in regions() {
        let FlowSlopes { drag_by_speed, .. } = aperture.slopes(TIP, 100.0);
        for mode in 0..2 {
            let force = aperture.flow(TIP, moved([0.0; 2], mode, STEP), 100.0).drag_n;
            for i in 0..2 {
                let scale = drag_by_speed[0][0].max(1e-8);
                assert!((force[i] / STEP - drag_by_speed[i][mode]).abs() < 1e-3 * scale, "{region} {i} {mode}");
            }
        }
        assert_close(region, drag_by_speed[0][1], drag_by_speed[1][0], 1e-12);
    }
}

#[test]
fn drag_opposes_motion_whichever_way_it_goes() {
    for (region, aperture) in regions() {
        for speed in [[0.5, 0.0], [-0.5, 0.0], [0.2, -0.7], [-3.0, 1.0]] {
            let drag = aperture.flow(TIP, speed, 50.0).drag_n;
            assert!(drag[0] * speed[0] + drag[1] * speed[1] > 0.0, "{region} {speed:?}");
            let back = aperture.flow(TIP, speed.map(|v| -v), 50.0).drag_n;
            assert_eq!(drag, back.map(|force| -force), "{region} {speed:?}");
        }
    }
}

#[test]
fn the_flow_turns_with_the_pressure() {
    for (region, aperture) in regions() {
        for dp in [1e-6, 0.1, 10.0, 500.0, 20e3] {
            let (there, back) = (aperture.flow(TIP, [0.0; 2], dp), aperture.flow(TIP, [0.0; 2], -dp));
            assert_eq!(there.through_m3_s, -back.through_m3_s, "{region} {dp}");
            assert_eq!(there.share, back.share, "{region} {dp}");
            assert!(there.through_m3_s > 0.0 && there.share > 0.0 && there.share < 1.0 + 1e-15, "{region} {dp}");
            // In series each alone would let more through.
            assert!(
                there.through_m3_s <= there.edges_m3_s && there.through_m3_s < aperture.slot_flow(dp),
                "{region} {dp}"
            );
        }
        let still = aperture.flow(TIP, [0.0; 2], 0.0);
        assert_eq!((still.through_m3_s, still.edges_m3_s, still.share), (0.0, 0.0, 1.0), "{region}");
    }
}

#[test]
fn the_law_is_smooth_through_no_pressure() {
    for (region, aperture) in regions() {
        let slope = aperture.slopes(TIP, 0.0).through_by_pressure;
        // So close to zero the jet takes under 1e-6 of the pressure even where the opening is widest.
        for dp in [1e-10, -1e-10] {
            assert_close(region, aperture.flow(TIP, [0.0; 2], dp).through_m3_s / dp, slope, 1e-6);
            assert_close(region, aperture.slopes(TIP, dp).through_by_pressure, slope, 2e-6);
        }
    }
}

#[test]
fn more_pressure_means_more_flow_and_a_smaller_share_across_the_reed() {
    for (region, aperture) in regions() {
        let mut last = aperture.flow(TIP, [0.0; 2], 0.0);
        for k in 0..200 {
            let flow = aperture.flow(TIP, [0.0; 2], 1e-3 * 1.09_f64.powi(k));
            assert!(flow.through_m3_s > last.through_m3_s && flow.share < last.share, "{region} step {k}");
            assert!(aperture.slopes(TIP, 1e-3 * 1.09_f64.powi(k)).through_by_pressure > 0.0, "{region} step {k}");
            last = flow;
        }
    }
}

#[test]
fn a_wider_opening_means_more_flow() {
    // From the middle of the slot upwards: the overlap shrinks, then the distance grows.
    for dp in [1.0, 100.0, 3000.0] {
        let mut last = 0.0;
        for k in 0..60 {
            let flow = flat(-0.15e-3 + 0.01e-3 * f64::from(k), 0.2e-3, 1e-3).flow([0.0; 2], [0.0; 2], dp).through_m3_s;
            assert!(flow > last, "{dp} Pa, step {k}: {flow:e} after {last:e}");
            last = flow;
        }
        let mut last = 0.0;
        for k in 1..40 {
            let reed = Reed { slot: slot(0.005e-3 * f64::from(k), 1e-3), ..harmonica(4) };
            let flow = model(reed).aperture().flow([-0.1e-3, 0.0], [0.0; 2], dp).through_m3_s;
            assert!(flow > last, "{dp} Pa, clearance {k}: {flow:e} after {last:e}");
            last = flow;
        }
    }
}

#[test]
fn the_opening_is_the_same_above_the_plate_and_as_far_below() {
    let (plate, thickness) = (1e-3, 0.2e-3);
    for height in [0.0, 0.05e-3, 0.3e-3, -0.05e-3] {
        let above = flat(height, thickness, plate).flow([0.0; 2], [0.0; 2], 300.0);
        let below = flat(-plate - thickness - height, thickness, plate).flow([0.0; 2], [0.0; 2], 300.0);
        assert_close("mirror in the plane of the plate", above.through_m3_s, below.through_m3_s, 1e-12);
    }
}

#[test]
fn a_mirror_changes_nothing() {
    for seed in 0..6 {
        let reed = random_reed(seed);
        let (left, right) = (reed.slot.left_clearance_m.clone(), reed.slot.right_clearance_m.clone());
        let slot = Slot { left_clearance_m: right, right_clearance_m: left, ..reed.slot.clone() };
        let (one, other) = (model(reed.clone()), model(Reed { slot, ..reed }));
        // Only the order of the sums differs.
        for (tip, dp) in [([0.0; 2], 100.0), ([-2e-4, 1e-5], 700.0), ([-2e-3, 0.0], -50.0)] {
            let (a, b) = (one.aperture().flow(tip, [0.3, -0.1], dp), other.aperture().flow(tip, [0.3, -0.1], dp));
            assert_close("flow", a.through_m3_s, b.through_m3_s, 1e-13);
            assert_close("drag", a.drag_n[0], b.drag_n[0], 1e-12);
        }
        let search = Search { ratio: 1.05, limit_pa: 5e3, ..Search::default() };
        let (a, b) = (one.speaking(&search), other.speaking(&search));
        assert_eq!(a.windows.len(), b.windows.len(), "seed {seed}");
        if let (Some(a), Some(b)) = (a.onset, b.onset) {
            // Onset is refined to 1e-7.
            assert_close("onset", a.pressure_pa, b.pressure_pa, 3e-7);
            assert_close("onset frequency", a.frequency_hz, b.frequency_hz, 1e-9);
        }
    }
}

#[test]
fn one_reed_as_a_profile_or_a_constant_is_the_same_reed() {
    let reed = harmonica(3);
    let (length, clearance) = (reed.beam.length_m, reed.slot.tip_clearance_m);
    let mut stepped = reed.clone();
    stepped.slot.left_clearance_m = Profile::linear(vec![(0.0, clearance), (0.4 * length, clearance)]).unwrap();
    let (one, other) = (model(reed), model(stepped));
    // 32 points on each of two spans beside 32 on one: what differs is the rule's own error, largest at the kinks.
    for (tip, share) in [([0.0; 2], 1e-9), ([-1e-4, 0.0], 1e-5)] {
        let (a, b) = (one.aperture().flow(tip, [0.0; 2], 200.0), other.aperture().flow(tip, [0.0; 2], 200.0));
        assert_close("flow", a.through_m3_s, b.through_m3_s, share);
    }
}

#[test]
fn a_lighter_air_flows_faster() {
    let reed = harmonica(5);
    let heavy = Air { density_kg_m3: 4.0 * reed.air.density_kg_m3, viscosity_pa_s: 1e-12, ..reed.air };
    let light = Air { viscosity_pa_s: 1e-12, ..reed.air };
    let flow = |air| model(Reed { air, ..reed.clone() }).aperture().flow([0.0; 2], [0.0; 2], 400.0).through_m3_s;
    // Without viscosity the flow goes with the root of the density.
    assert_close("flow", flow(light), 2.0 * flow(heavy), 1e-6);
}
