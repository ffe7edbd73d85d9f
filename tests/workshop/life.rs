//! Stress against strength: what follows from the model, what does not depend on it, and what is refused.

use freereed::answer::{Conditions, Quantity};
use freereed::physics::ReedModel;
use freereed::physics::attack::{Blow, Stop};
use freereed::physics::bending::StressCycle;
use freereed::sheet::{CheckedReed, Job, ReedFile};
use freereed::workshop::Effect;
use freereed::workshop::life::{
    Change, LifeRefusal, Playing, Scratch, SnLine, Surface, SwingFrom, about_zero_pa, goodman, improvements, life, rank,
};

fn playing(pressure_pa: f64) -> Playing {
    Playing {
        pressure_pa,
        rise_s: 10e-3,
        hours: 3650.0,
        share: 0.02,
        surface: Surface::FiledAlong,
        scratch: Scratch::default(),
    }
}

fn demo() -> Job {
    Job::load(concat!(env!("CARGO_MANIFEST_DIR"), "/data/demo/job.toml")).unwrap()
}

/// A phosphor bronze reed with any more lines.
fn reed(more: &str) -> CheckedReed {
    let text = format!(
        "[reed]\nlength_mm = 14.2\nwidth_mm = 2.1\nalloy = \"C51000\"\nquality_factor = 90\ntip_gap_mm = 0.27\n{more}\n\
         [slot]\nside_clearance_mm = 0.027\n[chamber]\nvolume_mm3 = 500\nchannel_length_mm = 20\nchannel_area_mm2 = 20\n"
    );
    ReedFile::parse("reed.toml", &text).unwrap_or_else(|error| panic!("{error}"))
}

const UNIFORM: &str = "thickness_mm = 0.175\ntemper = \"H08\"";

#[test]
fn the_worst_stress_is_the_models() {
    let reed = reed(UNIFORM);
    let model = ReedModel::new(reed.reed.clone()).unwrap();
    let steady = model.attack(&Blow::to(1500.0), Stop::WhenSteady).steady.unwrap();
    let found = life(&reed, &playing(1500.0)).unwrap();
    // Even along the reed the root is the worst place, and there the range has the largest stress as its end.
    // One is of the last of the run, the other of its last period followed more finely.
    assert!((found.worst.peak_pa() / steady.stress_pa - 1.0).abs() < 3e-3);
    assert_eq!(found.worst.at_m, steady.stress_at_m);
    assert!(found.peak_pa >= found.worst.peak_pa());
    assert_eq!(found.swing_from, SwingFrom::Model);
    assert_eq!(found.hours(), None, "the model's own swing is too weak for hours");
}

/// A tongue filed thin a third of the way up breaks there and not at the root.
#[test]
fn a_thinned_reed_does_not_break_at_the_root() {
    let stations = "thickness_stations_mm = [[0, 0.2], [2.5, 0.2], [3.5, 0.13], [5, 0.13], [6, 0.2], [14.2, 0.2]]";
    let found = life(&reed(&format!("{stations}\ntemper = \"H08\"")), &playing(1500.0)).unwrap();
    assert!((3e-3..5.5e-3).contains(&found.worst.at_m), "{:?}", found.worst);
    assert!(found.worst.peak_pa() > 1.2 * found.root.peak_pa());
}

/// What it bears leans on its shape alone, and a reed that swings just so has a factor of one.
#[test]
fn the_swing_it_bears_is_the_same_for_any_swing() {
    let bears = life(&reed(UNIFORM), &playing(1500.0)).unwrap().bears_swing_m();
    for swing_mm in [0.2, 0.7, 1e3 * bears.low] {
        let measured = reed(&format!("{UNIFORM}\nmeasured_swing_mm = {swing_mm}\nmeasured_at_pa = 1500"));
        let found = life(&measured, &playing(1500.0)).unwrap();
        assert!((1e3 * found.swing_m / swing_mm - 1.0).abs() < 1e-6);
        assert!((found.bears_swing_m().low / bears.low - 1.0).abs() < 1e-6);
        assert!((found.factor.low * swing_mm / (1e3 * bears.low) - 1.0).abs() < 1e-6);
        let hours = found.hours().unwrap();
        assert!(hours.low <= hours.high);
        // At a factor of one it lasts just as long as was asked, but for the mean stress: Goodman's line and the amplitude
        // about zero agree there.
        if found.factor.low < 1.0 + 1e-6 && found.factor.low > 1.0 - 1e-6 {
            assert!((hours.low / 3650.0 - 1.0).abs() < 1e-3, "{hours:?}");
        }
    }
}

/// Whatever all swings are multiplied by, the same reeds fail first, and their factors go as its inverse.
#[test]
fn the_order_does_not_depend_on_the_scale_of_the_swing() {
    let mut job = demo();
    job.reeds.truncate(16);
    let plain = rank(&job, &playing(0.0), None, &|| {});
    let order = |ranked: &[freereed::workshop::life::Ranked<'_>]| -> Vec<String> {
        ranked.iter().map(|one| one.reed.id.clone()).collect()
    };
    let scaled = |factor: f64| {
        let mut job = job.clone();
        for reed in job.reeds.iter_mut().flatten() {
            let at_pa = job.player.hard_pa.at(reed.note);
            let model = ReedModel::new(reed.checked.reed.clone()).unwrap();
            let swing_m = model.attack(&Blow::to(at_pa), Stop::WhenSteady).steady.unwrap().tip_amplitude_m;
            let spec =
                reed.checked.spec.with("measured_swing_mm", 1e3 * factor * swing_m).with("measured_at_pa", at_pa);
            reed.checked = spec.checked().unwrap();
        }
        job
    };
    for factor in [0.1, 0.35] {
        let job = scaled(factor);
        let ranked = rank(&job, &playing(0.0), None, &|| {});
        assert_eq!(order(&ranked), order(&plain));
        for (one, before) in ranked.iter().zip(&plain) {
            let (now, then) = (one.life.as_ref().unwrap(), before.life.as_ref().unwrap());
            assert!((now.factor.low * factor / then.factor.low - 1.0).abs() < 1e-6, "{}", one.reed.id);
        }
    }
    // Measured on one reed alone, the others are taken to swing alike.
    let mut one_measured = job.clone();
    one_measured.reeds[3] = scaled(0.2).reeds[3].clone();
    let ranked = rank(&one_measured, &playing(0.0), None, &|| {});
    assert_eq!(order(&ranked), order(&plain));
    let measured = |one: &&freereed::workshop::life::Ranked<'_>| {
        matches!(one.life.as_ref().unwrap().swing_from, SwingFrom::Measured(_))
    };
    assert_eq!(ranked.iter().filter(measured).count(), 1);
}

/// Softer, polished: each lowers the stress or raises what is borne. Less gap and more thickness usually do; exceptions are
/// counted.
#[test]
fn improvements_improve() {
    let job = demo();
    let (mut tried, mut less_gap_is_worse, mut thicker_is_worse) = (0, 0, 0);
    for reed in job.reeds.iter().flatten().step_by(4) {
        let playing = playing(job.player.hard_pa.at(reed.note));
        let now = life(&reed.checked, &playing).unwrap();
        let all = improvements(&reed.checked, &now);
        assert_eq!(all.len(), 4, "{}", reed.id);
        for improvement in all {
            let better = improvement.life.unwrap();
            let ratio = improvement.life_ratio.unwrap();
            match improvement.change {
                Change::LessGap(_) if ratio < 1.0 => less_gap_is_worse += 1,
                Change::LessGap(_) => {}
                Change::Thicker(_) if ratio < 1.0 => thicker_is_worse += 1,
                Change::Polished => {
                    assert!(ratio > 1.0 && better.factor.low > now.factor.low, "{}", reed.id);
                    assert_eq!(better.worst, now.worst, "polishing moves no stress");
                }
                Change::Softer(_) | Change::Thicker(_) => {
                    assert!(
                        ratio > 1.0 && better.worst.peak_pa() < now.worst.peak_pa(),
                        "{} {improvement:?}",
                        reed.id,
                        improvement = improvement.change
                    );
                }
            }
            tried += 1;
        }
    }
    assert!(tried == 48 && less_gap_is_worse <= 3, "less gap is worse on {less_gap_is_worse} of {}", tried / 4);
    assert!(thicker_is_worse <= 1, "thicker is worse on {thicker_is_worse} of {}", tried / 4);
}

#[test]
fn strength_line_and_mean_stress_agree_with_one_another() {
    for (tensile, fatigue, cycles) in [(650e6, 160e6, 1e8), (551e6, 276e6, 1e6), (400e6, 90e6, 3e7)] {
        let line = SnLine::of(tensile, fatigue, cycles);
        assert!((line.strength_pa(cycles) / fatigue - 1.0).abs() < 1e-12);
        assert!((line.strength_pa(1e3) / (0.9 * tensile) - 1.0).abs() < 1e-12);
        // No endurance limit: it goes on falling.
        assert!(line.strength_pa(100.0 * cycles) < 0.9 * fatigue);
        for n in [1e4, 1e6, 1e9] {
            assert!((line.cycles(line.strength_pa(n)) / n - 1.0).abs() < 1e-9);
            // A cycle on Goodman's line has the factor one, and its amplitude about zero is the strength.
            let mean_pa = -0.2 * tensile;
            let amplitude_pa = line.strength_pa(n) * (1.0 - 0.2);
            let cycle = StressCycle { at_m: 0.0, mean_pa, amplitude_pa };
            assert!((goodman(&cycle, line.strength_pa(n), tensile) - 1.0).abs() < 1e-12);
            assert!((about_zero_pa(&cycle, tensile) / line.strength_pa(n) - 1.0).abs() < 1e-12);
            assert!((goodman(&cycle.scaled(0.5), line.strength_pa(n), tensile) - 2.0).abs() < 1e-12);
        }
    }
}

#[test]
fn surfaces_are_ordered() {
    let order = [Surface::FiledAcross, Surface::FiledAlong, Surface::Rolled, Surface::Polished];
    for tensile in [350e6, 650e6, 1200e6] {
        let factors: Vec<_> = order.iter().map(|surface| surface.factor(tensile, Scratch::default())).collect();
        assert!(
            factors.windows(2).all(|pair| pair[0].low < pair[1].low && pair[0].high <= pair[1].high),
            "{factors:?}"
        );
        assert!(factors.iter().all(|factor| 0.0 < factor.low && factor.low <= factor.high && factor.high <= 1.0));
        let deep = Scratch { depth_m: 20e-6, radius_m: 5e-6 };
        assert!(Surface::FiledAcross.factor(tensile, deep).low < factors[0].low);
    }
}

#[test]
fn strength_comes_from_temper_or_keys() {
    let of = |more: &str| life(&reed(&format!("thickness_mm = 0.175\n{more}")), &playing(1500.0));
    let refused = of("").unwrap_err();
    let said = refused.to_string();
    assert!(matches!(refused, LifeRefusal::NoStrength { .. }), "{refused:?}");
    for part in ["C51000", "give temper (H01", "yield_mpa", "fatigue_mpa"] {
        assert!(said.contains(part), "{said}");
    }
    let published = of("temper = \"H04\"").unwrap().strength;
    assert_eq!((published.fatigue_pa.low, published.fatigue_cycles), (185e6, 1e8));
    assert!(published.tensile_is_yield && !published.fatigue_is_estimate);
    let estimated = of("yield_mpa = 500\ntensile_mpa = 600").unwrap().strength;
    assert!(estimated.fatigue_is_estimate && !estimated.tensile_is_yield);
    assert!((estimated.fatigue_pa.low - 120e6).abs() < 1.0 && (estimated.fatigue_pa.high - 210e6).abs() < 1.0);
    let given = of("tensile_mpa = 600\nfatigue_mpa = 170\nfatigue_cycles = 1e7").unwrap().strength;
    assert_eq!((given.fatigue_pa.low, given.fatigue_pa.high, given.fatigue_cycles), (170e6, 170e6, 1e7));
    let usual = reed("thickness_mm = 0.175\ntensile_mpa = 600\nfatigue_mpa = 170");
    assert!(usual.assumed.iter().any(|assumed| assumed.key == "fatigue_cycles"), "assumed and listed");
    assert!(matches!(of("yield_mpa = 500\ntensile_mpa = 400"), Err(LifeRefusal::BreaksBeforeYield { .. })));
    let hardly = life(&reed(UNIFORM), &playing(3.0));
    assert!(matches!(hardly, Err(LifeRefusal::Silent { .. })), "{hardly:?}");
}

/// The line of Shigley's problem 6-15 in form: 0.9 of the tensile strength at 1e3 cycles, the fatigue strength at 1e8.
#[test]
fn life_after_a_change_goes_with_the_power_of_the_stress() {
    let before = reed("thickness_mm = 0.175\ntensile_mpa = 650\nfatigue_mpa = 160\nfatigue_cycles = 1e8");
    let after = before.with("tip_gap_mm", 0.4).unwrap();
    let effect = Effect::of(&before, &after, &Conditions::default()).unwrap();
    let stress = effect.line(Quantity::Stress).unwrap();
    let exponent = (160.0_f64 / (0.9 * 650.0)).ln() / 1e5_f64.ln();
    let expected = (stress.after.value.unwrap() / stress.before.value.unwrap()).powf(1.0 / exponent);
    let found = effect.life_ratio.unwrap();
    assert!((found.low / expected - 1.0).abs() < 1e-9 && found.low == found.high, "{found:?} {expected}");
    assert!((expected - 1.0).abs() > 0.01, "the change changes the stress");
    // The way back is its inverse; without a known strength nothing is said.
    let back = Effect::of(&after, &before, &Conditions::default()).unwrap().life_ratio.unwrap();
    assert!((back.low * found.low - 1.0).abs() < 1e-6);
    let unknown = reed("thickness_mm = 0.175");
    assert_eq!(Effect::of(&unknown, &unknown, &Conditions::default()).unwrap().life_ratio, None);
}

/// A reed that sounds its second mode at a pressure gets no life there: it is not the note that tires.
#[test]
fn a_squeal_is_not_rated() {
    let (mut squeals, mut notes) = (0, 0);
    for (length, thickness, volume, gap) in SQUEALERS {
        let text = format!(
            "[reed]\nlength_mm = {length}\nwidth_mm = 2.1\nthickness_mm = {thickness}\nalloy = \"C51000\"\ntemper = \"H08\"\n\
             quality_factor = 200\ntip_gap_mm = {gap}\n[slot]\nside_clearance_mm = 0.02\n\
             [chamber]\nvolume_mm3 = {volume}\nchannel_length_mm = 3\nchannel_area_mm2 = 30\n"
        );
        let reed = ReedFile::parse("reed.toml", &text).unwrap();
        for pressure_pa in [300.0, 1000.0, 2500.0, 5000.0] {
            let steady =
                ReedModel::new(reed.reed.clone()).unwrap().attack(&Blow::to(pressure_pa), Stop::WhenSteady).steady;
            let plucked = reed.reed.beam.modes(1)[0].frequency_hz;
            match (steady, life(&reed, &playing(pressure_pa))) {
                // Six times the note is the second mode of a uniform tongue.
                (Some(steady), Err(LifeRefusal::Squeals { squeal_hz, .. })) => {
                    assert!(steady.frequency_hz > 3.0 * plucked && squeal_hz == steady.frequency_hz);
                    squeals += 1;
                }
                (Some(steady), Ok(found)) => {
                    assert!(steady.frequency_hz < 2.0 * plucked && found.frequency_hz == steady.frequency_hz);
                    notes += 1;
                }
                (None, Err(LifeRefusal::Silent { .. })) => {}
                (steady, found) => panic!("{steady:?} {found:?}"),
            }
        }
    }
    assert!(squeals > 0 && notes > 0, "{squeals} squeals, {notes} notes");
}

/// Length, thickness, chamber and gap of tongues among which some squeal.
const SQUEALERS: [(f64, f64, f64, f64); 6] = [
    (14.2, 0.175, 500.0, 0.27),
    (25.0, 0.1, 30.0, 0.1),
    (30.0, 0.12, 60.0, 0.05),
    (18.0, 0.08, 15.0, 0.05),
    (40.0, 0.15, 100.0, 0.05),
    (20.0, 0.06, 20.0, 0.03),
];

/// A tongue under the same load is strained as `1/h^2`, so to keep that within 2 % no more than a hundredth of the thickness may
/// go, and 2 um in all; a light stroke is taken to be a tenth of these 2 um. So a tongue of 0.1 mm gets half the strokes of one
/// of 0.3 mm, and half may come off.
#[test]
fn polishing_stops_earlier_on_a_thin_tongue() {
    use freereed::workshop::life::{polish_most_m, steps};
    for (thickness_m, most_m) in [(0.05e-3, 0.5e-6), (0.1e-3, 1e-6), (0.2e-3, 2e-6), (0.5e-3, 2e-6)] {
        assert!((polish_most_m(thickness_m) - most_m).abs() < 1e-15);
        let strained = (thickness_m / (thickness_m - polish_most_m(thickness_m))).powi(2);
        assert!(strained < 1.0205, "{strained}");
    }
    // The thin one as much shorter as leaves the pitch nearly as it is, so that it sounds.
    for (length_mm, thickness_mm, gap_mm) in [(14.2, 0.3, 0.27), (9.0, 0.1, 0.1)] {
        let text = format!(
            "[reed]\nlength_mm = {length_mm}\nwidth_mm = 2.1\nalloy = \"C51000\"\ntemper = \"H08\"\nquality_factor = 90\n\
             thickness_mm = {thickness_mm}\ntip_gap_mm = {gap_mm}\n[slot]\nside_clearance_mm = 0.027\n\
             [chamber]\nvolume_mm3 = 500\nchannel_length_mm = 20\nchannel_area_mm2 = 20\n"
        );
        let reed = ReedFile::parse("reed.toml", &text).unwrap();
        let told = steps(&life(&reed, &playing(1000.0)).unwrap(), &reed.reed.beam);
        let (polish, stop) = (told.steps.join(" "), told.stop);
        let most_um = f64::min(10.0 * thickness_mm, 2.0);
        let (strokes, most) = (most_um / 0.2, format!("{:.3} mm", 1e-3 * most_um));
        assert!(polish.contains(&format!(", {strokes:.0} light strokes a pass")), "{thickness_mm}: {polish}");
        assert!(polish.contains(&format!("compare: {most} off there")), "{thickness_mm}: {polish}");
        assert!(stop.contains(&format!(": {most} is off then")), "{thickness_mm}: {stop}");
    }
}
