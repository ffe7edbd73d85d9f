//! What is heard in recordings, against sounds whose answers are known.

mod attack;
mod decay;
mod pitch;
mod together;
mod tone;
mod speed_probe;
