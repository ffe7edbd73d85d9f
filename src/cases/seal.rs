//! Leaks: a slit by itself, unequal slits, a leak-down, a turned tongue.

use super::{Check, Group, Published};
use crate::physics::Air;
use crate::physics::aperture::Slit;
use crate::workshop::align::corner_lead_m;
use crate::workshop::seal::leak::{LeakDown, Off};

const POISEUILLE: &str =
    "plane Poiseuille flow, Q = b^3 W dp/(12 mu L), evaluated by hand (F. M. White, Viscous Fluid Flow, from memory)";
const ENTRANCE: &str = "the positive root of dp = 12 mu L U/b^2 + K rho U^2/2, evaluated by hand; K = 1.5 and 2.2 illustrate a rounded and a sharp entrance";
const JET: &str =
    "0.61 sqrt(2 dp/rho): Bernoulli with the contraction of a plane slit (Lamb, Hydrodynamics, section 75)";
const UNEQUAL: &str = "slow viscous flow goes as the cube of the height: (1 + e)^3 + (1 - e)^3 = 2 (1 + 3 e^2)";
const LEAK_DOWN: &str = "draining through an orifice with the capacity of an ideal gas at constant temperature: A = V sqrt(2 rho) (sqrt p1 - sqrt p2)/(t p0), evaluated by hand (F. M. White, Fluid Mechanics, chapter 3, from memory)";
const TURNED: &str = "a rectangle turned about its axis: half its width times the sine, evaluated by hand";

const AIR: Air = Air { density_kg_m3: 1.2, sound_speed_m_s: 343.0, viscosity_pa_s: 1.813e-5 };
const DEPTH_M: f64 = 1e-3;
const LENGTH_M: f64 = 30e-3;
const DP_PA: f64 = 500.0;

/// Height (um), flow (m3/s), speed with 1.5 and with 2.2 heads lost (m/s); 30 mm by 1 mm at 500 Pa.
const SLITS: [(f64, f64, f64, f64); 4] = [
    (20.0, 5.515719801e-7, 0.91789, 0.91724),
    (40.0, 4.412575841e-6, 3.59176, 3.55450),
    (60.0, 1.489244346e-5, 7.44755, 7.15529),
    (100.0, 6.894649752e-5, 14.40188, 12.89438),
];

pub(super) fn checks() -> Vec<Check> {
    let mut group = Group::new("seal");
    for (um, flow, rounded, sharp) in SLITS {
        let slit = |lost_heads: f64| Slit { height_m: 1e-6 * um, depth_m: DEPTH_M, lost_heads, end_heights: 0.0 };
        // The digits of the values.
        let published = Published::relative(flow, 1e-9, "m3/s", POISEUILLE);
        group.add(format!("slit of {um} um: viscous flow"), slit(0.0).flow_m3_s(&AIR, LENGTH_M, DP_PA), published);
        for (heads, speed) in [(1.5, rounded), (2.2, sharp)] {
            let published = Published::within(speed, 6e-6, "m/s", ENTRANCE);
            group.add(
                format!("slit of {um} um: speed with {heads} heads lost"),
                slit(heads).speed_m_s(&AIR, DP_PA),
                published,
            );
        }
    }
    let open = Slit::sharp(0.5, 0.0);
    let published = Published::relative(17.609, 1e-4, "m/s", JET);
    group.add("sharp slit, wide open: jet speed at 500 Pa", open.speed_m_s(&AIR, DP_PA), published);
    let fine = |um: f64| Slit { end_heights: 0.0, ..Slit::sharp(1e-6 * um, DEPTH_M) }.flow_m3_s(&AIR, LENGTH_M, 1e-6);
    let published = Published::relative(1.75, 1e-6, "1", UNEQUAL);
    group.add(
        "slits of 15 and 5 um over two of 10 um: slow flow",
        (fine(15.0) + fine(5.0)) / (2.0 * fine(10.0)),
        published,
    );
    let down = LeakDown {
        volume_m3: 100e-6,
        from_pa: 900.0,
        to_pa: 400.0,
        time_s: 2.0,
        room_pa: 100e3,
        off: Off::new(0.0, 0.0),
    };
    // 1e-4 * sqrt(2.4) * (30 - 20)/(2 * 1e5)
    let published = Published::relative(7.745966692e-9, 1e-9, "m2", LEAK_DOWN);
    group.add("leak-down of 100 cm3 from 900 to 400 Pa in 2 s", down.area_m2(1.2), published);
    // sin 0.5 deg = 0.008726535498
    let published = Published::relative(8.726535498e-6, 1e-9, "m", TURNED);
    group.add("corner of a tip 2 mm wide, turned by 0.5 deg", corner_lead_m(2e-3, 0.5_f64.to_radians()), published);
    group.checks
}
