//! The reed of the booklet: changed in one thing, blown three ways, and what came of it.

use rayon::prelude::*;

use crate::answer::SwingScale;
use crate::physics::attack::{Attack, Blow, Ending, Steady, Stop};
use crate::physics::onset::{Choke, Search, Speaking};
use crate::physics::{InputError, Reed, ReedModel};
use crate::sheet::{CheckedReed, Tuning};

/// Three pressures that suit the reed (Pa), softest first.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blows {
    /// A soft blow.
    pub soft_pa: f64,
    /// A firm blow.
    pub firm_pa: f64,
    /// A hard blow.
    pub hard_pa: f64,
}

impl Blows {
    /// A hard blow as a share of onset, and the most that is asked of lungs while there is room for three blows.
    const HARD: f64 = 25.0;
    const LUNGS_PA: f64 = 10e3;

    /// A hard blow as a share of choke at most: the reed as it is answers all three.
    const SHARE_OF_CHOKE: f64 = 0.75;

    /// A bit above onset, well above it, far above it and yet below choke; believable ones where the reed has no onset.
    fn suiting(speaking: &Speaking) -> Self {
        let Some(onset) = speaking.onset else { return Self { soft_pa: 150.0, firm_pa: 500.0, hard_pa: 1500.0 } };
        let onset_pa = onset.pressure_pa;
        let end = speaking.choke.pressure_pa().map_or(speaking.limit_pa, |choke| Self::SHARE_OF_CHOKE * choke);
        let hard = (Self::HARD * onset_pa).min(Self::LUNGS_PA.max(3.0 * onset_pa)).min(end).max(1.2 * onset_pa);
        let between = |share: f64| round(onset_pa * (hard / onset_pa).powf(share));
        Self { soft_pa: between(0.28), firm_pa: between(0.65), hard_pa: round(hard) }
    }

    /// All three, softest first (Pa).
    pub fn all_pa(&self) -> [f64; 3] {
        [self.soft_pa, self.firm_pa, self.hard_pa]
    }
}

/// To two digits, as one would set a manometer.
pub(super) fn round(pressure_pa: f64) -> f64 {
    let unit = 10.0_f64.powf(pressure_pa.log10().floor() - 1.0);
    (pressure_pa / unit).round() * unit
}

/// How a reed answers a blow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Answer {
    /// It speaks, half way to its full swing after so long (s).
    Speaks {
        /// `t50` (s).
        t50_s: f64,
    },
    /// It stays silent.
    Silent,
    /// Nothing is decided after so long (s).
    Undecided {
        /// Length of the run (s).
        after_s: f64,
    },
}

impl Answer {
    /// The time to speak, where it speaks (s).
    pub fn t50_s(self) -> Option<f64> {
        if let Self::Speaks { t50_s } = self { Some(t50_s) } else { None }
    }
}

/// One blow and what came of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blown {
    /// Mouth pressure (Pa).
    pub pressure_pa: f64,
    /// How the reed answers.
    pub answer: Answer,
    /// What it comes to, where it speaks.
    pub steady: Option<Steady>,
}

impl Blown {
    fn of(attack: &Attack, swing_scale: f64) -> Self {
        let steady = attack.steady.map(|steady| steady.with_swing_scaled(swing_scale));
        Self { pressure_pa: attack.blow.pressure_pa, answer: answer_of(attack), steady }
    }
}

/// The answer to a blow.
pub(super) fn answer_of(attack: &Attack) -> Answer {
    match (attack.speaks, attack.t50_s, attack.ending) {
        (true, Some(t50_s), _) => Answer::Speaks { t50_s },
        (false, _, Ending::Silent | Ending::Settled) => Answer::Silent,
        _ => Answer::Undecided { after_s: attack.duration_s },
    }
}

/// The reed with one thing changed.
#[derive(Debug, Clone, PartialEq)]
pub struct Tried {
    /// The thing that is changed, in SI units.
    pub value: f64,
    /// Whether this is the reed as it is.
    pub is_own: bool,
    /// Plucked pitch (Hz).
    pub pluck_hz: f64,
    /// Least pressure that starts it (Pa).
    pub onset_pa: Option<f64>,
    /// Where a slow attack no longer starts it.
    pub choke: Choke,
    /// Soft, firm and hard.
    pub blown: [Blown; 3],
    /// Air that slips past before it swings, under the firm pressure (m3/s); nothing where it has snapped shut.
    pub idle_flow_m3_s: Option<f64>,
}

impl Tried {
    /// The answer to the firm blow.
    pub fn firm(&self) -> &Blown {
        &self.blown[1]
    }
    /// The answer to the hard blow.
    pub fn hard(&self) -> &Blown {
        &self.blown[2]
    }
}

/// The reed as it is, ready to be changed.
pub(super) struct Bench<'a> {
    /// What the reader knows the reed by.
    pub(super) name: &'a str,
    /// What its notes are named by.
    pub(super) tuning: &'a Tuning,
    pub(super) checked: &'a CheckedReed,
    pub(super) model: ReedModel,
    pub(super) speaking: Speaking,
    pub(super) blows: Blows,
    /// What swing, stress and level are multiplied by where a swing was measured.
    swing_scale: f64,
}

impl<'a> Bench<'a> {
    pub(super) fn new(checked: &'a CheckedReed, name: &'a str, tuning: &'a Tuning) -> Result<Self, InputError> {
        let model = ReedModel::new(checked.reed.clone())?;
        let speaking = model.speaking(&Search::default());
        let blows = Blows::suiting(&speaking);
        // A measured swing that fits nothing scales nothing.
        let swing_scale = SwingScale::of(checked, &model).ok().flatten().map_or(1.0, |scale| scale.factor);
        Ok(Self { name, tuning, checked, model, speaking, blows, swing_scale })
    }

    /// The reed as it is, blown from rest.
    pub(super) fn blow(&self, pressure_pa: f64) -> Blown {
        Blown::of(&self.attack(pressure_pa), self.swing_scale)
    }

    /// The same, step by step.
    pub(super) fn attack(&self, pressure_pa: f64) -> Attack {
        attack(&self.model, pressure_pa)
    }

    pub(super) fn reed(&self) -> &Reed {
        self.model.reed()
    }

    /// Tries each reed, those that cannot be solved left out. A reed is the own one where its value is `own`.
    pub(super) fn tried(&self, own: f64, reeds: impl IntoIterator<Item = (f64, Reed)>) -> Vec<Tried> {
        let reeds: Vec<_> = reeds.into_iter().collect();
        reeds.into_par_iter().filter_map(|(value, reed)| self.one(own, value, reed).ok()).collect()
    }

    fn one(&self, own: f64, value: f64, reed: Reed) -> Result<Tried, InputError> {
        let model = ReedModel::new(reed)?;
        let speaking = model.speaking(&Search::default());
        Ok(Tried {
            value,
            is_own: value == own,
            pluck_hz: model.modes()[0].frequency_hz,
            onset_pa: speaking.onset.map(|onset| onset.pressure_pa),
            choke: speaking.choke,
            blown: self.blows.all_pa().map(|pressure_pa| Blown::of(&attack(&model, pressure_pa), self.swing_scale)),
            idle_flow_m3_s: model.static_rest(self.blows.firm_pa).map(|rest| rest.flow_m3_s),
        })
    }
}

/// Blows a reed from rest until it is steady.
pub(super) fn attack(model: &ReedModel, pressure_pa: f64) -> Attack {
    model.attack(&Blow::to(pressure_pa), Stop::WhenSteady)
}

/// The own reed among those tried.
pub(super) fn own(tried: &[Tried]) -> Option<&Tried> {
    tried.iter().find(|tried| tried.is_own)
}
