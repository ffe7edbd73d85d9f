//! What charts draw: each value is that of the reed really changed and solved by itself.

use approx::assert_relative_eq;
use freereed::answer::{Conditions, Quantity};
use freereed::physics::ReedModel;
use freereed::physics::attack::{Blow, Stop};
use freereed::physics::onset::Search;
use freereed::physics::playable::Demand;
use freereed::sheet::{CheckedReed, ReedFile};
use freereed::study::{MapOf, Response, Study};
use freereed::trend::{Trend, median};

const REED: &str = "[reed]
length_mm = 12.5
width_mm = 2.1
thickness_mm = 0.14
alloy = \"C51000\"
tip_gap_mm = 0.25
[slot]
side_clearance_mm = 0.03
[chamber]
volume_mm3 = 500.0
channel_length_mm = 20.0
channel_area_mm2 = 20.0
";

fn checked() -> CheckedReed {
    ReedFile::parse("reed.toml", REED).unwrap()
}

/// The reed as if somebody had typed these into its file.
fn typed(gap_mm: f64, clearance_mm: f64) -> ReedModel {
    let reed = checked().with("tip_gap_mm", gap_mm).unwrap().with("side_clearance_mm", clearance_mm).unwrap();
    ReedModel::new(reed.reed).unwrap()
}

fn study() -> Study {
    Study::of(checked(), Conditions::default()).unwrap()
}

#[test]
fn curves_over_the_gap_are_those_of_reeds_typed_so() {
    let (gaps, clearances) = ([0.15e-3, 0.35e-3], [0.02e-3, 0.03e-3]);
    let curves = study().gap_curves(&gaps, &clearances, &|| ());
    assert_eq!(curves.len(), 2);
    for (curve, clearance_mm) in curves.iter().zip([0.02, 0.03]) {
        for (point, gap_mm) in curve.points.iter().zip([0.15, 0.35]) {
            let model = typed(gap_mm, clearance_mm);
            let speaking = model.speaking(&Search::default());
            assert_relative_eq!(point.onset_pa.unwrap(), speaking.onset.unwrap().pressure_pa, max_relative = 1e-6);
            assert_relative_eq!(point.choke_pa.unwrap(), speaking.choke.pressure_pa().unwrap(), max_relative = 1e-6);
            let demand = Demand { rise_s: 0.01, allowed_s: 0.1, stress_limit_pa: None };
            let (found, alone) = (point.playable.unwrap(), model.playable(&speaking, demand).unwrap());
            assert_relative_eq!(found.low.pressure_pa, alone.low.pressure_pa, max_relative = 0.03);
        }
    }
}

#[test]
fn a_map_and_responses_are_attacks_on_reeds_typed_so() {
    let study = study();
    let of = MapOf { quantity: Quantity::HalfTime, gaps_m: &[0.2e-3, 0.3e-3], clearances_m: &[0.02e-3, 0.04e-3] };
    let map = study.map(of, &|| ());
    let attack = |gap_mm: f64, clearance_mm: f64, pressure_pa: f64| {
        typed(gap_mm, clearance_mm).attack(&Blow { pressure_pa, rise_s: 0.01 }, Stop::WhenSteady).t50_s
    };
    for (row, clearance_mm) in map.values.iter().zip([0.02, 0.04]) {
        for (value, gap_mm) in row.iter().zip([0.2, 0.3]) {
            assert_relative_eq!(value.unwrap(), attack(gap_mm, clearance_mm, 500.0).unwrap(), max_relative = 5e-3);
        }
    }
    assert_relative_eq!(map.own.unwrap(), attack(0.25, 0.03, 500.0).unwrap(), max_relative = 5e-3);
    let curves = study.responses(&[0.2e-3], &[300.0, 800.0], &|| ());
    for ((pressure_pa, response), expected_pa) in curves[0].points.iter().zip([300.0, 800.0]) {
        assert_eq!(*pressure_pa, expected_pa);
        let Response::Speaks(t50_s) = response else { panic!("{response:?}") };
        assert_relative_eq!(*t50_s, attack(0.2, 0.03, expected_pa).unwrap(), max_relative = 5e-3);
    }
}

#[test]
fn the_reed_s_own_gap_and_clearance_are_among_those_tried() {
    let study = study();
    for count in [5, 8, 13] {
        let (gaps, clearances) = (study.gaps_m(count), study.clearances_m(count));
        assert!(gaps.contains(&study.gap_m()) && clearances.contains(&study.clearance_m()));
        assert!(gaps.windows(2).chain(clearances.windows(2)).all(|pair| pair[0] < pair[1]));
    }
    assert_relative_eq!(study.gap_m(), 0.25e-3, max_relative = 1e-12);
    assert_relative_eq!(study.clearance_m(), 0.03e-3, max_relative = 1e-12);
}

/// Points on a line with two far off it: a line through medians of slopes does not see them (Theil 1950, Sen 1968).
#[test]
fn a_trend_is_not_moved_by_odd_reeds() {
    let mut points: Vec<(f64, f64)> = (0..12).map(|k| (f64::from(k), 3.0 - 0.25 * f64::from(k))).collect();
    points[3].1 += 40.0;
    points[8].1 -= 90.0;
    let trend = Trend::through(&points).unwrap();
    for x in [0.0, 5.5, 11.0] {
        assert_relative_eq!(trend.at(x), 3.0 - 0.25 * x, epsilon = 1e-9);
    }
    assert!(Trend::through(&points[..Trend::FEWEST - 1]).is_none());
    assert_eq!(median(vec![5.0, 1.0, 9.0, 2.0]), Some(3.5));
    assert_eq!(median(Vec::new()), None);
}
