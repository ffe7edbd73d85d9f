//! What the tests of several folders share.

#[cfg(feature = "cli")]
pub mod cli;
pub mod fit;
pub mod physics;
pub mod set;
