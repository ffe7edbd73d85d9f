//! The air behind the reed: inertance, compliance, channel loss, stray leaks; and the 5 % that ends the window.

use super::reeds::{curved, slot, strip};
use super::{Check, Group, Published};
use crate::physics::onset::{Choke, Search};
use crate::physics::{Air, Chamber, Coefficients, Reed, ReedModel};

const SLOT: &str = "model section 5, M = rho (T + 0.85 sqrt(w L/pi))/(w L), evaluated by hand, times mu_M = 1.3";
const CHANNEL: &str = "model section 5, e = sqrt(2 mu/(rho w_1)) sqrt(pi/S_c), M = 1.3 rho (L_c (1 + e) + 0.85 sqrt(S_c/pi))/S_c, R = w_1 rho L_c e/S_c, evaluated by hand with w_1 = 2 pi 515.643521 Hz";
const END: &str = "flanged end 8/(3 pi) = 0.8488 radii: Rayleigh, The Theory of Sound, section 312 (from memory)";
const COMPLIANCE: &str = "model section 5, C = V/(rho c0^2), evaluated by hand";
const HELMHOLTZ: &str = "Helmholtz resonator, 1/(2 pi sqrt(M C)), evaluated by hand";
const LEAK: &str = "model section 3, A sqrt(2/rho) dp/(dp^2 + (1 Pa)^2)^(1/4), evaluated by hand";
const LOSS: &str = "model section 5 at rest, P - p = R U + K rho U^2/(2 S_c^2), K = 1.5: the whole dynamic pressure at the outlet, half of it at a sharp inlet (Borda-Carnot)";
const CHOKE: &str = "model section 6: choke is where the growth rate has fallen to 5 % of its largest";

pub(super) fn checks() -> Vec<Check> {
    let mut group = Group::new("chamber");
    // Nine digits were kept by hand.
    let by_hand = |value: f64, unit, source| Published::relative(value, 2e-9, unit, source);

    let windchest = model(None, 0.0);
    let slot = windchest.ladder().sections()[0];
    group.add("inertance of the slot's air", slot.inertance_kg_m4, by_hand(1.3 * 136.6043656115, "kg/m4", SLOT));
    let chest_c = by_hand(2.1305581914e-13, "m3/Pa", COMPLIANCE);
    group.add("compliance of the slot's air", slot.compliance_m3_pa, chest_c);

    let chambered = model(Some(CHAMBER), 0.0);
    let behind = chambered.ladder().sections()[1];
    // The frequency of the worked strip is known to nine digits.
    let channel = |value: f64, unit| Published::relative(value, 1e-8, unit, CHANNEL);
    group.add("inertance of the channel's air", behind.inertance_kg_m4, channel(1685.84116218, "kg/m4"));
    group.add("resistance of the channel's wall", behind.resistance_pa_s_m3, channel(147827.650800, "Pa s/m3"));
    group.add("chamber: compliance", behind.compliance_m3_pa, by_hand(3.550930319e-12, "m3/Pa", COMPLIANCE));
    let resonance = 1.0 / (std::f64::consts::TAU * (1685.84116218_f64 * 3.550930319e-12).sqrt());
    let helmholtz = Published::relative(resonance, 1e-8, "Hz", HELMHOLTZ);
    group.add("chamber: resonance", chambered.chamber_resonance_hz(), helmholtz);
    let radius = (2e-3 * 15e-3 / std::f64::consts::PI).sqrt();
    let correction = (slot.inertance_kg_m4 / 1.3 * 2e-3 * 15e-3 / 1.13 - 1e-3) / radius;
    let published = Published::within(0.848826363, 0.005, "radii", END);
    group.add("end correction of the slot, rounded to two digits", correction, published);

    let leaking = model(Some(CHAMBER), 1e-6);
    let leak = leaking.ladder().sections()[1];
    group.add("leak of 1 mm2 at 1 Pa", leak.leaked_m3_s(1.0), by_hand(1.1187119499e-6, "m3/s", LEAK));
    group.add("leak of 1 mm2 at 1 kPa", leak.leaked_m3_s(1e3), by_hand(4.2070305674e-5, "m3/s", LEAK));
    group.add("leak of 1 mm2 at -1 Pa", leak.leaked_m3_s(-1.0), by_hand(-1.1187119499e-6, "m3/s", LEAK));

    // At rest what is lost in the channel beside its wall is one and a half times the dynamic pressure of its flow.
    let rest = leaking.static_rest(500.0).expect("this reed does not snap below 500 Pa");
    let dynamic = 0.5 * 1.13 * (rest.flow_m3_s / CHAMBER.channel_area_m2).powi(2);
    let lost = (rest.mouth_pa - rest.pressure_pa - leak.resistance_pa_s_m3 * rest.flow_m3_s) / dynamic;
    // The difference of two pressures known to 1e-12, of which it is about a hundredth.
    group.add("channel: dynamic pressures lost", lost, Published::within(1.5, 1e-7, "1", LOSS));

    let speaking = chambered.speaking(&Search { limit_pa: 5e3, ..Search::default() });
    let share = match (speaking.choke, speaking.fastest) {
        (Choke::Fades(pressure), Some(fastest)) => {
            let there = chambered.growth(&[pressure])[0].map_or(f64::NAN, |growth| growth.growth_per_s);
            there / fastest.growth_per_s
        }
        _ => f64::NAN,
    };
    // The largest growth rate is found from a parabola through steps of 1 %: good to 1e-5.
    group.add("choke: growth rate over its largest", share, Published::within(0.05, 5e-6, "1", CHOKE));
    group.checks
}

const CHAMBER: Chamber =
    Chamber { volume_m3: 500e-9, channel_length_m: 20e-3, channel_area_m2: 20e-6, channel_perimeter_m: None };

fn model(chamber: Option<Chamber>, leak_area_m2: f64) -> ReedModel {
    let slot = crate::physics::Slot { leak_area_m2, ..slot(0.04e-3, 1e-3) };
    let reed = Reed {
        beam: strip(),
        quality_factor: 60.0,
        rest: curved(0.2e-3),
        slot,
        chamber,
        air: Air::default(),
        player: None,
        coefficients: Coefficients::default(),
    };
    ReedModel::new(reed).expect("a valid reed")
}
