//! What the surface takes off the fatigue strength.
//!
//! Published factors are for steel, and nothing as wide is known to us for copper alloys: they serve as bounds. Marin's
//! `k_a = a S_ut^b` with `S_ut` in MPa: ground 1.58 and -0.085, machined 4.51 and -0.265 (*Shigley's Mechanical Engineering
//! Design*, table 6-2, from memory), never above 1. A scratch across the reed is a notch: `K_t = 1 + 2 sqrt(t/r)` for depth
//! `t` and radius `r` at its bottom (C. E. Inglis 1913), felt by `q = 1/(1 + a/r)` of it, with `a = 0.0254 mm
//! (2070 MPa/S_ut)^1.8` for steel (R. E. Peterson, from memory): `K_f = 1 + q (K_t - 1)`.

use crate::workshop::Bounds;

/// How the tongue was finished.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Surface {
    /// Polished along the reed, no mark to be seen under a loupe.
    Polished,
    /// As the strip came from the mill.
    Rolled,
    /// Marks of file or scraper along the reed.
    #[default]
    FiledAlong,
    /// Marks across the reed.
    FiledAcross,
}

/// A scratch across the reed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scratch {
    /// Depth (m).
    pub depth_m: f64,
    /// Radius at its bottom (m).
    pub radius_m: f64,
}

/// What a fine file may leave: an assumption, to be measured under a microscope.
impl Default for Scratch {
    fn default() -> Self {
        Self { depth_m: 5e-6, radius_m: 5e-6 }
    }
}

impl Surface {
    /// All of them, with the name by which they are asked for.
    pub const ALL: [(&'static str, Self); 4] = [
        ("polished", Self::Polished),
        ("rolled", Self::Rolled),
        ("filed-along", Self::FiledAlong),
        ("filed-across", Self::FiledAcross),
    ];

    /// Its name.
    pub fn name(self) -> &'static str {
        Self::ALL.iter().find(|row| row.1 == self).map_or("", |row| row.0)
    }

    /// Bounds of the factor on the fatigue strength of a metal that breaks at `tensile_pa`.
    pub fn factor(self, tensile_pa: f64, scratch: Scratch) -> Bounds {
        let (ground, machined) = (marin(1.58, -0.085, tensile_pa), marin(4.51, -0.265, tensile_pa));
        match self {
            Self::Polished => Bounds::exactly(1.0),
            Self::Rolled => Bounds::new(ground, 1.0),
            Self::FiledAlong => Bounds::new(machined, ground),
            Self::FiledAcross => Bounds::new(machined / scratch.notch_factor(tensile_pa), machined),
        }
    }
}

/// `k_a = a S_ut^b`, at most 1.
pub(crate) fn marin(a: f64, b: f64, tensile_pa: f64) -> f64 {
    (a * (1e-6 * tensile_pa).powf(b)).min(1.0)
}

impl Scratch {
    /// `K_f`: by how much it lowers the fatigue strength.
    pub fn notch_factor(&self, tensile_pa: f64) -> f64 {
        let concentration = 1.0 + 2.0 * (self.depth_m / self.radius_m).sqrt();
        let length_m = 0.0254e-3 * (2070e6 / tensile_pa).powf(1.8);
        let felt = 1.0 / (1.0 + length_m / self.radius_m);
        1.0 + felt * (concentration - 1.0)
    }
}
