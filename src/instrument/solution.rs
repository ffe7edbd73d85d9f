//! A reed solved at the player's pressures: the costly part of an assessment, and all that it follows from.

use super::asked::{Asked, Pressures, demand};
use super::assess::{Pitch, PitchFrom, ReedAssessment};
use super::clearance;
use super::figure::Figures;
use super::known::Uncertainties;
use super::margins;
use crate::answer::swing_scale;
use crate::physics::attack::Blow;
use crate::physics::attack::{Attack, Ending, Stop};
use crate::physics::onset::Search;
use crate::physics::playable::{Demand, Playable};
use crate::physics::{ReedModel, State};
use crate::predict::{Prediction, Question, SmallMotion};
use crate::sheet::{CheckedReed, Job, JobReed, notes};

/// What is solved: everything that a [`Solution`] follows from.
pub(super) struct Asking<'a> {
    checked: &'a CheckedReed,
    target_hz: f64,
    pub(super) pressures: Pressures,
    pub(super) demand: Demand,
}

/// What was found.
#[derive(Debug, Clone)]
pub(super) struct Solution {
    pub(super) small: SmallMotion,
    /// Soft, normal, hard; the swing scaled to a measured one.
    pub(super) attacks: [Attack; 3],
    pub(super) playable: Option<Playable>,
    /// The motion to which each attack settled.
    pub(super) sounding: [Option<State>; 3],
    pitch: Pitch,
    /// What is to be said of a measured swing that fits nothing.
    notes: Vec<String>,
}

impl<'a> Asking<'a> {
    pub(super) fn of(job: &Job, reed: &'a JobReed) -> Self {
        Self {
            checked: &reed.checked,
            target_hz: reed.target_hz,
            pressures: Pressures::of(&job.player, reed.note),
            demand: demand(&job.player, reed.note),
        }
    }

    pub(super) fn model(&self) -> ReedModel {
        ReedModel::new(self.checked.reed.clone()).expect("a checked reed can be solved")
    }

    pub(super) fn solved(&self) -> Solution {
        let model = self.model();
        let question = Question { at_pa: self.pressures.all().to_vec(), search: Search::default() };
        let small = SmallMotion::of(&model, self.checked, &question);
        let mut checked = self.checked.clone();
        let said = checked.notes.len();
        let swing_scale = swing_scale(&model, &mut checked);
        let (attacks, playable) = rayon::join(
            || self.pressures.all().map(|p| model.attack(&self.demand.blow(p), Stop::WhenSteady)),
            || model.playable(&small.speaking, self.demand),
        );
        let settled =
            |attack: &Attack| attack.trace.states().last().copied().filter(|_| attack.ending == Ending::Settled);
        let sounding = std::array::from_fn(|k| settled(&attacks[k]));
        let attacks = attacks.map(|attack| {
            let attack = attack.without_trace();
            Attack { steady: attack.steady.map(|steady| steady.with_swing_scaled(swing_scale)), ..attack }
        });
        let pitch = self.pitch(&model, &attacks[1]);
        Solution { small, attacks, playable, sounding, pitch, notes: checked.notes.split_off(said) }
    }

    /// The reed with its solution; not judged yet.
    pub(super) fn assessed(&self, reed: &JobReed, solution: Solution) -> ReedAssessment {
        let Solution { small, attacks, playable, pitch, notes, .. } = solution;
        let mut reed = reed.clone();
        reed.checked.notes.extend(notes);
        let (pressures, demand) = (self.pressures, self.demand);
        let mut assessed = ReedAssessment {
            pitch,
            fit: clearance::fit(&reed.checked),
            leak_cost: None,
            uncertainties: Uncertainties::default(),
            counterpart: None,
            asked: Asked::of(pressures, demand, None),
            says: None,
            figures: Figures::default(),
            samples: Vec::new(),
            level_off_db: None,
            margins: Vec::new(),
            findings: Vec::new(),
            prediction: Prediction::with(self.model(), &reed.checked, small),
            reed,
            pressures,
            demand,
            attacks,
            playable,
        };
        assessed.figures = margins::figures(&assessed);
        assessed
    }

    /// The best known pitch: measured sounding, else measured plucked, else computed.
    fn pitch(&self, model: &ReedModel, normal: &Attack) -> Pitch {
        let measured = &self.checked.measured;
        let sounding = measured.sounding_hz.zip(measured.at_pa).zip(normal.steady.as_ref());
        let (frequency_hz, from) = match (sounding, measured.pluck_hz) {
            (Some(((hz, at_pa), steady)), _) => {
                let there = model.attack(&Blow::to(at_pa), Stop::WhenSteady).steady;
                (hz * there.map_or(1.0, |there| steady.frequency_hz / there.frequency_hz), PitchFrom::Sounding)
            }
            (None, Some(hz)) => (hz, PitchFrom::Plucked),
            (None, None) => (model.modes()[0].frequency_hz, PitchFrom::Computed),
        };
        let target_hz = self.target_hz;
        Pitch { frequency_hz, target_hz, cents: notes::cents(frequency_hz, target_hz), from }
    }
}
