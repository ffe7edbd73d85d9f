//! The sustained oscillation found directly: periodic orbits, and their branch over the pressure.
//!
//! An orbit is a solution of the equations of motion ([`super::model`]) that closes upon itself after a period `T`:
//! `x(T) = x(0)`. Walking once round it with an implicit method gives `x(T)` and its derivatives; Newton's iteration closes
//! it (single shooting: A. H. Nayfeh and B. Balachandran, *Applied Nonlinear Dynamics*, section 5.3). Orbits form a branch
//! that leaves the static rest at onset and is followed round its folds by steps along it (pseudo-arclength; H. B. Keller
//! 1977), through orbits that no time simulation shows because they are unstable.
//!
//! What the branch tells beyond small motion: a reed once sounding goes on sounding below onset and far beyond choke
//! (hysteresis), and whether sound sets in softly or suddenly.

mod branch;
mod like;
mod motion;
mod orbit;
mod period;
mod van_der_pol;

use super::attack::Steady;
use super::model::{ReedModel, State};
use super::onset::Speaking;
use super::sound::Cycle;
use super::trace::Trace;
pub use branch::BranchEnd;
use branch::{BranchPoint, FINE};
pub(crate) use like::KnownOrbit;
use motion::Motion;
use orbit::{Condition, LN_PARAMETER, Orbit};
use period::Walker;
pub(crate) use van_der_pol::van_der_pol;

/// Sounding this far below onset, relative to it, makes the setting in sudden.
const BELOW_ONSET: f64 = 2e-3;

/// How sound sets in at onset.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SetIn {
    /// The swing grows from nothing as the pressure rises.
    Soft,
    /// The swing jumps: the reed also sounds somewhat below onset, once it has been started.
    Sudden,
}

/// All orbits from onset onwards. Pressures are those of the mouth, or of the lungs where there is a player.
#[derive(Debug, Clone)]
pub struct Branch {
    points: Vec<BranchPoint>,
    /// How the branch ends.
    pub end: BranchEnd,
    /// How sound sets in.
    pub set_in: SetIn,
    /// Lowest pressure that keeps the reed sounding (Pa): that of the fold below onset, or onset itself.
    pub lowest_pa: f64,
    /// Highest pressure that does (Pa); nothing where it goes on to the limit of the search.
    pub highest_pa: Option<f64>,
    /// Evaluations of the equations of motion and their derivatives.
    pub evaluations: usize,
}

/// One orbit, read off.
#[derive(Debug, Clone)]
pub struct SteadyOrbit {
    /// Pressure in the mouth, or in the lungs where there is a player (Pa).
    pub pressure_pa: f64,
    /// What is sounding.
    pub steady: Steady,
    /// Its period, for spectrum and level at any distance.
    pub cycle: Cycle,
    /// Whether it lasts against small disturbances.
    pub stable: bool,
    /// One period, step by step.
    pub trace: Trace,
    /// Evaluations of the equations of motion and their derivatives.
    pub evaluations: usize,
}

impl Branch {
    /// Pressure (Pa), swing (m) and whether it lasts, along the branch from onset.
    pub fn swings(&self) -> impl Iterator<Item = (f64, f64, bool)> + '_ {
        self.points.iter().map(|point| (point.pressure_pa(), point.swing_m, point.stable))
    }

    /// Neighbours on the branch with a pressure between theirs.
    fn around(&self, pressure_pa: f64) -> impl Iterator<Item = &[BranchPoint]> {
        self.points.windows(2).filter(move |pair| {
            let off = |point: &BranchPoint| point.pressure_pa() - pressure_pa;
            off(&pair[0]) * off(&pair[1]) <= 0.0
        })
    }
}

impl ReedModel {
    /// The branch of orbits from the first onset up to `limit_pa`; nothing where the reed never speaks.
    pub fn branch(&self, speaking: &Speaking, limit_pa: f64) -> Option<Branch> {
        let mut motion = self.motion(speaking)?;
        let (points, end) = motion.branch(speaking, limit_pa)?;
        let (rest, _) = self.onset_shape(self.first_growth(speaking)?.pressure_pa)?;
        let onset_pa = self.blown_pa(&rest);
        let lowest = motion.extreme_pa(&points, -1.0).filter(|pressure| *pressure < (1.0 - BELOW_ONSET) * onset_pa);
        Some(Branch {
            set_in: if lowest.is_some() { SetIn::Sudden } else { SetIn::Soft },
            lowest_pa: lowest.unwrap_or(onset_pa),
            highest_pa: motion.extreme_pa(&points, 1.0).filter(|_| end != BranchEnd::Limit),
            points,
            end,
            evaluations: motion.evaluations,
        })
    }

    /// The lasting orbit of widest swing at `pressure_pa`; nothing where the reed does not sound.
    pub fn orbit_at(&self, speaking: &Speaking, branch: &Branch, pressure_pa: f64) -> Option<SteadyOrbit> {
        let lasting = branch.around(pressure_pa).filter(|pair| pair[0].stable || pair[1].stable);
        let widest = lasting.max_by(|a, b| a[1].swing_m.total_cmp(&b[1].swing_m))?;
        self.orbit_between(speaking, widest, pressure_pa)
    }

    /// Every orbit at `pressure_pa` along the branch, those that do not last included.
    pub fn orbits_at(&self, speaking: &Speaking, branch: &Branch, pressure_pa: f64) -> Vec<SteadyOrbit> {
        branch.around(pressure_pa).filter_map(|pair| self.orbit_between(speaking, pair, pressure_pa)).collect()
    }

    /// The orbit at `pressure_pa` between two neighbours on the branch.
    fn orbit_between(&self, speaking: &Speaking, pair: &[BranchPoint], pressure_pa: f64) -> Option<SteadyOrbit> {
        let mut motion = self.motion(speaking)?;
        let (a, b) = (pair[0].unknowns, pair[1].unknowns);
        let share = ((pressure_pa.ln() - a[LN_PARAMETER]) / (b[LN_PARAMETER] - a[LN_PARAMETER])).clamp(0.0, 1.0);
        let guess = a + (b - a) * share;
        let orbit = motion.orbit(&guess, &Condition::fixed(LN_PARAMETER, pressure_pa.ln()), FINE)?;
        Some(self.read_orbit(&motion, &orbit))
    }

    /// Every orbit of a branch in its order, those that do not last included, each read off to some 0.2 %.
    pub fn orbits(&self, speaking: &Speaking, branch: &Branch) -> Vec<SteadyOrbit> {
        let Some(mut walker) = self.motion(speaking) else { return Vec::new() };
        let read = |point: &BranchPoint| {
            let orbit = point.orbit(&mut walker)?;
            Some(self.read_orbit(&walker, &orbit))
        };
        branch.points.iter().filter_map(read).collect()
    }

    fn motion(&self, speaking: &Speaking) -> Option<Walker<Motion<'_>>> {
        let onset = speaking.onset?;
        let equations = Motion { model: self, units: self.branch_units(onset.pressure_pa) };
        Some(Walker { equations, evaluations: 0 })
    }

    fn read_orbit(&self, motion: &Walker<Motion<'_>>, orbit: &Orbit) -> SteadyOrbit {
        let (period, steps) = (orbit.period_s(), orbit.walk.states.len() - 1);
        let mut trace = Trace::default();
        for (k, x) in orbit.walk.states.iter().enumerate() {
            let state: State = motion.equations.to_state(x);
            trace.push(period * k as f64 / steps as f64, state, self.rates(&state, orbit.parameter()));
        }
        SteadyOrbit {
            pressure_pa: orbit.parameter(),
            steady: Steady::of(self, &trace, period),
            cycle: Cycle::last_of(self, &trace, period),
            stable: orbit.is_stable(),
            trace,
            evaluations: motion.evaluations,
        }
    }
}
