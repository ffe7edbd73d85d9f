//! Why no gap is planned, and what to do instead.

use super::best::Farther;
use super::instead::Instead;
use super::standing::Standing;
use super::{RegapOptions, WantedGap, place};
use crate::sheet::{CheckedReed, SheetError};
use crate::units::{metres, pascal, stress};
use crate::workshop::bend::{BendRefusal, Direction, Limit};

/// Why no gap is planned.
#[derive(Debug, Clone, thiserror::Error)]
#[non_exhaustive]
pub enum RegapRefusal {
    /// The metal's yield strength is not known.
    #[error("the yield strength is not known; give {}{}{}", .keys.join(" or "), tempers_known(.tempers), or_push(.first_push.as_ref()))]
    YieldUnknown {
        /// The keys that would tell it.
        keys: &'static [&'static str],
        /// Tempers known for the alloy, and the yield strength of each (Pa), the softest first.
        tempers: Vec<(String, f64)>,
        /// A push that does not pass the gap even if the metal is of the softest temper: it teaches the yield strength.
        first_push: Option<FirstPush>,
    },
    /// The gap is as near to the one wanted as it can be measured.
    #[error("the tip gap is {}, and {} is wanted: no further off than a gap is measured ({})", metres(*.gap_m), metres(*.wanted_m), metres(*.within_m))]
    AlreadyThere {
        /// The gap now (m).
        gap_m: f64,
        /// The gap wanted (m).
        wanted_m: f64,
        /// How well a gap is measured (m).
        within_m: f64,
    },
    /// No other gap suits the player better.
    #[error("the tip gap of {} suits as well as any that one bend can reach{}", metres(*.gap_m), or_farther(.farther.as_ref()))]
    AlreadyBest {
        /// The gap now (m).
        gap_m: f64,
        /// A better one that two bends reach.
        farther: Option<Farther>,
    },
    /// At no gap that a bend reaches does the reed speak in time.
    #[error(
        "at no gap that a bend can reach does it speak in the time allowed; the fault lies elsewhere (slot, leak, chamber, tongue)"
    )]
    SpeaksAtNone,
    /// Pressures that are no range.
    #[error("soft playing at {} and hard playing at {} are no range; soft is above zero and not above hard", pascal(*.soft_pa), pascal(*.hard_pa))]
    Pressures {
        /// Soft (Pa).
        soft_pa: f64,
        /// Hard (Pa).
        hard_pa: f64,
    },
    /// A push that was made, without its place.
    #[error("say where the tongue was pushed: what it has kept teaches nothing without the place")]
    PushedWhere,
    /// The push that was made went beyond what is safe.
    #[error("the push that was made has gone beyond what is taken to be safe ({}); look for a crease at the clamp before anything else, and replace the tongue if there is one", .limit.why())]
    PushedTooFar {
        /// Which limit.
        limit: Limit,
    },
    /// What was asked makes no sense, wherever the tongue is pushed.
    #[error(transparent)]
    Refused(#[from] BendRefusal),
    /// The bend is refused.
    #[error("{bend}; {}", instead_of_it(.instead.as_ref()))]
    Bend {
        /// Why.
        bend: BendRefusal,
        /// What works instead, where anything was found.
        instead: Option<Instead>,
    },
    /// The reed as it would be is none that a sheet takes.
    #[error(transparent)]
    Sheet(#[from] SheetError),
}

/// A careful first push on a tongue of unknown temper.
#[derive(Debug, Clone, PartialEq)]
pub struct FirstPush {
    /// The temper that is taken to be the softest.
    pub temper: String,
    /// Where (m from the clamp).
    pub place_m: f64,
    /// Which way.
    pub direction: Direction,
    /// How far that place goes (m).
    pub travel_m: f64,
}

impl RegapRefusal {
    /// A refused bend, with what could be done instead.
    pub(super) fn of(bend: BendRefusal, standing: &Standing, options: &RegapOptions, wanted_m: f64) -> Self {
        match bend {
            BendRefusal::AlreadyThere { gap_m } => {
                Self::AlreadyThere { gap_m, wanted_m, within_m: standing.known.gap_m }
            }
            BendRefusal::YieldUnknown { keys } => Self::YieldUnknown {
                keys,
                tempers: tempers(&standing.zero),
                first_push: first_push(standing, options, wanted_m),
            },
            bend @ (BendRefusal::NotSensible { .. } | BendRefusal::RestTooSteep { .. }) => Self::Refused(bend),
            bend => Self::Bend { instead: Instead::find(standing, options, wanted_m), bend },
        }
    }
}

fn tempers(checked: &CheckedReed) -> Vec<(String, f64)> {
    let tempers = checked.metal.alloy.iter().flat_map(|alloy| &alloy.tempers);
    tempers.map(|temper| (temper.name.clone(), 1e6 * temper.yield_mpa)).collect()
}

/// What the softest tongue of the softest temper would be pushed.
fn first_push(standing: &Standing, options: &RegapOptions, wanted_m: f64) -> Option<FirstPush> {
    if matches!(options.wanted, WantedGap::Best { .. }) {
        // Which gap is best is not known either.
        return None;
    }
    let softest = tempers(&standing.zero).into_iter().min_by(|a, b| a.1.total_cmp(&b.1))?;
    let soft = standing.zero.with("temper", softest.0.as_str()).ok()?;
    let (bend, _) = place::choose(&standing.with_metal(soft), options, wanted_m).ok()?;
    let (place_m, travel_m) = (bend.push.place_m, bend.steps.first_travel_m);
    Some(FirstPush { temper: softest.0, place_m, direction: bend.direction, travel_m })
}

fn tempers_known(tempers: &[(String, f64)]) -> String {
    let known: Vec<String> = tempers.iter().map(|(name, pascal)| format!("{name} {}", stress(*pascal))).collect();
    if known.is_empty() { String::new() } else { format!(" (known for this alloy: {})", known.join(", ")) }
}

fn or_push(push: Option<&FirstPush>) -> String {
    let Some(push) = push else { return String::new() };
    let way = if push.direction == Direction::Down { "down" } else { "up" };
    format!(
        "; or push it {way} by {} at {} from the clamp, which even the softest of these ({}) takes without passing the gap \
         wanted, then further by small steps until the gap has changed enough to be measured: travel and gap teach the strength",
        metres(push.travel_m),
        metres(push.place_m),
        push.temper
    )
}

fn or_farther(farther: Option<&Farther>) -> String {
    farther.map_or("; leave it".to_owned(), |farther| format!("; {farther}"))
}

fn instead_of_it(instead: Option<&Instead>) -> String {
    match instead {
        Some(instead) => format!("instead, {instead}"),
        None => "no other place, nothing to bend over and no second bend was found that does it".to_owned(),
    }
}
