//! freereed computes what a free reed will do from what a reed worker can measure.

#[cfg(feature = "chart")]
pub mod chart;
pub mod physics;
pub mod sheet;
