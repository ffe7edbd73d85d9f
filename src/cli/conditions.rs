//! The blow, the time allowed, how far to look: the same for every command that asks it of one reed.

use clap::Args;
use freereed::answer::Conditions;
use freereed::physics::onset::Search;

use super::attack::{rise, within};
use super::predict::pressure;

#[derive(Args)]
pub struct ConditionArguments {
    /// Mouth pressure of the attack, Pa
    #[arg(long, value_name = "P", default_value_t = Conditions::default().pressure_pa, value_parser = pressure, allow_hyphen_values = true)]
    pressure_pa: f64,
    /// Rise time of the attack, ms
    #[arg(long, value_name = "MS", default_value_t = 1e3 * Conditions::default().rise_s, value_parser = rise, allow_hyphen_values = true)]
    rise_ms: f64,
    /// Time the reed may take to speak, ms: the playable window is where it does
    #[arg(long, value_name = "MS", default_value_t = 1e3 * Conditions::default().allowed_s, value_parser = allowed, allow_hyphen_values = true)]
    allowed_ms: f64,
    /// Bending stress that ends the playable window, MPa; otherwise stress does not end it
    #[arg(long, value_name = "MPA", value_parser = stress, allow_hyphen_values = true)]
    stress_limit_mpa: Option<f64>,
    /// Highest mouth pressure searched, Pa
    #[arg(long, value_name = "P", default_value_t = Search::default().limit_pa, value_parser = pressure, allow_hyphen_values = true)]
    limit_pa: f64,
}

fn allowed(typed: &str) -> Result<f64, String> {
    within(typed, 1.0, 5000.0, "a time to speak is 1 to 5000 ms")
}

fn stress(typed: &str) -> Result<f64, String> {
    within(typed, 1.0, 3000.0, "a bending stress is 1 to 3000 MPa")
}

impl ConditionArguments {
    pub fn conditions(&self) -> Conditions {
        Conditions {
            pressure_pa: self.pressure_pa,
            rise_s: 1e-3 * self.rise_ms,
            allowed_s: 1e-3 * self.allowed_ms,
            stress_limit_pa: self.stress_limit_mpa.map(|mpa| 1e6 * mpa),
            search: Search { limit_pa: self.limit_pa, ..Search::default() },
        }
    }
}
