//! The margins of one reed.

use serde::{Deserialize, Serialize};

use super::asked::{AskedBy, Limit};
use super::assess::{Counterpart, PitchFrom, ReedAssessment};
use super::figure::{Figure, Figures};
use super::finding::in_tune_cents;
use super::known::Uncertainty;
use super::margin::{Against, Margin, MarginOf};
use super::nearby::Nearby;
use super::pairs::LEVEL_PASSES_DB;
use super::sampled::sampled;
use super::surety::above_zero;
use super::tool::Tool;
use super::word::{NOTICED, heard};
use crate::physics::attack::Attack;
use crate::physics::playable::{Edge, Playable};
use crate::sheet::CheckedReed;
use crate::workshop::align::clearance_tolerance_m;

/// The figures of an assessed reed, from its full solution.
pub(super) fn figures(assessed: &ReedAssessment) -> Figures {
    let mut figures = Figures::default();
    let ln_time = |attack: &Attack| attack.t50_s.map(f64::ln);
    let window = assessed.playable;
    let closed = window.filter(|window| window.high.edge != Edge::LimitOfSearch);
    let soft = assessed.prediction.growth.first().and_then(|(_, growth)| *growth);
    let [soft_attack, normal, hard] = &assessed.attacks;
    figures.set(Figure::Onset, assessed.prediction.onset_pa().map(f64::ln));
    figures.set(Figure::Low, window.map(|window| window.low.pressure_pa.ln()));
    figures.set(Figure::High, closed.map(|window| window.high.pressure_pa.ln()));
    figures.set(Figure::SoftTime, ln_time(soft_attack));
    figures.set(Figure::Time, ln_time(normal));
    figures.set(Figure::HardTime, ln_time(hard));
    figures.set(Figure::SoftGrowth, soft.map(|growth| growth.growth_per_s * assessed.demand.allowed_s));
    figures.set(Figure::Pitch, Some(assessed.pitch.cents));
    figures.set(Figure::Level, normal.steady.map(|steady| steady.level.db));
    figures.set(Figure::Stress, hard.steady.map(|steady| steady.stress_pa.ln()));
    figures.set(Figure::Clearance, assessed.fit.map(|fit| fit.played_m));
    figures
}

/// Adds how well pitch and clearance are known, which is read off the measurement itself.
pub(super) fn add_read_off(assessed: &mut ReedAssessment) {
    let pitch = match assessed.pitch.from {
        PitchFrom::Computed => {
            let mut computed = Uncertainty::default();
            computed.add_own(assessed.prediction.natural_uncertainty_cents / 3.0_f64.sqrt());
            computed
        }
        PitchFrom::Plucked | PitchFrom::Sounding => Uncertainty::read(read_cents(assessed), Tool::Tuner),
    };
    let clearance = Uncertainty::read(clearance_tolerance_m(&assessed.reed.checked), Tool::Feeler);
    assessed.uncertainties.set(Figure::Pitch, pitch);
    assessed.uncertainties.set(Figure::Clearance, clearance);
}

/// How well a pitch was read (cents): the tuner's tolerance.
fn read_cents(assessed: &ReedAssessment) -> f64 {
    assessed.reed.checked.spec.tolerances().pluck_cents(assessed.pitch.frequency_hz)
}

/// The margins that need no other reed.
pub(super) fn margins(assessed: &ReedAssessment) -> Vec<Margin> {
    let figures = &assessed.figures;
    let mut margins = vec![soft(assessed), hard(assessed), time(assessed)];
    margins.extend(assessed.counterpart.as_ref().and_then(|there| level_beside(assessed, there)));
    let known = |figure| assessed.uncertainties.get(figure);
    margins.push(Margin::two_sided(
        MarginOf::Pitch,
        in_tune_cents(assessed),
        assessed.pitch.cents,
        known(Figure::Pitch),
    ));
    let stress = figures.get(Figure::Stress);
    let fatigue = assessed.reed.checked.metal.fatigue_strength_pa;
    margins.extend(stress.zip(fatigue).map(|(stress, (strength_pa, _))| {
        let margin = Margin::new(MarginOf::Stress, strength_pa.ln() - stress, &known(Figure::Stress).turned());
        // Without a measured swing the model's own stress is too weak to be held against a strength.
        match assessed.reed.checked.measured.swing_m {
            Some(_) => margin,
            None => Margin { uncertainty: None, or_more: true, probability_good: 0.5, ..margin },
        }
    }));
    let clearance = figures.get(Figure::Clearance);
    margins.extend(clearance.map(|room| Margin::new(MarginOf::Clearance, room, known(Figure::Clearance))));
    margins.extend(leak(assessed));
    let sampled = margins.into_iter().map(|margin| from_samples(margin, assessed)).collect();
    match assessed.says {
        Some(feel) => heard(sampled, feel),
        None => sampled,
    }
}

/// The same margin with its doubt from samples, where there are any and it is one against the demand.
fn from_samples(margin: Margin, assessed: &ReedAssessment) -> Margin {
    let has = |figure: Figure| assessed.figures.get(figure).is_some();
    let (figure, slope) = match margin.of {
        MarginOf::Soft if has(Figure::Low) => (Figure::Low, -1.0),
        MarginOf::Soft => (Figure::SoftTime, -1.0),
        MarginOf::Hard if has(Figure::High) => (Figure::High, 1.0),
        MarginOf::Hard => (Figure::HardTime, -1.0),
        MarginOf::Time => (Figure::Time, -1.0),
        _ => return margin,
    };
    let Some(value) = margin.value.filter(|_| margin.against == Against::Demand && margin.uncertainty.is_some()) else {
        return margin;
    };
    sampled(&assessed.samples, figure, value, slope).map_or(margin, |found| Margin {
        uncertainty: Some(found.half_interval),
        off: found.off,
        or_more: found.or_more,
        probability_good: found.good,
        ..margin
    })
}

/// The level beside that of the counterpart in the target; nothing where either has none.
fn level_beside(assessed: &ReedAssessment, there: &Counterpart) -> Option<Margin> {
    let louder = assessed.figures.get(Figure::Level)? - there.figures.get(Figure::Level)?;
    let known = assessed.uncertainties.get(Figure::Level).of_difference(there.uncertainties.get(Figure::Level));
    let margin = Margin::two_sided(MarginOf::Level, LEVEL_PASSES_DB, louder, &known);
    Some(Margin { against: Against::Target, ..margin })
}

/// The `ln` of a ratio to what is asked. Measured with the same tools, a reed and its counterpart share what the tools are
/// off by.
fn ratio(assessed: &ReedAssessment, of: MarginOf, figure: Figure, asked: Limit) -> Option<Margin> {
    let found = assessed.figures.get(figure)?;
    let margin = |asked: f64| if of == MarginOf::Hard { found - asked.ln() } else { asked.ln() - found };
    let sign = |known: &Uncertainty| if of == MarginOf::Hard { *known } else { known.turned() };
    let (value, own) = (margin(asked.value), assessed.uncertainties.get(figure));
    Some(match (asked.by, &assessed.counterpart) {
        (AskedBy::Target, Some(there)) => {
            let known = own.of_difference(there.uncertainties.get(figure));
            Margin { against: Against::Target, ..Margin::new(of, value, &sign(&known)) }
        }
        (AskedBy::Word { instead_of }, _) => {
            let against = Against::Word { by_model: Some(margin(instead_of)) };
            Margin { against, ..Margin::new(of, value, &sign(own)) }
        }
        _ => Margin::new(of, value, &sign(own)),
    })
}

fn soft(assessed: &ReedAssessment) -> Margin {
    let found = ratio(assessed, MarginOf::Soft, Figure::Low, assessed.asked.soft_pa);
    found.unwrap_or_else(|| in_time(MarginOf::Soft, Figure::SoftTime, assessed))
}

fn hard(assessed: &ReedAssessment) -> Margin {
    let asked = assessed.asked.hard_pa;
    let beyond = |window: Playable| Margin::at_least(MarginOf::Hard, (window.high.pressure_pa / asked.value).ln());
    ratio(assessed, MarginOf::Hard, Figure::High, asked)
        .or_else(|| assessed.playable.map(beyond))
        .unwrap_or_else(|| in_time(MarginOf::Hard, Figure::HardTime, assessed))
}

fn time(assessed: &ReedAssessment) -> Margin {
    let found = ratio(assessed, MarginOf::Time, Figure::Time, assessed.asked.time_s);
    found.unwrap_or_else(|| in_time(MarginOf::Time, Figure::Time, assessed))
}

/// `ln(allowed / t50)`; of a reed that does not speak, the probability that it grows at all at the soft pressure.
fn in_time(of: MarginOf, figure: Figure, assessed: &ReedAssessment) -> Margin {
    let (figures, known) = (&assessed.figures, &assessed.uncertainties);
    if let Some(time) = figures.get(figure) {
        return Margin::new(of, assessed.demand.allowed_s.ln() - time, &known.get(figure).turned());
    }
    let growth = figures.get(Figure::SoftGrowth).filter(|_| assessed.prediction.speaking.onset.is_none());
    let grows = growth.map(|growth| above_zero(growth, known.get(Figure::SoftGrowth).deviation()));
    Margin::none(of, grows.unwrap_or(0.5))
}

/// Of a reed on which a leak was measured.
fn leak(assessed: &ReedAssessment) -> Option<Margin> {
    let LeakCost { cost, deviation } = assessed.leak_cost?;
    let mut own = Uncertainty::default();
    own.add_own(deviation);
    Some(Margin::new(MarginOf::Leak, NOTICED - cost, &own))
}

/// What a measured leak costs.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct LeakCost {
    /// `ln` of what it multiplies the softest playable pressure by.
    pub cost: f64,
    /// Standard deviation, from how well the leak was measured.
    pub deviation: f64,
}

/// What the leak of a reed costs; nothing where it was not measured or the reed has no playable window.
pub(super) fn leak_cost(checked: &CheckedReed, nearby: &Nearby) -> Option<LeakCost> {
    checked.spec.typed("leak_mm2")?;
    let low = |leak_area_m2: f64| {
        let mut reed = checked.reed.clone();
        reed.slot.leak_area_m2 = leak_area_m2;
        nearby.ln_low(&reed)
    };
    let leak_m2 = checked.reed.slot.leak_area_m2;
    let deviation_m2 = 1e-6 * checked.spec.tolerances().of("leak_mm2").unwrap_or(0.0) / 3.0_f64.sqrt();
    let (here, tight, wider) = (low(leak_m2)?, low(0.0)?, low(leak_m2 + deviation_m2)?);
    Some(LeakCost { cost: here - tight, deviation: (wider - here).abs() })
}
