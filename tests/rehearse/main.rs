//! A piece of music on a set: reading it, playing it, what becomes of its notes.

mod files;
mod pieces;
mod playing;
mod score;
mod standard;
