//! An invented set from C5 on: its player, and its reeds as they are with nothing wrong.

#![allow(dead_code)] // Each test file uses a part.

use freereed::instrument::balance::{Balance, BalanceOptions, balance};
use freereed::instrument::work::{WorkList, work_list};
use freereed::instrument::{Assessment, assess};
use freereed::sheet::{Job, Note, Tuning};

/// A job assessed, balanced as usual, its work planned.
pub fn worked(job: &Job) -> (Assessment, Balance, WorkList) {
    let assessment = assess(job, || ());
    let balance = balance(job, &assessment, &BalanceOptions::default(), || ());
    let list = work_list(job, &assessment, &balance, &[], || ());
    (assessment, balance, list)
}

/// The job, with more lines for `[defaults]` and the lines of `[tolerances]`.
pub fn job_text(defaults: &str, tolerances: &str) -> String {
    format!(
        "sheet = \"sheet.csv\"
[defaults]
tip_mass_mg = 0
alloy = \"C51000\"
{defaults}
[[chamber]]
holes = \"1-99\"
volume_mm3 = 400
channel_length_mm = 15
channel_area_mm2 = 20
[tolerances]
{tolerances}
[player]
soft_pa = {{ C5 = 360, C6 = 1000 }}
normal_pa = {{ C5 = 700, C6 = 1800 }}
hard_pa = {{ C5 = 1500, C6 = 3400 }}
time_allowed_ms = {{ C5 = 150, C6 = 230 }}
"
    )
}

/// Quality factor of a reed with nothing wrong.
pub const QUALITY: f64 = 92.0;

/// A reed with nothing wrong.
#[derive(Debug, Clone, Copy)]
pub struct Healthy {
    pub note: Note,
    pub hertz: f64,
    pub length_mm: f64,
    pub gap_mm: f64,
    pub clearance_mm: f64,
}

impl Healthy {
    pub fn of(midi: i32) -> Self {
        let note = Note::from_midi(midi).unwrap();
        let steps = f64::from(midi - 72);
        Self {
            note,
            hertz: Tuning::default().frequency_hz(note),
            length_mm: 14.1 - 0.28 * steps,
            gap_mm: 0.26 * (-0.0365 * steps).exp(),
            clearance_mm: 0.027 * (-0.01 * steps).exp(),
        }
    }

    /// Time of ringing with a quality factor: `Q/(pi f)`.
    pub fn ring_down_s(&self, quality: f64) -> f64 {
        quality / (std::f64::consts::PI * self.hertz)
    }
}
