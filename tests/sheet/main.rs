//! Tests of what is read: reeds, jobs, sheets, rounds.

#[path = "../support/mod.rs"]
mod support;

mod csv;
mod evidence;
mod files;
mod job;
mod loss;
mod notes;
mod of_run;
mod player;
mod profile;
mod properties;
mod reed_file;
mod rounds;
mod starting;
mod target;
mod thickness;
