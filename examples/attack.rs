//! How a reed starts when it is blown to 500 Pa, as an SVG picture.
//!
//! `cargo run --release --example attack picture.svg` draws it for the demo reed.

use freereed::physics::ReedModel;
use freereed::physics::attack::{Blow, Stop};
use freereed::print::charts::attack_chart;
use freereed::sheet::{ReedFile, Tuning};

/// Reads a reed, solves it, draws it.
pub fn picture() -> Result<String, Box<dyn std::error::Error>> {
    let checked = ReedFile::load("data/demo/reed.toml")?;
    let model = ReedModel::new(checked.reed.clone())?;
    let attack = model.attack(&Blow::to(500.0), Stop::WhenSteady);
    let chart = attack_chart("demo reed", &checked, &model, &attack, &Tuning::default());
    Ok(chart.picture().to_svg())
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let path = std::env::args().nth(1).unwrap_or_else(|| "attack.svg".to_owned());
    std::fs::write(&path, picture()?)?;
    println!("wrote {path}");
    Ok(())
}
