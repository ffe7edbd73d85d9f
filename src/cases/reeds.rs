//! Reeds for checks, tests, benches and examples.

use crate::physics::coefficients::usual_quality_factor;
use crate::physics::{Air, Beam, Chamber, Coefficients, Profile, Reed, RestShape, Slot};

/// Shear modulus from Young's modulus at a Poisson ratio of 0.33.
const SHEAR_PER_YOUNG: f64 = 1.0 / 2.66;

/// The worked strip: brass (110 GPa, 8530 kg/m3), 15 mm long, 2 mm wide, 0.2 mm thick.
pub fn strip() -> Beam {
    brass(15e-3, 2e-3, 0.2e-3)
}

/// A uniform brass tongue.
pub fn brass(length_m: f64, width_m: f64, thickness_m: f64) -> Beam {
    Beam {
        length_m,
        width_m: Profile::constant(width_m),
        thickness_m: Profile::constant(thickness_m),
        density_kg_m3: 8530.0,
        youngs_modulus_pa: 110e9,
        shear_modulus_pa: 110e9 * SHEAR_PER_YOUNG,
        tip_mass_kg: 0.0,
        root_spring_n_m_per_rad: None,
    }
}

/// A gentle curve up to the tip.
pub fn curved(tip_gap_m: f64) -> RestShape {
    RestShape::Power { root_gap_m: 0.0, tip_gap_m, exponent: 2.0 }
}

/// The same clearance all round, no leak.
pub fn slot(clearance_m: f64, plate_thickness_m: f64) -> Slot {
    Slot {
        left_clearance_m: Profile::constant(clearance_m),
        right_clearance_m: Profile::constant(clearance_m),
        tip_clearance_m: clearance_m,
        plate_thickness_m,
        leak_area_m2: 0.0,
    }
}

/// A harmonium reed of the size used in the published observations: brass, 4 cm long, near 127 Hz, on a windchest, its loss
/// as is usual at its pitch.
pub fn harmonium() -> Reed {
    let beam = brass(40e-3, 4e-3, 0.35e-3);
    Reed {
        quality_factor: usual_quality_factor(beam.modes(1)[0].frequency_hz),
        beam,
        rest: curved(1.2e-3),
        slot: slot(0.05e-3, 2.5e-3),
        chamber: None,
        air: Air { density_kg_m3: 1.2, sound_speed_m_s: 343.0, viscosity_pa_s: 1.81e-5 },
        player: None,
        coefficients: Coefficients::default(),
    }
}

/// Number of steps of [`harmonica`].
pub const STEPS: usize = 12;

/// Step `k` of an invented range of twelve harmonica reeds, from long and low (0, about C3) to short and high (11, about
/// C7): brass, each a third above the one before, with chambers that shrink towards the top.
pub fn harmonica(k: usize) -> Reed {
    let x = k as f64 / (STEPS - 1) as f64;
    let between = |low: f64, high: f64| low + (high - low) * x;
    let geometric = |low: f64, high: f64| low * (high / low).powf(x);
    let length = between(22e-3, 10e-3);
    let frequency = geometric(130.8, 2093.0);
    let strip = strip();
    let scale = strip.thickness_m.at(0.0) / strip.modes(1)[0].frequency_hz / strip.length_m.powi(2);
    Reed {
        beam: brass(length, between(2.4e-3, 1.8e-3), scale * frequency * length * length),
        quality_factor: 60.0,
        rest: curved(geometric(0.4e-3, 0.1e-3)),
        slot: slot(0.03e-3, 0.9e-3),
        chamber: Some(Chamber {
            volume_m3: between(500e-9, 300e-9),
            channel_length_m: between(20e-3, 10e-3),
            channel_area_m2: 20e-6,
            channel_perimeter_m: None,
        }),
        air: Air::default(),
        player: None,
        coefficients: Coefficients::default(),
    }
}
