//! What hands do to a reed: plans in SI units, for another room to print. Nothing here reads or prints.

pub mod bend;
