//! One operation that could be next, with what the model says it does.

use super::super::assess::ReedAssessment;
use super::worth::Demands;
use crate::sheet::{CheckedReed, Operation, Rates};
use crate::workshop::align::Alignment;
use crate::workshop::care::Care;
use crate::workshop::regap::RegapPlan;
use crate::workshop::replace::Candidate as NewReed;
use crate::workshop::retune::RetunePlan;
use crate::workshop::seal::leak::LeakPlan;

/// When a kind of work is done: what costs little and tells much comes first, then what disturbs other work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Stage {
    /// What is looked at or read in a few minutes, and may make all else needless.
    Look,
    /// The tongue itself and what holds it.
    Tongue,
    /// The slot and what is tight: where the tongue lies, leaks.
    Slot,
    /// The pitch.
    Pitch,
    /// The final gap.
    Gap,
    /// Numbers that contradict each other, or that no work fits: after what is plain to see.
    Measure,
}

/// What is to be measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Remeasure {
    /// Thickness, length and pitch contradict each other.
    Contradiction,
    /// The pitch was never measured, and its sizes say that it is off.
    Pitch,
    /// The player finds it airy, and no leak is known.
    Leak,
    /// No work that was tried would mend it.
    NothingMends,
}

/// Why a reed is cleaned and looked over.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Suspicion {
    /// It is far flat.
    Flat,
    /// It blows harder than all that was measured lets it.
    Harder,
    /// Its player finds fault with it, and no work that was tried changes that.
    Word,
}

impl Suspicion {
    /// What is done, in this order.
    pub fn care(self) -> [Care; 3] {
        match self {
            Self::Flat => [Care::LookForCrack, Care::LookForLooseRivet, Care::Clean],
            Self::Harder | Self::Word => [Care::TestValve, Care::Clean, Care::LookForCrack],
        }
    }
}

/// An operation, planned.
#[derive(Debug, Clone)]
pub enum Plan {
    /// To measure first.
    Measure(Remeasure),
    /// To clean it and look it over before other work.
    Clean(Suspicion),
    /// To clean and fasten a tongue that rings too short: at best it rings as its neighbours do.
    Fasten {
        /// Quality factor now.
        quality: f64,
        /// As its neighbours ring.
        usual: f64,
        /// Plucked pitch (Hz), by which a quality factor is a time of ringing.
        pluck_hz: f64,
    },
    /// A new tongue.
    Replace(Box<NewReed>),
    /// To move the tongue in its slot.
    Align(Box<Alignment>),
    /// To stop a leak.
    Seal(Box<LeakPlan>),
    /// To close the edges of a slot that is wider than its neighbours'.
    CloseEdges {
        /// Mean side clearance now (m).
        clearance_m: f64,
        /// As its neighbours have it (m).
        usual_m: f64,
    },
    /// To bring it to its pitch.
    Retune(Box<RetunePlan>),
    /// To bend it to another gap.
    Regap(Box<RegapPlan>),
    /// As that, where the yield strength is not known: how far to push cannot be told.
    RegapUnknown {
        /// Tip gap now (m).
        gap_m: f64,
        /// Tip gap wanted (m).
        wanted_m: f64,
        /// What to do about it.
        why: String,
    },
}

impl Plan {
    /// Its kind.
    pub fn operation(&self) -> Operation {
        match self {
            Self::Measure(_) => Operation::Measure,
            Self::Clean(_) => Operation::Clean,
            Self::Fasten { .. } => Operation::Fasten,
            Self::Replace(_) => Operation::Replace,
            Self::Align(_) => Operation::Align,
            Self::Seal(_) | Self::CloseEdges { .. } => Operation::Seal,
            Self::Retune(_) => Operation::Retune,
            Self::Regap(_) | Self::RegapUnknown { .. } => Operation::Regap,
        }
    }

    /// When it is done.
    pub fn stage(&self) -> Stage {
        match self {
            Self::Clean(_) | Self::Measure(Remeasure::Pitch | Remeasure::Leak) => Stage::Look,
            Self::Fasten { .. } | Self::Replace(_) => Stage::Tongue,
            Self::Align(_) | Self::Seal(_) | Self::CloseEdges { .. } => Stage::Slot,
            Self::Retune(_) => Stage::Pitch,
            Self::Regap(_) | Self::RegapUnknown { .. } => Stage::Gap,
            Self::Measure(Remeasure::Contradiction | Remeasure::NothingMends) => Stage::Measure,
        }
    }

    /// Minutes at these rates; a new tongue is tuned too.
    pub fn minutes(&self, rates: &Rates) -> f64 {
        let tuning = if self.operation() == Operation::Replace { rates.minutes(Operation::Retune) } else { 0.0 };
        rates.minutes(self.operation()) + tuning
    }
}

/// A plan and the reed as it would be.
pub(super) struct Planned {
    pub plan: Plan,
    /// Nothing where the reed itself stays as it is.
    pub after: Option<CheckedReed>,
}

/// An operation that was refused.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refused {
    /// Its kind.
    pub operation: Operation,
    /// Why.
    pub why: String,
}

/// What an operation brings.
#[derive(Debug, Clone)]
pub struct Outcome {
    /// The reed as it would be, assessed.
    pub after: Box<ReedAssessment>,
    /// What is then asked of it.
    pub demands: Demands,
    /// How much less is missing: the fall of [`Demands::loss`].
    pub gain: f64,
    /// Findings that are gone, by their kind.
    pub mends: Vec<&'static str>,
    /// Findings that are new and likely.
    pub spoils: Vec<&'static str>,
}

/// An operation that could be next.
#[derive(Debug, Clone)]
pub struct Candidate {
    /// What would be done.
    pub plan: Plan,
    /// How long it takes, at the job's rates.
    pub minutes: f64,
    /// What it brings; nothing of a measurement, of which nobody knows that before.
    pub outcome: Option<Outcome>,
}

impl Candidate {
    /// Its kind.
    pub fn operation(&self) -> Operation {
        self.plan.operation()
    }

    /// When it is done.
    pub fn stage(&self) -> Stage {
        self.plan.stage()
    }

    /// Gain, where it is known.
    pub fn gain(&self) -> Option<f64> {
        self.outcome.as_ref().map(|outcome| outcome.gain)
    }

    /// Gain for each minute (1/min); nothing for a measurement.
    pub fn gain_per_minute(&self) -> Option<f64> {
        self.gain().map(|gain| gain / self.minutes)
    }

    /// Gain for each minute, of a measurement less than any.
    pub(super) fn rank(&self) -> f64 {
        self.gain_per_minute().unwrap_or(f64::NEG_INFINITY)
    }
}
