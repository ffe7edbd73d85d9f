//! The thickness found from a plucked pitch.

use approx::assert_relative_eq;
use freereed::sheet::{CheckedReed, ReedFile};

const BASE: &str = "[reed]\nlength_mm = 15\nwidth_mm = 2\ntip_gap_mm = 0.25\n";

fn parsed(keys: &str) -> CheckedReed {
    ReedFile::parse("reed.toml", &format!("{BASE}{keys}")).unwrap_or_else(|error| panic!("{error}"))
}

fn refusal(keys: &str) -> String {
    ReedFile::parse("reed.toml", &format!("{BASE}{keys}")).expect_err(keys).to_string()
}

fn plucked_hz(checked: &CheckedReed) -> f64 {
    checked.reed.beam.modes(1)[0].frequency_hz
}

// f = 3.5160152685/(2 pi) sqrt(E/(12 rho)) h/L^2 for the uniform cantilever (closed form).
#[test]
fn a_uniform_reed_has_the_closed_form_s_thickness() {
    let found = parsed("measured_pluck_hz = 600\n");
    let h = 600.0 * std::f64::consts::TAU * 15e-3 * 15e-3 / (3.5160152685002 * (110e9f64 / (12.0 * 8530.0)).sqrt());
    assert_relative_eq!(found.reed.beam.thickness_m.at(5e-3), h, max_relative = 1e-7);
    assert_relative_eq!(plucked_hz(&found), 600.0, max_relative = 1e-9);
    let finding = found.thickness.unwrap();
    assert!(!finding.measured && !finding.disagrees && finding.scale == 1.0);
    assert_relative_eq!(finding.mean_found_m, h, max_relative = 1e-7);
    let assumed = found.assumed.iter().find(|assumed| assumed.key == "thickness_mm").unwrap();
    assert!(assumed.value.ends_with("mm, uniform") && assumed.why.contains("measured_pluck_hz"));
}

#[test]
fn a_measured_profile_is_scaled() {
    let keys = "thickness_stations_mm = [[0, 0.22], [8, 0.17], [15, 0.24]]\n";
    let as_measured = plucked_hz(&parsed(keys));
    let found = parsed(&format!("{keys}measured_pluck_hz = {}\n", 1.03 * as_measured));
    let finding = found.thickness.unwrap();
    assert_relative_eq!(finding.scale, 1.03, max_relative = 1e-9);
    assert_relative_eq!(found.reed.beam.thickness_m.at(8e-3), 1.03 * 0.17e-3, max_relative = 1e-9);
    assert!(finding.measured && found.assumed.iter().all(|assumed| assumed.key != "thickness_mm"));
}

#[test]
fn tip_mass_and_root_spring_are_seen_through() {
    for extra in
        ["tip_mass_mg = 20\n", "root_spring_n_m_per_rad = 0.8\n", "tip_mass_mg = 5\nroot_spring_n_m_per_rad = 2\n"]
    {
        let truth = parsed(&format!("{extra}thickness_mm = 0.21\n"));
        let pluck = plucked_hz(&truth);
        for thickness in ["", "thickness_mm = 0.17\n", "thickness_mm = 0.26\n"] {
            let found = parsed(&format!("{extra}{thickness}measured_pluck_hz = {pluck}\n"));
            assert_relative_eq!(plucked_hz(&found), pluck, max_relative = 1e-9);
            assert_relative_eq!(found.reed.beam.thickness_m.at(0.0), 0.21e-3, max_relative = 1e-8);
        }
    }
}

#[test]
fn a_root_like_a_hinge_is_refused() {
    // E I/L of this tongue is 0.00978 N m/rad.
    parsed("thickness_mm = 0.2\nroot_spring_n_m_per_rad = 0.001\n");
    let error = refusal("thickness_mm = 0.2\nroot_spring_n_m_per_rad = 0.0009\n");
    assert!(
        error.contains("root_spring_n_m_per_rad = 0.0009: is so soft that the tongue swings on a hinge"),
        "{error}"
    );
    assert!(error.contains("allowed: 0.000977778 N m/rad or more"), "{error}");
}

#[test]
fn a_pitch_no_thickness_gives_is_refused() {
    assert!(refusal("measured_pluck_hz = 9000\n").contains("asks for a thickness of"));
    assert!(refusal("measured_pluck_hz = 20\n").contains("asks for a thickness of"));
    let error = refusal("root_spring_n_m_per_rad = 0.001\nmeasured_pluck_hz = 600\n");
    assert!(error.contains("no allowed thickness gives this pitch with so soft a root"), "{error}");
    let error = refusal("tip_mass_mg = 2000\nmeasured_pluck_hz = 4000\n");
    assert!(error.contains("no allowed thickness gives this pitch"), "{error}");
    assert_eq!(error.lines().count(), 1);
}

// Tolerances for 0.2 mm by 15 mm: thickness 5 um, length 2 (0.05/15) 200 um = 1.33 um, pluck 0.12 um: together 5.18 um.
#[test]
fn disagreement_begins_at_the_tolerance() {
    let pluck = plucked_hz(&parsed("thickness_mm = 0.2\n"));
    let finding = |thickness_mm: f64| {
        let checked = parsed(&format!("thickness_mm = {thickness_mm}\nmeasured_pluck_hz = {pluck}\n"));
        (checked.thickness.unwrap(), checked.notes)
    };
    let (within, notes) = finding(0.2051);
    assert!(!within.disagrees && notes.is_empty());
    assert_relative_eq!(within.tolerance_m, (25f64 + 16.0 / 9.0 + 0.01334).sqrt() * 1e-6, max_relative = 1e-3);
    let (beyond, notes) = finding(0.1947);
    assert!(beyond.disagrees && notes.len() == 1 && notes[0].contains("disagree"), "{notes:?}");
}

#[test]
fn a_pluck_counts_as_taken_at_twenty_degrees() {
    let cold = parsed("measured_pluck_hz = 600\n");
    let warm = parsed("measured_pluck_hz = 600\ntemperature_c = 40\n");
    assert!(plucked_hz(&warm) < 599.0);
    assert_relative_eq!(warm.thickness.unwrap().mean_found_m, cold.thickness.unwrap().mean_found_m);
}

#[test]
fn a_changed_reed_keeps_the_scale_its_pluck_gave() {
    for thickness in ["", "thickness_mm = 0.19\n"] {
        let before = parsed(&format!("{thickness}measured_pluck_hz = 600\n"));
        let shorter = before.with("length_mm", 14.0).unwrap();
        assert_relative_eq!(plucked_hz(&shorter), 600.0 * (15.0f64 / 14.0).powi(2), max_relative = 1e-8);
        let twice = shorter.with("length_mm", 15.0).unwrap();
        assert_relative_eq!(plucked_hz(&twice), 600.0, max_relative = 1e-9);
        assert_eq!(twice.thickness, before.thickness);
        let measured_again = before.with("measured_pluck_hz", 610.0).unwrap();
        assert_relative_eq!(plucked_hz(&measured_again), 610.0, max_relative = 1e-9);
        // Said of the reed as it is, a length only changes the thickness that is found.
        let corrected = before.spec.with("length_mm", 14.0).checked().unwrap();
        assert_relative_eq!(plucked_hz(&corrected), 600.0, max_relative = 1e-9);
    }
    let thinner = parsed("thickness_mm = 0.2\nmeasured_pluck_hz = 600\n").with("thickness_mm", 0.18).unwrap();
    assert_relative_eq!(plucked_hz(&thinner), 600.0 * 0.9, max_relative = 1e-9);
    let set = parsed("measured_pluck_hz = 600\n").with("thickness_mm", 0.2).unwrap();
    assert_relative_eq!(plucked_hz(&set), 515.6435, max_relative = 1e-6);
    assert!(set.assumed.iter().all(|assumed| assumed.key != "thickness_mm"));
}
