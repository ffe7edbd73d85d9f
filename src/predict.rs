//! What one reed will do: every answer, how far to trust it, and what it leans on.

use serde::{Deserialize, Serialize};

use crate::physics::coefficients::{PLAUSIBLE_SHARES, usual_quality_factor};
use crate::physics::onset::{Choke, Growth, Search, Speaking};
use crate::physics::{InputError, ReedModel};
use crate::sheet::{CheckedReed, Tolerances, notes};

/// How far a kind of answer can be trusted, by what the model leaves out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Trust {
    /// Plucked pitch, the order of reeds and of changes.
    Sure,
    /// Onset, growth, speaking time.
    Fair,
    /// Amplitude, stress and level in absolute terms, and the offset of sounding from plucked pitch.
    Weak,
}

impl Trust {
    /// The word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Sure => "sure",
            Self::Fair => "fair",
            Self::Weak => "weak",
        }
    }

    /// What the word means to somebody who leans on the answer: part of a sentence.
    pub fn meaning(self) -> &'static str {
        match self {
            Self::Sure => "bet on it",
            Self::Fair => "right in the main, and off by a good part now and then",
            Self::Weak => "the order is right, the size may not be",
        }
    }
}

/// The plausible range of the quality factor of a tongue of this plucked frequency where it has not been measured.
pub fn plausible_quality_factor(frequency_hz: f64) -> (f64, f64) {
    let usual = usual_quality_factor(frequency_hz);
    (PLAUSIBLE_SHARES.0 * usual, PLAUSIBLE_SHARES.1 * usual)
}

/// What to predict.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Question {
    /// Mouth pressures at which to tell the growth rate (Pa).
    pub at_pa: Vec<f64>,
    /// Where to look for onset and choke.
    pub search: Search,
}

/// Growth at a pressure that was asked for; nothing beyond a fold of the static rest.
pub type GrowthAt = (f64, Option<Growth>);

/// What small motion tells of a reed: the costly part of a prediction.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SmallMotion {
    /// Onset, choke and windows.
    pub speaking: Speaking,
    /// As [`Prediction::onset_range_pa`].
    pub onset_range_pa: Option<(Option<f64>, Option<f64>)>,
    /// Growth at the pressures asked, in the order asked.
    pub growth: Vec<GrowthAt>,
}

impl SmallMotion {
    /// Of a model of a checked reed.
    pub fn of(model: &ReedModel, checked: &CheckedReed, question: &Question) -> Self {
        let quality_assumed = checked.assumed.iter().any(|assumed| assumed.key == "quality_factor");
        let onset_with = |quality: f64| {
            let onset = model.with_quality_factor(quality).speaking(&question.search).onset;
            onset.map(|growth| growth.pressure_pa)
        };
        let (low, high) = plausible_quality_factor(model.modes()[0].frequency_hz);
        Self {
            speaking: model.speaking(&question.search),
            onset_range_pa: quality_assumed.then(|| (onset_with(high), onset_with(low))),
            growth: question.at_pa.iter().copied().zip(model.growth(&question.at_pa)).collect(),
        }
    }
}

/// The answers.
#[derive(Debug, Clone)]
pub struct Prediction {
    /// The solved model, for further questions.
    pub model: ReedModel,
    /// Plucked frequency (Hz).
    pub natural_frequency_hz: f64,
    /// How far it may be off, either way (cents): the tuner's tolerance where it was measured, else what the tolerances of
    /// thickness, length and modulus make of it.
    pub natural_uncertainty_cents: f64,
    /// First torsional frequency (Hz).
    pub torsional_frequency_hz: f64,
    /// First lateral frequency (Hz).
    pub lateral_frequency_hz: f64,
    /// Mass of the tongue (kg).
    pub mass_kg: f64,
    /// Static stiffness at the tip (N/m).
    pub tip_stiffness_n_m: f64,
    /// Tip deflection per uniform pressure (m/Pa).
    pub compliance_m_pa: f64,
    /// Onset, choke and windows.
    pub speaking: Speaking,
    /// Onset for the largest and the smallest plausible quality factor (Pa), where it is assumed; nothing where measured.
    /// An end is missing where the reed then never speaks.
    pub onset_range_pa: Option<(Option<f64>, Option<f64>)>,
    /// Growth at the pressures asked, in the order asked.
    pub growth: Vec<GrowthAt>,
}

impl Prediction {
    /// Solves a checked reed.
    ///
    /// # Errors
    /// A value for which the equations have no meaning; a reed from a sheet has none.
    pub fn of(checked: &CheckedReed, question: &Question) -> Result<Self, InputError> {
        let model = ReedModel::new(checked.reed.clone())?;
        let small = SmallMotion::of(&model, checked, question);
        Ok(Self::with(model, checked, small))
    }

    /// With what small motion told of this very reed before.
    pub fn with(model: ReedModel, checked: &CheckedReed, small: SmallMotion) -> Self {
        let beam = &model.reed().beam;
        Self {
            natural_uncertainty_cents: natural_uncertainty_cents(checked),
            natural_frequency_hz: model.modes()[0].frequency_hz,
            torsional_frequency_hz: beam.torsional_frequency_hz(),
            lateral_frequency_hz: beam.lateral_frequency_hz(),
            mass_kg: beam.mass_kg(),
            tip_stiffness_n_m: beam.tip_stiffness_n_m(),
            compliance_m_pa: beam.compliance_m_pa(),
            speaking: small.speaking,
            onset_range_pa: small.onset_range_pa,
            growth: small.growth,
            model,
        }
    }

    /// How far to trust the plucked frequency: fully only where it was measured.
    pub fn natural_trust(&self, checked: &CheckedReed) -> Trust {
        if checked.measured.pluck_hz.is_some() { Trust::Sure } else { Trust::Fair }
    }

    /// Onset pressure (Pa), where the reed speaks.
    pub fn onset_pa(&self) -> Option<f64> {
        self.speaking.onset.map(|growth| growth.pressure_pa)
    }

    /// How the window ends, as a word.
    pub fn choke_reason(&self) -> Option<&'static str> {
        match self.speaking.choke {
            Choke::NoneBelowLimit => None,
            Choke::Fades(_) => Some("fades"),
            Choke::Snaps(_) => Some("snaps"),
        }
    }
}

/// From `f ~ h sqrt(E) / L^2`, independent tolerances added as squares.
fn natural_uncertainty_cents(checked: &CheckedReed) -> f64 {
    if checked.measured.pluck_hz.is_some() {
        return Tolerances::USUAL_PLUCK_CENTS;
    }
    let (beam, usual) = (&checked.reed.beam, Tolerances::default());
    let share = |key: &str, unit: f64, value: f64| usual.of(key).unwrap_or(0.0) * unit / value;
    let (thin, thick) = beam.thickness_m.range();
    let thickness = share("thickness_mm", 1e-3, 0.5 * (thin + thick));
    let length = 2.0 * share("length_mm", 1e-3, beam.length_m);
    let modulus = 0.5 * share("youngs_modulus_gpa", 1e9, beam.youngs_modulus_pa);
    notes::cents(1.0 + thickness.hypot(length).hypot(modulus), 1.0)
}
