//! Speaking time over the blowing pressure, for several tip gaps.

use rayon::prelude::*;

use super::{Study, changed};
use crate::physics::ReedModel;
use crate::physics::attack::{Blow, Stop};

/// How the reed answers one pressure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Response {
    /// It speaks, half way after so long (s).
    Speaks(f64),
    /// It stays silent.
    Silent,
    /// It did not settle.
    Unknown,
}

/// The reed with one gap.
#[derive(Debug, Clone, PartialEq)]
pub struct ResponseCurve {
    /// Tip gap (m).
    pub gap_m: f64,
    /// Pressure (Pa) and answer, softest first.
    pub points: Vec<(f64, Response)>,
}

impl Study {
    /// `count` pressures in even ratios, from a little above the onset of the reed as it is to a little above its choke, or
    /// to forty times its onset where it has none; none where it never speaks.
    pub fn pressures_pa(&self, count: usize) -> Vec<f64> {
        let Some(onset) = self.speaking.onset else { return Vec::new() };
        let low = 1.2 * onset.pressure_pa;
        let choke = self.speaking.choke.pressure_pa().unwrap_or(f64::INFINITY);
        let high = (1.3 * choke).min(40.0 * onset.pressure_pa).min(self.conditions.search.limit_pa).max(2.0 * low);
        (0..count).map(|k| low * (high / low).powf(k as f64 / (count - 1) as f64)).collect()
    }

    /// The time to speak at each of `pressures_pa` for each of `gaps_m`; `done` is told of each attack.
    pub fn responses(&self, gaps_m: &[f64], pressures_pa: &[f64], done: &(dyn Fn() + Sync)) -> Vec<ResponseCurve> {
        let answer = |model: &ReedModel, pressure_pa: f64| {
            let start = model.start(&Blow { pressure_pa, ..self.conditions.blow() }, Stop::WhenSteady);
            done();
            match (start.speaks, start.t50_s) {
                (true, Some(time)) => Response::Speaks(time),
                (false, _) => Response::Silent,
                _ => Response::Unknown,
            }
        };
        let curve = |&gap_m: &f64| {
            let model = ReedModel::new(changed::with_tip_gap(self.reed(), gap_m)).ok();
            let point = |&pressure_pa: &f64| {
                (pressure_pa, model.as_ref().map_or(Response::Unknown, |model| answer(model, pressure_pa)))
            };
            ResponseCurve { gap_m, points: pressures_pa.par_iter().map(point).collect() }
        };
        gaps_m.par_iter().map(curve).collect()
    }
}
