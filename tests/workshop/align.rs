//! Aligning: geometry by closed forms, planted faults cured, the way back.

use crate::support::fit::{COLD, healthy, onset};
use crate::support::physics::Random;
use freereed::physics::Air;
use freereed::physics::aperture::Slit;
use freereed::sheet::CheckedReed;
use freereed::workshop::align::{AlignRefusal, Alignment, Options, Placement, Spot, Touching, Warmth, swing_reach_m};
use freereed::workshop::sides::{Side, Sides};

const TOLERANCE_M: f64 = 0.005e-3;

fn options(placement: Placement) -> Options {
    Options { placement, tolerance_m: TOLERANCE_M, rivet_m: 1.5e-3, warmth: COLD }
}

fn placed(reed: &CheckedReed, slot_width_m: Option<f64>, offset_m: f64, yaw_rad: f64) -> Alignment {
    Alignment::plan(reed, &options(Placement::Placed { slot_width_m, offset_m, yaw_rad })).unwrap()
}

/// A rectangle turned in a slot: its corners by the rotation matrix.
#[test]
fn a_turned_rectangle_by_its_corners() {
    let reed = healthy(1).with("width_mm", 2.0).unwrap();
    let (length, half) = (reed.reed.beam.length_m, 1e-3);
    let slot = 2.12e-3;
    for (offset, degrees) in [(0.0, 0.1), (0.01e-3, -0.15), (-0.02e-3, 0.05), (0.005e-3, 0.0)] {
        let yaw: f64 = f64::to_radians(degrees);
        let plan = placed(&reed, Some(slot), offset, yaw);
        // x across the slot to the right, y along it; the tongue's axis is (sin, cos).
        let corner =
            |s: f64, across: f64| (offset + s * yaw.sin() + across * yaw.cos(), s * yaw.cos() - across * yaw.sin());
        for s in [0.0, 0.3 * length, length] {
            let (left, right) = (corner(s, -half).0 + 0.5 * slot, 0.5 * slot - corner(s, half).0);
            assert!((plan.sides.left_m.at(s) - left).abs() < 1e-12, "{degrees} at {s}");
            assert!((plan.sides.right_m.at(s) - right).abs() < 1e-12, "{degrees} at {s}");
        }
        let leads = corner(length, -half).1.max(corner(length, half).1) - corner(length, 0.0).1;
        assert!((reed.reed.slot.tip_clearance_m - leads - plan.now.tip_corner_m).abs() < 1e-12);
        assert!((plan.yaw_rad - yaw).abs() < 1e-12 && (plan.offset_m - offset).abs() < 1e-12);
        // The plan brings it back, as near as can be measured where turning alone is enough.
        assert!(plan.then.off_centre_m <= 0.5 * TOLERANCE_M, "{degrees}: {:?}", plan.then);
    }
    // Turned to the right the left corner of the tip leads.
    let short = reed.with("tip_clearance_mm", 0.025).unwrap();
    let far = placed(&short, Some(2.98e-3), 0.0, f64::to_radians(2.0));
    assert_eq!(far.now.least_at, Spot::TipCorner(Side::Left));
    assert!(far.now.tip_corner_m < 0.0 && far.now.touching == Touching::Sure);
}

/// Two slits of a fixed sum, in slow viscous flow: `1 + 3 e^2`. By the flow law of a slit so deep, under a pressure so small,
/// that neither its ends nor inertia count.
#[test]
fn off_centre_leaks_by_the_cube() {
    let (air, c, length) = (Air::default(), 30e-6, 12e-3);
    let slit = |height: f64| Slit { lost_heads: 0.0, end_heights: 0.0, ..Slit::sharp(height, 1e-3) };
    let flow = |height: f64| slit(height).flow_m3_s(&air, length, 1e-3);
    for e in [0.0, 0.3, 0.6, 0.9] {
        let ratio = (flow(c * (1.0 + e)) + flow(c * (1.0 - e))) / (2.0 * flow(c));
        assert!((ratio - (1.0 + 3.0 * e * e)).abs() < 1e-12, "{e}: {ratio}");
        let reed = healthy(2).with("side_clearance_mm", 1e3 * c).unwrap();
        let plan = placed(&reed, None, e * c, 0.0);
        assert!((plan.creeping_flow_ratio() - (1.0 + 3.0 * e * e)).abs() < 1e-9);
        // Two slits as deep as the tongue is thick.
        let beam = &reed.reed.beam;
        let side =
            |height: f64| Slit::sharp(height, beam.thickness_m.at(0.0)).flow_m3_s(&reed.reed.air, beam.length_m, 500.0);
        let (now, then) = plan.side_leaks_m3_s(500.0);
        assert!((now / (side(c * (1.0 + e)) + side(c * (1.0 - e))) - 1.0).abs() < 1e-9, "{e}: {now}");
        assert!((then / (2.0 * side(c)) - 1.0).abs() < 0.01, "{e}: {then}");
    }
}

/// Off-centre and turned, at random, in healthy reeds, some so far that they touch: the plan gives the healthy reed back.
#[test]
fn planted_faults_are_cured_and_undone() {
    let (mut harder, mut touched, mut with_now) = (0, 0, 0);
    for seed in 0..30 {
        let reed = healthy(seed);
        let mut random = Random::new(1000 + seed);
        let clearance = reed.reed.slot.left_clearance_m.at(0.0);
        let (offset, tip) = (random.between(-1.1, 1.1) * clearance, random.between(-1.1, 1.1) * clearance);
        let length = reed.reed.beam.length_m;
        let yaw = ((tip - offset) / length).asin();
        let plan = placed(&reed, None, offset, yaw);
        let worst = offset.abs().max(tip.abs());
        assert!(plan.needed || worst <= TOLERANCE_M, "{seed}: {worst}");
        assert!(plan.then.off_centre_m <= 0.5 * TOLERANCE_M, "{seed}: {:?}", plan.then);
        assert_eq!(plan.then.touching, Touching::No, "{seed}: {:?}", plan.then);
        touched += i32::from(plan.now.touching != Touching::No);
        let (healthy_onset, cured) = (onset(&reed).unwrap(), onset(&plan.after).unwrap());
        // What is left of the off-centre may be half the tolerance.
        assert!((cured / healthy_onset - 1.0).abs() < 0.005, "{seed}: {cured} of {healthy_onset}");
        // The way back: the tongue turned and shifted by the opposite lies as before.
        let slope = (plan.yaw_rad + plan.turn_rad).sin() - plan.yaw_rad.sin();
        let back = plan.sides_then.moved(|s| -plan.way.shift_m - slope * (s + 1.5e-3));
        for s in [0.0, length] {
            assert!((back.left_m.at(s) - plan.sides.left_m.at(s)).abs() < 1e-15);
        }
        // A reed file admits 0.003 mm at the least.
        let Some(before) = &plan.before else {
            assert!(worst > clearance - 0.0031e-3 && back.applied(&plan.after).is_err(), "{seed}: {worst}");
            continue;
        };
        let off = onset(before);
        // Off the middle it leaks more while it stands in its slot. The onset of a tongue that rests above the plate hardly
        // knows: a nearer edge also answers a small swing with more flow, which takes a part of a percent back.
        let (leak, leak_then) = plan.side_leaks_m3_s(500.0);
        assert!(leak > leak_then || !plan.needed, "{seed}: {leak} {leak_then}");
        assert!(off.is_none_or(|off| off > 0.998 * cured), "{seed}: {off:?}, {cured} when cured");
        harder += i32::from(off.is_none_or(|off| off > cured));
        with_now += 1;
        let undone = back.applied(&plan.after).unwrap().0;
        assert!((onset(&undone).unwrap() / off.unwrap() - 1.0).abs() < 1e-5, "{seed}");
    }
    assert!(touched >= 5, "{touched} of 30 may touch");
    assert!((16..30).contains(&with_now), "{with_now} of 30 are far enough from the walls for a reed file");
    assert!(3 * harder > 2 * with_now, "{harder} of {with_now} start harder off the middle");
}

/// The most room at the closest place that any shift and turn can leave, of readings at root, half-way and tip: a linear
/// programme in shift `a`, turn `b` (at the tip) and room `t`, by trying all corners of `left + a + b x >= t`,
/// `right - a - b x >= t`.
fn most_room(left_m: [f64; 3], right_m: [f64; 3]) -> f64 {
    let at = [0.0, 0.5, 1.0];
    // (clearance, sign of the move)
    let walls: Vec<_> = (0..3).flat_map(|k| [(left_m[k], 1.0, at[k]), (right_m[k], -1.0, at[k])]).collect();
    let mut most = f64::NEG_INFINITY;
    for i in 0..6 {
        for j in 0..i {
            for k in 0..j {
                let rows = [i, j, k].map(|n| walls[n]);
                let matrix = nalgebra::Matrix3::from_fn(|row, column| {
                    let (_, sign, x) = rows[row];
                    [sign, sign * x, -1.0][column]
                });
                let Some(inverse) = matrix.try_inverse() else { continue };
                let found = inverse * -nalgebra::Vector3::from_fn(|row, _| rows[row].0);
                let fits = |&(clearance, sign, x): &(f64, f64, f64)| {
                    clearance + sign * (found[0] + found[1] * x) >= found[2] - 1e-12
                };
                if walls.iter().all(fits) {
                    most = most.max(found[2]);
                }
            }
        }
    }
    most
}

/// Bent tongues, bent slots, readings with errors: no move brings the tongue nearer to a wall, and each leaves the most room
/// that can be had, to half of what can be read.
#[test]
fn a_move_does_no_harm_and_leaves_the_most_room() {
    let mut gained = 0;
    for seed in 0..300 {
        let mut random = Random::new(seed);
        let reading = |random: &mut Random| std::array::from_fn(|_| random.between(0.008e-3, 0.05e-3));
        let (left_m, right_m) = (reading(&mut random), reading(&mut random));
        let plan = Alignment::plan(&healthy(3), &options(Placement::Measured { left_m, right_m })).unwrap();
        let room = |sides: &Sides| sides.least(Side::Left).0.min(sides.least(Side::Right).0);
        let (now, then, most) = (room(&plan.sides), room(&plan.sides_then), most_room(left_m, right_m));
        assert!(then >= now - 1e-9, "{seed}: {then} of {now}");
        assert!((most - 0.5 * TOLERANCE_M - 1e-9..=most + 1e-9).contains(&then), "{seed}: {then} of {most}");
        gained += i32::from(then > now + 1e-6);
    }
    assert!(gained > 200, "only {gained} of 300 gained room");
}

#[test]
fn turning_alone_where_that_is_enough() {
    let reed = healthy(4);
    let length = reed.reed.beam.length_m;
    // Turned about the rivet, 1.5 mm behind the clamp.
    let yaw = 0.015e-3 / length;
    let turned = placed(&reed, None, 1.5e-3 * yaw, yaw);
    assert!(turned.way.shift_m == 0.0 && (turned.turn_rad + yaw).abs() < 1e-9, "{turned:?}");
    assert!((turned.tip_move_m() + yaw * (length + 1.5e-3)).abs() < 1e-11);
    let shifted = placed(&reed, None, 0.015e-3, 0.0);
    assert!((shifted.way.shift_m + 0.015e-3).abs() < 1e-12 && shifted.turn_rad.abs() < 1e-9);
    // By the steps: the words name the way back.
    assert!(shifted.steps().steps.iter().any(|step| step.contains("to the left by 0.015 mm")), "{:?}", shifted.steps());
    let centred = placed(&reed, None, 0.001e-3, 0.0);
    assert!(!centred.needed && centred.steps().steps.is_empty());
}

#[test]
fn whether_it_touches_follows_the_tolerance() {
    for (clearance, expected) in
        [(-6e-6, Touching::Sure), (-4e-6, Touching::Possible), (4e-6, Touching::Possible), (6e-6, Touching::No)]
    {
        assert_eq!(Touching::at(clearance, TOLERANCE_M), expected, "{clearance}");
        let reed = healthy(5).with("side_clearance_mm", 0.03).unwrap();
        let plan = placed(&reed, None, 0.03e-3 - clearance, 0.0);
        assert_eq!(plan.now.touching, expected, "{clearance}");
        assert!((plan.now.least_m - clearance).abs() < 1e-12);
        assert_eq!(plan.before.is_none(), clearance < 3e-6);
    }
}

/// Half of what the slot widens less what the tongue widens; along the tongue both grow from the clamp.
#[test]
fn warmth_by_hand() {
    let reed = healthy(6).with("width_mm", 2.0).unwrap().with("side_clearance_mm", 0.03).unwrap();
    let reed = reed.with("length_mm", 15.0).unwrap().with("tip_clearance_mm", 0.04).unwrap();
    let warmth = Warmth { reed_c: 35.0, plate_c: 25.0, reed_per_k: 17e-6, ..COLD };
    let side = 0.5 * (2.06e-3 * 20e-6 * 5.0 - 2e-3 * 17e-6 * 15.0);
    let tip = 15.04e-3 * 20e-6 * 5.0 - 15e-3 * 17e-6 * 15.0;
    assert!((warmth.side_change_m(&Sides::of(&reed.reed), &reed.reed) - side).abs() < 1e-15);
    assert!((warmth.tip_change_m(&reed.reed) - tip).abs() < 1e-15);
    assert_eq!(COLD.tip_change_m(&reed.reed), 0.0);
}

/// A tongue at rest raised by `g (s/L)^2` reaches less far by `2 g^2/(3 L)` and its tip leans by `2 g/L`; swinging through
/// the slot it passes straight, or nearly so.
#[test]
fn a_swinging_tip_reaches_by_the_parabola() {
    let reed = healthy(7).with("tip_gap_mm", 1.0).unwrap();
    let (length, thickness) = (reed.reed.beam.length_m, reed.reed.beam.thickness_m.at(0.0));
    let at_rest = 0.5 * thickness * 2e-3 / length - 2.0 * 1e-6 / (3.0 * length);
    // Near the plate the shape left is of a few micrometres only; below it the lean wins at most 3 h^2/(8 L) or so.
    let reach = swing_reach_m(&reed.reed);
    assert!(
        reach > -at_rest - 2e-6 && reach < -at_rest + 0.6 * thickness * thickness / length + 2e-6,
        "{reach} {at_rest}"
    );
}

#[test]
fn a_slot_too_narrow_is_refused() {
    let reed = healthy(8).with("width_mm", 2.0).unwrap();
    let narrow = Placement::Placed { slot_width_m: Some(2.002e-3), offset_m: 0.0, yaw_rad: 0.0 };
    let refused = Alignment::plan(&reed, &options(narrow)).unwrap_err();
    assert!(matches!(refused, AlignRefusal::SlotTooNarrow { .. }));
    assert!(refused.to_string().contains("has 0.001 mm") && refused.to_string().contains("by 0.004 mm"), "{refused}");
}
