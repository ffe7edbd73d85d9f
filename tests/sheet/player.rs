//! The player and the tuning as typed: units, starting players, the fastest notes, a stretch.

use approx::assert_relative_eq;
use freereed::instrument::assess;
use freereed::sheet::{Job, Note, PlayerProfile, STARTS};

const SHEET: &str =
    "hole,breath,slide,note,length_mm,width_mm,measured_pluck_hz,ring_down_s,tip_gap_mm,side_clearance_mm
5,blow,out,C5,14.3,2.11,525,0.058,0.27,0.027
7,blow,out,G5,11.6,2.05,787.2,0.0382,0.22,0.025
8,blow,out,C6,10.3,2,1051.8,0.0292,0.19,0.024
5,draw,in,D#5,13.3,2.1,624,0.047,0.65,0.028
3,blow,out,G4,15.4,2.2,393.5,0.071,0.12,0.028
";

fn job(player: &str) -> Result<Job, String> {
    let chamber = "[[chamber]]\nholes = \"1-8\"\nvolume_mm3 = 400\nchannel_length_mm = 15\nchannel_area_mm2 = 20\n";
    let text = format!("sheet = \"sheet.csv\"\n[defaults]\nalloy = \"C51000\"\n{chamber}{player}\n");
    Job::parse(("job.toml", &text), ("sheet.csv", SHEET)).map_err(|error| error.to_string())
}

fn player(player: &str) -> PlayerProfile {
    job(&format!("[player]\n{player}")).unwrap_or_else(|error| panic!("{error}")).player
}

fn refusal(player: &str) -> String {
    job(&format!("[player]\n{player}")).expect_err(player)
}

fn assumed(player: &str) -> Vec<(String, String, String)> {
    let job = job(player).unwrap();
    let players = job.assumed.into_iter().filter(|assumed| assumed.key.starts_with("player."));
    players.map(|assumed| (assumed.key, assumed.value, assumed.why)).collect()
}

fn note(name: &str) -> Note {
    Note::parse(name).unwrap()
}

// Conventional water: 1 mmH2O = 9.80665 Pa, 1 cmH2O = 98.0665 Pa, exact (NIST SP 811, appendix B.8; from memory).
#[test]
fn a_pressure_may_be_typed_in_four_units() {
    for (typed, pa) in [
        ("soft_pa = { C4 = 98.0665 }", 98.0665),
        ("soft_kpa = { C4 = 0.1 }", 100.0),
        ("soft_mmh2o = { C4 = 10 }", 98.0665),
        ("soft_cmh2o = 1", 98.0665),
        ("soft_cmh2o = { C4 = 1.02, C7 = 2.04 }", 100.02783),
    ] {
        assert_relative_eq!(player(typed).soft_pa.at(note("C4")), pa, max_relative = 1e-12);
    }
    let mixed = player("soft_cmh2o = 1\nnormal_kpa = 0.5\nhard_mmh2o = { C4 = 100, C7 = 200 }");
    assert_relative_eq!(mixed.hard_pa.at(note("C7")), 1961.33, max_relative = 1e-12);
    assert_relative_eq!(mixed.normal_pa.at(note("A5")), 500.0, max_relative = 1e-12);
    // A curve that was typed in any unit is not assumed.
    assert!(assumed("[player]\nsoft_cmh2o = 1").iter().all(|(key, ..)| key != "player.soft_pa"));
}

#[test]
fn two_units_for_one_curve_are_refused_with_both_names() {
    let error = refusal("soft_pa = 100\nsoft_cmh2o = 1");
    assert!(
        error.contains("soft_cmh2o = 1: is given, and so is soft_pa, which says the same in another unit"),
        "{error}"
    );
    assert_eq!(error.lines().count(), 1, "{error}");
    for (typed, says) in [
        (
            "soft_mmh2o = 6000",
            "soft_mmh2o = 6000: is outside the range; allowed: 0.1 to 5000 (mmH2O, from nothing felt",
        ),
        ("soft_kpa = 120", "allowed: 0.001 to 50 (kPa"),
        ("soft_cmh20 = 3", "did you mean soft_cmh2o?"),
        ("hard_kpa = \"much\"", "try: write hard_kpa = { C4 = 0.2, C7 = 2 }"),
        // Normal is assumed, and typed soft lies above it: it must be typed too.
        ("soft_cmh2o = 8", "makes soft_pa (784.532) no lower than normal_pa (490.33"),
    ] {
        assert!(refusal(typed).contains(says), "{typed}: {}", refusal(typed));
    }
}

#[test]
fn the_fastest_notes_set_the_time_allowed_unless_it_is_typed() {
    let quick = player("fastest_notes_per_s = 10");
    assert_eq!(quick.fastest_notes_per_s, Some(10.0));
    for name in ["C4", "A5", "C7"] {
        assert_relative_eq!(quick.time_allowed_s.at(note(name)), 0.05, max_relative = 1e-12);
    }
    let listed = assumed("[player]\nfastest_notes_per_s = 10");
    let time = listed.iter().find(|(key, ..)| key == "player.time_allowed_ms").unwrap();
    assert_eq!((time.1.as_str(), time.2.contains("half of the shortest note")), ("50 ms at every note", true));
    let typed = player("fastest_notes_per_s = 10\ntime_allowed_ms = { C4 = 80, C7 = 30 }");
    assert_relative_eq!(typed.time_allowed_s.at(note("C7")), 0.03, max_relative = 1e-12);
    assert!(refusal("fastest_notes_per_s = 0").contains("allowed: 0.2 to 50 (notes per second"));
}

#[test]
fn every_number_of_a_starting_player_is_assumed_until_it_is_typed() {
    for start in STARTS {
        let text = format!("[player]\nstart = \"{}\"\n", start.name);
        let listed = assumed(&text);
        let keys: Vec<&str> = listed.iter().map(|(key, ..)| key.as_str()).collect();
        let all = ["soft_pa", "normal_pa", "hard_pa", "time_allowed_ms", "attack_rise_ms"];
        assert_eq!(keys, all.map(|key| format!("player.{key}")), "{}", start.name);
        assert!(listed.iter().all(|(_, _, why)| why.contains(start.name) && why.contains("made up")), "{listed:?}");
        let profile = job(&text).unwrap().player;
        let low = [&profile.soft_pa, &profile.normal_pa, &profile.hard_pa].map(|curve| curve.at(note("C4")));
        assert_eq!(low, start.pressures_pa().map(|(low, _)| low));
        let typed = assumed(&format!("{text}hard_kpa = 9\nattack_rise_ms = 8\n"));
        assert!(typed.len() == 3 && typed.iter().all(|(key, ..)| !key.contains("hard") && !key.contains("rise")));
    }
    // Without a player it is the even one.
    assert_eq!(job("").unwrap().player, player("start = \"Even\""));
    let error = refusal("start = \"wild\"");
    assert!(error.contains("start = \"wild\": is no player to start from; allowed: gentle ("), "{error}");
}

/// The same plates under two hands.
#[test]
fn a_soft_and_a_hard_player_get_different_answers_from_the_same_plates() {
    let answers = |start: &str| {
        let assessment = assess(&job(&format!("[player]\nstart = \"{start}\"")).unwrap(), || {});
        let reeds = assessment.good_rows().map(|reed| {
            let kinds: Vec<&str> = reed.findings.iter().map(|finding| finding.kind()).collect();
            (kinds, reed.attacks[0].t50_s, reed.attacks[2].blow.pressure_pa)
        });
        reeds.collect::<Vec<_>>()
    };
    let (gentle, strong) = (answers("gentle"), answers("strong"));
    assert_eq!((gentle.len(), strong.len()), (5, 5));
    assert!(gentle.iter().zip(&strong).all(|(soft, hard)| soft.2 < hard.2));
    // The gentle breath starts a reed later.
    let time = |reed: &(Vec<&str>, Option<f64>, f64)| reed.1.unwrap_or(f64::INFINITY);
    assert!(time(&gentle[0]) > time(&strong[0]), "{gentle:?} {strong:?}");
    // A gap far too close: more of what the strong player does fails.
    assert!(strong[4].0.contains(&"fails at a hard attack") && gentle[4].0 != strong[4].0, "{gentle:?} {strong:?}");
}

#[test]
fn the_tuning_wanted_may_be_stretched() {
    let tuned = |text: &str| job(&format!("[instrument]\n{text}"));
    let job = tuned("stretch_cents_per_octave = 2\noffsets_cents = { A4 = -2.0 }\n").unwrap();
    let tuning = &job.instrument.tuning;
    let cents = |name: &str, equal_hz: f64| 1200.0 * (tuning.frequency_hz(note(name)) / equal_hz).log2();
    // Equal temperament at 440 Hz: A5 880 Hz, A3 220 Hz.
    assert_relative_eq!(cents("A5", 880.0), 2.0, epsilon = 1e-9);
    assert_relative_eq!(cents("A3", 220.0), -2.0, epsilon = 1e-9);
    assert_relative_eq!(cents("A4", 440.0), -2.0, epsilon = 1e-9);
    assert!(job.assumed.iter().any(|assumed| assumed.key == "instrument.stretch_centre" && assumed.value == "A4"));
    let from_c = tuned("stretch_cents_per_octave = 2\nstretch_centre = \"C4\"\n").unwrap();
    assert_relative_eq!(from_c.instrument.tuning.frequency_hz(note("C4")), 261.6255653, max_relative = 1e-9);
    assert!(tuned("stretch_centre = \"H4\"\n").unwrap_err().contains("stretch_centre = \"H4\": is no note"));
    assert!(tuned("stretch_cents_per_octave = 50\n").unwrap_err().contains("allowed: -20 to 20"));
}
