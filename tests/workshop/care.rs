//! Care: every plan is whole, says what its test tells, and takes its numbers from the reed.

use freereed::sheet::{CheckedReed, ReedFile};
use freereed::workshop::care::Care;
use freereed::workshop::retune::{RetuneOptions, Target, retune};

fn reed(length_mm: f64, thickness_mm: f64) -> CheckedReed {
    let text = format!(
        "[reed]\nlength_mm = {length_mm}\nwidth_mm = 2\nthickness_mm = {thickness_mm}\ntip_gap_mm = 0.25\nalloy = \"C26000\"\n"
    );
    ReedFile::parse("reed.toml", &text).unwrap()
}

#[test]
fn every_plan_is_whole() {
    for care in Care::ALL {
        let plan = care.plan(&reed(15.0, 0.2));
        assert_eq!(plan.care, care);
        assert!(plan.minutes > 0.0 && plan.minutes <= 10.0);
        assert!(plan.steps.steps.len() >= 3 && !plan.steps.stop.is_empty() && !plan.success.is_empty());
        assert!(plan.tells.len() >= 3 && !plan.cautions.is_empty());
        // What follows from it is never the same again.
        assert!(plan.tells.iter().all(|tell| tell.next != Some(care) && !tell.means.is_empty()), "{}", care.name());
        let words: Vec<&String> = plan.steps.steps.iter().chain([&plan.success, &plan.steps.stop]).collect();
        assert!(words.iter().all(|words| !words.contains("--") && !words.contains("NaN") && !words.contains("  ")));
        assert_eq!(serde_json::to_value(care).unwrap(), care.name());
        assert!(!care.title().is_empty());
    }
}

/// The same crumb lowers a short thin reed much more: by the ratio of the tongues' masses, both uniform.
#[test]
fn dirt_weighs_more_on_a_light_tongue() {
    let lowered = |checked: &CheckedReed| {
        let success = Care::Clean.plan(checked).success;
        let (_, after) = success.split_once("lowers this reed by ").unwrap();
        after.split(' ').next().unwrap().parse::<f64>().unwrap()
    };
    let (long, short) = (lowered(&reed(20.0, 0.3)), lowered(&reed(8.0, 0.1)));
    let masses = 20.0 * 0.3 / (8.0 * 0.1);
    // Cents are printed to a tenth.
    assert!((short - masses * long).abs() < 0.05 * (1.0 + masses), "{short} and {long}");
    assert!(short > 5.0, "{short}");
}

/// A retune waits once a pass until the tongue is cool.
#[test]
fn a_retunes_minutes_include_its_waiting() {
    let text = "[reed]\nlength_mm = 15\nwidth_mm = 2\nthickness_mm = 0.2\nmeasured_pluck_hz = 438\ntip_gap_mm = 0.25\n";
    let reed = ReedFile::parse("reed.toml", text).unwrap();
    let plan = |cents: f64| retune(&reed, &RetuneOptions::to(Target::Cents(cents), 500.0)).unwrap();
    let (little, much) = (plan(2.0), plan(40.0));
    assert!(much.passes.len() > little.passes.len());
    assert!((much.waiting_s() - much.settling.wait_s * much.passes.len() as f64).abs() < 1e-9);
    assert!(much.minutes(6.0) > little.minutes(6.0) && little.minutes(6.0) > 6.0);
}
