//! From how hard a note is struck to how hard it is blown.

use crate::instrument::Pressures;

/// The velocity of normal playing: what a keyboard without touch sends (MIDI 1.0).
pub const NORMAL: u8 = 64;
/// Softest and hardest velocity.
pub const ENDS: (u8, u8) = (1, 127);

/// The player's mouth pressure for a velocity (Pa): soft at 1, normal at 64, hard at 127, its logarithm straight between.
///
/// Assumed: the standard says of a velocity only that 1 is the softest and 127 the hardest, so that the whole of the player's
/// range is laid over it; a logarithm, as a step of loudness is a ratio.
pub fn pressure_pa(velocity: u8, pressures: &Pressures) -> f64 {
    let velocity = velocity.clamp(ENDS.0, ENDS.1);
    between(velocity, pressures.all().map(f64::ln)).exp()
}

/// A value known at the softest, the normal and the hardest velocity, straight between.
pub(super) fn between(velocity: u8, [soft, normal, hard]: [f64; 3]) -> f64 {
    let share = |from: u8, to: u8| (f64::from(velocity) - f64::from(from)) / (f64::from(to) - f64::from(from));
    if velocity < NORMAL {
        soft + share(ENDS.0, NORMAL) * (normal - soft)
    } else {
        normal + share(NORMAL, ENDS.1) * (hard - normal)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_players_range_is_laid_over_the_velocities() {
        let player = Pressures { soft_pa: 200.0, normal_pa: 800.0, hard_pa: 3200.0 };
        for (velocity, pressure) in [(1, 200.0), (64, 800.0), (127, 3200.0), (0, 200.0)] {
            assert!((pressure_pa(velocity, &player) - pressure).abs() < 1e-9, "{velocity}");
        }
        // Half way from normal to hard in steps of velocity, so by the root of the ratio.
        assert!((pressure_pa(96, &player) / (800.0 * 4f64.powf(32.0 / 63.0)) - 1.0).abs() < 1e-12);
        assert!((1..127).all(|v| pressure_pa(v, &player) < pressure_pa(v + 1, &player)));
    }
}
