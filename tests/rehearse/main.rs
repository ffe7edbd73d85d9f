//! A piece of music on a set: reading it, playing it, what becomes of its notes.

#[cfg(feature = "chart")]
mod chart;
mod files;
mod pieces;
mod playing;
mod score;
mod serve;
mod standard;
