//! Results as text for a person and as JSON for a program.

pub mod json;
pub mod units;
