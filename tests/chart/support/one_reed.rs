//! Quite different reeds, all invented, and the charts of one reed for each.

use freereed::chart::{
    AttackChart, BenchView, Ending, FilingChart, FilingPatch, Harmonic, ModeChart, SideClearance, SpectrumChart,
    SwingMode, Tone, TongueStation,
};
use freereed::physics::ReedModel;
use freereed::physics::attack::{Attack, Blow, Stop};
use freereed::physics::onset::Search;
use freereed::physics::sound::Cycle;
use freereed::print::charts::{attack_chart, bench_view, filing_chart, mode_chart, spectrum_chart};
use freereed::sheet::{CheckedReed, ReedFile, Tuning};

use super::SMALL_PRINT;

/// Name and file of every reed.
pub const REEDS: [(&str, &str); 6] = [
    ("demo", include_str!("../../../data/demo/reed.toml")),
    (
        "harmonium",
        "[reed]\nlength_mm = 40\nwidth_mm = 4\nthickness_mm = 0.35\ntip_gap_mm = 1.2\nquality_factor = 100\n\
         [slot]\nside_clearance_mm = 0.05\ntip_clearance_mm = 0.08\nplate_thickness_mm = 2.5\n",
    ),
    (
        "tiny",
        "[reed]\nlength_mm = 6.2\nwidth_mm = 1.6\nthickness_mm = 0.11\ntip_gap_mm = 0.09\n\
         [slot]\nside_clearance_mm = 0.018\ntip_clearance_mm = 0.02\nplate_thickness_mm = 0.9\n\
         [chamber]\nvolume_mm3 = 300\nchannel_length_mm = 10\nchannel_area_mm2 = 20\n",
    ),
    (
        "weighted",
        "[reed]\nlength_mm = 19\nwidth_stations_mm = [[0, 2.6], [19, 2.0]]\n\
         thickness_stations_mm = [[0, 0.22], [7, 0.12], [13, 0.12], [13, 0.16], [19, 0.15]]\n\
         tip_mass_mg = 6\nroot_spring_n_m_per_rad = 0.8\n\
         rest_stations_mm = [[0, 0.02], [9, 0.06], [19, 0.42]]\n\
         [slot]\nleft_clearance_stations_mm = [[0, 0.03], [19, 0.055]]\nright_clearance_mm = 0.02\n\
         plate_thickness_mm = 1.05\n\
         [chamber]\nvolume_mm3 = 600\nchannel_length_mm = 20\nchannel_area_mm2 = 20\n",
    ),
    (
        "sunk",
        "[reed]\nlength_mm = 12\nwidth_mm = 2\nthickness_mm = 0.14\ntip_gap_mm = -0.06\n\
         [slot]\nplate_thickness_mm = 1\n[chamber]\nvolume_mm3 = 400\nchannel_length_mm = 15\nchannel_area_mm2 = 20\n",
    ),
    (
        "organ",
        "[reed]\nlength_mm = 78\nwidth_mm = 9\nthickness_stations_mm = [[0, 0.9], [78, 0.6]]\ntip_gap_mm = 2.2\n\
         root_gap_mm = 0.2\n[slot]\nside_clearance_mm = 0.2\ntip_clearance_mm = 0.1\nplate_thickness_mm = 9\n",
    ),
];

/// A name as long as a careful person makes it.
pub const LONG_NAME: &str = "Invented set in C, rebuilt for the third time in spring, hole 5, draw reed with the slide in, \
    upper plate, second from the left, before the tip was thinned and the gap set again to the old value";

/// A reed with its model.
pub fn solved(text: &str) -> (CheckedReed, ReedModel) {
    let checked = ReedFile::parse("reed.toml", text).unwrap();
    let model = ReedModel::new(checked.reed.clone()).unwrap();
    (checked, model)
}

/// A blow to so many times onset, or to 300 Pa where the reed does not speak by itself.
pub fn blown(model: &ReedModel, times_onset: f64, stop: Stop) -> Attack {
    let onset = model.speaking(&Search::default()).onset;
    model.attack(&Blow::to(onset.map_or(300.0, |growth| times_onset * growth.pressure_pa)), stop)
}

/// Name and document of every chart of one reed.
pub fn charts_of(name: &str, text: &str) -> Vec<(&'static str, String)> {
    let tuning = Tuning { concert_pitch_hz: 442.0, ..Tuning::default() };
    let (checked, model) = solved(text);
    let attack = blown(&model, 1.6, Stop::WhenSteady);
    let soft = blown(&model, 0.6, Stop::After(0.08));
    let short = blown(&model, 1.6, Stop::After(12.0 / model.modes()[0].frequency_hz));
    let cycle = attack.steady.map(|steady| Cycle::last_of(&model, &attack.trace, 1.0 / steady.frequency_hz));
    let blow_pa = attack.blow.pressure_pa;
    vec![
        ("bench", bench_view(name, &checked, &model, &tuning).picture().to_svg()),
        ("modes", mode_chart(name, &checked, &model, 3, &tuning).picture().to_svg()),
        ("filing", filing_chart(name, &checked, &model, &tuning).picture().to_svg()),
        ("attack", attack_chart(name, &checked, &model, &attack, &tuning).picture().to_svg()),
        ("soft", attack_chart(name, &checked, &model, &soft, &tuning).picture().to_svg()),
        ("short", attack_chart(name, &checked, &model, &short, &tuning).picture().to_svg()),
        ("spectrum", spectrum_chart(name, &checked, blow_pa, cycle.as_ref(), &tuning).picture().to_svg()),
    ]
}

fn tone(frequency_hz: f64) -> Tone {
    Tone { frequency_hz, nearest: Some(("F#4".into(), -12.34)) }
}

/// A wave of so many swings of `swing_s`, with `middle` and `half`.
pub fn wave(swings: usize, swing_s: f64, middle: f64, half: f64) -> Vec<(f64, f64)> {
    let point = |k: usize| {
        let swing = k as f64 / 8.0;
        (swing * swing_s, middle + half * (std::f64::consts::TAU * swing).sin())
    };
    (0..=8 * swings).map(point).collect()
}

/// One of each chart, of invented values.
pub fn invented_bench() -> BenchView {
    let station = |(place_m, underside_m)| TongueStation { place_m, underside_m, thickness_m: 0.2e-3 };
    let side = |at_tip_m| SideClearance { at_tip_m, range_m: (at_tip_m, 0.04e-3) };
    BenchView {
        reed_name: "An invented reed".into(),
        tone: tone(370.0),
        tongue: [(0.0, 0.0), (8e-3, 0.1e-3), (16e-3, 0.3e-3)].map(station).to_vec(),
        tip_width_m: 2e-3,
        tip_mass_kg: 2e-6,
        left: side(0.03e-3),
        right: side(0.04e-3),
        tip_clearance_m: 0.05e-3,
        plate_m: 1e-3,
        small_print: SMALL_PRINT.into(),
    }
}

pub fn invented_modes() -> ModeChart {
    let mode = |frequency_hz: f64, shape: Vec<(f64, f64)>, nodes_m: Vec<f64>| SwingMode {
        tone: tone(frequency_hz),
        shape,
        nodes_m,
    };
    ModeChart {
        reed_name: "An invented reed".into(),
        length_m: 16e-3,
        thickness_m: vec![(0.0, 0.2e-3), (16e-3, 0.1e-3)],
        modes: vec![
            mode(370.0, vec![(0.0, 0.0), (8e-3, 0.34), (16e-3, 1.0)], vec![]),
            mode(2320.0, vec![(0.0, 0.0), (7e-3, -0.7), (12e-3, 0.0), (16e-3, 1.0)], vec![12e-3]),
        ],
        small_print: SMALL_PRINT.into(),
    }
}

pub fn invented_filing() -> FilingChart {
    FilingChart {
        reed_name: "An invented reed".into(),
        tone: tone(370.0),
        length_m: 16e-3,
        thickness_m: vec![(0.0, 0.2e-3), (16e-3, 0.1e-3)],
        sensitivity: vec![(0.0, -3.0), (4e-3, -1.0), (12e-3, 1.0), (16e-3, 1.5)],
        neutral_m: vec![8e-3],
        patch: Some(FilingPatch { from_m: 13e-3, to_m: 16e-3, depth_m: 5e-6, cents: 16.0 }),
        small_print: SMALL_PRINT.into(),
    }
}

pub fn invented_attack() -> AttackChart {
    AttackChart {
        reed_name: "An invented reed".into(),
        pressure_pa: 500.0,
        ending: Ending::Settled,
        speaks: true,
        run_s: 0.4,
        t50_s: Some(0.02),
        t90_s: Some(0.03),
        final_speed_m_s: Some(0.5),
        sounding: Some(tone(368.0)),
        rest_m: 0.3e-3,
        swing_s: 2.7e-3,
        mouth: vec![(0.0, 0.0), (0.01, 500.0), (0.06, 500.0)],
        tip: wave(20, 3e-3, 0.3e-3, 0.2e-3),
        envelope: vec![(0.0, 0.0), (0.02, 0.25), (0.03, 0.45), (0.06, 0.5)],
        last_swings: wave(3, 3e-3, 0.3e-3, 0.2e-3),
        small_print: SMALL_PRINT.into(),
    }
}

pub fn invented_spectrum() -> SpectrumChart {
    let harmonic = |k: u32| Harmonic { tone: tone(370.0 * f64::from(k)), level_db: 60.0 - 9.0 * f64::from(k) };
    SpectrumChart {
        reed_name: "An invented reed".into(),
        pressure_pa: 500.0,
        distance_m: 1.0,
        harmonics: (1..=6).map(harmonic).collect(),
        level_db: 52.0,
        level_dba: 47.5,
        small_print: SMALL_PRINT.into(),
    }
}
