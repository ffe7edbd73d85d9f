//! A new reed, solved: what it does, and how it ranks.

use super::ReplaceOptions;
use super::opening::Opening;
use super::shape::Tongue;
use crate::answer::{Quantity, Solved};
use crate::sheet::{CheckedReed, notes};
use crate::units;

const ASKED: [Quantity; 6] = [
    Quantity::Plucked,
    Quantity::Onset,
    Quantity::HalfTime,
    Quantity::PlayableLow,
    Quantity::PlayableHigh,
    Quantity::Stress,
];

/// What makes one reed better than another, all in plain numbers of about one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ranking {
    /// Octaves of pressure in the playable window: for.
    pub window_octaves: f64,
    /// Time to speak over the time allowed: against.
    pub time_share: f64,
    /// Stress over that of the old reed at the same pressure, both by the model: against. What the model has wrong in
    /// absolute terms cancels. None where the old reed does not sound there.
    pub stress_share: f64,
    /// Octaves of pressure from the neighbours' onset: against.
    pub onset_octaves: f64,
    /// Tenths of the neighbours' length that it is off: against.
    pub length_tenths: f64,
}

impl Ranking {
    /// Larger is better.
    pub fn score(&self) -> f64 {
        self.window_octaves - self.time_share - self.stress_share - self.onset_octaves - self.length_tenths
    }
}

/// A reed that would do.
#[derive(Debug, Clone)]
pub struct Candidate {
    /// The tongue.
    pub tongue: Tongue,
    /// The reed.
    pub reed: CheckedReed,
    /// Plucked pitch (Hz).
    pub pluck_hz: f64,
    /// How far it may be off before it is tuned (cents), by the tolerances of strip, length and modulus.
    pub raw_cents: f64,
    /// Onset (Pa).
    pub onset_pa: f64,
    /// Playable window (Pa).
    pub playable_pa: (f64, f64),
    /// Time to half the swing at the pressure asked (s), where it speaks there.
    pub t50_s: Option<f64>,
    /// Stress at that pressure (Pa): weak.
    pub stress_pa: Option<f64>,
    /// How it ranks.
    pub ranking: Ranking,
}

impl Candidate {
    /// The keys of a reed file that say what is new, of [`super::KEYS`].
    pub fn keys(&self) -> Vec<&'static str> {
        super::KEYS.into_iter().filter(|key| self.reed.spec.typed(key).is_some()).collect()
    }

    /// Solves it; the reason where it will not do.
    pub(super) fn of(
        old: &CheckedReed,
        options: &ReplaceOptions,
        opening: &Opening,
        old_stress_pa: Option<f64>,
        tongue: Tongue,
    ) -> Result<Self, String> {
        let reed = made(old, options, opening, &tongue)?;
        let solved = Solved::of(&reed.reed, &ASKED, &options.conditions, 1.0).map_err(|error| error.to_string())?;
        let value = |quantity| solved.answer(quantity).value;
        let onset_pa = value(Quantity::Onset).ok_or("never speaks")?;
        let window = value(Quantity::PlayableLow).zip(value(Quantity::PlayableHigh));
        let allowed = || format!("speaks at no pressure within {}", units::seconds(options.conditions.allowed_s));
        let playable_pa = window.ok_or_else(allowed)?;
        let stress_pa = value(Quantity::Stress);
        let beyond =
            |most: f64| stress_pa.filter(|&stress| stress > most && old_stress_pa.is_none_or(|old| stress > old));
        if let Some((most, stress)) = reed.metal.yield_strength_pa.and_then(|most| Some((most, beyond(most)?))) {
            return Err(format!(
                "bends to {} at {}, beyond its yield strength of {} and more than the old reed (weak)",
                units::stress(stress),
                units::pascal(options.conditions.pressure_pa),
                units::stress(most)
            ));
        }
        let t50_s = value(Quantity::HalfTime);
        let beside = &options.beside;
        let ranking = Ranking {
            window_octaves: (playable_pa.1 / playable_pa.0).log2(),
            // One that does not speak at the pressure asked is as late as two times the time allowed.
            time_share: t50_s.map_or(2.0, |time| time / options.conditions.allowed_s),
            stress_share: stress_pa.zip(old_stress_pa).map_or(0.0, |(stress, old)| stress / old),
            onset_octaves: beside.onset_pa.map_or(0.0, |usual| (onset_pa / usual).log2().abs()),
            length_tenths: beside.length_m.map_or(0.0, |usual| 10.0 * (tongue.length_m / usual - 1.0).abs()),
        };
        let pluck_hz = value(Quantity::Plucked).unwrap_or(f64::NAN);
        Ok(Self {
            raw_cents: raw_cents(&reed),
            tongue,
            pluck_hz,
            onset_pa,
            playable_pa,
            t50_s,
            stress_pa,
            ranking,
            reed,
        })
    }
}

fn made(
    old: &CheckedReed,
    options: &ReplaceOptions,
    opening: &Opening,
    tongue: &Tongue,
) -> Result<CheckedReed, String> {
    let blank = opening.blank(old, options, tongue.strip_m, tongue.length_m).map_err(|error| error.to_string())?;
    match tongue.profile.work() {
        // The length was rounded to what a file says: the patch follows it.
        Some(work) => work.fitted_to(&blank.reed.beam).done_to_reed(&blank).map_err(|error| error.to_string()),
        None => Ok(blank),
    }
}

/// From `f ~ h sqrt(E)/L^2`, independent tolerances added as squares.
fn raw_cents(reed: &CheckedReed) -> f64 {
    let beam = &reed.reed.beam;
    let share = |key: &str, unit: f64, value: f64| {
        let key = crate::sheet::keys::find(key);
        key.and_then(|key| reed.spec.tolerance(key)).map_or(0.0, |tolerance| tolerance * unit / value)
    };
    let thickness = share("thickness_mm", 1e-3, beam.thickness_m.range().1);
    let length = 2.0 * share("length_mm", 1e-3, beam.length_m);
    let modulus = 0.5 * share("youngs_modulus_gpa", 1e9, beam.youngs_modulus_pa);
    notes::cents(1.0 + thickness.hypot(length).hypot(modulus), 1.0)
}
