//! Squeals: other modes than the first that grow.

use serde::{Deserialize, Serialize};

use super::follow::Point;
use crate::physics::linear::{Eigenmode, SmallMotion};
use crate::physics::model::ReedModel;

/// Another mode than the first that grows: a squeal. Its ends are known to four steps of the search.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Squeal {
    /// Lowest pressure at which it was seen to grow (Pa).
    pub from_pa: f64,
    /// Highest pressure at which it was seen to grow (Pa).
    pub to_pa: f64,
    /// Frequency where it grows fastest (Hz).
    pub frequency_hz: f64,
    /// Its fastest growth (1/s).
    pub growth_per_s: f64,
}

/// Keeps the stretches in which other modes grow.
#[derive(Default)]
pub(super) struct SquealLog {
    pub(super) finished: Vec<Squeal>,
    /// The mode last seen of each, and the pressure.
    last: Vec<(Eigenmode, f64)>,
}

impl SquealLog {
    pub(super) fn note(&mut self, mouth: &ReedModel, point: &Point) {
        let pressure = point.pressure();
        for mode in &SmallMotion::about(mouth, &point.rest).growing_beside(&point.mode) {
            let recent = |seen: &(Eigenmode, f64)| seen.0.overlap(mode) > 0.5 && pressure / seen.1 < 1.25;
            match self.last.iter().position(recent) {
                Some(k) => {
                    self.last[k] = (*mode, pressure);
                    let squeal = &mut self.finished[k];
                    squeal.to_pa = pressure;
                    if mode.growth_per_s > squeal.growth_per_s {
                        (squeal.growth_per_s, squeal.frequency_hz) = (mode.growth_per_s, mode.frequency_hz);
                    }
                }
                None => {
                    self.last.push((*mode, pressure));
                    self.finished.push(Squeal {
                        from_pa: pressure,
                        to_pa: pressure,
                        frequency_hz: mode.frequency_hz,
                        growth_per_s: mode.growth_per_s,
                    });
                }
            }
        }
    }
}
