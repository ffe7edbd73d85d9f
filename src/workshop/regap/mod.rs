//! Another tip gap: which gap, where to push, how far, in which steps.
//!
//! The mechanics are those of [`bend`](super::bend). Here is what a bench asks around them: the gap that suits a player,
//! the place where the tongue is strained least, what one push has taught about the metal, and another way where the one
//! asked for is refused.
//!
//! ```
//! use freereed::answer::Conditions;
//! use freereed::sheet::ReedFile;
//! use freereed::workshop::regap::{RegapOptions, WantedGap, regap};
//!
//! let reed = "[reed]\nlength_mm = 15\nwidth_mm = 2\nthickness_mm = 0.2\ntip_gap_mm = 0.4\n\
//!             alloy = \"C26000\"\ntemper = \"H04\"\n";
//! let checked = ReedFile::parse("reed.toml", reed).unwrap();
//! let plan = regap(&checked, &RegapOptions::to(WantedGap::Gap(0.3e-3), Conditions::default())).unwrap();
//! assert!((plan.after.reed.rest.height_m(15e-3, 15e-3) - 0.3e-3).abs() < 1e-12);
//! assert_eq!(plan.keys(), ["rest_stations_mm"]);
//! ```

mod best;
mod card;
mod instead;
mod place;
mod refusal;
mod standing;
mod words;

pub use best::{Best, Farther};
pub use card::CardLine;
pub use instead::{Instead, Way};
pub use place::{Tried, nearest_gap_m};
pub use refusal::{FirstPush, RegapRefusal};

use super::bend::{BendPlan, Learned, Support};
use crate::answer::Conditions;
use crate::sheet::CheckedReed;
use standing::Standing;

/// What is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RegapOptions {
    /// The gap.
    pub wanted: WantedGap,
    /// Where the tongue is pushed, from the clamp (m); without it where its surface is strained least.
    pub place_m: Option<f64>,
    /// What it is bent over.
    pub support: Option<Support>,
    /// A push that was made already.
    pub pushed: Option<Pushed>,
    /// How well the tip gap is measured (m); without it as stated with the reed.
    pub gap_tolerance_m: Option<f64>,
    /// How the reed is asked, where the gap is to suit a player.
    pub conditions: Conditions,
}

/// The gap wanted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WantedGap {
    /// This one (m).
    Gap(f64),
    /// The one before any push and so much (m).
    Change(f64),
    /// The one at which the playable window leaves the most room around the pressures from soft to hard, for a reed by itself.
    Best {
        /// Mouth pressure of soft playing (Pa).
        soft_pa: f64,
        /// Mouth pressure of hard playing (Pa).
        hard_pa: f64,
    },
}

/// A push that was made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pushed {
    /// Travel of the pushed place, from where it lay before the first push (m).
    pub travel_m: f64,
    /// The tip gap now (m).
    pub gap_m: f64,
}

impl RegapOptions {
    /// To a gap, everything else as it suits.
    pub fn to(wanted: WantedGap, conditions: Conditions) -> Self {
        Self { wanted, place_m: None, support: None, pushed: None, gap_tolerance_m: None, conditions }
    }
}

/// A plan.
#[derive(Debug, Clone)]
pub struct RegapPlan {
    /// The push, its limits and its steps. Its travels count from where the tongue lay before the first push; where the
    /// way turns back, from where it lies now.
    pub bend: BendPlan,
    /// The reed as it lies now.
    pub before: CheckedReed,
    /// The reed as it will be.
    pub after: CheckedReed,
    /// Travel of the next push (m): [`Steps::first_travel_m`](super::bend::Steps::first_travel_m), or after a push
    /// [`Steps::next_travel_m`](super::bend::Steps::next_travel_m).
    pub next_travel_m: f64,
    /// Places that were compared; none where the place was asked for.
    pub tried: Vec<Tried>,
    /// How the gap was found, where the best one was asked for.
    pub best: Option<Best>,
    /// The push that was made.
    pub pushed: Option<Pushed>,
    /// What it taught; nothing where the gap has not changed enough to be measured.
    pub learned: Option<Learned>,
    /// Whether that push went past the gap wanted, so that the tongue is bent back.
    pub turns_back: bool,
    standing: Standing,
}

impl RegapPlan {
    /// Keys in which the reed as it will be differs from the one it was planned for.
    pub fn keys(&self) -> Vec<&'static str> {
        if self.learned.is_some() { vec!["rest_stations_mm", "yield_mpa"] } else { vec!["rest_stations_mm"] }
    }

    /// How far the push after the next goes, by the gap that the next one leaves.
    pub fn card(&self) -> Vec<CardLine> {
        card::card(&self.standing, &self.bend, self.next_travel_m)
    }

    /// Most pushes that are still to be made.
    pub fn pushes(&self) -> usize {
        let steps = self.bend.steps;
        1 + ((steps.last_travel_m - self.next_travel_m) / steps.increment_m).ceil().max(0.0) as usize
    }
}

/// Plans another tip gap.
///
/// # Errors
/// A yield strength that is not known; a gap that is there, or is the best, already; a bend that is refused: see
/// [`RegapRefusal`], which says what to do instead.
pub fn regap(checked: &CheckedReed, options: &RegapOptions) -> Result<RegapPlan, RegapRefusal> {
    let standing = Standing::of(checked, options)?;
    let (wanted_m, best) = match options.wanted {
        WantedGap::Gap(gap_m) => (gap_m, None),
        WantedGap::Change(by_m) => (standing.zero_gap_m() + by_m, None),
        WantedGap::Best { soft_pa, hard_pa } => {
            let best = Best::find(&standing, options, soft_pa, hard_pa)?;
            (best.gap_m, Some(best))
        }
    };
    let (gap_m, within_m) = (standing.gap_m(), standing.known.gap_m);
    if (wanted_m - gap_m).abs() <= within_m {
        return Err(RegapRefusal::AlreadyThere { gap_m, wanted_m, within_m });
    }
    let chosen = place::choose(&standing, options, wanted_m);
    let (bend, tried) = chosen.map_err(|refusal| RegapRefusal::of(refusal, &standing, options, wanted_m))?;
    let turns_back = standing.turns_back(wanted_m);
    let steps = bend.steps;
    let next_travel_m = match standing.pushed {
        Some(pushed) if !turns_back => steps.next_travel_m(pushed.travel_m),
        // A tongue that yields at a share of the travel has, at that share of the first travel, that share of the set.
        _ => steps.first_travel_m * (1.0 - standing.sooner_back),
    };
    Ok(RegapPlan {
        after: bend.applied_to(&standing.zero)?,
        before: standing.now.clone(),
        pushed: standing.pushed,
        learned: standing.learned,
        bend,
        next_travel_m,
        tried,
        best,
        turns_back,
        standing,
    })
}
