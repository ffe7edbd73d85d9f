//! Questions to one reed and their answers, by name: what a table, a map or a comparison shows.
//!
//! [`ROWS`] lists what can be asked; [`Solved`] computes no more than the results asked for need.

mod compare;
mod conditions;
mod doubt;
mod quantity;
mod room;
mod solved;
mod swing;
mod words;

pub use compare::{Changes, Comparing, Comparison, Line};
pub use conditions::Conditions;
pub use doubt::Doubt;
pub use quantity::{GROUPS, Quantity, ROWS, Row};
pub use room::Room;
pub use solved::{Answer, Solved, edge};
pub use swing::{DoesNotSound, SwingScale, swing_scale};
