//! Why a bend is not planned.

use super::limit::Limit;
use crate::units::metres;

/// Why a bend is not planned, and what to do instead.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum BendRefusal {
    /// The metal's yield strength is not known.
    #[error("the yield strength is not known; give {}", .keys.join(" or "))]
    YieldUnknown {
        /// The keys that would tell it.
        keys: &'static [&'static str],
    },
    /// A value that is not finite, or a strength or travel that is not above zero.
    #[error("{what} is {value}; it must be {allowed}")]
    NotSensible {
        /// The quantity and its unit.
        what: &'static str,
        /// The value found.
        value: f64,
        /// What would do.
        allowed: &'static str,
    },
    /// The push is off the tongue, or so near to what holds it that it would dent the tongue, not bend it.
    #[error("the push is {} from the clamp; it must be between {} and {}", metres(*.place_m), metres(*.least_m), metres(*.most_m))]
    Place {
        /// Where it was to be (m).
        place_m: f64,
        /// Nearest place to the clamp or the support (m).
        least_m: f64,
        /// Farthest (m).
        most_m: f64,
    },
    /// The support is not between clamp and push.
    #[error("the support is {} from the clamp; it must be between {} and {}", metres(*.place_m), metres(*.least_m), metres(*.most_m))]
    SupportPlace {
        /// Where it was to be (m).
        place_m: f64,
        /// Nearest place to the clamp (m).
        least_m: f64,
        /// Farthest, so near to the push that the tongue still bends and is not dented (m).
        most_m: f64,
    },
    /// The tongue at rest slopes too steeply for its heights to be a shape.
    #[error("the tongue at rest rises by more than its own length near {}; check the gaps and the length", metres(*.place_m))]
    RestTooSteep {
        /// Where (m).
        place_m: f64,
    },
    /// The gap is what is wanted.
    #[error("the tip gap is already {}; nothing is to be bent", metres(*.gap_m))]
    AlreadyThere {
        /// The gap (m).
        gap_m: f64,
    },
    /// The support alone, slid in, would bend the tongue for good.
    #[error("the support alone bends the tongue for good; it stands {} beyond the tongue at rest", metres(*.over_m))]
    SupportYields {
        /// How far it stands beyond the tongue at rest (m).
        over_m: f64,
    },
    /// The tongue would yield before it comes to rest on the support, so the support does not say where it bends.
    #[error("the tongue yields before it touches the support; bring the support nearer to the tongue or to the push")]
    YieldsBeforeSupport,
    /// One push cannot go so far.
    #[error("one push here cannot go so far: {}; the farthest tip gap is {}", .limit.why(), metres(*.largest_gap_m))]
    OutOfReach {
        /// The farthest tip gap that one push at this place leaves (m); the present one where it leaves nothing.
        largest_gap_m: f64,
        /// What stands in the way.
        limit: Limit,
    },
    /// A push after which nothing, or not enough, remained to tell the yield strength from.
    #[error("the gap changed by {}; more than {}, the way it was pushed, is needed to learn from it", metres(*.change_m), metres(*.least_m))]
    NothingLearned {
        /// The change, positive the way the tongue was pushed (m).
        change_m: f64,
        /// The least change that tells something (m).
        least_m: f64,
    },
    /// The equations were not solved to their accuracy.
    #[error("the equations were not solved ({what}); try another place")]
    NotSolved {
        /// Which of them.
        what: &'static str,
    },
}

impl Limit {
    /// The reason, in words.
    pub fn why(self) -> &'static str {
        match self {
            Self::Strain => "the surface would be strained too much and may kink; go in two pushes at two places",
            Self::Hinge => "the tongue would fold at one place; go in two pushes at two places",
            Self::Turn => "the tongue turns away from the tool before it yields enough; push nearer to what holds it",
        }
    }
}
