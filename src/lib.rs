//! freereed computes what a free reed will do from what a reed worker can measure.

pub mod cases;
pub mod physics;
