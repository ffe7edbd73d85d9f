//! Where filing moves the pitch, as an SVG picture.
//!
//! `cargo run --release --example filing picture.svg` draws it for the demo reed.

use freereed::physics::ReedModel;

use freereed::print::charts::filing_chart;
use freereed::sheet::{ReedFile, Tuning};

/// Reads a reed, solves it, draws it.
pub fn picture() -> Result<String, Box<dyn std::error::Error>> {
    let checked = ReedFile::load("data/demo/reed.toml")?;
    let model = ReedModel::new(checked.reed.clone())?;
    let chart = filing_chart("demo reed", &checked, &model, &Tuning::default());
    Ok(chart.picture().to_svg())
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let path = std::env::args().nth(1).unwrap_or_else(|| "filing.svg".to_owned());
    std::fs::write(&path, picture()?)?;
    println!("wrote {path}");
    Ok(())
}
