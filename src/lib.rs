//! freereed computes what a free reed will do from what a reed worker can measure.

pub mod cases;
#[cfg(feature = "chart")]
pub mod chart;
pub mod physics;
pub mod sheet;
