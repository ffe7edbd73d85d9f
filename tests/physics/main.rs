//! Tests of the physics, and of what is asked of one reed.

#[path = "../support/mod.rs"]
mod support;

mod answer;
mod beam;
mod checks;
mod filing;
mod flow;
mod integrator;
mod linear;
mod orbits;
mod playable;
mod robust;
mod steady;
mod study;
mod trends;
mod work;
