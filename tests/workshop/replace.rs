//! New reeds for a slot: every one that is offered reaches the pitch and fits, and the rest says why not.

use freereed::answer::Conditions;
use freereed::sheet::{CheckedReed, Job, ReedFile};
use freereed::workshop::replace::{Beside, Profiled, ReplaceOptions, ReplaceRefusal, Replacement, replace};

const OLD: &str = "[reed]\nlength_mm = 14.2\nwidth_mm = 2.1\nthickness_mm = 0.175\nalloy = \"C51000\"\ntemper = \"H08\"\n\
                   measured_pluck_hz = 496.1\nring_down_s = 0.058\ntip_gap_mm = 0.27\n\
                   [slot]\nside_clearance_mm = 0.027\n\
                   [chamber]\nvolume_mm3 = 500\nchannel_length_mm = 20\nchannel_area_mm2 = 20\n";

fn old() -> CheckedReed {
    ReedFile::parse("reed.toml", OLD).unwrap()
}

fn cents(after: f64, before: f64) -> f64 {
    1200.0 * (after / before).log2()
}

fn options(pluck_hz: f64, strips_mm: &[f64]) -> ReplaceOptions {
    ReplaceOptions::of(pluck_hz, strips_mm.iter().map(|mm| 1e-3 * mm).collect(), Conditions::default())
}

/// In tune, as wide as the slot allows, and no thinner than was allowed.
fn assert_sound(found: &Replacement, options: &ReplaceOptions, slot_m: f64) {
    for one in &found.best {
        let reed = &one.reed.reed;
        let hz = reed.beam.modes(1)[0].frequency_hz;
        // A uniform tongue within a cent is taken as it is.
        let within = if one.tongue.profile == Profiled::Uniform { 1.0 } else { 0.01 };
        assert!(cents(hz, options.pluck_hz).abs() < within, "{hz} {:?}", one.tongue);
        let at_tip = reed.beam.length_m;
        let slot = &reed.slot;
        let width = reed.beam.width_m.at(at_tip) + slot.left_clearance_m.at(at_tip) + slot.right_clearance_m.at(at_tip);
        assert!((width - slot_m).abs() < 1e-9, "{width}");
        assert!(reed.beam.length_m <= found.opening.longest_m + 1e-9);
        assert!(reed.beam.thickness_m.range().0 >= (1.0 - options.most_share) * one.tongue.strip_m - 1e-9);
        assert!(one.reed.measured.pluck_hz.is_none(), "nothing was measured on a reed that is not made yet");
        assert!(one.playable_pa.0 < one.playable_pa.1 && one.onset_pa <= one.playable_pa.0 * 1.05);
    }
    let ordered = found.best.windows(2).all(|pair| pair[0].ranking.score() >= pair[1].ranking.score());
    assert!(ordered && found.out.iter().all(|out| !out.why.is_empty()));
}

#[test]
fn what_is_offered_reaches_the_pitch_and_fits() {
    let (mut offered, mut kinds) = (0, Vec::new());
    // Slots, pitches and strips over the range of a harmonica; golden steps spread them.
    for k in 0..8_u32 {
        let spread = |step: f64| (f64::from(k) * step).fract();
        let length = 8.0 + 10.0 * spread(0.618_034);
        let near_hz = 95e3 / length.powi(2);
        let pluck_hz = near_hz * (0.85 + 0.4 * spread(0.754_878));
        let text = format!(
            "[reed]\nlength_mm = {length}\nwidth_mm = 2\nthickness_mm = 0.17\ntip_gap_mm = 0.2\n[slot]\nside_clearance_mm = 0.03\n\
             [chamber]\nvolume_mm3 = 400\nchannel_length_mm = 15\nchannel_area_mm2 = 20\n"
        );
        let old = ReedFile::parse("reed.toml", &text).unwrap();
        let options = ReplaceOptions {
            lengths_m: (k % 2 == 1).then_some((0.85e-3 * length, 1e-3 * length)),
            ..options(pluck_hz, &[0.15, 0.18])
        };
        let found = replace(&old, &options).unwrap();
        assert_sound(&found, &options, 2.06e-3);
        offered += found.best.len();
        kinds.extend(found.best.iter().map(|one| one.tongue.profile.name()));
    }
    kinds.sort_unstable();
    kinds.dedup();
    assert!(offered >= 12 && kinds.len() == 4, "{offered} offered, {kinds:?}");
}

/// A tongue that narrows to its tip, in a slot that does so too.
#[test]
fn a_slot_that_is_not_parallel_keeps_its_shape() {
    let text = OLD.replace("width_mm = 2.1", "width_stations_mm = [[0, 2.3], [14.2, 2.1]]");
    let old = ReedFile::parse("reed.toml", &text).unwrap();
    let options = ReplaceOptions { lengths_m: Some((12e-3, 14.2e-3)), ..options(496.0, &[0.15, 0.18]) };
    let found = replace(&old, &options).unwrap();
    assert_sound(&found, &options, 2.154e-3);
    assert!((found.opening.width_m - 2.1e-3).abs() < 1e-9, "as wide as the narrow end allows");
    for one in &found.best {
        let reed = &one.reed.reed;
        // Half-way from the tip to the old root the slot is as wide as it was.
        let place_m = reed.beam.length_m - 7.1e-3;
        let slot_m = reed.beam.width_m.at(place_m) + 2.0 * reed.slot.left_clearance_m.at(place_m);
        assert!((slot_m - 2.254e-3).abs() < 1e-6, "{slot_m}");
    }
}

#[test]
fn a_reed_of_the_demo_is_replaced_beside_its_neighbours() {
    let job = Job::load(concat!(env!("CARGO_MANIFEST_DIR"), "/data/demo/job.toml")).unwrap();
    for id in ["7-draw-out", "10-blow-out"] {
        let reed = job.reeds.iter().flatten().find(|reed| reed.id == id).unwrap();
        let beside = Beside::of(&job, id);
        let usual_m = beside.length_m.unwrap();
        assert!((usual_m / reed.checked.reed.beam.length_m - 1.0).abs() < 0.05, "{usual_m}");
        assert!(beside.count >= 12 && (50.0..500.0).contains(&beside.onset_pa.unwrap()));
        let conditions = Conditions {
            pressure_pa: job.player.normal_pa.at(reed.note),
            allowed_s: job.player.time_allowed_s.at(reed.note),
            ..Conditions::default()
        };
        let options = ReplaceOptions { beside, conditions, ..options(reed.target_hz, &[0.2, 0.22]) };
        let found = replace(&reed.checked, &options).unwrap();
        let slot = &reed.checked.reed.slot;
        let slot_m =
            reed.checked.reed.beam.width_m.at(0.0) + slot.left_clearance_m.at(0.0) + slot.right_clearance_m.at(0.0);
        assert_sound(&found, &options, slot_m);
        assert!(found.best[0].t50_s.unwrap() < conditions.allowed_s, "{id} speaks in time");
    }
}

#[test]
fn what_cannot_be_is_refused_or_out() {
    let refused = |options: ReplaceOptions| replace(&old(), &options).unwrap_err();
    assert!(matches!(refused(options(500.0, &[])), ReplaceRefusal::NoStrip));
    let wide = ReplaceOptions { clearance_m: Some(1e-3), ..options(500.0, &[0.18]) };
    assert!(refused(wide).to_string().contains("leaves no tongue"));
    let long = ReplaceOptions { lengths_m: Some((20e-3, 25e-3)), ..options(500.0, &[0.18]) };
    assert!(refused(long).to_string().contains("14.2 mm at most"));
    let unknown = ReplaceOptions { alloy: Some("tin foil".to_owned()), ..options(500.0, &[0.18]) };
    assert!(refused(unknown).to_string().contains("makes no reed"));
    // Far too thick a strip reaches the pitch in no way.
    let found = replace(&old(), &options(400.0, &[0.4])).unwrap();
    assert!(found.best.is_empty() && found.out.len() == 3, "{:?}", found.out);
    let says = |profile: &str, part: &str| {
        let out = found.out.iter().find(|out| out.profile == profile).unwrap();
        assert!(out.why.contains(part), "{}", out.why);
    };
    says("uniform", "it would have to be");
    says("thinned root", "are needed");
    says("weighted tip", "of its mass");
}

#[test]
fn another_metal_brings_its_own_numbers() {
    let options = ReplaceOptions { alloy: Some("C26000".to_owned()), ..options(500.0, &[0.18]) };
    let found = replace(&old(), &options).unwrap();
    let reed = &found.best[0].reed;
    assert_eq!((reed.metal.name.as_str(), reed.reed.beam.density_kg_m3), ("C26000", 8530.0));
    assert!(reed.metal.temper.is_none(), "the temper was the old strip's");
    // The loss was measured on the old reed and is kept; nothing else of it is.
    assert!((reed.reed.quality_factor / old().reed.quality_factor - 1.0).abs() < 1e-6);
}

/// Lengths that no file writes in full, and a warm bench, leave no sliver at the tip.
#[test]
fn warmth_and_long_numbers_change_nothing() {
    let plain = old();
    let of = |text: String| ReedFile::parse("reed.toml", &text).unwrap();
    let long = of(OLD.replace("length_mm = 14.2\n", "length_mm = 14.200000000123457\n"));
    let warm = of(OLD.replace("ring_down_s", "temperature_c = 33.7\nring_down_s"));
    for pluck_hz in [440.0, 520.0, 700.0] {
        let options = options(pluck_hz, &[0.15, 0.2, 0.25]);
        let usual = replace(&plain, &options).unwrap();
        assert!(!usual.best.is_empty(), "{pluck_hz}: {:?}", usual.out);
        for other in [&long, &warm] {
            let found = replace(other, &options).unwrap();
            let names =
                |found: &Replacement| found.best.iter().map(|one| one.tongue.profile.name()).collect::<Vec<_>>();
            assert_eq!(names(&found), names(&usual), "{pluck_hz}: {:?}", found.out);
            let (slot, length_m) = (&other.reed.slot, other.reed.beam.length_m);
            let beside_m = slot.left_clearance_m.at(length_m) + slot.right_clearance_m.at(length_m);
            assert_sound(&found, &options, other.reed.beam.width_m.at(length_m) + beside_m);
        }
        let lengths_m = Some((12.123_456_789_012e-3, 14.098_765_432_109e-3));
        let some = ReplaceOptions { lengths_m, ..options.clone() };
        let found = replace(&plain, &some).unwrap();
        assert_sound(&found, &some, 2.154e-3);
        assert!(found.out.iter().all(|out| !out.why.contains("station")), "{:?}", found.out);
    }
}
