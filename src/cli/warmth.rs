//! How well clearances are known, and what warmth does to them: arguments of the commands about the slot.

use clap::Args;
use freereed::sheet::{Alloy, known_alloys};
use freereed::workshop::align::{Warmth, clearance_tolerance_m};

use super::attack::within;
use super::failure::Failure;
use super::subject::Subject;

/// How well clearances are known, and what warmth does to them.
#[derive(Args)]
pub struct WarmthArguments {
    /// How far a clearance may be off, mm; otherwise what the file or the job says
    #[arg(long, value_name = "MM", value_parser = tolerance, allow_hyphen_values = true)]
    tolerance_mm: Option<f64>,
    /// Alloy of the plate
    #[arg(long, value_name = "ALLOY", default_value = Warmth::USUAL_PLATE)]
    plate_alloy: String,
    /// Temperature of the tongue when played, degC
    #[arg(long, value_name = "C", default_value_t = Warmth::USUAL_C.0, value_parser = celsius, allow_hyphen_values = true)]
    reed_c: f64,
    /// Temperature of the plate when played, degC: still cold is the worst
    #[arg(long, value_name = "C", default_value_t = Warmth::USUAL_C.1, value_parser = celsius, allow_hyphen_values = true)]
    plate_c: f64,
}

fn tolerance(typed: &str) -> Result<f64, String> {
    within(typed, 0.0005, 0.2, "a tolerance is 0.0005 to 0.2 mm")
}

fn celsius(typed: &str) -> Result<f64, String> {
    within(typed, -40.0, 120.0, "a temperature is -40 to 120 degC")
}

impl WarmthArguments {
    /// How far a clearance may be off (m): as asked, else as the file or the job says.
    pub fn tolerance_m(&self, subject: &Subject) -> f64 {
        self.tolerance_mm.map_or_else(|| clearance_tolerance_m(&subject.checked), |mm| 1e-3 * mm)
    }

    /// Alloy of the plate.
    pub fn plate(&self) -> Result<&'static Alloy, Failure> {
        known_alloys().iter().find(|alloy| alloy.is_called(&self.plate_alloy)).ok_or_else(|| {
            let known: Vec<&str> = known_alloys().iter().map(|alloy| alloy.name.as_str()).collect();
            Failure::Call(format!("--plate-alloy {}: known are {}", self.plate_alloy, known.join(", ")))
        })
    }

    /// Temperatures and expansions.
    pub fn warmth(&self, subject: &Subject, notes: &mut Vec<String>) -> Result<Warmth, Failure> {
        let plate = self.plate()?;
        let warmth = Warmth::of(&subject.checked, Some(plate), self.reed_c, self.plate_c);
        if subject.checked.metal.alloy.as_ref().is_none_or(|alloy| alloy.expansion_per_k.is_none()) {
            notes.push("The tongue's expansion is not known: 18e-6 per K assumed.".to_owned());
        }
        notes.push(format!(
            "Assumed where not given: plate of {}; clearances measured at {} degC; played with the tongue at {} and the \
             plate at {} degC.",
            plate.name, warmth.measured_c, warmth.reed_c, warmth.plate_c
        ));
        Ok(warmth)
    }
}
