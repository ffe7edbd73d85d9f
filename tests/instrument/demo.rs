//! The demo set is invented, and solved backwards from the model: sizes run smoothly over the set, the lowest reed carries a
//! fifth of its mass as weight at the tip, an octave and a half above it none, the thickness is what the pitch asks for, the
//! force that closes the gap is what a pocket scale would show, and a handful of reeds carry a fault on purpose.
//! `FREEREED_WRITE_DEMO=1 cargo test --test instrument demo` writes the sheet anew.

use freereed::physics::{Beam, Profile};
use freereed::sheet::{Note, Tuning};

const SHEET: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/data/demo/sheet.csv");
const HEAD: &str = "hole,breath,slide,note,length_mm,width_mm,thickness_mm,measured_pluck_hz,closing_force_g,ring_down_s,\
                    tip_gap_mm,side_clearance_mm,left_clearance_mm,right_clearance_mm,leak_mm2,valve,remark";

struct Row {
    hole: u32,
    breath: &'static str,
    slide: &'static str,
    note: Note,
    length_mm: f64,
    width_mm: f64,
    thickness_mm: f64,
    pluck_hz: f64,
    ring_down_s: f64,
    tip_gap_mm: f64,
    clearance_mm: (f64, f64),
    leak_mm2: f64,
    remark: &'static str,
}

/// The reeds as the plates lie: blow and draw, slide out and in, hole by hole.
fn rows() -> Vec<Row> {
    let blow = [0, 4, 7, 12];
    let draw = [2, 5, 9, 11];
    let mut rows = Vec::new();
    for hole in 1..=12_u32 {
        let (octave, place) = ((hole - 1) / 4, ((hole - 1) % 4) as usize);
        for (breath, steps) in [("blow", blow), ("draw", draw)] {
            for (slide, raised) in [("out", 0), ("in", 1)] {
                // Common practice: the highest draw reed with the slide in sounds D, not a second C.
                let raised = if (hole, breath, slide) == (12, "draw", "in") { 3 } else { raised };
                let midi = 60 + 12 * octave as i32 + steps[place] + raised;
                rows.push(healthy(hole, breath, slide, Note::from_midi(midi).unwrap()));
            }
        }
    }
    rows
}

fn healthy(hole: u32, breath: &'static str, slide: &'static str, note: Note) -> Row {
    let x = f64::from(note.midi() - 60) / 38.0;
    let run = |low: f64, high: f64| low + (high - low) * x;
    let tuning = Tuning { concert_pitch_hz: 442.0, ..Tuning::default() };
    let cents = 2.0 * scatter(hole, breath, slide, 1);
    let pluck_hz = round(tuning.frequency_hz(note) * (cents / 1200.0).exp2(), 1);
    let (length_mm, width_mm) = (round(run(17.5, 6.8), 1), round(run(2.3, 1.8), 2));
    let clearance_mm = round(run(0.030, 0.020) + 0.001 * scatter(hole, breath, slide, 2), 3);
    let quality = run(85.0, 105.0) + 5.0 * scatter(hole, breath, slide, 3);
    Row {
        hole,
        breath,
        slide,
        note,
        length_mm,
        width_mm,
        thickness_mm: round(
            thickness_mm(note, length_mm, width_mm, pluck_hz) + 0.001 * scatter(hole, breath, slide, 4),
            3,
        ),
        pluck_hz,
        ring_down_s: round(quality / (std::f64::consts::PI * pluck_hz), 4),
        tip_gap_mm: round(0.40 * (0.10_f64 / 0.40).powf(x) + 0.003 * scatter(hole, breath, slide, 5), 2),
        clearance_mm: (clearance_mm, clearance_mm),
        leak_mm2: 0.0,
        remark: "",
    }
}

/// A number between -1 and 1 that looks random and is always the same.
fn scatter(hole: u32, breath: &str, slide: &str, what: u32) -> f64 {
    let seed = hole * 97 + u32::from(breath == "draw") * 31 + u32::from(slide == "in") * 17 + what * 1009;
    (f64::from(seed) * 12.9898).sin() * 43758.5453 % 1.0
}

fn round(value: f64, decimals: i32) -> f64 {
    let unit = 10.0_f64.powi(decimals);
    (value * unit).round() / unit
}

/// A uniform phosphor bronze tongue of the set, with the weight at its tip that low reeds carry.
fn tongue(note: Note, length_mm: f64, width_mm: f64, thickness_mm: f64) -> Beam {
    let mut beam = Beam {
        length_m: 1e-3 * length_mm,
        width_m: Profile::constant(1e-3 * width_mm),
        thickness_m: Profile::constant(1e-3 * thickness_mm),
        density_kg_m3: 8860.0,
        youngs_modulus_pa: 110e9,
        shear_modulus_pa: 42e9,
        tip_mass_kg: 0.0,
        root_spring_n_m_per_rad: None,
    };
    beam.tip_mass_kg = weight_share(note) * beam.mass_kg();
    beam
}

/// Weight at the tip over the mass of the tongue without it: a fifth at C4, none from F#5 on.
pub fn weight_share(note: Note) -> f64 {
    0.2 * (1.0 - f64::from(note.midi() - 60) / 18.0).max(0.0)
}

/// The thickness that sounds `pluck_hz`: the frequency is proportional to it.
fn thickness_mm(note: Note, length_mm: f64, width_mm: f64, pluck_hz: f64) -> f64 {
    0.1 * pluck_hz / tongue(note, length_mm, width_mm, 0.1).modes(1)[0].frequency_hz
}

/// The force that brings the tip down to the plate, in grams as a pocket scale shows it: weighed of the lowest octave.
fn closing_force_g(row: &Row) -> Option<f64> {
    let thickness_mm = thickness_mm(row.note, row.length_mm, row.width_mm, row.pluck_hz);
    let stiffness_n_m = tongue(row.note, row.length_mm, row.width_mm, thickness_mm).tip_stiffness_n_m();
    (row.note.midi() < 72).then(|| round(stiffness_n_m * row.tip_gap_mm / 9.806_65, 2))
}

/// The faults, each on one reed.
fn spoil(row: &mut Row) {
    match (row.hole, row.breath, row.slide) {
        (3, "blow", "out") => row.tip_gap_mm = 0.09,
        (5, "draw", "in") => row.tip_gap_mm = 0.65,
        (6, "draw", "in") => (row.leak_mm2, row.remark) = (3.0, "valve flutters"),
        (4, "blow", "in") => row.clearance_mm = (0.006, 0.047),
        (7, "draw", "out") => {
            row.pluck_hz = round(row.pluck_hz * (-14.0_f64 / 1200.0).exp2(), 1);
            row.thickness_mm = round(thickness_mm(row.note, row.length_mm, row.width_mm, row.pluck_hz), 3);
        }
        (10, "blow", "out") => (row.thickness_mm, row.remark) = (round(0.9 * row.thickness_mm, 3), "measured once"),
        _ => {}
    }
}

/// Rows of the set as they would be with nothing wrong, under the heading of the sheet.
pub fn healthy_sheet() -> String {
    format!("{HEAD}\n{}", rows().iter().map(line).collect::<String>())
}

fn line(row: &Row) -> String {
    let (left, right) = row.clearance_mm;
    let sides = if left == right { format!("{left},,") } else { format!(",{left},{right}") };
    let force = closing_force_g(row).map_or(String::new(), |grams| grams.to_string());
    let valve = if row.hole < 12 { "yes" } else { "none" };
    let leak = if row.leak_mm2 > 0.0 { row.leak_mm2.to_string() } else { String::new() };
    format!(
        "{},{},{},{},{},{},{},{},{force},{},{},{sides},{leak},{valve},{}\n",
        row.hole,
        row.breath,
        row.slide,
        row.note,
        row.length_mm,
        row.width_mm,
        row.thickness_mm,
        row.pluck_hz,
        row.ring_down_s,
        row.tip_gap_mm,
        row.remark
    )
}

#[test]
fn the_sheet_is_what_was_solved_backwards() {
    let mut rows = rows();
    rows.iter_mut().for_each(spoil);
    let sheet = format!("{HEAD}\n{}", rows.iter().map(line).collect::<String>());
    if std::env::var_os("FREEREED_WRITE_DEMO").is_some() {
        std::fs::write(SHEET, &sheet).unwrap();
    }
    assert_eq!(std::fs::read_to_string(SHEET).unwrap(), sheet);
}
