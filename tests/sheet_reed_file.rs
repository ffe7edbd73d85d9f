//! A reed file: what is given is used, what is left out is assumed and listed, what is wrong is refused.

use approx::assert_relative_eq;
use freereed::physics::air::AirState;
use freereed::physics::{Air, Coefficients, RestShape};
use freereed::sheet::{CheckedReed, KEYS, ReedFile, ReedSpec, Value};

const SMALL: &str = "[reed]\nlength_mm = 15\nwidth_mm = 2\nthickness_mm = 0.2\ntip_gap_mm = 0.25\n";

/// Every key of a reed file that can stand together.
const FULL: &str = r#"
[reed]
length_mm = 12.5
width_stations_mm = [[0.0, 2.2], [12.5, 2.0]]
thickness_stations_mm = [[0.0, 0.16], [6.0, 0.12], [12.5, 0.2]]
tip_mass_mg = 1.5
root_spring_n_m_per_rad = 5.0
alloy = "C51000"
temper = "H08"
quality_factor = 80
tip_gap_mm = 0.3
root_gap_mm = 0.02
rest_exponent = 2.5
measured_sounding_hz = 520
measured_at_pa = 500
softest_blow_pa = 120
[slot]
left_clearance_mm = 0.02
right_clearance_stations_mm = [[0, 0.03], [12.5, 0.04]]
tip_clearance_mm = 0.05
plate_thickness_mm = 0.9
leak_mm2 = 0.1
[chamber]
volume_mm3 = 500.0
channel_length_mm = 20
channel_area_mm2 = 20.0
channel_perimeter_mm = 18
[air]
density_kg_m3 = 1.2
sound_speed_m_s = 343
viscosity_pa_s = 1.8e-5
inertance_factor = 1.2
contraction = 0.62
drag_coefficient = 4
[player]
lung_resistance_pa_s_m3 = 2e6
mouth_volume_cm3 = 80
"#;

fn parsed(text: &str) -> CheckedReed {
    ReedFile::parse("reed.toml", text).unwrap_or_else(|error| panic!("{error}"))
}

fn refusal(text: &str) -> String {
    ReedFile::parse("reed.toml", text).expect_err(text).to_string()
}

fn assumed(reed: &CheckedReed) -> Vec<&str> {
    reed.assumed.iter().map(|assumed| assumed.key.as_str()).collect()
}

#[test]
fn what_is_given_arrives_in_si() {
    let checked = parsed(FULL);
    let reed = &checked.reed;
    assert_relative_eq!(reed.beam.length_m, 12.5e-3);
    assert_relative_eq!(reed.beam.width_m.at(6.25e-3), 2.1e-3, max_relative = 1e-12);
    assert_relative_eq!(reed.beam.thickness_m.at(6e-3), 0.12e-3, max_relative = 1e-12);
    assert_relative_eq!(reed.beam.tip_mass_kg, 1.5e-6, max_relative = 1e-12);
    assert_eq!(reed.beam.root_spring_n_m_per_rad, Some(5.0));
    assert_eq!((reed.beam.density_kg_m3, reed.beam.youngs_modulus_pa), (8860.0, 110e9));
    assert_relative_eq!(reed.rest.height_m(12.5e-3, 12.5e-3), 0.3e-3, max_relative = 1e-12);
    assert_relative_eq!(reed.rest.height_m(0.0, 12.5e-3), 0.02e-3, max_relative = 1e-12);
    assert_relative_eq!(reed.slot.left_clearance_m.at(1e-3), 0.02e-3, max_relative = 1e-12);
    assert_relative_eq!(reed.slot.right_clearance_m.at(6.25e-3), 0.035e-3, max_relative = 1e-12);
    assert_relative_eq!(reed.slot.leak_area_m2, 0.1e-6, max_relative = 1e-12);
    let chamber = reed.chamber.unwrap();
    assert_relative_eq!(chamber.volume_m3, 500e-9, max_relative = 1e-12);
    assert_relative_eq!(chamber.channel_area_m2, 20e-6, max_relative = 1e-12);
    assert_relative_eq!(chamber.channel_perimeter_m.unwrap(), 18e-3, max_relative = 1e-12);
    assert_eq!(reed.coefficients, Coefficients { inertance_factor: 1.2, contraction: 0.62, drag: 4.0 });
    assert_eq!(reed.air, Air { density_kg_m3: 1.2, sound_speed_m_s: 343.0, viscosity_pa_s: 1.8e-5 });
    assert_relative_eq!(reed.player.unwrap().mouth_volume_m3, 80e-6, max_relative = 1e-12);
    assert_eq!((checked.measured.sounding_hz, checked.measured.softest_blow_pa), (Some(520.0), Some(120.0)));
    assert_eq!(checked.metal.yield_strength_pa, Some(690e6));
    assert_eq!(checked.metal.fatigue_strength_pa, Some((150e6, 1e8)));
    assert!(checked.assumed.is_empty() && checked.notes.is_empty(), "{:?} {:?}", checked.assumed, checked.notes);
}

#[test]
fn what_is_left_out_is_listed() {
    let checked = parsed(SMALL);
    let all = [
        "alloy",
        "tip_weight_share",
        "root_spring_n_m_per_rad",
        "root_gap_mm",
        "rest_exponent",
        "side_clearance_mm",
        "tip_clearance_mm",
        "plate_thickness_mm",
        "leak_mm2",
        "quality_factor",
        "chamber",
        "air.density_kg_m3",
        "air.sound_speed_m_s",
        "air.viscosity_pa_s",
        "air.inertance_factor",
        "air.contraction",
        "air.drag_coefficient",
    ];
    let mut found = assumed(&checked);
    found.sort_unstable();
    let mut expected = all.to_vec();
    expected.sort_unstable();
    assert_eq!(found, expected);
    let of = |key: &str| checked.assumed.iter().find(|assumed| assumed.key == key).unwrap().value.clone();
    assert_eq!(
        (of("quality_factor"), of("tip_clearance_mm"), of("alloy")),
        ("108.255".into(), "0.03 mm".into(), "C26000".into())
    );
    assert_eq!(checked.reed.air, Air::default());
    assert!(checked.reed.chamber.is_none() && checked.reed.player.is_none() && checked.temperature_c.is_none());
    assert_relative_eq!(checked.reed.beam.modes(1)[0].frequency_hz, 515.6435, max_relative = 1e-6);
}

#[test]
fn each_assumed_value_can_be_given_and_is_then_not_listed() {
    for assumption in
        parsed(SMALL).assumed.iter().filter(|assumed| !assumed.key.contains("air") && assumed.key != "chamber")
    {
        let spec = ReedSpec::parse("reed.toml", SMALL).unwrap();
        let typed = match assumption.value.as_str() {
            "built in" => "100",
            value => value.split(' ').next().unwrap(),
        };
        let checked = spec.with_text(&assumption.key, typed).checked().unwrap();
        assert!(!assumed(&checked).contains(&assumption.key.as_str()), "{}", assumption.key);
        assert_eq!(checked.assumed.len(), 16, "{}", assumption.key);
    }
}

#[test]
fn needed_keys_are_missed() {
    for key in ["length_mm", "width_mm", "thickness_mm", "tip_gap_mm"] {
        let lines: Vec<&str> = SMALL.lines().filter(|line| !line.starts_with(key)).collect();
        let text = refusal(&lines.join("\n"));
        assert!(text.starts_with(&format!("reed.toml:1: {key}: is missing; try: give {key}")), "{text}");
        assert_eq!(text.lines().count(), 1, "{text}");
    }
    assert!(refusal("[slot]\n").contains("length_mm: is missing"));
}

#[test]
fn every_key_refuses_what_lies_outside_its_range() {
    for key in KEYS.iter().filter(|key| key.least.is_finite()) {
        let spec = ReedSpec::parse("reed.toml", SMALL).unwrap();
        for value in [key.least - 0.01 * (key.most - key.least), key.most * 1.01, f64::NAN, f64::INFINITY] {
            let value = match key.kind {
                freereed::sheet::keys::Kind::Stations => Value::Stations(vec![(0.0, value), (15.0, value)]),
                _ => Value::Number(value),
            };
            let error = spec.with(&key.full_name(), value.clone()).checked().unwrap_err();
            let problem = error.problems.iter().find(|problem| problem.key == key.name).unwrap();
            let allowed = problem.allowed.as_ref().unwrap();
            assert!(allowed.contains(key.range_reason), "{} = {value}: {problem}", key.name);
        }
    }
}

#[test]
fn two_ways_of_saying_one_thing_are_refused() {
    for (first, second) in [
        ("[reed]\nwidth_stations_mm = [[0, 2], [15, 2]]", "width_stations_mm"),
        ("[reed]\nthickness_stations_mm = [[0, 0.2], [15, 0.2]]", "thickness_stations_mm"),
        ("[reed]\nquality_factor = 60\nring_down_s = 0.05", "ring_down_s"),
        ("[reed]\nroot_gap_mm = 0\nrest_stations_mm = [[0, 0], [15, 0.25]]", "rest_stations_mm"),
        ("[reed]\nrest_exponent = 2\nrest_stations_mm = [[0, 0], [15, 0.25]]", "rest_stations_mm"),
        ("[reed]\nrest_stations_mm = [[0, 0], [15, 0.26]]", "tip_gap_mm"),
        ("[slot]\nside_clearance_mm = 0.03\nleft_clearance_mm = 0.03\nright_clearance_mm = 0.03", "side_clearance_mm"),
        ("[slot]\nside_clearance_mm = 0.03\nside_clearance_stations_mm = [[0, 0.1], [15, 0.1]]", "side_clearance_mm"),
        (
            "[air]\ndensity_kg_m3 = 1.2\nsound_speed_m_s = 343\nviscosity_pa_s = 1.8e-5\ntemperature_c = 20",
            "temperature_c",
        ),
    ] {
        let text = match first.strip_prefix("[reed]") {
            Some(keys) => format!("{SMALL}{keys}"),
            None => format!("{SMALL}{first}"),
        };
        let error = refusal(&text);
        assert!(error.contains("which says the same another way") && error.contains(second), "{text}\n{error}");
    }
    let same = parsed(&format!("{SMALL}rest_stations_mm = [[0, 0], [6, 0.04], [15, 0.25]]\n"));
    assert!(matches!(same.reed.rest, RestShape::Stations(_)));
    assert!(!assumed(&same).contains(&"rest_exponent"));
}

#[test]
fn one_side_alone_is_refused() {
    for (side, other) in [("left", "right"), ("right", "left")] {
        let error = refusal(&format!("{SMALL}[slot]\n{side}_clearance_mm = 0.03\n"));
        assert!(error.contains(&format!("{other}_clearance_mm: is missing")), "{error}");
    }
    let checked = parsed(&format!("{SMALL}[slot]\nside_clearance_stations_mm = [[0, 0.02], [15, 0.04]]\n"));
    assert_eq!(checked.reed.slot.left_clearance_m, checked.reed.slot.right_clearance_m);
    assert_relative_eq!(checked.reed.slot.left_clearance_m.at(7.5e-3), 0.03e-3, max_relative = 1e-12);
}

#[test]
fn stations_must_cover_the_reed() {
    for (stations, says) in [
        ("[[0, 2], [14, 2]]", "not at the tip"),
        ("[[1, 2], [15, 2]]", "not at the clamp"),
        ("[[0, 2], [9, 2], [8, 2], [15, 2]]", "not in order"),
        ("[]", "has no station"),
        ("[[0, 2], [nan, 2], [15, 2]]", "not a finite number"),
        ("[[0, 2], [15, nan]]", "is not a finite number"),
        ("[[0, 2], [15]]", "stations [[place in mm, value in mm], ...] is needed"),
    ] {
        let text = SMALL.replace("width_mm = 2\n", &format!("width_stations_mm = {stations}\n"));
        let error = refusal(&text);
        assert!(error.contains(says) && error.starts_with("reed.toml:3: width_stations_mm"), "{stations}: {error}");
        assert_eq!(error.lines().count(), 1, "{error}");
    }
}

#[test]
fn a_part_of_a_chamber_or_player_is_refused() {
    for (table, given, missing) in [
        ("chamber", "volume_mm3 = 500", &["channel_length_mm", "channel_area_mm2"][..]),
        ("chamber", "", &["volume_mm3", "channel_length_mm", "channel_area_mm2"]),
        ("player", "mouth_volume_cm3 = 80", &["lung_resistance_pa_s_m3"]),
        ("air", "viscosity_pa_s = 1.8e-5", &["density_kg_m3", "sound_speed_m_s"]),
    ] {
        let error = refusal(&format!("{SMALL}[{table}]\n{given}\n"));
        for key in missing {
            assert!(error.contains(&format!("reed.toml:6: {key}: is missing")), "{error}");
        }
        assert_eq!(error.lines().count(), missing.len(), "{error}");
    }
}

#[test]
fn air_follows_its_state() {
    let checked = parsed(&format!("{SMALL}[air]\ntemperature_c = 20\nhumidity_percent = 50\n"));
    let state = AirState { temperature_c: 20.0, relative_humidity: 0.5, ..AirState::BREATH };
    assert_relative_eq!(checked.reed.air.density_kg_m3, state.air().density_kg_m3, max_relative = 1e-12);
    let air: Vec<&str> = assumed(&checked).into_iter().filter(|key| key.starts_with("air")).collect();
    let model = ["air.inertance_factor", "air.contraction", "air.drag_coefficient"];
    assert_eq!(air, [&["air.co2_percent", "air.pressure_kpa"][..], &model].concat());
    assert!(checked.notes.iter().any(|note| note.contains("Cramer")));
}

#[test]
fn temperature_changes_metal_and_sizes_but_no_gap() {
    let cold = parsed(SMALL);
    let same = parsed(&format!("{SMALL}temperature_c = 20\n"));
    assert_eq!((cold.reed, same.temperature_c), (same.reed.clone(), Some(20.0)));
    let warm = parsed(&format!("{SMALL}temperature_c = 35\n")).reed;
    // C26000: expansion 19.9e-6, modulus -4.5e-4 a kelvin.
    let longer = 1.0 + 19.9e-6 * 15.0;
    assert_relative_eq!(warm.beam.length_m, 15e-3 * longer, max_relative = 1e-14);
    assert_relative_eq!(warm.beam.thickness_m.at(0.0), 0.2e-3 * longer, max_relative = 1e-14);
    assert_relative_eq!(warm.beam.youngs_modulus_pa, 110e9 * (1.0 - 4.5e-4 * 15.0), max_relative = 1e-14);
    assert_relative_eq!(warm.beam.mass_kg(), same.reed.beam.mass_kg(), max_relative = 1e-12);
    assert_relative_eq!(warm.rest.height_m(warm.beam.length_m, warm.beam.length_m), 0.25e-3, max_relative = 1e-12);
    // Isotropic heating: dlnf/dT = (a_E + a)/2, for brass -0.372 cent a kelvin (closed form).
    let cents = 1200.0 * (warm.beam.modes(1)[0].frequency_hz / same.reed.beam.modes(1)[0].frequency_hz).log2();
    assert_relative_eq!(cents, -0.372 * 15.0, max_relative = 5e-3);
    let own = "temperature_c = 35\nalloy = \"mine\"\n[alloys.mine]\ndensity_kg_m3 = 8500\nyoungs_modulus_gpa = 100\n";
    assert!(refusal(&format!("{SMALL}{own}")).contains("how this metal follows temperature is not known"));
    parsed(&format!("{SMALL}{own}expansion_per_k = 2e-5\nmodulus_change_per_k = -4e-4\n"));
    let bare = "temperature_c = 35\ndensity_kg_m3 = 8500\nyoungs_modulus_gpa = 100\n";
    assert!(refusal(&format!("{SMALL}{bare}")).contains("temperature_c = 35"));
}

#[test]
fn metals_are_found_named_or_described() {
    let metal = |keys: &str| parsed(&format!("{SMALL}{keys}"));
    let steel = metal("alloy = \"301\"\n");
    assert_eq!((steel.metal.name.as_str(), steel.reed.beam.density_kg_m3), ("1.4310", 7880.0));
    let heavier = metal("alloy = \"CuZn37\"\ndensity_kg_m3 = 8500\n");
    assert_eq!((heavier.reed.beam.density_kg_m3, heavier.reed.beam.shear_modulus_pa), (8500.0, 41e9));
    let given = metal("density_kg_m3 = 8500\nyoungs_modulus_gpa = 100\n");
    assert_eq!((given.metal.name.as_str(), given.metal.alloy.is_none()), ("as given", true));
    assert!(assumed(&given).contains(&"shear_modulus_gpa") && !assumed(&given).contains(&"alloy"));
    assert!(assumed(&metal("density_kg_m3 = 8500\n")).contains(&"alloy"));
    let own = metal(
        "alloy = \"old bell\"\n[alloys.\"old bell\"]\ndensity_kg_m3 = 8600\nyoungs_modulus_gpa = 98\nyield_mpa = 300\nfatigue_mpa = 120\nfatigue_cycles = 1e7\ncaution = \"unknown\"\n",
    );
    assert_eq!((own.reed.beam.youngs_modulus_pa, own.metal.yield_strength_pa), (98e9, Some(300e6)));
    assert_eq!(own.metal.fatigue_strength_pa, Some((120e6, 1e7)));
    let hidden = metal("alloy = \"C26000\"\n[alloys.C26000]\ndensity_kg_m3 = 8600\nyoungs_modulus_gpa = 98\n");
    assert!(hidden.reed.beam.density_kg_m3 == 8600.0 && hidden.notes[0].contains("the file's own values are used"));
}

#[test]
fn unknown_metals_are_refused() {
    let error = refusal(&format!("{SMALL}alloy = \"unobtainium\"\n"));
    assert!(error.contains("reed.toml:6: alloy = \"unobtainium\": is no known alloy; allowed: C26000"), "{error}");
    let error = refusal(&format!("{SMALL}temper = \"very hard\"\n"));
    assert!(error.contains("is no known temper") && error.contains("H08"), "{error}");
    parsed(&format!("{SMALL}temper = \"very hard\"\nyield_mpa = 500\n"));
    let error = refusal(&format!("{SMALL}[alloys.x]\ndensity_kg_m3 = 8600\nyung = 3\n"));
    assert!(
        error.contains("youngs_modulus_gpa: is missing for this alloy") && error.contains("yung: is not known"),
        "{error}"
    );
}

#[test]
fn ring_down_gives_the_quality_factor() {
    let rings = parsed(&format!("{SMALL}ring_down_s = 0.05\n"));
    let frequency = rings.reed.beam.modes(1)[0].frequency_hz;
    assert_relative_eq!(rings.reed.quality_factor, std::f64::consts::PI * frequency * 0.05, max_relative = 1e-12);
    let plucked = parsed(&format!("{SMALL}ring_down_s = 0.05\nmeasured_pluck_hz = 500\n"));
    assert_relative_eq!(plucked.reed.quality_factor, std::f64::consts::PI * 500.0 * 0.05, max_relative = 1e-12);
    let error = refusal(&format!("{SMALL}ring_down_s = 5\n"));
    assert!(error.contains("gives a quality factor of") && error.contains("5 to 2000"), "{error}");
}

#[test]
fn a_measurement_without_its_partner_is_noted() {
    assert!(parsed(&format!("{SMALL}measured_sounding_hz = 510\n")).notes[0].contains("measured_at_pa is not given"));
    assert!(parsed(&format!("{SMALL}measured_at_pa = 510\n")).notes[0].contains("neither measured_sounding_hz nor"));
}

#[test]
fn a_spec_written_out_reads_back_the_same() {
    for text in [SMALL, FULL] {
        let spec = ReedSpec::parse("reed.toml", text).unwrap();
        let again = ReedSpec::parse("again.toml", &spec.to_toml()).unwrap();
        assert_eq!(again.checked().unwrap().reed, spec.checked().unwrap().reed);
        assert_eq!(again.to_toml(), spec.to_toml());
    }
}

#[test]
fn a_change_replaces_and_is_checked() {
    let spec = ReedSpec::parse("reed.toml", FULL).unwrap();
    let changed = spec.with("width_mm", 2.5).with("side_clearance_mm", 0.04).checked().unwrap();
    assert_relative_eq!(changed.reed.beam.width_m.at(1e-3), 2.5e-3, max_relative = 1e-12);
    assert_relative_eq!(changed.reed.slot.right_clearance_m.at(1e-3), 0.04e-3, max_relative = 1e-12);
    let error = spec.with("tip_gap_mm", 40.0).with("lenght_mm", 3.0).with("length_mm", "long").checked().unwrap_err();
    let text = error.to_string();
    assert!(text.contains("change:1: tip_gap_mm = 40: is too large"), "{text}");
    assert!(text.contains("lenght_mm = 3: is not known; try: did you mean length_mm?"), "{text}");
    assert!(text.contains("length_mm = \"long\": is text"), "{text}");
    let same = spec.with_text("reed.tip_gap_mm", "0.3").with_text("alloy", "CuSn5").checked().unwrap();
    assert_eq!(same.reed, spec.checked().unwrap().reed);
    let (value, place) = spec.typed("tip_gap_mm").unwrap();
    assert_eq!((value, place.file(), place.line(), place.column()), (&Value::Number(0.3), "reed.toml", 11, 14));
}

#[test]
fn own_alloys_are_written_with_the_reed() {
    let text = "[reed]\nlength_mm = 12\nwidth_mm = 2\nthickness_mm = 0.15\ntip_gap_mm = 0.2\nalloy = \"bell metal\"\n\
                [alloys.\"bell metal\"]\ndensity_kg_m3 = 8700\nyoungs_modulus_gpa = 100.5\nyield_mpa = 300\n\
                fatigue_mpa = 120\nfatigue_cycles = 1e8\nexpansion_per_k = 1.8e-5\ncaution = \"say \\\"no\\\" to dust\"\n";
    let spec = ReedSpec::parse("reed.toml", text).unwrap();
    let again = ReedSpec::parse("again.toml", &spec.to_toml()).unwrap().checked().unwrap();
    assert_eq!(again.metal, spec.checked().unwrap().metal);
    assert_eq!(again.metal.alloy.unwrap().caution.unwrap(), "say \"no\" to dust");
}

#[test]
fn a_perimeter_shorter_than_a_circle_s_is_refused() {
    let chamber = "[chamber]\nvolume_mm3 = 400\nchannel_length_mm = 15\nchannel_area_mm2 = 20\nchannel_perimeter_mm = ";
    // A circle around 20 mm2 is 15.853 mm long.
    parsed(&format!("{SMALL}{chamber}15.9\n"));
    let error = refusal(&format!("{SMALL}{chamber}15\n"));
    assert!(error.contains("channel_perimeter_mm = 15: is shorter") && error.contains("15.8533 mm or more"), "{error}");
}
