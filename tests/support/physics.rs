//! Reeds and numbers for the tests of the physics.

#![allow(dead_code)]

use freereed::cases::reeds::{brass, strip};
use freereed::physics::{Air, Beam, Chamber, Coefficients, Profile, Reed, ReedModel, RestShape, Slot};

/// Repeatable random numbers: SplitMix64 (G. L. Steele, D. Lea, C. H. Flood, OOPSLA 2014).
pub struct Random(u64);

impl Random {
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Evenly between two values.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// By the normal distribution (G. E. P. Box, M. E. Muller 1958).
    pub fn normal(&mut self, middle: f64, deviation: f64) -> f64 {
        let radius = (-2.0 * (1.0 - self.between(0.0, 1.0)).ln()).sqrt();
        middle + deviation * radius * self.between(0.0, 2.0 * std::f64::consts::PI).cos()
    }

    /// Evenly in the logarithm.
    pub fn decades(&mut self, low: f64, high: f64) -> f64 {
        self.between(low.ln(), high.ln()).exp()
    }
}

pub fn model(reed: Reed) -> ReedModel {
    ReedModel::new(reed).expect("a valid reed")
}

pub fn with_gap(reed: &Reed, tip_gap_m: f64) -> Reed {
    let mut other = reed.clone();
    let RestShape::Power { tip_gap_m: gap, .. } = &mut other.rest else { panic!("a gap by a power law") };
    *gap = tip_gap_m;
    other
}

pub fn gap(reed: &Reed) -> f64 {
    reed.rest.height_m(reed.beam.length_m, reed.beam.length_m)
}

pub fn with_clearance_scaled(reed: &Reed, factor: f64) -> Reed {
    let slot = &reed.slot;
    Reed {
        slot: Slot {
            left_clearance_m: slot.left_clearance_m.scaled(factor),
            right_clearance_m: slot.right_clearance_m.scaled(factor),
            tip_clearance_m: slot.tip_clearance_m * factor,
            ..slot.clone()
        },
        ..reed.clone()
    }
}

pub fn with_leak(reed: &Reed, leak_area_m2: f64) -> Reed {
    Reed { slot: Slot { leak_area_m2, ..reed.slot.clone() }, ..reed.clone() }
}

pub fn with_quality(reed: &Reed, quality_factor: f64) -> Reed {
    Reed { quality_factor, ..reed.clone() }
}

/// A reed as a maker might measure it, from a bass to a top note: sizes, metal, fit and chamber at random, the thickness
/// from the pitch.
pub fn random_reed(seed: u64) -> Reed {
    let mut random = Random::new(seed);
    let frequency = random.decades(100.0, 2200.0);
    // Long reeds are low ones: from about 24 mm to 10 mm, give or take a seventh.
    let length = 24e-3 * (100.0 / frequency).powf(0.28) * random.between(0.87, 1.15);
    let base = strip();
    let thickness =
        base.thickness_m.at(0.0) * frequency / base.modes(1)[0].frequency_hz * (length / base.length_m).powi(2);
    let taper = random.between(0.7, 1.3);
    let beam = Beam {
        thickness_m: Profile::linear(vec![(0.0, thickness), (length, thickness * taper)]).expect("in order"),
        density_kg_m3: random.between(7850.0, 8900.0),
        youngs_modulus_pa: random.between(100e9, 200e9),
        ..brass(length, random.between(1.6e-3, 3e-3), thickness)
    };
    let side = random.decades(0.015e-3, 0.08e-3);
    Reed {
        beam,
        quality_factor: random.decades(30.0, 120.0),
        rest: RestShape::Power {
            root_gap_m: 0.0,
            tip_gap_m: random.decades(0.5, 2.0) * 0.4e-3 * (130.0 / frequency).powf(0.45),
            exponent: random.between(1.3, 3.0),
        },
        slot: Slot {
            left_clearance_m: Profile::constant(side),
            right_clearance_m: Profile::constant(side * random.between(0.7, 1.4)),
            tip_clearance_m: side * random.between(0.8, 2.0),
            plate_thickness_m: random.between(0.8e-3, 1.3e-3),
            leak_area_m2: if random.between(0.0, 1.0) < 0.5 { 0.0 } else { random.decades(0.01e-6, 0.2e-6) },
        },
        chamber: Some(Chamber {
            volume_m3: random.between(250e-9, 700e-9),
            channel_length_m: random.between(8e-3, 22e-3),
            channel_area_m2: random.between(12e-6, 28e-6),
            channel_perimeter_m: None,
        }),
        air: Air::default(),
        player: None,
        coefficients: Coefficients::default(),
    }
}
