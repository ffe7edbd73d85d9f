//! Onset and choke: where small motion grows.
//!
//! The growth rate of the reed's first mode is followed in the mouth pressure `P`, from 1 Pa in steps of 1 %, so that no
//! window of 2 % is missed; the mode keeps its identity by the overlap of its eigenvectors.
//!
//! - **Onset** is the lowest `P` at which the growth rate turns positive.
//! - **Choke** is, with `s_max` the largest growth rate between onset and the limit, the lowest `P` beyond that maximum at
//!   which it falls under 5 % of `s_max`: above it a slow attack does not start the reed. At a fold of the static rest the
//!   reed snaps to another rest, and the window ends there.

mod follow;
mod search;
mod squeal;

use serde::{Deserialize, Serialize};

use super::equilibrium::Equilibrium;
use super::linear::{Eigenmode, SmallMotion};
use super::model::{ReedModel, State};
use follow::{ACCURACY, Follower, Point, rate};
pub use squeal::Squeal;

/// Where to look.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Search {
    /// Lowest mouth pressure (Pa).
    pub lowest_pa: f64,
    /// Highest mouth pressure (Pa).
    pub limit_pa: f64,
    /// Ratio of one pressure to the one before.
    pub ratio: f64,
}

impl Search {
    /// In steps of 5 %, for what needs onset and choke and no narrow window: both are refined in any case.
    pub const COARSE: Self = Self { lowest_pa: 1.0, limit_pa: 20e3, ratio: 1.05 };
}

impl Default for Search {
    fn default() -> Self {
        Self { lowest_pa: 1.0, limit_pa: 20e3, ratio: 1.01 }
    }
}

/// Growth of the first mode at one pressure.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Growth {
    /// Mouth pressure (Pa).
    pub pressure_pa: f64,
    /// Growth rate (1/s), negative where small motion dies.
    pub growth_per_s: f64,
    /// Frequency of small motion (Hz).
    pub frequency_hz: f64,
}

/// Where the reed can no longer be started softly.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum Choke {
    /// Not below the limit of the search.
    NoneBelowLimit,
    /// The growth rate has fallen under 5 % of its largest (Pa).
    Fades(f64),
    /// The static rest folds and the reed snaps (Pa).
    Snaps(f64),
}

impl Choke {
    /// The pressure, where there is one (Pa).
    pub fn pressure_pa(&self) -> Option<f64> {
        match *self {
            Self::NoneBelowLimit => None,
            Self::Fades(pressure) | Self::Snaps(pressure) => Some(pressure),
        }
    }
}

/// A stretch of pressure in which small motion grows.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Window {
    /// It begins to grow (Pa).
    pub from_pa: f64,
    /// It stops growing (Pa); nothing where it still grows at the limit.
    pub to_pa: Option<f64>,
}

/// All that the small motion tells about one reed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Speaking {
    /// Growth at onset (zero), with pressure and frequency; nothing where the reed never speaks.
    pub onset: Option<Growth>,
    /// The end of the window.
    pub choke: Choke,
    /// Fastest growth between onset and the limit.
    pub fastest: Option<Growth>,
    /// Every stretch of growth, lowest first.
    pub windows: Vec<Window>,
    /// Other modes that grow.
    pub squeals: Vec<Squeal>,
    /// Where the static rest folds (Pa), if it does below the limit.
    pub fold_pa: Option<f64>,
    /// Growth at every pressure searched, lowest first.
    pub curve: Vec<Growth>,
    /// Highest pressure searched (Pa).
    pub limit_pa: f64,
    /// Solutions of the static rest with its eigenvalues.
    pub evaluations: usize,
}

/// Small motion under one pressure.
pub(super) struct AboutRest {
    /// Growth of the first mode with the pressure in the mouth prescribed (1/s).
    pub(super) growth_per_s: f64,
    /// The static rest.
    pub(super) rest: State,
    /// The first mode, a player included.
    pub(super) mode: Option<Eigenmode>,
    pub(super) motion: SmallMotion,
}

impl Speaking {
    /// Growth rate at a pressure (1/s), read off the searched curve; beyond its ends that of the nearest end.
    pub fn growth_near(&self, pressure_pa: f64) -> f64 {
        let right = self.curve.partition_point(|point| point.pressure_pa < pressure_pa);
        match (right.checked_sub(1).and_then(|k| self.curve.get(k)), self.curve.get(right)) {
            (Some(a), Some(b)) => {
                let x = (pressure_pa - a.pressure_pa) / (b.pressure_pa - a.pressure_pa);
                a.growth_per_s + x * (b.growth_per_s - a.growth_per_s)
            }
            (Some(end), None) | (None, Some(end)) => end.growth_per_s,
            (None, None) => f64::NEG_INFINITY,
        }
    }
}

impl ReedModel {
    /// Onset, choke and all windows of growth.
    pub fn speaking(&self, search: &Search) -> Speaking {
        let mut follower = Follower::new(self);
        let (points, squeals, fold_pa) = follower.scan(search);
        let points = follower.with_peaks(points);
        let windows = follower.windows(&points, fold_pa);
        let onset = windows.first().map(|&(start, _)| start.growth());
        let from = onset.map_or(f64::INFINITY, |growth| growth.pressure_pa);
        let curve = points.iter().map(Point::growth).collect();
        let mut beyond: Vec<Point> = points.into_iter().filter(|point| point.pressure() >= from).collect();
        let peak = (0..beyond.len()).max_by(|&a, &b| rate(&beyond[a]).total_cmp(&rate(&beyond[b])));
        if let Some(peak) = peak.filter(|&peak| peak > 0 && peak + 1 < beyond.len()) {
            beyond[peak] = follower.top(&beyond[peak - 1], &beyond[peak], &beyond[peak + 1]);
        }
        Speaking {
            onset,
            choke: peak.map_or(Choke::NoneBelowLimit, |peak| follower.choke(&beyond[peak..], fold_pa)),
            fastest: peak.map(|peak| beyond[peak].growth()),
            windows: windows.iter().map(|&(start, to_pa)| Window { from_pa: start.pressure(), to_pa }).collect(),
            squeals,
            fold_pa,
            curve,
            limit_pa: search.limit_pa,
            evaluations: follower.evaluations,
        }
    }

    /// Onset of a reed whose like has it at `known_pa`, by coarse steps: half way up to that it does not grow yet as a rule, and
    /// where it does, it is sought from no pressure.
    pub fn onset_near(&self, known_pa: Option<f64>) -> Option<Growth> {
        let half_pa = known_pa.map_or(Search::COARSE.lowest_pa, |known_pa| 0.5 * known_pa);
        let search = Search { lowest_pa: half_pa, ..Search::COARSE };
        let onset = self.onset(&search).filter(|onset| onset.pressure_pa > half_pa);
        onset.or_else(|| self.onset(&Search::COARSE))
    }

    /// Onset alone, for a fraction of the work of [`ReedModel::speaking`]: the search ends there. A window narrower than
    /// one step of it may be passed over.
    pub fn onset(&self, search: &Search) -> Option<Growth> {
        let mut follower = Follower::new(self);
        let mut here = follower.reach(search.lowest_pa)?;
        while rate(&here) <= 0.0 && here.pressure() < search.limit_pa {
            let next = follower.advance(&here, (here.pressure() * search.ratio).min(search.limit_pa)).ok()?;
            if rate(&next) > 0.0 {
                return Some(follower.crossing(&here, &next, 0.0).growth());
            }
            here = next;
        }
        (rate(&here) > 0.0).then(|| here.growth())
    }

    /// Growth of the first mode at each of `pressures_pa`, in any order; nothing beyond a fold of the static rest, and
    /// nothing for what is not a pressure above zero.
    pub fn growth(&self, pressures_pa: &[f64]) -> Vec<Option<Growth>> {
        let mut follower = Follower::new(self);
        let mut order: Vec<usize> = (0..pressures_pa.len()).filter(|&index| pressures_pa[index] > 0.0).collect();
        order.sort_by(|&a, &b| pressures_pa[a].total_cmp(&pressures_pa[b]));
        let mut growth = vec![None; pressures_pa.len()];
        let start = order.first().map_or(f64::INFINITY, |&index| pressures_pa[index]).min(Search::default().lowest_pa);
        let mut here = follower.start(start);
        for index in order {
            here = here.and_then(|point| follower.travel(point, pressures_pa[index]));
            growth[index] = here.map(|point| point.growth());
        }
        growth
    }

    /// The static rest at `mouth_pa`, followed from no pressure; nothing beyond a fold.
    pub fn static_rest(&self, mouth_pa: f64) -> Option<Equilibrium> {
        if mouth_pa == 0.0 {
            return Some(Equilibrium::default());
        }
        Follower::new(self).reach(mouth_pa).map(|point| point.rest)
    }

    /// Small motion about the static rest when blown with a pressure; nothing beyond a fold.
    pub(super) fn about_rest(&self, blown_pa: f64) -> Option<AboutRest> {
        let point = Follower::new(self).reach(self.resting_mouth_pa(blown_pa))?;
        let motion = SmallMotion::about(self, &point.rest);
        let mode = motion.mode_after(&point.mode);
        Some(AboutRest { growth_per_s: rate(&point), rest: self.state_of(&point.rest), mode, motion })
    }

    /// The static rest at `mouth_pa`, and the first mode there per metre of its tip motion.
    pub(super) fn onset_shape(&self, mouth_pa: f64) -> Option<(State, State)> {
        let mut follower = Follower::new(self);
        let point = follower.reach(mouth_pa)?;
        let shape = SmallMotion::about(&follower.model, &point.rest).shape_of(&point.mode);
        Some((self.state_of(&point.rest), shape))
    }

    /// Mouth pressure at rest under a pressure in the lungs (Pa): the same without a player, else less by what the flow
    /// takes, `P - R_l U_c`.
    pub fn resting_mouth_pa(&self, lungs_pa: f64) -> f64 {
        let mouth = self.ladder.to_the_mouth().sections().len();
        let Some(player) = self.ladder.sections().get(mouth) else { return lungs_pa };
        let (mut low, mut high) = (0.0, lungs_pa);
        while high - low > ACCURACY * lungs_pa {
            let middle = 0.5 * (low + high);
            let taken = self.static_rest(middle).map_or(0.0, |rest| player.lost_pa(rest.flow_m3_s));
            if middle + taken < lungs_pa { low = middle } else { high = middle }
        }
        0.5 * (low + high)
    }
}
