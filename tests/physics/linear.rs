//! Small motion: the linearisation beside the equations of motion themselves and beside the attack in time.

use crate::support::physics::{Random, model, random_reed};
use freereed::cases::reeds::{harmonica, harmonium};
use freereed::physics::attack::{Blow, Stop};
use freereed::physics::equilibrium::Equilibrium;
use freereed::physics::onset::Search;
use freereed::physics::{Player, Reed, ReedModel, State};
use nalgebra::{DMatrix, DVector, Schur};
use rayon::prelude::*;

/// The reeds of this file: name, reed, pressure.
fn cases() -> Vec<(String, Reed, f64)> {
    let mut cases: Vec<(String, Reed, f64)> = vec![
        ("low".into(), harmonica(1), 80.0),
        ("middle".into(), harmonica(5), 400.0),
        ("high".into(), harmonica(10), 5000.0),
        ("harmonium".into(), harmonium(), 500.0),
    ];
    cases.extend((0..12).map(|seed| (format!("random {seed}"), random_reed(seed), 30.0 * 1.5_f64.powi(seed as i32))));
    let with_player: Vec<(String, Reed, f64)> = cases
        .iter()
        .take(3)
        .map(|(name, reed, pressure)| {
            let player = Player { lung_resistance_pa_s_m3: 2e6, mouth_volume_m3: 80e-6 };
            (format!("{name}, with a player"), Reed { player: Some(player), ..reed.clone() }, *pressure)
        })
        .collect();
    cases.extend(with_player);
    cases
}

/// Tip motions, speeds, pressures, flows.
fn to_vector(state: &State) -> [f64; 10] {
    let (q, v, p, u) = (state.tip_m, state.speed_m_s, state.pressure_pa, state.flow_m3_s);
    [q[0], q[1], v[0], v[1], p[0], p[1], p[2], u[0], u[1], u[2]]
}

fn to_state(x: [f64; 10]) -> State {
    State {
        tip_m: [x[0], x[1]],
        speed_m_s: [x[2], x[3]],
        pressure_pa: [x[4], x[5], x[6]],
        flow_m3_s: [x[7], x[8], x[9]],
    }
}

/// The whole state at a static rest, from the reed outwards, and the pressure that holds it: that in the mouth, or in the
/// lungs where there is a player.
fn at_rest(model: &ReedModel, rest: &Equilibrium) -> (State, f64) {
    let mut state = State { tip_m: rest.tip_m, ..State::default() };
    let mut flow = model.aperture().flow(rest.tip_m, [0.0; 2], rest.pressure_pa).through_m3_s;
    let mut pressure = rest.pressure_pa;
    for (k, section) in model.ladder().sections().iter().enumerate() {
        flow += section.leaked_m3_s(pressure);
        state.pressure_pa[k] = pressure;
        if section.inertance_kg_m4 > 0.0 {
            state.flow_m3_s[k] = flow;
        }
        pressure += section.lost_pa(flow);
    }
    (state, pressure)
}

/// Places in the vector that a model has, each with the unit in which half its square is energy.
fn energy_units(model: &ReedModel) -> Vec<(usize, f64)> {
    let mut units = Vec::new();
    for (i, mode) in model.modes().iter().enumerate() {
        let root = mode.modal_mass_kg.sqrt();
        units.extend([(i, 1.0 / (root * mode.angular_frequency())), (2 + i, 1.0 / root)]);
    }
    for (k, section) in model.ladder().sections().iter().enumerate() {
        units.push((4 + k, section.compliance_m3_pa.sqrt().recip()));
        if section.inertance_kg_m4 > 0.0 {
            units.push((7 + k, section.inertance_kg_m4.sqrt().recip()));
        }
    }
    units
}

#[test]
fn nothing_moves_at_the_static_rest() {
    for (name, reed, pressure) in cases() {
        let model = model(reed);
        let rest = model.static_rest(pressure).unwrap_or_else(|| panic!("{name} snaps below {pressure} Pa"));
        let (state, blown) = at_rest(&model, &rest);
        let outer = model.mouth_pa(&state, blown);
        assert!((outer / pressure - 1.0).abs() < 1e-11, "{name}: {outer} Pa in the mouth");
        let rates = model.rates(&state, blown);
        let w = model.modes()[0].angular_frequency();
        // Each rate beside what its state does in a radian of the first mode; the rest is solved to 1e-13.
        assert_eq!(rates.tip_m, [0.0; 2]);
        for i in 0..2 {
            let scale = model.modes()[i].angular_frequency().powi(2) * rest.tip_m[0].abs();
            assert!(rates.speed_m_s[i].abs() < 1e-8 * scale, "{name}: mode {i} {:e}", rates.speed_m_s[i] / scale);
        }
        for k in 0..3 {
            assert!(
                rates.pressure_pa[k].abs() < 1e-6 * w * pressure,
                "{name}: pressure {k} {:e}",
                rates.pressure_pa[k]
            );
            assert!(rates.flow_m3_s[k].abs() < 1e-6 * w * rest.flow_m3_s, "{name}: flow {k} {:e}", rates.flow_m3_s[k]);
        }
        // The wind pushes the tongue towards the slot and takes some of the pressure on the way.
        let most = pressure * (1.0 + 1e-12);
        assert!(rest.tip_m[0] < 0.0 && rest.pressure_pa > 0.0 && rest.pressure_pa <= most, "{name}: {rest:?}");
    }
}

/// The Jacobian of the equations of motion by central differences, in units that make it of order one, and the unit of its
/// time. `step_m` is how far the tip is moved; the others by as much energy.
fn jacobian(model: &ReedModel, at: &State, blown_pa: f64, step_m: f64) -> (DMatrix<f64>, f64) {
    let (units, w) = (energy_units(model), model.modes()[0].angular_frequency());
    let step = step_m / units[0].1;
    let at = to_vector(at);
    let mut matrix = DMatrix::zeros(units.len(), units.len());
    for (column, &(j, unit)) in units.iter().enumerate() {
        let rates = |sign: f64| {
            let mut x = at;
            x[j] += sign * step * unit;
            to_vector(&model.rates(&to_state(x), blown_pa))
        };
        let (less, more) = (rates(-1.0), rates(1.0));
        for (row, &(i, unit)) in units.iter().enumerate() {
            matrix[(row, column)] = (more[i] - less[i]) / (2.0 * step * unit * w);
        }
    }
    (matrix, w)
}

#[test]
fn eigenmodes_are_those_of_the_equations_of_motion() {
    for (name, reed, pressure) in cases() {
        let exact = {
            let model = model(reed.clone());
            model.eigenmodes(&model.static_rest(pressure).unwrap())
        };
        assert!(exact.len() >= 2, "{name}: {} modes", exact.len());
        // Onset and choke are those with the pressure in the mouth prescribed: a player is left out.
        let model = model(Reed { player: None, ..reed });
        let rest = model.static_rest(pressure).unwrap();
        let (state, blown) = at_rest(&model, &rest);
        // A millionth of the static deflection.
        let (matrix, unit) = jacobian(&model, &state, blown, 1e-6 * rest.tip_m[0].abs());
        let numeric = Schur::new(matrix).complex_eigenvalues();
        for mode in exact {
            let near = |value: &&nalgebra::Complex<f64>| {
                (value.re * unit - mode.growth_per_s).hypot(value.im * unit - std::f64::consts::TAU * mode.frequency_hz)
            };
            let best = numeric.iter().map(|value| near(&value)).fold(f64::INFINITY, f64::min);
            let size = mode.growth_per_s.hypot(std::f64::consts::TAU * mode.frequency_hz);
            // Central differences over a millionth of the deflection leave round-off of 1e-10 and kinks of 1e-6.
            assert!(best < 1e-6 * size, "{name}: {} Hz differs by {:e}", mode.frequency_hz, best / size);
        }
    }
}

#[test]
fn growth_and_its_frequency_are_asked_for_in_any_order() {
    let model = model(harmonica(6));
    let up = model.growth(&[100.0, 400.0, 1500.0]);
    let down = model.growth(&[1500.0, 100.0, 400.0]);
    assert_eq!(up[0], down[1]);
    // The way there differs, the place is the same: the rest is solved to 1e-12.
    for (a, b) in [(up[1], down[2]), (up[2], down[0])] {
        let (a, b) = (a.unwrap(), b.unwrap());
        assert!((a.growth_per_s - b.growth_per_s).abs() < 1e-7 * a.frequency_hz, "{a:?} {b:?}");
        assert!((a.frequency_hz - b.frequency_hz).abs() < 1e-9 * a.frequency_hz, "{a:?} {b:?}");
    }
}

#[test]
fn at_onset_nothing_grows_or_dies() {
    for k in [0, 4, 9] {
        let model = model(harmonica(k));
        let onset = model.speaking(&Search::default()).onset.expect("it speaks");
        let around = model.growth(&[onset.pressure_pa * 0.999, onset.pressure_pa, onset.pressure_pa * 1.001]);
        let [below, at, above] = [0, 1, 2].map(|i| around[i].unwrap().growth_per_s);
        assert!(below < 0.0 && above > 0.0, "step {k}: {below} {above}");
        // Onset is refined to 1e-7 of itself, a ten-thousandth of this stretch.
        assert!(at.abs() < 2e-4 * (above - below), "step {k}: {at}");
    }
}

/// Slope of the logarithm of the speed envelope (1/s) while the tongue swings by less than four micrometres, which is a
/// fortieth or less of any gap here.
fn early_growth(model: &ReedModel, pressure_pa: f64, frequency: f64) -> f64 {
    // A slow rise shakes the tongue little; five periods let what it did shake ring off.
    let (rise_s, quiet_s) = (15.0 / frequency, 5.0 / frequency);
    let attack = model.attack(&Blow { pressure_pa, rise_s }, Stop::After(rise_s + 0.15));
    let envelope = attack.trace.speed_envelope();
    let small = std::f64::consts::TAU * frequency * 4e-6;
    let points: Vec<(f64, f64)> = envelope
        .points()
        .iter()
        .copied()
        .filter(|&(time, speed)| time > rise_s + quiet_s && speed < small)
        .map(|(time, speed)| (time, speed.ln()))
        .collect();
    let (first, last) = (points[0], points[points.len() - 1]);
    assert!((last.1 - first.1).abs() > 1.0, "{pressure_pa} Pa: grows only by {}", last.1 - first.1);
    let count = points.len() as f64;
    let mean = |pick: fn(&(f64, f64)) -> f64| points.iter().map(pick).sum::<f64>() / count;
    let (t, y) = (mean(|p| p.0), mean(|p| p.1));
    let sum = |f: &dyn Fn(&(f64, f64)) -> f64| points.iter().map(f).sum::<f64>();
    sum(&|p| (p.0 - t) * (p.1 - y)) / sum(&|p| (p.0 - t).powi(2))
}

#[test]
fn an_attack_begins_with_the_growth_of_small_motion() {
    for (name, reed, share) in [
        ("low", harmonica(1), 0.3),
        ("middle", harmonica(4), 0.5),
        ("middle, soft", harmonica(5), 0.3),
        ("high", harmonica(9), 0.5),
        ("random", random_reed(3), 0.3),
        ("another", random_reed(6), 0.3),
    ] {
        let model = model(reed);
        let fastest = model.speaking(&Search::default()).fastest.expect("it speaks");
        let pressure = share * fastest.pressure_pa;
        let linear = model.growth(&[pressure])[0].unwrap();
        let seen = early_growth(&model, pressure, linear.frequency_hz);
        // The run in time is held to a few per cent of the swing in a step, of which growth loses or gains well under one.
        assert!((seen / linear.growth_per_s - 1.0).abs() < 0.01, "{name}: {linear:?}, seen {seen}");
    }
}

#[test]
fn below_onset_an_attack_dies_at_the_rate_of_small_motion() {
    let model = model(harmonica(3));
    let onset = model.speaking(&Search::default()).onset.unwrap();
    let pressure = 0.5 * onset.pressure_pa;
    let linear = model.growth(&[pressure])[0].unwrap();
    assert!(linear.growth_per_s < 0.0);
    let attack = model.attack(&Blow { pressure_pa: pressure, rise_s: 2e-3 }, Stop::After(0.25));
    let period = 1.0 / linear.frequency_hz;
    let envelope = attack.trace.speed_envelope();
    let points = envelope.points();
    let from = points[points.partition_point(|point| point.0 < 0.05)];
    let to = points[points.partition_point(|point| point.0 < 0.05 + 40.0 * period)];
    let seen = (to.1 / from.1).ln() / (to.0 - from.0);
    assert!((seen / linear.growth_per_s - 1.0).abs() < 0.01, "{linear:?}, seen {seen}");
}

/// Energy in bending, motion, `C_k p_k^2/2` and `M_k U_k^2/2`.
fn energy(model: &ReedModel, state: &State) -> f64 {
    let x = to_vector(state);
    energy_units(model).into_iter().map(|(i, unit)| 0.5 * (x[i] / unit).powi(2)).sum()
}

/// Its rate.
fn power(model: &ReedModel, state: &State, rates: &State) -> f64 {
    let (x, rates) = (to_vector(state), to_vector(rates));
    energy_units(model).into_iter().map(|(i, unit)| x[i] * rates[i] / (unit * unit)).sum()
}

#[test]
fn energy_goes_where_the_equations_say() {
    // The tongue loses by damping and drag, the pressures by what flows out through reed and leak, the flows by the losses of
    // their sections; they gain from the pressure blown with, and from the part of the pressure that the slot keeps off the
    // tongue.
    const BLOWN_PA: f64 = 900.0;
    for seed in 0..8 {
        let player = (seed % 2 == 1).then_some(Player { lung_resistance_pa_s_m3: 2e6, mouth_volume_m3: 80e-6 });
        let model = model(Reed { player, ..random_reed(seed) });
        let reed = model.reed();
        let mut random = Random::new(1000 + seed);
        for _ in 0..50 {
            let mut state = State {
                tip_m: [random.between(-5e-4, 5e-4), random.between(-2e-5, 2e-5)],
                speed_m_s: [random.between(-2.0, 2.0), random.between(-0.2, 0.2)],
                ..State::default()
            };
            let mut expected = 0.0;
            let mut scale = 0.0;
            for (k, section) in model.ladder().sections().iter().enumerate() {
                state.pressure_pa[k] = random.between(-500.0, 1500.0);
                let p = state.pressure_pa[k];
                let flow = if section.inertance_kg_m4 > 0.0 {
                    state.flow_m3_s[k] = random.between(-3e-4, 5e-4);
                    state.flow_m3_s[k]
                } else {
                    (BLOWN_PA - p) / section.resistance_pa_s_m3
                };
                let lost = section.resistance_pa_s_m3 * flow * flow
                    + section.dynamic_loss_pa_s2_m6 * flow.abs().powi(3)
                    + section.leak_m3_s_pa * p * p / (p * p + 1.0).powf(0.25);
                let blown = if k + 1 == model.ladder().sections().len() { BLOWN_PA * flow } else { 0.0 };
                expected += blown - lost;
                scale += blown.abs() + lost + (p * flow).abs();
            }
            let p = state.reed_pa();
            let flow = model.aperture().flow(state.tip_m, state.speed_m_s, p);
            expected -= p * flow.through_m3_s;
            for i in 0..2 {
                let (mode, v) = (&model.modes()[i], state.speed_m_s[i]);
                let damping = mode.angular_frequency() / reed.quality_factor * mode.modal_mass_kg * v * v;
                let swept = (1.0 - flow.share) * p * mode.swept_area_m2 * v;
                expected += swept - damping - flow.drag_n[i] * v;
                scale += (p * mode.swept_area_m2 * v).abs()
                    + damping
                    + mode.modal_mass_kg * v.abs() * mode.angular_frequency().powi(2) * state.tip_m[i].abs();
            }
            let found = power(&model, &state, &model.rates(&state, BLOWN_PA));
            assert!((found - expected).abs() < 1e-11 * scale, "seed {seed}: {found:e}, not {expected:e}");
        }
    }
}

#[test]
fn a_plucked_reed_that_nobody_blows_dies() {
    const STEPS: usize = 200;
    for reed in [harmonica(2), harmonica(9)] {
        let model = model(reed);
        let step_s = 1.0 / model.modes()[0].frequency_hz / STEPS as f64;
        let mut state = State { tip_m: [2e-4, 0.0], ..State::default() };
        let start = energy(&model, &state);
        let mut last = start;
        for _ in 0..20 {
            for _ in 0..STEPS {
                state = rosenbrock_2(&model, &state, step_s);
            }
            let now = energy(&model, &state);
            assert!(now < last, "{now:e} J after {last:e} J");
            last = now;
        }
        // Its own loss alone would leave exp(-2 pi 20/Q).
        let own = (-std::f64::consts::TAU * 20.0 / model.reed().quality_factor).exp();
        assert!(last < own * start, "{} of {own}", last / start);
    }
}

/// Growth at a far pressure is reached in leaps along the curve of rests, the scan in steps of 1 %: a leap over a fold, or to
/// another mode, would show.
#[test]
fn leaps_come_to_where_small_steps_come() {
    let fine = Search { ratio: 1.01, ..Search::default() };
    let compared: usize = (0..60)
        .into_par_iter()
        .map(|k| {
            let model = model(random_reed(k));
            let curve = model.speaking(&fine).curve;
            let far: Vec<_> = curve.iter().skip(40).step_by(40).collect();
            for there in &far {
                let leapt = model.growth(&[there.pressure_pa])[0].expect("no fold before it");
                let unit = 1e-7 * std::f64::consts::TAU * there.frequency_hz.max(1.0);
                let off = (leapt.growth_per_s - there.growth_per_s).abs();
                assert!(off < unit, "reed {k}: {leapt:?} by leaps, {there:?} by steps");
            }
            far.len()
        })
        .sum();
    assert!(compared > 600, "{compared} pressures compared");
}

/// A step of the method ROS2 (J. G. Verwer, E. J. Spee, J. G. Blom, W. Hundsdorfer, SIAM J. Sci. Comput. 20 (1999) 1456), with
/// the Jacobian by differences: the air of the slot settles ten thousand times faster than the tongue swings when nothing
/// blows, which no explicit method follows. It keeps its order whatever the Jacobian.
fn rosenbrock_2(model: &ReedModel, state: &State, step_s: f64) -> State {
    let units = energy_units(model);
    let (jacobian, w) = jacobian(model, state, 0.0, 1e-9);
    let gamma = 1.0 - std::f64::consts::FRAC_1_SQRT_2;
    let size = units.len();
    let system = (DMatrix::identity(size, size) - jacobian * (gamma * step_s * w)).lu();
    let rates = |state: &State| {
        let x = to_vector(&model.rates(state, 0.0));
        DVector::from_iterator(size, units.iter().map(|&(i, unit)| x[i] / unit))
    };
    let ahead = |by: DVector<f64>| {
        let mut x = to_vector(state);
        units.iter().zip(by.iter()).for_each(|(&(i, unit), by)| x[i] += by * unit);
        to_state(x)
    };
    let first = system.solve(&rates(state)).expect("regular");
    let second = system.solve(&(rates(&ahead(&first * step_s)) - &first * 2.0)).expect("regular");
    ahead(first * (1.5 * step_s) + second * (0.5 * step_s))
}
