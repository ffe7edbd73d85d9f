//! The profile of a tongue: typed, assumed, or found from a pitch and the force that closes its gap.

use approx::assert_relative_eq;
use freereed::sheet::{CheckedReed, Job, ReedFile};

/// A C4 of the size that the contract of the model computes with: 262 Hz, 16.8 by 2.2 mm, gap 0.43 mm.
const C4: &str = "[reed]\nlength_mm = 16.8\nwidth_mm = 2.2\ntip_gap_mm = 0.43\nalloy = \"C26000\"\n";

fn parsed(keys: &str) -> CheckedReed {
    ReedFile::parse("reed.toml", &format!("{C4}{keys}")).unwrap_or_else(|error| panic!("{error}"))
}

fn refusal(keys: &str) -> String {
    ReedFile::parse("reed.toml", &format!("{C4}{keys}")).expect_err(keys).to_string()
}

fn pluck_hz(checked: &CheckedReed) -> f64 {
    checked.reed.beam.modes(1)[0].frequency_hz
}

fn stiffness(checked: &CheckedReed) -> f64 {
    checked.reed.beam.tip_stiffness_n_m()
}

// A massless cantilever with a point mass M at its tip and a mass m of its own: w^2 = k/(M + 33/140 m) by Rayleigh (within 0.5 %
// of the exact one; any book on vibration, from memory), so that at one pitch the stiffness grows as M + 33/140 m does.
#[test]
fn a_weight_makes_a_tongue_of_one_pitch_stiffer() {
    let of = |share: f64| parsed(&format!("measured_pluck_hz = 262\ntip_weight_share = {share}\n"));
    for share in [0.0, 0.1, 0.2, 0.4, 1.0] {
        let checked = of(share);
        let beam = &checked.reed.beam;
        let own_kg = beam.mass_kg() - beam.tip_mass_kg;
        assert_relative_eq!(beam.tip_mass_kg, share * own_kg, max_relative = 1e-9);
        assert_relative_eq!(pluck_hz(&checked), 262.0, max_relative = 1e-9);
        let rayleigh = (std::f64::consts::TAU * 262.0).powi(2) * (beam.tip_mass_kg + 33.0 / 140.0 * own_kg);
        assert_relative_eq!(stiffness(&checked), rayleigh, max_relative = if share == 0.0 { 0.03 } else { 0.02 });
    }
    let n_m = |share: f64| stiffness(&of(share));
    assert!(
        n_m(0.0) < 35.0 && (1.5..2.0).contains(&(n_m(0.1) / n_m(0.0))) && (3.0..4.5).contains(&(n_m(0.4) / n_m(0.0)))
    );
}

#[test]
fn pitch_and_closing_force_give_thickness_and_profile() {
    for (profile, what) in [("tip_weight_share = 0.17", "tip_weight_share"), ("tip_thinning = 0.35", "tip_thinning")] {
        let truth = parsed(&format!("measured_pluck_hz = 262\n{profile}\n"));
        // F = k g, with the standard weight of a gram.
        let grams = stiffness(&truth) * 0.43e-3 / 9.80665e-3;
        for measured in [format!("closing_force_g = {grams}"), format!("stiffness_n_m = {}", stiffness(&truth))] {
            let found = parsed(&format!("measured_pluck_hz = 262\n{measured}\n"));
            assert_relative_eq!(pluck_hz(&found), 262.0, max_relative = 1e-9);
            assert_relative_eq!(stiffness(&found), stiffness(&truth), max_relative = 1e-8);
            let tip_mm = |checked: &CheckedReed| 1e3 * checked.reed.beam.thickness_m.at(16.8e-3);
            assert_relative_eq!(tip_mm(&found), tip_mm(&truth), max_relative = 1e-6);
            assert_relative_eq!(found.reed.beam.tip_mass_kg, truth.reed.beam.tip_mass_kg, max_relative = 1e-6);
            let listed = found.assumed.iter().find(|assumed| assumed.key == what).unwrap();
            assert!(listed.why.contains("found from") && found.notes.is_empty(), "{listed:?} {:?}", found.notes);
        }
    }
}

#[test]
fn a_force_that_contradicts_the_pitch_is_told_with_both() {
    for grams in [0.2, 40.0] {
        let error = refusal(&format!("measured_pluck_hz = 262\nclosing_force_g = {grams}\n"));
        assert!(error.contains(&format!("closing_force_g = {grams}: says ")), "{error}");
        assert!(error.contains("with the plucked pitch (262) has ") && error.contains(" g for that pitch"), "{error}");
        assert_eq!(error.lines().count(), 1, "{error}");
    }
    let error = refusal("measured_pluck_hz = 262\nclosing_force_g = 2\nstiffness_n_m = 40\n");
    assert!(error.contains("says the same another way"), "{error}");
    let closed = C4.replace("0.43", "-0.05") + "measured_pluck_hz = 262\nclosing_force_g = 2\n";
    let error = ReedFile::parse("reed.toml", &closed).unwrap_err().to_string();
    assert!(error.contains("the tip does not stand above the plate") && error.contains("stiffness_n_m"), "{error}");
}

#[test]
fn beside_a_typed_profile_a_stiffness_is_only_compared() {
    let note = |keys: &str| parsed(&format!("measured_pluck_hz = 262\n{keys}\n")).notes;
    let own = stiffness(&parsed("measured_pluck_hz = 262\ntip_mass_mg = 5\n"));
    assert!(note(&format!("tip_mass_mg = 5\nstiffness_n_m = {own}")).is_empty());
    let notes = note("tip_mass_mg = 5\nstiffness_n_m = 20");
    assert!(
        notes.len() == 1 && notes[0].contains("stiffness_n_m") | notes[0].contains("stiffness measured"),
        "{notes:?}"
    );
    let notes = parsed("thickness_mm = 0.12\nclosing_force_g = 2\n").notes;
    assert!(notes.iter().any(|note| note.contains("only compared")), "{notes:?}");
}

#[test]
fn a_bend_changes_neither_weight_nor_stiffness() {
    let before = parsed("measured_pluck_hz = 262\nclosing_force_g = 2.4\n");
    let bent = before.with("tip_gap_mm", 0.3).unwrap();
    assert_relative_eq!(stiffness(&bent), stiffness(&before), max_relative = 1e-9);
    // The force was weighed at the old gap: what is kept of it is the stiffness.
    assert!(bent.spec.typed("closing_force_g").is_none() && bent.spec.typed("stiffness_n_m").is_some());
    let plucked_again = bent.with("measured_pluck_hz", 262.1).unwrap();
    assert_relative_eq!(stiffness(&plucked_again), stiffness(&before), max_relative = 1e-5);
    let file = bent.changed_file(&before, &["tip_gap_mm"]);
    let again = ReedFile::parse("bent.toml", &file).unwrap_or_else(|error| panic!("{file}\n{error}"));
    assert_relative_eq!(stiffness(&again), stiffness(&before), max_relative = 1e-5);
    // Metal taken off keeps the weight that was found, and a new weight counts as typed.
    let shorter = before.with("length_mm", 16.0).unwrap();
    assert_relative_eq!(shorter.reed.beam.tip_mass_kg, before.reed.beam.tip_mass_kg, max_relative = 1e-12);
    let file = shorter.changed_file(&before, &["length_mm"]);
    let again = ReedFile::parse("shorter.toml", &file).unwrap_or_else(|error| panic!("{file}\n{error}"));
    assert_relative_eq!(pluck_hz(&again), pluck_hz(&shorter), max_relative = 1e-5);
    let heavier = before.with("tip_mass_mg", 20.0).unwrap();
    assert_relative_eq!(heavier.reed.beam.tip_mass_kg, 20e-6, max_relative = 1e-12);
    assert!(pluck_hz(&heavier) < 262.0);
}

const SHEET: &str = "hole,breath,slide,note,length_mm,width_mm,measured_pluck_hz,tip_gap_mm,closing_force_g
1,blow,out,C4,16.8,2.2,262,0.43,
2,blow,out,A4,14.8,2.2,440,0.3,
3,blow,out,F#5,12.5,2.1,740,0.25,
4,blow,out,C6,10.3,2.0,1047,0.2,
";

fn job(text: &str, sheet: &str) -> Job {
    Job::parse(("job.toml", text), ("sheet.csv", sheet)).unwrap_or_else(|error| panic!("{error}"))
}

#[test]
fn the_layout_gives_low_reeds_a_weight_and_every_hole_a_chamber() {
    let set = job("sheet = \"sheet.csv\"\n", SHEET);
    let reed = |k: usize| &set.reeds[k].as_ref().unwrap().checked;
    // Evenly in semitones: 0.2 at C4, half at A4 (nine above), none from F#5 (eighteen) on.
    for (k, share) in [(0, 0.2), (1, 0.1), (2, 0.0), (3, 0.0)] {
        let beam = &reed(k).reed.beam;
        assert_relative_eq!(beam.tip_mass_kg / (beam.mass_kg() - beam.tip_mass_kg), share, max_relative = 1e-9);
        assert!(reed(k).assumed.iter().any(|assumed| assumed.key == "tip_weight_share"));
    }
    assert!(reed(0).assumed.iter().any(|assumed| assumed.why.contains("closing_force_g")));
    let sizes = |k: usize| {
        let chamber = reed(k).reed.chamber.unwrap();
        [1e9 * chamber.volume_m3, 1e3 * chamber.channel_length_m, 1e6 * chamber.channel_area_m2]
    };
    for (k, expected) in [(0, [450.0, 20.0, 20.0]), (1, [393.75, 16.25, 20.0]), (3, [300.0, 10.0, 20.0])] {
        for (found, expected) in sizes(k).into_iter().zip(expected) {
            assert_relative_eq!(found, expected, max_relative = 1e-5);
        }
        let of = |key: &str| reed(k).assumed.iter().any(|assumed| assumed.key == key);
        assert!(of("chamber.volume_mm3") && of("chamber.channel_length_mm") && of("chamber.channel_area_mm2"));
    }
    // A chamber that was assumed can be sampled size by size, and a written reed keeps it.
    let one = reed(0).spec.with("volume_mm3", 600.0).checked().unwrap();
    assert_relative_eq!(one.reed.chamber.unwrap().volume_m3, 600e-9, max_relative = 1e-12);
    assert_relative_eq!(one.reed.chamber.unwrap().channel_length_m, 20e-3, max_relative = 1e-12);
    let written = ReedFile::parse("one.toml", &reed(0).spec.to_toml()).unwrap();
    assert_eq!((&written.reed.chamber, &written.reed.beam), (&reed(0).reed.chamber, &reed(0).reed.beam));
    // What is typed goes before the layout; bellows have a windchest and no weights.
    let weighed = job("sheet = \"sheet.csv\"\n[defaults]\ntip_mass_mg = 0\n", SHEET);
    assert_eq!(weighed.reeds[0].as_ref().unwrap().checked.reed.beam.tip_mass_kg, 0.0);
    let organ = job("sheet = \"sheet.csv\"\n[instrument]\nwind = \"bellows\"\n", SHEET);
    let low = &organ.reeds[0].as_ref().unwrap().checked;
    assert!(low.reed.chamber.is_none() && low.reed.beam.tip_mass_kg == 0.0);
}

#[test]
fn a_force_weighed_before_a_bend_stays_with_the_gap_of_its_day() {
    let sheet = SHEET.replace("262,0.43,\n", "262,0.43,2.4\n");
    let first = job("sheet = \"sheet.csv\"\n", &sheet);
    let round = ("2026-03-01.csv", "hole,breath,slide,tip_gap_mm\n1,blow,out,0.3\n");
    let text = ("job.toml", "sheet = \"sheet.csv\"\n");
    let later = Job::parse_with(text, ("sheet.csv", &sheet), None, &[round]).unwrap();
    let of = |job: &Job| stiffness(&job.reeds[0].as_ref().unwrap().checked);
    assert_relative_eq!(of(&first), 2.4 * 9.80665e-3 / 0.43e-3, max_relative = 1e-8);
    assert_relative_eq!(of(&later), of(&first), max_relative = 1e-5);
}

#[test]
fn no_more_chambers_than_holes() {
    let one = "[[chamber]]\nholes = \"1-999\"\nvolume_mm3 = 400\nchannel_length_mm = 15\nchannel_area_mm2 = 20\n";
    let refused = |count: usize| {
        let text = format!("sheet = \"sheet.csv\"\n{}", one.repeat(count));
        Job::parse(("job.toml", &text), ("sheet.csv", SHEET)).unwrap_err().to_string()
    };
    let error = refused(20_000);
    assert!(error.contains("has 20000 tables; there are no more than 999 holes"), "{error}");
    assert_eq!(error.lines().count(), 1);
    assert!(refused(900).contains("hole 1 has two chambers"), "one complaint a table");
}

#[test]
fn a_scan_of_thousands_of_stations_is_read() {
    let taper = |count: u32| {
        let station = |k: u32| (f64::from(k) / f64::from(count), k);
        let stations: Vec<String> =
            (0..=count).map(station).map(|(x, _)| format!("[{}, {}]", 16.8 * x, 0.13 - 0.02 * x)).collect();
        parsed(&format!(
            "measured_pluck_hz = 262\ntip_mass_mg = 3\nthickness_stations_mm = [{}]\n",
            stations.join(", ")
        ))
    };
    let (few, many) = (taper(1), taper(2000));
    assert_relative_eq!(many.thickness.unwrap().scale, few.thickness.unwrap().scale, max_relative = 1e-8);
}
