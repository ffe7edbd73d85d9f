//! Healthy reeds in their slots, as files, for the tests of fitting and sealing.

#![allow(dead_code)]

use freereed::answer::{Conditions, Quantity, Solved};
use freereed::sheet::{CheckedReed, ReedFile};
use freereed::workshop::align::Warmth;

use super::physics::Random;

/// Reed, slot and plate stay as cold as they were measured.
pub const COLD: Warmth =
    Warmth { measured_c: 20.0, reed_c: 20.0, plate_c: 20.0, reed_per_k: 18e-6, plate_per_k: 20e-6 };

/// A healthy reed of a harmonica, from C4 to C7: sizes, fit and chamber at random.
pub fn healthy(seed: u64) -> CheckedReed {
    let mut random = Random::new(seed);
    let frequency = random.decades(260.0, 2100.0);
    let length = 24.0 * (100.0 / frequency).powf(0.28) * random.between(0.95, 1.05);
    let gap = 0.4 * (130.0 / frequency).powf(0.45) * random.between(0.8, 1.2);
    let side = random.between(0.018, 0.035);
    let text = format!(
        "[reed]\nlength_mm = {length:.4}\nwidth_mm = {:.4}\nmeasured_pluck_hz = {frequency:.3}\nalloy = \"C51000\"\n\
         quality_factor = {:.2}\ntip_gap_mm = {gap:.4}\n[slot]\nside_clearance_mm = {side:.5}\ntip_clearance_mm = {:.5}\n\
         plate_thickness_mm = {:.3}\n[chamber]\nvolume_mm3 = {:.1}\nchannel_length_mm = {:.2}\nchannel_area_mm2 = {:.2}\n",
        random.between(1.8, 2.4),
        random.decades(60.0, 110.0),
        side * random.between(0.9, 1.6),
        random.between(0.9, 1.1),
        random.between(300.0, 550.0),
        random.between(10.0, 20.0),
        random.between(16.0, 24.0),
    );
    ReedFile::parse("healthy.toml", &text).expect("a valid reed")
}

/// Onset (Pa); nothing where it never starts.
pub fn onset(reed: &CheckedReed) -> Option<f64> {
    let wanted = [Quantity::Onset];
    let solved = Solved::of(&reed.reed, &wanted, &Conditions::default(), 1.0).unwrap();
    solved.answer(Quantity::Onset).value
}
