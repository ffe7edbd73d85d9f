//! What a reed would do over a range of gaps, clearances and pressures: the values of the teaching charts.
//!
//! A [`Study`] holds one reed and the conditions; each question has a function of its own. The reed as it is is always one
//! of those tried.

pub mod changed;
mod gaps;
mod map;
mod response;
mod sustained;

pub use gaps::{GapCurve, GapPoint};
pub use map::{Map, MapOf};
pub use response::{Response, ResponseCurve};
pub use sustained::{Sustained, SustainedPoint};

use crate::answer::{Answer, Conditions, DoesNotSound, Quantity, Solved, SwingScale};
use crate::physics::onset::Speaking;
use crate::physics::{InputError, Reed, ReedModel};
use crate::sheet::CheckedReed;

/// One reed and how it is asked.
#[derive(Debug, Clone)]
pub struct Study {
    /// The reed as it is.
    pub checked: CheckedReed,
    /// The same, solved.
    pub model: ReedModel,
    /// Its small motion.
    pub speaking: Speaking,
    /// Under which conditions.
    pub conditions: Conditions,
    /// What swing, stress and level are multiplied by.
    pub swing_scale: f64,
}

/// Why a reed cannot be studied.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum StudyError {
    /// The equations have no meaning for it.
    #[error("cannot solve this reed: {0}")]
    Input(#[from] InputError),
    /// Its measured swing fits nothing.
    #[error(transparent)]
    Swing(#[from] DoesNotSound),
}

impl Study {
    /// Prepares a reed.
    ///
    /// # Errors
    /// A value for which the equations have no meaning, or a measured swing where the reed does not sound.
    pub fn of(checked: CheckedReed, conditions: Conditions) -> Result<Self, StudyError> {
        let model = ReedModel::new(checked.reed.clone())?;
        let swing_scale = SwingScale::of(&checked, &model)?.map_or(1.0, |scale| scale.factor);
        let speaking = model.speaking(&conditions.search);
        Ok(Self { model, speaking, conditions, swing_scale, checked })
    }

    /// The reed in SI units.
    pub fn reed(&self) -> &Reed {
        self.model.reed()
    }

    /// Its tip gap (m).
    pub fn gap_m(&self) -> f64 {
        changed::tip_gap_m(self.reed())
    }

    /// Its side clearance, the mean of both sides at the tip (m).
    pub fn clearance_m(&self) -> f64 {
        changed::side_clearance_m(self.reed())
    }

    /// `count` tip gaps around the reed's own, which is one of them (m): from a third of it to nearly twice; around a
    /// hundredth of the length where the tip lies at the plate or below.
    pub fn gaps_m(&self, count: usize) -> Vec<f64> {
        around(self.gap_m(), 0.01 * self.reed().beam.length_m, count)
    }

    /// `count` side clearances around the reed's own, which is one of them (m).
    pub fn clearances_m(&self, count: usize) -> Vec<f64> {
        around(self.clearance_m(), self.clearance_m(), count)
    }

    /// The reed with another tip gap and side clearance, the tip clearance as it is.
    fn at(&self, gap_m: f64, clearance_m: f64) -> Reed {
        let wider = changed::with_clearance_scaled(self.reed(), clearance_m / self.clearance_m());
        if gap_m == self.gap_m() { wider } else { changed::with_tip_gap(&wider, gap_m) }
    }

    /// Results at each of `gaps_m` in turn, with one clearance; `done` is told of each reed. Each window is sought from
    /// that of the gap before.
    fn along_gaps(
        &self,
        gaps_m: &[f64],
        clearance_m: f64,
        of: &[Quantity],
        conditions: &Conditions,
        done: &(dyn Fn() + Sync),
    ) -> Vec<Option<Solved>> {
        let mut all: Vec<Option<Solved>> = Vec::new();
        for &gap_m in gaps_m {
            let (reed, last) = (self.at(gap_m, clearance_m), all.last().and_then(Option::as_ref));
            all.push(Solved::with_window_like(&reed, of, conditions, self.swing_scale, last).ok());
            done();
        }
        all
    }

    fn solved(&self, reed: Reed, of: &[Quantity], conditions: &Conditions) -> Option<Solved> {
        Solved::of(&reed, of, conditions, self.swing_scale).ok()
    }

    /// Results of the reed as it is.
    pub fn answers(&self, of: &[Quantity]) -> Vec<Answer> {
        let solved = self.solved(self.reed().clone(), of, &self.conditions);
        solved.map_or(Vec::new(), |solved| of.iter().map(|&quantity| solved.answer(quantity)).collect())
    }
}

/// Values from about a third of `own` to twice, in steps that widen, with `own` among them; around `usual` where there is
/// nothing to multiply.
fn around(own: f64, usual: f64, count: usize) -> Vec<f64> {
    let centre = if own > 0.1 * usual { own } else { usual };
    let below = count / 2;
    let value = |k: usize| {
        let steps = k as f64 - below as f64;
        // As many steps down to a third as up to twice and a bit.
        let (span, end): (f64, f64) =
            if steps < 0.0 { (below as f64, 1.0 / 3.0) } else { ((count - 1 - below) as f64, 1.8) };
        if steps == 0.0 { centre } else { centre * (1.0 + (end - 1.0) * steps.abs() / span) }
    };
    let mut values: Vec<f64> = (0..count).map(value).collect();
    if centre != own {
        values.push(own);
        values.sort_by(f64::total_cmp);
    }
    values
}
