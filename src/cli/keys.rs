//! `freereed keys`: every input.

use super::failure::Failure;
use super::{Outcome, output};

pub fn run() -> Result<Outcome, Failure> {
    output::print(&freereed::sheet::key_reference())?;
    Ok(Outcome::Done)
}
