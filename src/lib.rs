//! freereed computes what a free reed will do from what a reed worker can measure.

pub mod cases;
#[cfg(feature = "chart")]
pub mod chart;
pub mod instrument;
pub mod physics;
pub mod predict;
pub mod print;
pub mod sheet;
pub mod units;
