//! Another tip gap by bending: how far to push the tongue, with what force, so that what remains is the gap wanted.
//!
//! The tongue is pushed down or lifted at one place, by itself or over a support, past yield; let go, it springs back, and
//! a set remains. The equations:
//!
//! - Euler-Bernoulli bending with large rotations, without stretching; the section as in [`Section`]. The set shape at rest
//!   has no stress, so a bend starts from it and adds curvature to it. A tongue bent a moment ago does hold stress: pushed
//!   again the same way it yields later than a new plan says, the other way sooner (see [`Steps`]).
//! - The tool slides without friction: it pushes across the tongue at its place. So does the support, an edge that stands
//!   still; the tongue cannot go beyond it, and may lift off it. Between them nothing else acts: no weight, no plate, and
//!   a tongue pushed down goes freely into its slot.
//! - Real strip yields roundly ([`Knee::Round`]): it keeps a little long before it is strained to the yield strength of a
//!   table, which is the stress that leaves 0.2 %. How roundly is not known (assumed between two exponents).
//! - Every piece is loaded only once: pushed further, the moment grows wherever the metal yields. A tongue whose surface would
//!   keep 0.01 % before it touches its support is refused, since there it would not hold.
//! - Let go, the tongue carries no moment, and unloading is elastic: `kappa - M / E I` remains.
//!
//! With force, support and the pushed place known, the tongue is an initial-value problem from the push to the clamp; force
//! and support are then found from what is wanted. The set is small beside the travel, so it depends strongly on the yield
//! strength, which is seldom known to better than a tenth, and on the knee: [`Spread`] says what that makes of one push, and [`Steps`] how
//! to come to the gap all the same, by pushing a little further and measuring each time.
//!
//! ```
//! use freereed::sheet::ReedFile;
//! use freereed::workshop::bend::{BendPlan, Push};
//!
//! let reed = "[reed]\nlength_mm = 15\nwidth_mm = 2\nthickness_mm = 0.2\ntip_gap_mm = 0.4\n\
//!             alloy = \"C26000\"\ntemper = \"H04\"\n";
//! let checked = ReedFile::parse("reed.toml", reed).unwrap();
//! let push = Push { place_m: 10e-3, support: None };
//! let plan = BendPlan::to_gap(&checked, push, 0.3e-3).unwrap();
//! assert!(plan.place.travel_m > 10.0 * plan.place.set_m);
//! let bent = plan.applied_to(&checked).unwrap();
//! assert!((bent.reed.rest.height_m(15e-3, 15e-3) - 0.3e-3).abs() < 1e-12);
//! ```

mod bending;
mod contact;
mod knee;
mod known;
mod learn;
mod limit;
mod march;
mod plan;
mod push;
mod reach;
mod refusal;
mod search;
mod section;
mod stations;
mod steps;
mod tongue;
mod uncertain;

pub use bending::{Bending, Bent, BentPlace, CELLS};
pub use knee::{Knee, SHAPE_FACTOR};
pub use known::{KneeEnd, Known};
pub use learn::{Learned, learned_yield_pa};
pub use limit::{KinkLimit, Limit};
pub use plan::{BendPlan, JustYields, Largest, Surface, Travel};
pub use push::{Direction, Push, Support};
pub use reach::nearest_of_one_push_m;
pub use refusal::BendRefusal;
pub use section::Section;
pub use steps::{Spread, Steps};
pub use tongue::Tongue;
