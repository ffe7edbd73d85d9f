//! Any reed that validates can be computed: no panic, no value that is not a number, no end without an answer.

use crate::support::physics::model;
use freereed::cases::reeds::{brass, harmonica};
use freereed::physics::attack::{Blow, Stop};
use freereed::physics::onset::{Choke, Search, Speaking};
use freereed::physics::steady::BranchEnd;
use freereed::physics::{Air, Beam, Chamber, Coefficients, InputError, Player, Profile, Reed, RestShape, Slot, State};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{RngSeed, TestRunner};
use rayon::prelude::*;

/// Even in the logarithm.
fn decades(low: f64, high: f64) -> impl Strategy<Value = f64> {
    (low.ln()..high.ln()).prop_map(f64::exp)
}

fn beam() -> impl Strategy<Value = Beam> {
    let sizes = (decades(3e-3, 80e-3), decades(0.5e-3, 15e-3), decades(0.03e-3, 1.5e-3));
    let tapers = (0.3..3.0, 0.3..3.0, 0.05..0.95);
    let metal = (decades(1000.0, 23_000.0), decades(5e9, 450e9));
    let ends = (prop::option::of(decades(0.01, 100.0)), prop_oneof![Just(0.0), decades(1e-9, 1e-4)]);
    (sizes, tapers, metal, ends).prop_map(|((length, width, thickness), (tip, plan, middle), metal, (spring, mass))| {
        let stations = |root: f64, tip: f64| {
            // A step on the way, as a file leaves it.
            let at = middle * length;
            Profile::linear(vec![(0.0, root), (at, root), (at, 0.9 * root), (length, tip * root)]).expect("in order")
        };
        Beam {
            thickness_m: stations(thickness, tip),
            width_m: stations(width, plan),
            density_kg_m3: metal.0,
            youngs_modulus_pa: metal.1,
            shear_modulus_pa: 0.38 * metal.1,
            tip_mass_kg: mass,
            root_spring_n_m_per_rad: spring,
            ..brass(length, width, thickness)
        }
    })
}

fn reed() -> impl Strategy<Value = Reed> {
    let rest = (-0.5e-3..3e-3, -0.2e-3..0.2e-3, 1.0..4.0);
    let clearances = (decades(0.003e-3, 0.5e-3), decades(0.003e-3, 0.5e-3), decades(0.003e-3, 0.5e-3));
    let plate = (decades(0.2e-3, 8e-3), prop_oneof![Just(0.0), decades(1e-9, 3e-7)]);
    let chamber = prop::option::of((decades(20e-9, 1e-5), decades(1e-3, 0.2), decades(1e-6, 2e-4)));
    let player = prop::option::weighted(0.2, (decades(1e5, 1e8), decades(1e-5, 1e-3)));
    (beam(), decades(5.0, 2000.0), rest, clearances, plate, chamber, player).prop_map(
        |(
            beam,
            quality_factor,
            (tip_gap_m, root_gap_m, exponent),
            (left, right, tip),
            (plate, leak),
            chamber,
            player,
        )| Reed {
            beam,
            quality_factor,
            rest: RestShape::Power { root_gap_m, tip_gap_m, exponent },
            slot: Slot {
                left_clearance_m: Profile::constant(left),
                right_clearance_m: Profile::constant(right),
                tip_clearance_m: tip,
                plate_thickness_m: plate,
                leak_area_m2: leak,
            },
            chamber: chamber.map(|(volume_m3, channel_length_m, channel_area_m2)| Chamber {
                volume_m3,
                channel_length_m,
                channel_area_m2,
                channel_perimeter_m: None,
            }),
            air: Air::default(),
            player: player
                .map(|(lung_resistance_pa_s_m3, mouth_volume_m3)| Player { lung_resistance_pa_s_m3, mouth_volume_m3 }),
            coefficients: Coefficients::default(),
        },
    )
}

fn settings(cases: u32) -> ProptestConfig {
    ProptestConfig {
        cases,
        rng_seed: RngSeed::Fixed(20_240_229),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

/// Every number of an answer is one, pressures lie within the search and windows are in order.
fn sound_answer(speaking: &Speaking, limit: f64) -> Result<(), TestCaseError> {
    let within = |pressure: f64| (1.0..=limit * (1.0 + 1e-12)).contains(&pressure);
    for growth in speaking.onset.iter().chain(&speaking.fastest).chain(&speaking.curve) {
        prop_assert!(
            // A soft tongue's first mode may creep for a while: it then has no frequency.
            growth.growth_per_s.is_finite() && growth.frequency_hz >= 0.0 && within(growth.pressure_pa),
            "{:?}",
            growth
        );
    }
    prop_assert_eq!(speaking.onset.is_some(), !speaking.windows.is_empty());
    prop_assert_eq!(speaking.onset.is_some(), speaking.fastest.is_some());
    let mut last = 0.0;
    for window in &speaking.windows {
        let to = window.to_pa.unwrap_or(limit);
        prop_assert!(
            within(window.from_pa) && within(to) && window.from_pa >= last && to >= window.from_pa,
            "{:?}",
            window
        );
        last = to;
    }
    if let (Choke::Fades(choke) | Choke::Snaps(choke), Some(fastest)) = (speaking.choke, speaking.fastest) {
        prop_assert!(within(choke) && choke >= fastest.pressure_pa, "{:?} below {:?}", choke, fastest);
    }
    for squeal in &speaking.squeals {
        prop_assert!(squeal.growth_per_s > 0.0 && squeal.frequency_hz > 0.0 && squeal.from_pa <= squeal.to_pa);
    }
    Ok(())
}

fn finite(state: &State) -> bool {
    let air = state.pressure_pa.iter().chain(&state.flow_m3_s);
    state.tip_m.iter().chain(&state.speed_m_s).chain(air).all(|value| value.is_finite())
}

proptest! {
    #![proptest_config(settings(96))]

    #[test]
    fn small_motion_of_any_reed_has_an_answer(reed in reed()) {
        let model = model(reed);
        for mode in model.modes() {
            prop_assert!(mode.frequency_hz > 0.0 && mode.frequency_hz.is_finite());
            prop_assert!(mode.modal_mass_kg > 0.0 && mode.swept_area_m2.is_finite());
        }
        prop_assert!(model.modes()[1].frequency_hz > model.modes()[0].frequency_hz);
        let beam = &model.reed().beam;
        prop_assert!(beam.torsional_frequency_hz() > 0.0 && beam.lateral_frequency_hz() > 0.0);
        prop_assert!(beam.tip_stiffness_n_m() > 0.0 && beam.tip_stiffness_n_m().is_finite());
        prop_assert!(beam.compliance_m_pa() > 0.0 && beam.compliance_m_pa().is_finite());
        let search = Search { ratio: 1.05, limit_pa: 5e3, ..Search::default() };
        let speaking = model.speaking(&search);
        sound_answer(&speaking, search.limit_pa)?;
        // 175 steps; what is more has been spent on folds, crossings of modes and the ends of windows.
        prop_assert!(speaking.evaluations < 6000, "{} evaluations", speaking.evaluations);
    }
}

proptest! {
    #![proptest_config(settings(24))]

    #[test]
    fn the_first_hundredth_of_a_second_of_any_attack_is_finite(reed in reed(), pressure in decades(10.0, 8e3)) {
        let attack = model(reed).attack(&Blow { pressure_pa: pressure, rise_s: 2e-3 }, Stop::After(0.01));
        prop_assert!(attack.trace.states().iter().all(finite));
        prop_assert!(attack.growth_per_s.is_none_or(f64::is_finite));
        if let Some(steady) = attack.steady {
            let values = [steady.tip_amplitude_m, steady.mean_tip_m, steady.frequency_hz, steady.mean_flow_m3_s, steady.stress_pa];
            prop_assert!(values.iter().all(|value| value.is_finite()), "{:?}", steady);
        }
        prop_assert!((attack.trace.end_s() - 0.01).abs() < 1e-12, "ended at {} s", attack.trace.end_s());
    }
}

/// Branches of reeds far from any in use, most with gaps of millimetres and swings of as much: how many are lost on the way,
/// and how many are not even found. Both counts may only fall. Over the first 200 reeds, of which 83 speak, 4 and 4.
#[test]
fn few_branches_of_any_reed_are_lost() {
    const LIMIT_PA: f64 = 20e3;
    let mut runner = TestRunner::new(ProptestConfig { rng_seed: RngSeed::Fixed(7), ..settings(1) });
    let reeds: Vec<Reed> = (0..40).map(|_| reed().new_tree(&mut runner).expect("a reed").current()).collect();
    let ends: Vec<(usize, Option<BranchEnd>)> = (0..reeds.len())
        .into_par_iter()
        .filter_map(|k| {
            let model = model(reeds[k].clone());
            let speaking = model.speaking(&Search { ratio: 1.05, limit_pa: LIMIT_PA, ..Search::default() });
            speaking.onset.map(|_| (k, model.branch(&speaking, LIMIT_PA).map(|branch| branch.end)))
        })
        .collect();
    println!("{ends:?}");
    let count = |end: Option<BranchEnd>| ends.iter().filter(|found| found.1 == end).count();
    let (lost, not_found) = (count(Some(BranchEnd::Lost)), count(None));
    assert!(lost <= 2 && not_found <= 3, "{lost} lost and {not_found} not found: more than are known");
    assert_eq!((lost, not_found), (2, 3), "fewer than are known: lower the numbers");
}

#[test]
fn an_attack_of_a_given_length_is_that_long() {
    let model = model(harmonica(5));
    for duration in [1e-4, 5e-3, 0.0123, 0.2] {
        let attack = model.attack(&Blow::to(800.0), Stop::After(duration));
        assert!((attack.trace.end_s() - duration).abs() < 1e-12, "{duration}: {}", attack.trace.end_s());
        assert!(attack.trace.times_s().windows(2).all(|w| w[1] > w[0]), "time runs forward");
    }
}

#[test]
fn the_blow_rises_smoothly_to_its_pressure() {
    let blow = Blow::to(640.0);
    assert_eq!(blow.rise_s, 10e-3);
    for (time, share) in
        [(-1.0, 0.0), (0.0, 0.0), (2.5e-3, 0.15625), (5e-3, 0.5), (7.5e-3, 0.84375), (10e-3, 1.0), (9.0, 1.0)]
    {
        assert!((blow.pressure_at(time) - 640.0 * share).abs() < 1e-9, "{time}");
    }
    // A blow without a rise is on from the start.
    assert_eq!(Blow { pressure_pa: 100.0, rise_s: 0.0 }.pressure_at(0.0), 100.0);
}

#[test]
fn reeds_without_meaning_are_refused() {
    let change = |change: fn(&mut Reed)| {
        let mut reed = harmonica(5);
        change(&mut reed);
        reed.check()
    };
    assert_eq!(change(|_| ()), Ok(()));
    let refused: [fn(&mut Reed); 12] = [
        |reed| reed.quality_factor = 0.0,
        |reed| reed.quality_factor = f64::NAN,
        |reed| reed.slot.left_clearance_m = Profile::constant(0.0),
        |reed| reed.slot.right_clearance_m = Profile::constant(-1e-5),
        |reed| reed.slot.tip_clearance_m = 0.0,
        |reed| reed.slot.plate_thickness_m = f64::INFINITY,
        |reed| reed.slot.leak_area_m2 = -1e-9,
        |reed| reed.air.density_kg_m3 = 0.0,
        |reed| reed.chamber.as_mut().unwrap().channel_area_m2 = 0.0,
        |reed| reed.rest = RestShape::Stations(vec![(0.0, 0.0)]),
        |reed| reed.rest = RestShape::Power { root_gap_m: 0.0, tip_gap_m: f64::NAN, exponent: 2.0 },
        |reed| reed.player = Some(Player { lung_resistance_pa_s_m3: 0.0, mouth_volume_m3: 1e-4 }),
    ];
    for (k, bad) in refused.into_iter().enumerate() {
        let answer = change(bad);
        assert!(
            matches!(
                answer,
                Err(InputError::NotPositive { .. } | InputError::Negative { .. } | InputError::Stations { .. })
            ),
            "{k}"
        );
    }
}

#[test]
fn pressures_that_mean_nothing_get_no_growth() {
    let model = model(harmonica(5));
    assert_eq!(model.growth(&[]), vec![]);
    let alone = model.growth(&[300.0])[0];
    assert!(alone.is_some());
    for pressure in [0.0, -5.0, f64::NAN] {
        assert_eq!(model.growth(&[pressure, 300.0]), vec![None, alone], "{pressure} spoils its neighbour");
    }
}
