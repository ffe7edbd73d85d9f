//! Hole or slit: what one reading of a leak leaves open, and what two tell.
//!
//! Any leak between a sharp hole and a fine slit follows `p = a U + b U^2` (friction and jet: the law of the model's own
//! [`Slit`](crate::physics::aperture::Slit)). A reading takes it for a hole, `a = 0`, of area `A = U sqrt(rho/(2 p))`. A
//! starting reed feels `dU/dp = 1/sqrt(a^2 + 4 b p)` at its onset, as a hole of `dU/dp sqrt(2 rho p)`.

use crate::physics::Air;
use crate::workshop::Bounds;

/// Between a hole and a slit, this many leaks are looked at, `x = a/sqrt(4 b p_onset)` from a hundredth to a hundred.
const LOOKED_AT: u32 = 80;

/// What a starting reed feels over what a reading told, for any leak between a sharp hole (1) and a fine slit.
///
/// With `U = (sqrt(a^2 + 4 b p) - a)/(2 b)` and `x = a/sqrt(4 b p_o)`, at one pressure
///
/// ```text
/// felt/read = sqrt(p_o/p) (x + sqrt(x^2 + p/p_o))/sqrt(x^2 + 1)
/// ```
///
/// and over a falling pressure its mean over `sqrt p`. The limit of a fine slit is `2 sqrt(p_o/p)`. All pressures above zero
/// (Pa), `to_pa` not above `from_pa`.
pub fn felt_over_read(onset_pa: f64, from_pa: f64, to_pa: f64) -> Bounds {
    let looked_at = (0..=LOOKED_AT).map(|k| {
        let x = 10f64.powf(4.0 * f64::from(k) / f64::from(LOOKED_AT) - 2.0);
        felt(x, onset_pa, from_pa, to_pa)
    });
    let slit = 1e9;
    let ends = [1.0, felt(slit, onset_pa, from_pa, to_pa)];
    let all = |pick: fn(f64, f64) -> f64| looked_at.clone().chain(ends).fold(1.0, pick);
    Bounds::new(all(f64::min), all(f64::max))
}

/// The mean over `sqrt p` of felt over read, at one `x`.
fn felt(x: f64, onset_pa: f64, from_pa: f64, to_pa: f64) -> f64 {
    let at = |root: f64| {
        let q = root * root / onset_pa;
        (x + (x * x + q).sqrt()) / (q * (x * x + 1.0)).sqrt()
    };
    let (low, high) = (to_pa.sqrt(), from_pa.sqrt());
    // The mean of 1/sqrt p over sqrt p is a logarithm; sixteen middles hold it to a hundredth down to a hundredth of the
    // pressure.
    let middle = |k: u32| low + (high - low) * (f64::from(k) + 0.5) / 16.0;
    (0..16).map(|k| at(middle(k))).sum::<f64>() / 16.0
}

/// A flow at a pressure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Flow (m3/s).
    pub flow_m3_s: f64,
    /// Pressure (Pa).
    pub at_pa: f64,
}

/// The law of a leak by two readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Law {
    friction: f64,
    jet: f64,
    /// Exponent of the flow over the pressure between the readings: 1/2 for a sharp hole, 1 for a fine slit.
    pub exponent: f64,
}

impl Law {
    /// Through two readings, the first at the higher pressure; where the exponent is outside 1/2 to 1, as readings that are a
    /// little off may say, that of the hole or the slit nearest to it. None where the pressures are not apart or the flow
    /// does not rise with the pressure.
    pub fn through([high, low]: [Reading; 2]) -> Option<Self> {
        let (flows, pressures) = (high.flow_m3_s / low.flow_m3_s, high.at_pa / low.at_pa);
        let sensible = flows > 1.0 && pressures > 1.0 && flows.is_finite() && pressures.is_finite();
        if !sensible {
            return None;
        }
        let exponent = flows.ln() / pressures.ln();
        let resistance = |reading: Reading| reading.at_pa / reading.flow_m3_s;
        // p/U = a + b U through both.
        let jet = (resistance(high) - resistance(low)) / (high.flow_m3_s - low.flow_m3_s);
        let friction = resistance(low) - jet * low.flow_m3_s;
        let mean = |of: fn(Reading) -> f64| (of(high) * of(low)).sqrt();
        Some(match exponent {
            _ if friction < 0.0 => Self { friction: 0.0, jet: mean(|it| it.at_pa / it.flow_m3_s.powi(2)), exponent },
            _ if jet < 0.0 => Self { friction: mean(|it| it.at_pa / it.flow_m3_s), jet: 0.0, exponent },
            _ => Self { friction, jet, exponent },
        })
    }

    /// The hole that a reed starting at a pressure feels (m2).
    pub fn area_m2(&self, air: &Air, onset_pa: f64) -> f64 {
        let conductance = 1.0 / (self.friction * self.friction + 4.0 * self.jet * onset_pa).sqrt();
        super::leak::damping_area_m2(conductance, air, onset_pa)
    }

    /// Flow at a pressure (m3/s).
    pub fn flow_m3_s(&self, at_pa: f64) -> f64 {
        2.0 * at_pa / (self.friction + (self.friction * self.friction + 4.0 * self.jet * at_pa).sqrt())
    }

    /// In a word, by the exponent.
    pub fn name(&self) -> &'static str {
        match self.exponent {
            exponent if exponent < 0.6 => "a hole",
            exponent if exponent > 0.9 => "a fine slit",
            _ => "between a hole and a fine slit",
        }
    }
}
