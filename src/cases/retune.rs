//! Retuning: depth and weight for a change of pitch, and what warmth does.
//!
//! The plans are met to 1e-5 cents and the elements are off by some 1e-5 cents; the digits of the source are finer.

use super::{Check, Group, Published};
use crate::sheet::ReedFile;
use crate::workshop::retune::{Method, RetuneOptions, RetunePlan, Target, Work, retune};

const STEPPED: &str = "three uniform spans matched exactly (deflection, slope, moment, shear), solved at 30 digits";
const TIP_MASS: &str = "1 + cos b cosh b + m b(cos b sinh b - sin b cosh b) = 0 (Karnovsky & Lebed, Formulas for Structural Dynamics, section 7.5.3), solved at 30 digits";
const WARMTH: &str = "d ln f/dT = (a_E + a)/2 of a beam that grows alike every way, with the coefficients of the alloy table (Keulegan & Houseman, NBS J. Res. 10 (1933) 289, from memory, within 15 %)";

pub(super) fn checks() -> Vec<Check> {
    let mut group = Group::new("retune");
    // From and to as shares of the length; cents; depth as a share of the thickness.
    let patches = [
        (0.8, 1.0, 10.0, 0.0192060586009),
        (0.8, 1.0, 50.0, 0.093914885883646),
        (0.05, 0.25, -10.0, 0.0074997744111729),
        (0.05, 0.25, -50.0, 0.036171692558725),
        (0.6, 0.9, 20.0, 0.047779817786717),
    ];
    for (from, to, cents, share) in patches {
        let options = RetuneOptions { patch_m: Some((from * LENGTH_M, to * LENGTH_M)), ..options(cents) };
        let depth_m = match plan("C26000", &options).work {
            Work::File { depth_m, .. } => depth_m,
            Work::Weigh { .. } => f64::NAN,
        };
        let published = Published::relative(share, 1e-5, "thickness", STEPPED);
        group.add(format!("{cents:+} cents by filing {from} to {to} L"), depth_m / THICKNESS_M, published);
    }
    for (cents, share) in [(-10.0, 0.0029038306026933), (-100.0, 0.030512984978163)] {
        let planned = plan("C26000", &RetuneOptions { method: Method::Weight, ..options(cents) });
        let mass_kg = match planned.work {
            Work::Weigh { mass_kg } => mass_kg,
            Work::File { .. } => f64::NAN,
        };
        let published = Published::relative(share, 1e-5, "tongue masses", TIP_MASS);
        group.add(format!("{cents:+} cents by a weight"), mass_kg / planned.body.0.mass_kg, published);
    }
    for (alloy, cents_per_k) in [("C26000", -0.372), ("C51000", -0.331)] {
        // The digits of the source, and what is not linear in 15 K.
        let published = Published::within(cents_per_k, 2e-3, "cents/K", WARMTH);
        group.add(format!("warmth, {alloy}"), plan(alloy, &options(5.0)).settling.cents_per_k, published);
    }
    group.checks
}

const LENGTH_M: f64 = 15e-3;
const THICKNESS_M: f64 = 0.2e-3;

fn options(cents: f64) -> RetuneOptions {
    RetuneOptions::to(Target::Cents(cents), 500.0)
}

/// For a uniform strip of 15 x 2 x 0.2 mm.
fn plan(alloy: &str, options: &RetuneOptions) -> RetunePlan {
    let text =
        format!("[reed]\nlength_mm = 15\nwidth_mm = 2\nthickness_mm = 0.2\nalloy = \"{alloy}\"\ntip_gap_mm = 0.25\n");
    let reed = ReedFile::parse("strip", &text).expect("a reed");
    retune(&reed, options).expect("within a fifth of the thickness")
}
