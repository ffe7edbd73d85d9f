//! How a tongue swings: its bending modes, as an SVG picture.
//!
//! `cargo run --release --example modes picture.svg` draws it for the demo reed.

use freereed::physics::ReedModel;

use freereed::print::charts::mode_chart;
use freereed::sheet::{ReedFile, Tuning};

/// Reads a reed, solves it, draws it.
pub fn picture() -> Result<String, Box<dyn std::error::Error>> {
    let checked = ReedFile::load("data/demo/reed.toml")?;
    let model = ReedModel::new(checked.reed.clone())?;
    let chart = mode_chart("demo reed", &checked, &model, 2, &Tuning::default());
    Ok(chart.picture().to_svg())
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let path = std::env::args().nth(1).unwrap_or_else(|| "modes.svg".to_owned());
    std::fs::write(&path, picture()?)?;
    println!("wrote {path}");
    Ok(())
}
