//! `freereed keys`: every input.

use freereed::sheet::{job_reference, key_reference};

use super::failure::Failure;
use super::{Outcome, output};

pub fn run() -> Result<Outcome, Failure> {
    output::print(&format!("{}\n{}", key_reference(), job_reference()))?;
    Ok(Outcome::Done)
}
