//! The blow, the time allowed, how far to look: the same for every command that asks it of one reed.

use clap::Args;
use freereed::answer::Conditions;
use freereed::physics::onset::Search;

use super::attack::{rise, within};
use super::predict::pressure;
use super::subject::Subject;

#[derive(Args)]
pub struct ConditionArguments {
    /// Mouth pressure of the attack, Pa; without it the normal one of the job's player, else 500
    #[arg(long, value_name = "P", value_parser = pressure, allow_hyphen_values = true)]
    pressure_pa: Option<f64>,
    /// Rise time of the attack, ms; without it the player's of the job, else 10
    #[arg(long, value_name = "MS", value_parser = rise, allow_hyphen_values = true)]
    rise_ms: Option<f64>,
    /// Time the reed may take to speak, ms: the playable window is where it does; without it the player's of the job, else 100
    #[arg(long, value_name = "MS", value_parser = allowed, allow_hyphen_values = true)]
    allowed_ms: Option<f64>,
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
    /// As asked, else as the reed's player does.
    pub fn conditions(&self, subject: &Subject) -> Conditions {
        let of_player = subject.conditions;
        Conditions {
            pressure_pa: self.pressure_pa.unwrap_or(of_player.pressure_pa),
            rise_s: self.rise_ms.map_or(of_player.rise_s, |ms| 1e-3 * ms),
            allowed_s: self.allowed_ms.map_or(of_player.allowed_s, |ms| 1e-3 * ms),
            stress_limit_pa: self.stress_limit_mpa.map(|mpa| 1e6 * mpa),
            search: Search { limit_pa: self.limit_pa, ..Search::default() },
        }
    }
}
