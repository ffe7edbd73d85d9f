//! One reed solved as far as the results asked for need it.

use super::conditions::Conditions;
use super::quantity::{Need, Quantity};
use crate::physics::attack::{Attack, Ending, Start, Steady, Stop};
use crate::physics::dynamic_range::DynamicRange;
use crate::physics::onset::{Choke, Growth, Speaking};
use crate::physics::playable::{Edge, End, Like, Playable};
use crate::physics::steady::Branch;
use crate::physics::{InputError, Reed, ReedModel};
use crate::sheet::notes;

/// One result.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Answer {
    /// What was asked.
    pub quantity: Quantity,
    /// The value in SI units, where there is one.
    pub value: Option<f64>,
    /// Why there is none, or what is to be known of it: the reason for an end of the window.
    pub note: Option<&'static str>,
}

/// A reed solved.
#[derive(Debug, Clone)]
pub struct Solved {
    /// The model.
    pub model: ReedModel,
    /// Onset, choke and the curve of growth, where a result needs them.
    pub speaking: Option<Speaking>,
    /// The attack at the pressure asked, without its steps.
    pub attack: Option<Attack>,
    /// The playable window, where it was looked for and there is one.
    pub playable: Option<Playable>,
    start: Option<Start>,
    growth: Option<Growth>,
    range: Option<DynamicRange>,
    branch: Option<Branch>,
    conditions: Conditions,
    /// What swing, stress and level were multiplied by.
    pub swing_scale: f64,
}

impl Solved {
    /// Computes what `wanted` needs. `swing_scale` is what swing, stress and level are to be multiplied by.
    ///
    /// # Errors
    /// A value for which the equations have no meaning; a reed from a sheet has none.
    pub fn of(reed: &Reed, wanted: &[Quantity], conditions: &Conditions, swing_scale: f64) -> Result<Self, InputError> {
        Self::with_window_like(reed, wanted, conditions, swing_scale, None)
    }

    /// The same, where a reed much like this one is solved: its window shows where to seek this one's
    /// ([`ReedModel::playable_like`]).
    ///
    /// # Errors
    /// A value for which the equations have no meaning.
    pub fn with_window_like(
        reed: &Reed,
        wanted: &[Quantity],
        conditions: &Conditions,
        swing_scale: f64,
        like: Option<&Self>,
    ) -> Result<Self, InputError> {
        let needs = |needs: &[Need]| wanted.iter().any(|quantity| needs.contains(&quantity.row().need));
        let model = ReedModel::new(reed.clone())?;
        let demand = conditions.demand(swing_scale);
        let windows = [Need::Window, Need::Range];
        let speaking =
            (needs(&[Need::Speaking, Need::Branch]) || needs(&windows)).then(|| model.speaking(&conditions.search));
        let attack = needs(&[Need::Attack]).then(|| model.attack(&conditions.blow(), Stop::WhenSteady).without_trace());
        let start = needs(&[Need::Start]).then(|| match &attack {
            Some(attack) => start_of(attack),
            None => model.start(&conditions.blow(), Stop::WhenSteady),
        });
        let growth = needs(&[Need::Growth]).then(|| model.growth(&[model.resting_mouth_pa(conditions.pressure_pa)])[0]);
        let found = speaking.as_ref();
        let like =
            like.and_then(|like| Some(Like { speaking: like.speaking.as_ref()?, window: like.playable.as_ref()? }));
        let playable =
            found.filter(|_| needs(&windows)).and_then(|speaking| model.playable_like(speaking, demand, like));
        let range = playable.filter(|_| needs(&[Need::Range])).and_then(|window| model.dynamic_range(&window, demand));
        let branch = found
            .filter(|_| needs(&[Need::Branch]))
            .and_then(|speaking| model.branch(speaking, conditions.search.limit_pa));
        Ok(Self {
            start,
            growth: growth.flatten(),
            speaking,
            attack,
            playable,
            range,
            branch,
            conditions: *conditions,
            swing_scale,
            model,
        })
    }

    /// The same results of a reed much like this one. The pressures between which it sounds once it does are taken to go with
    /// onset and choke: every other is solved as a whole.
    ///
    /// # Errors
    /// A value for which the equations have no meaning.
    pub(super) fn like(&self, reed: &Reed, wanted: &[Quantity]) -> Result<Vec<Option<f64>>, InputError> {
        let goes_with = |quantity: Quantity| match quantity {
            Quantity::SoundsFrom => Quantity::Onset,
            Quantity::SoundsTo => Quantity::Choke,
            other => other,
        };
        let solved: Vec<Quantity> = wanted.iter().copied().map(goes_with).collect();
        let other = Self::with_window_like(reed, &solved, &self.conditions, self.swing_scale, Some(self))?;
        let value = |(&wanted, &solved): (&Quantity, &Quantity)| {
            let there = other.answer(solved).value?;
            Some(if wanted == solved {
                there
            } else {
                there * self.answer(wanted).value? / self.answer(solved).value?
            })
        };
        Ok(wanted.iter().zip(&solved).map(value).collect())
    }

    /// One result of those that were wanted.
    pub fn answer(&self, quantity: Quantity) -> Answer {
        let (value, note) = match quantity {
            Quantity::Plucked => (Some(self.model.modes()[0].frequency_hz), None),
            Quantity::Onset => self.onset(),
            Quantity::Choke => self.choke(),
            Quantity::Growth => or(self.growth.map(|growth| growth.growth_per_s), "snaps to another rest"),
            Quantity::HalfTime => self.time(|start| start.t50_s),
            Quantity::MostTime => self.time(|start| start.t90_s),
            Quantity::PlayableLow => self.end(|window| window.low),
            Quantity::PlayableHigh => self.end(|window| window.high),
            Quantity::DynamicRange => or(self.range.map(|range| range.db()), NO_WINDOW),
            Quantity::Level => self.steady(|steady| steady.level.db),
            Quantity::LevelA => self.steady(|steady| steady.level.dba),
            Quantity::Sounding => self.steady(|steady| steady.frequency_hz),
            Quantity::Shift => self.steady(|s| notes::cents(s.frequency_hz, self.model.modes()[0].frequency_hz)),
            Quantity::Swing => self.steady(|steady| steady.tip_amplitude_m),
            Quantity::Stress => self.steady(|steady| steady.stress_pa),
            Quantity::Air => self.steady(|steady| steady.mean_flow_m3_s),
            Quantity::SoundsFrom => or(self.branch.as_ref().map(|branch| branch.lowest_pa), NEVER),
            Quantity::SoundsTo => match &self.branch {
                None => (None, Some(NEVER)),
                Some(branch) => or(branch.highest_pa, NO_END),
            },
        };
        Answer { quantity, value, note }
    }

    fn onset(&self) -> Found {
        or(self.speaking.as_ref().and_then(|found| found.onset).map(|onset| onset.pressure_pa), NEVER)
    }

    fn choke(&self) -> Found {
        match self.speaking.as_ref().filter(|found| found.onset.is_some()).map(|found| found.choke) {
            None => (None, Some(NEVER)),
            Some(Choke::NoneBelowLimit) => (None, Some(NO_END)),
            Some(Choke::Fades(pressure)) => (Some(pressure), None),
            Some(Choke::Snaps(pressure)) => (Some(pressure), Some("snaps to another rest")),
        }
    }

    fn time(&self, pick: fn(&Start) -> Option<f64>) -> Found {
        let start = self.start.as_ref();
        match start.and_then(pick) {
            Some(time) => (Some(time), None),
            None => (None, Some(start.map_or(SILENT, |start| why_untimed(start.ending, start.speaks)))),
        }
    }

    fn end(&self, pick: fn(&Playable) -> End) -> Found {
        match self.playable.as_ref().map(pick) {
            Some(end) => (Some(end.pressure_pa), Some(edge(end))),
            None => (None, Some(NO_WINDOW)),
        }
    }

    /// Nothing where the run did not settle.
    fn steady(&self, pick: impl Fn(&Steady) -> f64) -> Found {
        let attack = self.attack.as_ref();
        let settled = attack.filter(|attack| attack.ending == Ending::Settled || attack.t50_s.is_some());
        let steady = settled.and_then(|attack| attack.steady).map(|steady| steady.with_swing_scaled(self.swing_scale));
        match steady {
            Some(steady) => (Some(pick(&steady)), None),
            None => (None, Some(attack.map_or(SILENT, |attack| why_untimed(attack.ending, attack.speaks)))),
        }
    }

    /// The conditions it was solved for.
    pub fn conditions(&self) -> &Conditions {
        &self.conditions
    }
}

type Found = (Option<f64>, Option<&'static str>);

const NEVER: &str = "never speaks";
const NO_END: &str = "none below the limit of the search";
const NO_WINDOW: &str = "speaks in time at no pressure";
const SILENT: &str = "does not speak";

fn or(value: Option<f64>, otherwise: &'static str) -> Found {
    (value, value.is_none().then_some(otherwise))
}

fn start_of(attack: &Attack) -> Start {
    let Attack { ending, speaks, t50_s, t90_s, evaluations, .. } = *attack;
    Start { ending, speaks, t50_s, t90_s, evaluations }
}

fn why_untimed(ending: Ending, speaks: bool) -> &'static str {
    match ending {
        Ending::TooStiff => "too stiff to finish",
        _ if speaks => "did not settle",
        _ => SILENT,
    }
}

/// Why a playable window ends, as a phrase.
pub fn edge(end: End) -> &'static str {
    match end.edge {
        Edge::TooSlow => "too slow",
        Edge::DoesNotStart => "does not start",
        Edge::OverStressed => "over-stressed",
        Edge::LimitOfSearch => "limit of the search",
    }
}
