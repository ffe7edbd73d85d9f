//! Small motion: the linearisation beside the equations of motion themselves and beside the attack in time.

use crate::support::physics::{Random, model, random_reed};
use freereed::cases::reeds::{harmonica, harmonium};
use freereed::physics::attack::{Blow, Stop};
use freereed::physics::onset::Search;
use freereed::physics::{Player, Reed, ReedModel, State};
use nalgebra::{DMatrix, Schur};

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

fn to_vector(state: &State) -> [f64; 7] {
    let (q, v) = (state.tip_m, state.speed_m_s);
    [q[0], q[1], v[0], v[1], state.pressure_pa, state.channel_m3_s, state.mouth_pa]
}

fn to_state(x: [f64; 7]) -> State {
    State { tip_m: [x[0], x[1]], speed_m_s: [x[2], x[3]], pressure_pa: x[4], channel_m3_s: x[5], mouth_pa: x[6] }
}

/// The pressure in the lungs that holds `mouth` still.
fn lungs(model: &ReedModel, state: &State) -> f64 {
    let resistance = model.reed().player.map_or(0.0, |player| player.lung_resistance_pa_s_m3);
    state.mouth_pa + resistance * state.channel_m3_s
}

#[test]
fn nothing_moves_at_the_static_rest() {
    for (name, reed, pressure) in cases() {
        let model = model(reed);
        let rest = model.static_rest(pressure).unwrap_or_else(|| panic!("{name} snaps below {pressure} Pa"));
        let state = rest.state();
        let rates = model.rates(&state, lungs(&model, &state));
        let w = model.modes()[0].angular_frequency();
        // Each rate beside what its state does in a radian of the first mode; the rest is solved to 1e-12.
        assert_eq!(rates.tip_m, [0.0; 2]);
        for i in 0..2 {
            let scale = model.modes()[i].angular_frequency().powi(2) * rest.tip_m[0].abs();
            assert!(rates.speed_m_s[i].abs() < 1e-8 * scale, "{name}: mode {i} {:e}", rates.speed_m_s[i] / scale);
        }
        assert!(rates.pressure_pa.abs() < 1e-6 * w * pressure, "{name}: pressure {:e}", rates.pressure_pa);
        assert!(rates.channel_m3_s.abs() < 1e-6 * w * rest.flow_m3_s, "{name}: channel {:e}", rates.channel_m3_s);
        assert!(rates.mouth_pa.abs() < 1e-6 * w * pressure, "{name}: mouth {:e}", rates.mouth_pa);
        // The wind pushes the tongue towards the slot and takes some of the pressure on the way.
        let most = pressure * (1.0 + 1e-12);
        assert!(rest.tip_m[0] < 0.0 && rest.pressure_pa > 0.0 && rest.pressure_pa <= most, "{name}: {rest:?}");
    }
}

/// The Jacobian of the equations of motion at the static rest by central differences, in units that make it of order one,
/// and the unit of its time.
fn jacobian(model: &ReedModel, pressure: f64) -> (DMatrix<f64>, f64) {
    let rest = model.static_rest(pressure).expect("a static rest");
    let (modes, w) = (model.modes(), model.modes()[0].angular_frequency());
    let energy = |mass: f64, w: f64| 1.0 / (mass.sqrt() * w);
    // Energy coordinates, as it happens those of the program too; eigenvalues do not depend on the choice.
    let unit = [
        energy(modes[0].modal_mass_kg, modes[0].angular_frequency()),
        energy(modes[1].modal_mass_kg, modes[1].angular_frequency()),
        energy(modes[0].modal_mass_kg, 1.0),
        energy(modes[1].modal_mass_kg, 1.0),
        1.0 / model.compliance_m3_pa().sqrt(),
        1.0 / model.inertance_kg_m4().sqrt(),
        1.0 / model.compliance_m3_pa().sqrt(),
    ];
    let at = to_vector(&rest.state());
    let lungs = lungs(model, &rest.state());
    // A millionth of the static deflection, and the like for the others.
    let step = 1e-6 * rest.tip_m[0].abs() / unit[0];
    let mut matrix = DMatrix::zeros(7, 7);
    for j in 0..7 {
        let rates = |sign: f64| {
            let mut x = at;
            x[j] += sign * step * unit[j];
            to_vector(&model.rates(&to_state(x), lungs))
        };
        let (less, more) = (rates(-1.0), rates(1.0));
        for i in 0..7 {
            matrix[(i, j)] = (more[i] - less[i]) / (2.0 * step * unit[i] * w);
        }
    }
    (matrix, w)
}

#[test]
fn eigenmodes_are_those_of_the_equations_of_motion() {
    for (name, reed, pressure) in cases() {
        let model = model(reed);
        let (matrix, unit) = jacobian(&model, pressure);
        let numeric = Schur::new(matrix).complex_eigenvalues();
        let rest = model.static_rest(pressure).unwrap();
        let exact = model.eigenmodes(&rest);
        assert!(exact.len() >= 2, "{name}: {} modes", exact.len());
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
    let envelope = attack.trace.speed_envelope(1.0 / frequency);
    let small = std::f64::consts::TAU * frequency * 4e-6;
    let times = attack.trace.times_s().iter().copied();
    let points: Vec<(f64, f64)> = times
        .zip(envelope)
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
        // Reading the envelope between steps leaves half a per cent over a few periods.
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
    let envelope = attack.trace.speed_envelope(period);
    let times = attack.trace.times_s();
    let at = |time: f64| envelope[times.partition_point(|&t| t < time)].ln();
    let (from, to) = (0.05, 0.05 + 40.0 * period);
    let seen = (at(to) - at(from)) / (to - from);
    assert!((seen / linear.growth_per_s - 1.0).abs() < 0.01, "{linear:?}, seen {seen}");
}

/// Power into all stores of energy, `d/dt` of kinetic and bending energy, `C p^2/2`, `M U_c^2/2`, `C_m p_m^2/2`.
fn power(model: &ReedModel, state: &State, rates: &State) -> f64 {
    let reed: f64 = (0..2)
        .map(|i| {
            let (m, w) = (model.modes()[i].modal_mass_kg, model.modes()[i].angular_frequency());
            m * state.speed_m_s[i] * (rates.speed_m_s[i] + w * w * state.tip_m[i])
        })
        .sum();
    reed + model.compliance_m3_pa() * state.pressure_pa * rates.pressure_pa
        + model.inertance_kg_m4() * state.channel_m3_s * rates.channel_m3_s
}

#[test]
fn energy_goes_where_the_equations_say() {
    // Bending energy and kinetic energy lose by damping and drag, the chamber by what flows out, the channel by its loss;
    // they gain from the mouth, and from the part of the pressure that the slot keeps off the tongue.
    for seed in 0..8 {
        let model = model(random_reed(seed));
        let reed = model.reed();
        let mut random = Random::new(1000 + seed);
        for _ in 0..50 {
            let state = State {
                tip_m: [random.between(-5e-4, 5e-4), random.between(-2e-5, 2e-5)],
                speed_m_s: [random.between(-2.0, 2.0), random.between(-0.2, 0.2)],
                pressure_pa: random.between(-500.0, 1500.0),
                channel_m3_s: random.between(-3e-4, 5e-4),
                mouth_pa: random.between(0.0, 1500.0),
            };
            let p = state.pressure_pa;
            let flow = model.aperture().flow(state.tip_m, state.speed_m_s, p);
            let mut expected = -p * (flow.through_m3_s + model.leak_m3_s(p)) + state.mouth_pa * state.channel_m3_s;
            let area = reed.chamber.unwrap().channel_area_m2;
            expected -= 0.5 * reed.air.density_kg_m3 * state.channel_m3_s.abs().powi(3) / (area * area);
            let mut scale = expected.abs();
            for i in 0..2 {
                let (mode, v) = (&model.modes()[i], state.speed_m_s[i]);
                let damping = mode.angular_frequency() / reed.quality_factor * mode.modal_mass_kg * v * v;
                let swept = (1.0 - flow.share) * p * mode.swept_area_m2 * v;
                expected += swept - damping - flow.drag_n[i] * v;
                scale += (p * mode.swept_area_m2 * v).abs()
                    + damping
                    + mode.modal_mass_kg * v.abs() * mode.angular_frequency().powi(2) * state.tip_m[i].abs();
            }
            let found = power(&model, &state, &model.rates(&state, 0.0));
            assert!((found - expected).abs() < 1e-11 * scale, "seed {seed}: {found:e}, not {expected:e}");
        }
    }
}

#[test]
fn a_plucked_reed_that_nobody_blows_dies() {
    // Runge-Kutta steps of a hundredth of the fastest period, over twenty periods of the tongue.
    for reed in [harmonica(2), harmonica(9)] {
        let model = model(reed);
        let period = 1.0 / model.modes()[0].frequency_hz;
        let fastest = model.chamber_resonance_hz().max(model.modes()[1].frequency_hz);
        let step = 0.01 / fastest;
        let mut state = State { tip_m: [2e-4, 0.0], ..State::default() };
        let energy = |state: &State| {
            let reed: f64 = (0..2)
                .map(|i| {
                    let (m, w) = (model.modes()[i].modal_mass_kg, model.modes()[i].angular_frequency());
                    0.5 * m * (state.speed_m_s[i].powi(2) + (w * state.tip_m[i]).powi(2))
                })
                .sum();
            reed + 0.5 * model.compliance_m3_pa() * state.pressure_pa.powi(2)
                + 0.5 * model.inertance_kg_m4() * state.channel_m3_s.powi(2)
        };
        let (mut last, start) = (energy(&state), energy(&state));
        for _ in 0..20 {
            for _ in 0..(period / step).round() as usize {
                state = runge_kutta(&model, &state, step);
            }
            let now = energy(&state);
            assert!(now < last, "{now:e} J after {last:e} J");
            last = now;
        }
        // Its own loss alone would leave exp(-2 pi 20/Q).
        let own = (-std::f64::consts::TAU * 20.0 / model.reed().quality_factor).exp();
        assert!(last < own * start, "{} of {own}", last / start);
    }
}

fn runge_kutta(model: &ReedModel, state: &State, step: f64) -> State {
    let x = to_vector(state);
    let rates = |x: [f64; 7]| to_vector(&model.rates(&to_state(x), 0.0));
    let ahead = |rate: &[f64; 7], by: f64| std::array::from_fn(|i| x[i] + by * rate[i]);
    let a = rates(x);
    let b = rates(ahead(&a, 0.5 * step));
    let c = rates(ahead(&b, 0.5 * step));
    let d = rates(ahead(&c, step));
    to_state(std::array::from_fn(|i| x[i] + step / 6.0 * (a[i] + 2.0 * b[i] + 2.0 * c[i] + d[i])))
}
