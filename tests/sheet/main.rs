//! Tests of what is read: reeds, jobs, sheets, rounds.

mod csv;
mod files;
mod job;
mod notes;
mod player;
mod properties;
mod reed_file;
mod rounds;
mod target;
mod thickness;
