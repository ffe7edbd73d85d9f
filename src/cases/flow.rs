//! The opening and the flow through it: the limits of the flow law, the slot in series, drag.
//!
//! A tongue that lies parallel to the plate has the same opening everywhere; with almost no viscosity it is a sharp
//! orifice, with almost no pressure a slow viscous slit.

use super::reeds::{brass, slot};
use super::{Check, Group, Published};
use crate::physics::aperture::{Aperture, Flow};
use crate::physics::coefficients::CONTRACTION;
use crate::physics::{Air, Coefficients, Reed, ReedModel, RestShape, Slot};

const JET: &str =
    "Bernoulli, sqrt(2 dp/rho) = 40.8248 m/s at 1 kPa and 1.2 kg/m3, times the contraction 0.61 of model equation (3)";
const KIRCHHOFF: &str = "pi/(pi + 2) for a plane slit: Kirchhoff; Lamb, Hydrodynamics, section 75 (from memory)";
const POISEUILLE: &str =
    "plane Poiseuille flow, Q = b^3 W dp/(12 mu l), evaluated by hand (F. M. White, Viscous Fluid Flow, from memory)";
const THIN_SLIT: &str = "creeping flow through a slit 2a in a thin plate, Q = pi a^2 dp/(8 mu) per length: Roscoe, Phil. Mag. 40 (1949) 338; Hasimoto, J. Phys. Soc. Japan 13 (1958) 633; evaluated by hand";
const BERNOULLI: &str = "two sharp orifices in series, 1/A^2 = 1/A_1^2 + 1/A_2^2 (Bernoulli), evaluated by hand";
const DRAG: &str = "model equation (8), 1/2 rho C_d w V|V| with C_d = 5, integrated by hand with the exact first mode: integral of phi^3 = 0.1847284379 L, of phi_1^2 phi_2 = 0.0498197774 L";
const COUETTE: &str =
    "model equation (8), mu l V (1/c_left + 1/c_right), integrated by hand with integral of phi^2 = L/4";
const MIXED: &str = "the positive root of model equation (3), evaluated by hand";

const DENSITY: f64 = 1.2;
const LENGTH: f64 = 15e-3;
const WIDTH: f64 = 2e-3;

pub(super) fn checks() -> Vec<Check> {
    let mut group = Group::new("flow");
    orifice(&mut group);
    slow(&mut group);
    series(&mut group);
    drag(&mut group);
    group.checks
}

/// A tongue 15 mm long and 2 mm wide that lies parallel to the plate, its underside at `height`.
struct Flat {
    height: f64,
    thickness: f64,
    slot: Slot,
    viscosity: f64,
}

impl Flat {
    fn reed(self) -> Reed {
        Reed {
            beam: brass(LENGTH, WIDTH, self.thickness),
            quality_factor: 60.0,
            rest: RestShape::Power { root_gap_m: self.height, tip_gap_m: self.height, exponent: 1.0 },
            slot: self.slot,
            chamber: None,
            air: Air { density_kg_m3: DENSITY, sound_speed_m_s: 343.0, viscosity_pa_s: self.viscosity },
            player: None,
            coefficients: Coefficients::default(),
        }
    }

    fn aperture(self) -> Aperture {
        ReedModel::new(self.reed()).expect("a valid reed").aperture().clone()
    }

    fn flow(self, dp: f64) -> Flow {
        self.aperture().flow([0.0; 2], [0.0; 2], dp)
    }
}

/// Both sides and the tip.
const EDGE: f64 = 2.0 * LENGTH + WIDTH;

fn orifice(group: &mut Group) {
    // So little viscosity that it takes 1e-9 of the speed.
    let open =
        |height: f64, clearance: f64| Flat { height, thickness: 0.2e-3, slot: slot(clearance, 1e-3), viscosity: 1e-15 };
    let jet = |speed: f64| Published::relative(speed, 2e-6, "m/s", JET);
    // A 3-4-5 triangle: clearance 0.3 mm, height 0.4 mm, opening 0.5 mm.
    let speed = open(0.4e-3, 0.3e-3).flow(1000.0).edges_m3_s / (EDGE * 0.5e-3);
    group.add("orifice, above the plate: jet speed at 1 kPa", speed, jet(24.903146));
    // Below a plate of 1 mm by 0.4 mm: the underside of a tongue of 0.2 mm at -1.6 mm.
    let speed = open(-1.6e-3, 0.3e-3).flow(1000.0).edges_m3_s / (EDGE * 0.5e-3);
    group.add("orifice, below the plate: jet speed at 1 kPa", speed, jet(24.903146));
    let speed = open(0.4e-3, 0.3e-3).flow(-100.0).edges_m3_s / (EDGE * 0.5e-3);
    group.add("orifice, reversed: jet speed at -100 Pa", speed, jet(0.61 * 12.909944));
    // The coefficient is the theoretical one rounded to two digits.
    let published = Published::within(0.6110154703516573, 0.005, "1", KIRCHHOFF);
    group.add("contraction of the jet", CONTRACTION, published);
}

fn slow(group: &mut Group) {
    // A slit 20 um wide, 1 m deep: published for W = 30 mm, l = 1 mm and 500 Pa as 5.515720e-7 m3/s; flow goes as
    // W dp/l. Both ends together resist like 17 um more of depth.
    let deep = Flat { height: -1.5, thickness: 1.0, slot: slot(20e-6, 2.0), viscosity: 1.813e-5 };
    let speed = deep.flow(1e-3).edges_m3_s / (EDGE * 20e-6);
    let published = Published::relative(0.91929e-6 * 1e-3 / 0.5, 3e-5, "m/s", POISEUILLE);
    group.add("viscous slit, 20 um by 1 m: mean speed at 1 mPa", speed, published);
    // Flush with the plate there is no overlap: a slit in a thin plate. At 0.1 uPa the jet takes 7e-9 of it.
    let flush = || Flat { height: 0.0, thickness: 0.2e-3, slot: slot(40e-6, 1e-3), viscosity: 1.9e-5 };
    let published = Published::relative(2.0668373e-8, 4e-8, "m/s", THIN_SLIT);
    group.add("thin slit of 40 um: mean speed at 0.1 uPa", flush().flow(1e-7).edges_m3_s / (EDGE * 40e-6), published);
    let slopes = flush().aperture().slopes([0.0; 2], 0.0);
    let published = Published::relative(0.20668373 * EDGE * 40e-6, 4e-8, "m3/(s Pa)", THIN_SLIT);
    group.add("thin slit of 40 um: slope of the flow at no pressure", slopes.through_by_pressure, published);
    // Both terms at once.
    let inside = Flat { height: -0.5e-3, thickness: 0.2e-3, slot: slot(40e-6, 1e-3), viscosity: 1.9e-5 };
    let published = Published::relative(MIXED_SPEED, 1e-8, "m/s", MIXED);
    group.add(
        "slit of 40 um by 0.2 mm: mean speed at 300 Pa",
        inside.flow(300.0).edges_m3_s / (EDGE * 40e-6),
        published,
    );
}

/// `2 dp/(b + sqrt(b^2 + 4 a dp))`, `a = 1.2/(2 * 0.61^2)`, `b = 12 * 1.9e-5 (2e-4 + 0.8488263632 * 4e-5)/(4e-5)^2`,
/// `dp` = 300 Pa.
const MIXED_SPEED: f64 = 6.7771666279;

fn series(group: &mut Group) {
    let flat = Flat { height: 0.5e-3, thickness: 0.2e-3, slot: slot(0.04e-3, 1e-3), viscosity: 1e-15 };
    let aperture = flat.aperture();
    let flow = aperture.flow([0.0; 2], [0.0; 2], 1000.0);
    let by_hand = |value: f64, unit| Published::relative(value, 1e-8, unit, BERNOULLI);
    group.add("orifice of 16.051 mm2 alone at 1 kPa", flow.edges_m3_s, by_hand(3.9972333899e-4, "m3/s"));
    group.add("slot of 31.283 mm2 alone at 1 kPa", aperture.slot_flow(1000.0), by_hand(7.7905008813e-4, "m3/s"));
    group.add("both in series at 1 kPa", flow.through_m3_s, by_hand(3.5564178599e-4, "m3/s"));
    group.add("share of the pressure across the first", flow.share, by_hand(0.79160139715, "1"));
}

fn drag(group: &mut Group) {
    // Above the plate there is no overlap, only the drag of a plate moving broadside.
    let above = Flat { height: 0.5e-3, thickness: 0.2e-3, slot: slot(0.04e-3, 1e-3), viscosity: 1.9e-5 };
    let force = above.aperture().flow([0.0; 2], [2.0, 0.0], 0.0).drag_n;
    // The first mode of 40 elements is exact to 1e-8.
    let published = |value: f64| Published::relative(value, 5e-8, "N", DRAG);
    group.add("drag on the first mode at 2 m/s", force[0], published(6.650223764e-5));
    // Their second mode is exact to 6e-7.
    let second = Published { allowed: 2e-6 * 1.793512e-5, ..published(1.793511986e-5) };
    group.add("drag on the second mode at 2 m/s of the first", force[1], second);
    let inside = Flat { height: -0.5e-3, thickness: 0.2e-3, slot: slot(0.04e-3, 1e-3), viscosity: 1.9e-5 };
    let slopes = inside.aperture().slopes([0.0; 2], 0.0);
    let published = Published::relative(7.125e-7, 5e-8, "N s/m", COUETTE);
    group.add("viscous drag in the slot", slopes.drag_by_speed[0][0], published);
}
