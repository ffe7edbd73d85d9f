//! Care of a reed, its valve and what holds it: cleaning, valves, looking for a crack or a loose rivet.
//!
//! These take no metal and move nothing on purpose, so what they do to the reed is not computed: each is a plan of steps with
//! a test of success and with what the result of that test would tell. All of them are common practice, no source. Where a
//! number depends on the reed, as how much a bit of dirt lowers its pitch, it is the model's for that reed.
//!
//! ```
//! use freereed::sheet::ReedFile;
//! use freereed::workshop::care::Care;
//! let text = "[reed]\nlength_mm = 15\nwidth_mm = 2\nthickness_mm = 0.2\ntip_gap_mm = 0.25\n";
//! let reed = ReedFile::parse("reed.toml", text).unwrap();
//! for care in Care::ALL {
//!     let plan = care.plan(&reed);
//!     assert!(plan.minutes > 0.0 && !plan.steps.steps.is_empty() && !plan.tells.is_empty());
//! }
//! ```

mod look;
mod valve;
mod wash;

use super::{Caution, Steps};
use crate::sheet::CheckedReed;

/// One kind of care.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Care {
    /// Dirt off tongue, slot and plate.
    Clean,
    /// The valve made to lie on its seat.
    SeatValve,
    /// The valve made to lift as far and as lightly as its neighbours.
    LiftValve,
    /// A new valve.
    ReplaceValve,
    /// The valve tried by suction.
    TestValve,
    /// A look for a crack in the tongue.
    LookForCrack,
    /// A look for a rivet, screw or clamp that has worked loose.
    LookForLooseRivet,
}

/// A plan of care.
#[derive(Debug, Clone, PartialEq)]
pub struct CarePlan {
    /// What is done.
    pub care: Care,
    /// Minutes a reed that are assumed: common practice, no source.
    pub minutes: f64,
    /// What to do, in order, and when to stop.
    pub steps: Steps,
    /// How to see that it has succeeded.
    pub success: String,
    /// What each outcome of that test would tell, the usual one first.
    pub tells: Vec<Tell>,
    /// Where it can hurt.
    pub cautions: Vec<Caution>,
}

/// What an outcome tells.
#[derive(Debug, Clone, PartialEq)]
pub struct Tell {
    /// What is found.
    pub found: String,
    /// What that means, and what to do next.
    pub means: String,
    /// The care that follows from it, where one does.
    pub next: Option<Care>,
}

impl Care {
    /// All of them.
    pub const ALL: [Self; 7] = [
        Self::Clean,
        Self::SeatValve,
        Self::LiftValve,
        Self::ReplaceValve,
        Self::TestValve,
        Self::LookForCrack,
        Self::LookForLooseRivet,
    ];

    /// A tongue so much flat is looked over for a crack before any file touches it (common practice, no source).
    const FLAT_CENTS: f64 = 20.0;

    /// What comes before a tongue is tuned that is so far off its note (cents, flat below zero).
    pub fn before_tuning(cents: f64) -> Option<Self> {
        (cents < -Self::FLAT_CENTS).then_some(Self::LookForCrack)
    }

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Clean => "clean",
            Self::SeatValve => "seat-valve",
            Self::LiftValve => "lift-valve",
            Self::ReplaceValve => "replace-valve",
            Self::TestValve => "test-valve",
            Self::LookForCrack => "look-for-crack",
            Self::LookForLooseRivet => "look-for-loose-rivet",
        }
    }

    /// What is done, in a line.
    pub fn title(self) -> &'static str {
        match self {
            Self::Clean => "clean tongue, slot and plate",
            Self::SeatValve => "make the valve lie on its seat",
            Self::LiftValve => "set how far the valve lifts",
            Self::ReplaceValve => "put in a new valve",
            Self::TestValve => "test the valve by suction",
            Self::LookForCrack => "look for a crack in the tongue",
            Self::LookForLooseRivet => "look for a fastening that has worked loose",
        }
    }

    /// Minutes a reed, drying of glue apart (assumed: common practice, no source).
    pub fn usual_minutes(self) -> f64 {
        match self {
            Self::Clean => 4.0,
            Self::SeatValve => 3.0,
            Self::LiftValve | Self::LookForCrack => 2.0,
            Self::ReplaceValve => 6.0,
            Self::TestValve => 1.0,
            Self::LookForLooseRivet => 1.5,
        }
    }

    /// The plan for a reed.
    pub fn plan(self, checked: &CheckedReed) -> CarePlan {
        match self {
            Self::Clean => wash::clean(checked),
            Self::SeatValve => valve::seat(),
            Self::LiftValve => valve::lift(),
            Self::ReplaceValve => valve::replace(checked),
            Self::TestValve => valve::test(checked),
            Self::LookForCrack => look::for_crack(checked),
            Self::LookForLooseRivet => look::for_loose_rivet(checked),
        }
    }

    fn with(self, steps: &[String], stop: &str, success: &str, tells: Vec<Tell>, cautions: Vec<Caution>) -> CarePlan {
        CarePlan {
            care: self,
            minutes: self.usual_minutes(),
            steps: Steps { steps: steps.to_vec(), stop: stop.to_owned() },
            success: success.to_owned(),
            tells,
            cautions,
        }
    }
}

impl Tell {
    fn new(found: &str, means: &str, next: Option<Care>) -> Self {
        Self { found: found.to_owned(), means: means.to_owned(), next }
    }
}
