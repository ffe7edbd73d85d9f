//! What is heard in recordings, against sounds whose answers are known.

mod attack;
mod decay;
mod files;
mod live;
mod pitch;
mod session;
mod together;
mod tone;
