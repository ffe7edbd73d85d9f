//! What each reed of a set answers to each blow of a piece, solved once.

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::touch::{ENDS, NORMAL, between, pressure_pa};
use crate::answer::swing_scale;
use crate::instrument::{Assessment, ReedAssessment, run_of_neighbours};
use crate::physics::ReedModel;
use crate::physics::attack::{Attack, Blow, Envelope, Start, Stop};

/// What a reed does when it is blown from rest.
#[derive(Debug, Clone)]
pub(super) struct Answer {
    pub pressure_pa: f64,
    pub speaks: bool,
    pub t50_s: Option<f64>,
    pub t90_s: Option<f64>,
    /// How its swing grows from rest until it is half way; nothing where it does not speak.
    pub growing: Option<Envelope>,
    /// Level at 1 m (dB).
    pub level_db: Option<f64>,
    /// What of it is beyond the run of the set at this velocity (dB).
    pub level_off_db: Option<f64>,
}

impl Answer {
    /// Whether and when a reed starts, and nothing of its level.
    pub fn starting(model: &ReedModel, blow: &Blow) -> Self {
        let Start { speaks, t50_s, t90_s, .. } = model.start(blow, Stop::WhenSteady);
        Self::timed(model, blow, speaks, [t50_s, t90_s])
    }

    fn timed(model: &ReedModel, blow: &Blow, speaks: bool, times_s: [Option<f64>; 2]) -> Self {
        let [t50_s, t90_s] = times_s.map(|time_s| time_s.filter(|_| speaks));
        let growing = t50_s.map(|t50_s| model.envelope_to(blow, t50_s));
        Self { pressure_pa: blow.pressure_pa, speaks, t50_s, t90_s, growing, level_db: None, level_off_db: None }
    }
}

/// A reed, told by its place among those that could be assessed, and a velocity.
pub(super) type Blown = (usize, u8);

/// Every reed of the piece at every velocity that it is given there.
pub(super) struct Answers<'a> {
    pub reeds: Vec<&'a ReedAssessment>,
    found: BTreeMap<Blown, Answer>,
}

impl<'a> Answers<'a> {
    /// Solves what the assessment has not solved yet, on all cores; `begin` is told how much that is, and `done` is called
    /// after each.
    pub fn of(
        assessment: &'a Assessment,
        mut blown: Vec<Blown>,
        begin: impl Fn(usize),
        done: impl Fn() + Sync,
    ) -> Self {
        blown.sort_unstable();
        blown.dedup();
        begin(blown.len());
        let reeds: Vec<&ReedAssessment> = assessment.good_rows().collect();
        let expected = expected_levels(&reeds);
        let one = |&(reed, velocity): &Blown| {
            let Attack { blow, speaks, t50_s, t90_s, steady, .. } = attack(reeds[reed], velocity);
            let level_db = steady.map(|steady| steady.level.db);
            let level_off_db = level_db.zip(expected[reed]).map(|(level, run)| level - between(velocity, run));
            let timed = Answer::timed(&reeds[reed].prediction.model, &blow, speaks, [t50_s, t90_s]);
            let answer = Answer { level_db, level_off_db, ..timed };
            done();
            ((reed, velocity), answer)
        };
        let found = blown.par_iter().with_max_len(1).map(one).collect();
        Self { reeds, found }
    }

    /// The answer of a reed to a velocity of the piece.
    pub fn at(&self, blown: Blown) -> &Answer {
        &self.found[&blown]
    }
}

/// An attack: taken from the assessment at the player's own three pressures, else solved.
fn attack(assessed: &ReedAssessment, velocity: u8) -> Attack {
    let known = [ENDS.0, NORMAL, ENDS.1].iter().position(|known| *known == velocity);
    if let Some(place) = known {
        return assessed.attacks[place].clone();
    }
    let model = &assessed.prediction.model;
    let blow = assessed.demand.blow(pressure_pa(velocity, &assessed.pressures));
    let scale = swing_scale(model, &mut assessed.reed.checked.clone());
    let attack = model.attack(&blow, Stop::WhenSteady).without_trace();
    Attack { steady: attack.steady.map(|steady| steady.with_swing_scaled(scale)), ..attack }
}

/// Of each reed the levels that the run of its neighbours leads to expect at the soft, the normal and the hard pressure (dB);
/// nothing where too few neighbours tell.
fn expected_levels(reeds: &[&ReedAssessment]) -> Vec<Option<[f64; 3]>> {
    let at = |playing: usize| -> Vec<Option<f64>> {
        let level = |reed: &&ReedAssessment| reed.attacks[playing].steady.map(|steady| steady.level.db);
        let points: Vec<_> = reeds.iter().map(|reed| (f64::from(reed.reed.note.midi()), level(reed))).collect();
        (0..points.len()).map(|place| run_of_neighbours(place, &points)).collect()
    };
    let [soft, normal, hard] = [0, 1, 2].map(at);
    (0..reeds.len()).map(|k| Some([soft[k]?, normal[k]?, hard[k]?])).collect()
}
