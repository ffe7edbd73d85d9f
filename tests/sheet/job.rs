//! A set: the job, its sheet, and how their values lie over each other.

use approx::assert_relative_eq;
use freereed::physics::Air;
use freereed::physics::air::AirState;
use freereed::sheet::{Breath, Job, JobReed, Note, Slide, Temperament};

const JOB: &str = r#"
sheet = "sheet.csv"

[instrument]
name = "bench test"
layout = "solo"
key = "C"
concert_pitch_hz = 442
temperament = "equal"
[instrument.offsets_cents]
E = -4
"E5" = -7.5

[plate]
plate_thickness_mm = 0.9
side_clearance_mm = 0.025

[defaults]
alloy = "C51000"
width_mm = 2
tip_gap_mm = 0.2
plate_thickness_mm = 1.2

[[chamber]]
holes = "1-2"
volume_mm3 = 500
channel_length_mm = 20
channel_area_mm2 = 20

[[chamber]]
holes = 4
volume_mm3 = 300
channel_length_mm = 10
channel_area_mm2 = 15

[air.blow]
temperature_c = 32

[tolerances]
thickness_mm = 0.003
pluck_cents = 2

[player]
soft_pa = { C4 = 120, C7 = 400 }
time_allowed_ms = 50
lung_resistance_pa_s_m3 = 2e6
mouth_volume_cm3 = 80
"#;

const SHEET: &str = "\
hole,breath,slide,note,length_mm,width_mm,thickness_mm,tip_gap_mm,left_clearance_mm,right_clearance_mm,volume_mm3,valve,remark
1,blow,out,C4,15,2.2,0.2,0.35,,,,yes,
1,draw,out,D4,14.5,,0.2,,0.02,0.04,,none,\"says \"\"hm\"\", softly\"
2,blow,in,F4,14,,0.2,0.3,,,450,,
3,draw,out,A4,14,,0.2,0.3,,,,,
";

fn job(job: &str, sheet: &str) -> Job {
    Job::parse(("job.toml", job), ("sheet.csv", sheet)).unwrap_or_else(|error| panic!("{error}"))
}

fn refusal(job: &str, sheet: &str) -> String {
    Job::parse(("job.toml", job), ("sheet.csv", sheet)).expect_err("a refusal").to_string()
}

fn reed(job: &Job, k: usize) -> &JobReed {
    job.reeds[k].as_ref().unwrap_or_else(|error| panic!("{error}"))
}

#[test]
fn a_name_a_terminal_would_obey_is_refused() {
    let text = refusal("sheet = \"sheet.csv\"\n[instrument]\nname = \"\\u001b[31mred\"\n", SHEET);
    assert!(text.contains("job.toml:3: name = ") && text.contains("holds a control character"), "{text}");
    assert!(!text.contains('\u{1b}'), "{text}");
}

#[test]
fn rows_lie_over_chambers_over_plate_over_defaults() {
    let set = job(JOB, SHEET);
    let (first, second, third, fourth) = (reed(&set, 0), reed(&set, 1), reed(&set, 2), reed(&set, 3));
    assert_eq!((first.id.as_str(), first.hole, first.breath, first.slide), ("1-blow-out", 1, Breath::Blow, Slide::Out));
    assert_eq!((first.line, fourth.line, third.id.as_str()), (2, 5, "2-blow-in"));
    assert_eq!((first.valve.as_deref(), first.remark.as_deref()), (Some("yes"), None));
    assert_eq!(second.remark.as_deref(), Some("says \"hm\", softly"));
    // Row over defaults.
    assert_relative_eq!(first.checked.reed.beam.width_m.at(0.0), 2.2e-3);
    assert_relative_eq!(second.checked.reed.beam.width_m.at(0.0), 2.0e-3);
    assert_relative_eq!(second.checked.reed.rest.height_m(14.5e-3, 14.5e-3), 0.2e-3);
    assert_eq!(first.checked.metal.name, "C51000");
    // Plate over defaults; the row's two sides hide the plate's one.
    assert_relative_eq!(first.checked.reed.slot.plate_thickness_m, 0.9e-3);
    assert_relative_eq!(first.checked.reed.slot.left_clearance_m.at(0.0), 0.025e-3);
    assert_relative_eq!(second.checked.reed.slot.right_clearance_m.at(0.0), 0.04e-3);
    // The chamber of the hole, one of its sizes changed by a row; the layout's for hole 3, the highest.
    assert_relative_eq!(first.checked.reed.chamber.unwrap().volume_m3, 500e-9);
    assert_relative_eq!(third.checked.reed.chamber.unwrap().volume_m3, 450e-9, max_relative = 1e-12);
    assert_relative_eq!(third.checked.reed.chamber.unwrap().channel_length_m, 20e-3);
    assert_relative_eq!(fourth.checked.reed.chamber.unwrap().volume_m3, 300e-9, max_relative = 1e-12);
    assert!(set.notes.iter().any(|note| note.contains("no good row in the sheet: 4")), "{:?}", set.notes);
    assert!(set.notes.iter().any(|note| note.contains("no [[chamber]] is given for holes 3")), "{:?}", set.notes);
    // Lungs and mouth are the player's, for every reed.
    assert!(set.reeds.iter().flatten().all(|reed| reed.checked.reed.player.is_some()));
    // A value that came from the job says so.
    assert_eq!(second.checked.spec.typed("tip_gap_mm").unwrap().1.file(), "job.toml");
    let place = first.checked.spec.typed("tip_gap_mm").unwrap().1;
    assert_eq!((place.file(), place.line(), place.column()), ("sheet.csv", 2, 26));
}

#[test]
fn blow_reeds_pass_breath_and_draw_reeds_room_air() {
    let set = job(JOB, SHEET);
    let warm = AirState { temperature_c: 32.0, ..AirState::BREATH };
    assert_relative_eq!(reed(&set, 0).checked.reed.air.density_kg_m3, warm.air().density_kg_m3, max_relative = 1e-12);
    assert_eq!(reed(&set, 1).checked.reed.air, AirState::ROOM.air());
    assert!(
        reed(&set, 1)
            .checked
            .assumed
            .iter()
            .any(|assumed| assumed.key == "air.humidity_percent" && assumed.value == "50 %")
    );
    let bare = job("sheet = \"sheet.csv\"\n[defaults]\nwidth_mm = 2\ntip_gap_mm = 0.2\n", SHEET);
    assert_eq!(reed(&bare, 0).checked.reed.air, Air::default());
}

#[test]
fn targets_follow_the_tuning() {
    let set = job(JOB, SHEET);
    assert_eq!(set.instrument.name.as_deref(), Some("bench test"));
    assert_relative_eq!(reed(&set, 0).target_hz, 262.815, max_relative = 2e-6);
    let note = |name| Note::parse(name).unwrap();
    let tuning = &set.instrument.tuning;
    assert_relative_eq!(tuning.frequency_hz(note("E4")), 331.126 * (-4.0f64 / 1200.0).exp2(), max_relative = 2e-6);
    assert_relative_eq!(tuning.frequency_hz(note("E5")), 662.252 * (-7.5f64 / 1200.0).exp2(), max_relative = 2e-6);
    let just = job(&JOB.replace("\"equal\"", "\"just\""), SHEET);
    assert_eq!(just.instrument.tuning.temperament, Temperament::Just);
    assert!(
        refusal(&JOB.replace("\"equal\"", "\"just\"").replace("key = \"C\"", ""), SHEET).contains("built over a key")
    );
}

#[test]
fn what_the_job_leaves_out_is_listed() {
    let keys = |job: &Job| job.assumed.iter().map(|assumed| assumed.key.clone()).collect::<Vec<_>>();
    assert_eq!(
        keys(&job(JOB, SHEET)),
        ["instrument.wind", "player.normal_pa", "player.hard_pa", "player.attack_rise_ms"]
    );
    let bare = job("sheet = \"sheet.csv\"\n[defaults]\nwidth_mm = 2\ntip_gap_mm = 0.2\n", SHEET);
    let all = [
        "instrument.concert_pitch_hz",
        "instrument.temperament",
        "instrument.wind",
        "player.soft_pa",
        "player.normal_pa",
        "player.hard_pa",
        "player.time_allowed_ms",
        "player.attack_rise_ms",
    ];
    assert_eq!(keys(&bare), all);
}

#[test]
fn a_player_is_a_curve_over_pitch() {
    let player = job(JOB, SHEET).player;
    let note = |name| Note::parse(name).unwrap();
    assert_relative_eq!(player.soft_pa.at(note("F#5")), (120.0f64 * 400.0).sqrt(), max_relative = 1e-12);
    assert_eq!((player.soft_pa.at(note("C3")), player.soft_pa.at(note("C8"))), (120.0, 400.0));
    assert_relative_eq!(player.time_allowed_s.at(note("A5")), 0.05, max_relative = 1e-12);
    assert_relative_eq!(player.attack_rise_s, 0.01, max_relative = 1e-12);
    for (from, to, says) in [
        ("soft_pa = { C4 = 120, C7 = 400 }", "soft_pa = { H4 = 120 }", "H4: is no note"),
        ("soft_pa = { C4 = 120, C7 = 400 }", "soft_pa = {}", "has no note"),
        ("soft_pa = { C4 = 120, C7 = 400 }", "soft_pa = \"soft\"", "a number or a table of notes is needed"),
        ("soft_pa = { C4 = 120, C7 = 400 }", "soft_pa = { \"C#4\" = 120, Db4 = 130 }", "stands twice"),
        (
            "soft_pa = { C4 = 120, C7 = 400 }",
            "soft_pa = { C4 = 120, C7 = 4000 }",
            "no lower than normal_pa (637.432) at C7",
        ),
        ("soft_pa = { C4 = 120, C7 = 400 }", "soft_pa = -3", "is outside the range; allowed: 1 to 50000"),
        ("soft_pa = { C4 = 120, C7 = 400 }", "soft_bar = 3", "soft_bar: is not known; try: did you mean soft_pa?"),
        ("mouth_volume_cm3 = 80", "", "needs both lung_resistance_pa_s_m3 and mouth_volume_cm3"),
    ] {
        let error = refusal(&JOB.replace(from, to), SHEET);
        assert!(error.contains(says), "{to}: {error}");
    }
}

#[test]
fn tolerances_reach_the_finding() {
    let sheet = "hole,breath,slide,note,length_mm,thickness_mm,measured_pluck_hz\n1,blow,out,C4,15,0.2,525\n";
    let finding = |text: &str| {
        let text = text.replace("[defaults]", "[defaults]\ntip_mass_mg = 0");
        reed(&job(&text, sheet), 0).checked.thickness.unwrap()
    };
    let (tight, usual) = (finding(JOB), finding(&JOB.replace("thickness_mm = 0.003", "thickness_mm = 0.02")));
    assert!(tight.disagrees && !usual.disagrees);
    assert!(tight.tolerance_m < usual.tolerance_m);
    assert!(
        refusal(&JOB.replace("thickness_mm = 0.003", "thickness_um = 3"), SHEET).contains("give thickness_mm instead")
    );
    assert!(refusal(&JOB.replace("pluck_cents = 2", "pluck_cents = -2"), SHEET).contains("pluck_cents = -2"));
}

#[test]
fn a_wrong_job_is_refused_with_every_problem() {
    let wrong = JOB
        .replace("sheet = \"sheet.csv\"", "")
        .replace("concert_pitch_hz = 442", "concert_pitch_hz = 4420")
        .replace("key = \"C\"", "key = \"H\"")
        .replace("E = -4", "X = -4")
        .replace("plate_thickness_mm = 0.9", "plate_thickness_cm = 0.09")
        .replace("width_mm = 2", "width_mm = \"2\"")
        .replace("holes = \"1-2\"", "holes = \"2-1\"")
        .replace("channel_length_mm = 10\n", "")
        .replace("[air.blow]", "[air.suck]");
    let error = refusal(&wrong, SHEET);
    for says in [
        "sheet: is missing",
        "concert_pitch_hz = 4420: is outside the range",
        "key = \"H\": is no key",
        "X: is no note",
        "plate_thickness_cm: is in the wrong unit; try: give plate_thickness_mm instead",
        "width_mm = \"2\": is text in quotes",
        "holes = \"2-1\": is no list of holes",
        "channel_length_mm: is missing in this [[chamber]]",
        "suck: does not belong here; try: write it under [air.blow] or [air.draw]",
    ] {
        assert!(error.contains(says), "{says} not in\n{error}");
    }
    assert_eq!(error.lines().count(), 9, "{error}");
    assert!(refusal(&JOB.replace("holes = 4", "holes = \"2-4\""), SHEET).contains("hole 2 has two chambers"));
    assert!(refusal(&format!("{JOB}\n[plait]\n"), SHEET).contains("plait: is not known; try: did you mean plate?"));
}

#[test]
fn a_bad_row_leaves_the_others() {
    let sheet = SHEET.replace("2,blow,in,F4,14,", "2,blow,in,F4,thick,");
    let set = job(JOB, &sheet);
    assert_eq!(set.reeds.iter().filter(|reed| reed.is_ok()).count(), 3);
    let error = set.reeds[2].as_ref().unwrap_err();
    assert_eq!((error.line, error.id.as_deref()), (4, Some("2-blow-in")));
    assert!(
        error.to_string().starts_with("sheet.csv:4: length_mm = thick: is text; a number in mm is needed"),
        "{error}"
    );
    // What shows only when the row lies over the rest is the row's problem too.
    let set = job(&JOB.replace("width_mm = 2\n", ""), SHEET);
    assert!(set.reeds[0].is_ok());
    let error = set.reeds[1].as_ref().unwrap_err();
    assert!(error.to_string().starts_with("sheet.csv:3: width_mm: is missing"), "{error}");
}

#[test]
fn a_solo_layout_is_compared_with_the_sheet() {
    assert!(job(JOB, SHEET).notes.iter().all(|note| !note.contains("solo")));
    let odd = job(JOB, &SHEET.replace("3,draw,out,A4", "3,draw,out,B4"));
    assert!(
        odd.notes.contains(&"line 5: 3-draw-out is B4; a solo layout in C has A there".to_owned()),
        "{:?}",
        odd.notes
    );
    let other = job(&JOB.replace("\"solo\"", "\"own\""), &SHEET.replace("3,draw,out,A4", "3,draw,out,B4"));
    assert!(other.notes.iter().all(|note| !note.contains("solo")));
}

#[test]
fn a_job_is_loaded_from_its_folder() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("job.toml");
    std::fs::write(&path, JOB).unwrap();
    let error = Job::load(&path).unwrap_err().to_string();
    assert!(error.contains("sheet.csv: no such file (the sheet named in") && error.contains("job.toml:2)"), "{error}");
    std::fs::write(folder.path().join("sheet.csv"), format!("\u{feff}{SHEET}")).unwrap();
    let set = Job::load(&path).unwrap();
    assert_eq!(set.reeds.len(), 4);
    assert!(set.sheet_name.ends_with("sheet.csv"));
    assert!(Job::load(folder.path().join("none.toml")).unwrap_err().to_string().contains("none.toml: no such file"));
}

/// A draw reed taken out of its job keeps its air.
#[test]
fn a_reed_of_a_job_written_as_a_file_is_the_same_reed() {
    let job = freereed::sheet::Job::load("data/demo/job.toml").unwrap();
    for reed in job.reeds.iter().flatten() {
        let again = freereed::sheet::ReedFile::parse("reed.toml", &reed.checked.spec.to_toml()).unwrap();
        assert_eq!(again.reed, reed.checked.reed, "{}", reed.id);
    }
}
