//! What the tests of several folders share.

#[cfg(feature = "cli")]
pub mod cli;
pub mod fit;
#[cfg(feature = "page")]
pub mod page;
pub mod physics;
pub mod schema;
pub mod set;
