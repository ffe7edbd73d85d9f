//! The reed ready to be solved: modes, opening, and the ladder of air behind it.
//!
//! The equations of motion, with `p` the pressure at the reed and `U_k`, `p_k` those of the air ([`super::ladder`]):
//!
//! - `m_i (q_i'' + 2 zeta w_i q_i' + w_i^2 q_i) = -beta p S_i - integral of phi_i f_d ds`   (7)
//! - `f_d = 1/2 rho C_d w V|V| + mu l (1/c_left + 1/c_right) V`, `V = sum of q_i' phi_i`   (8)
//! - `C_0 p' = U_0 - U(p, q) + sum of S_i q_i'`, and (9), (10) of the ladder
//!
//! A draw reed sits on the outside; the equations are the same with pressures read as suction.

use std::f64::consts::PI;

use super::aperture::{Aperture, Flow, FlowSlopes, MODES};
use super::beam::Mode;
use super::condensed::{FLOW, PRESSURE};
use super::ladder::{Ladder, SECTIONS};
use super::{InputError, Reed};

/// Tip motion and speed of each mode, and pressure and flow of each section of air. Sections that are not there stay zero.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct State {
    /// Tip displacement from rest, per mode (m).
    pub tip_m: [f64; MODES],
    /// Tip speed, per mode (m/s).
    pub speed_m_s: [f64; MODES],
    /// Pressures, from the one at the reed outwards (Pa).
    pub pressure_pa: [f64; SECTIONS],
    /// Flows through the sections, from the slot outwards (m3/s).
    pub flow_m3_s: [f64; SECTIONS],
}

impl State {
    /// Number of values.
    pub(crate) const COUNT: usize = 2 * MODES + 2 * SECTIONS;

    /// Applies `combine` to each value of two states.
    #[inline(always)]
    pub(super) fn zip(&self, other: &Self, combine: impl Fn(f64, f64) -> f64 + Copy) -> Self {
        let both = |a: &[f64; SECTIONS], b: &[f64; SECTIONS]| std::array::from_fn(|k| combine(a[k], b[k]));
        let moving = |a: &[f64; MODES], b: &[f64; MODES]| std::array::from_fn(|k| combine(a[k], b[k]));
        Self {
            tip_m: moving(&self.tip_m, &other.tip_m),
            speed_m_s: moving(&self.speed_m_s, &other.speed_m_s),
            pressure_pa: both(&self.pressure_pa, &other.pressure_pa),
            flow_m3_s: both(&self.flow_m3_s, &other.flow_m3_s),
        }
    }

    /// This and `factor` times another.
    #[inline(always)]
    pub(super) fn plus(&self, factor: f64, other: &Self) -> Self {
        self.zip(other, |a, b| a + factor * b)
    }

    /// So many times as large.
    #[inline(always)]
    pub(super) fn times(&self, factor: f64) -> Self {
        self.zip(self, |a, _| factor * a)
    }

    /// Displacement of the tip from rest (m).
    #[inline]
    pub fn tip(&self) -> f64 {
        self.tip_m.iter().sum()
    }

    /// Speed of the tip (m/s).
    #[inline]
    pub fn speed(&self) -> f64 {
        self.speed_m_s.iter().sum()
    }

    /// Pressure at the reed (Pa).
    #[inline]
    pub fn reed_pa(&self) -> f64 {
        self.pressure_pa[0]
    }
}

/// A checked reed with everything computed that does not depend on the blowing pressure.
#[derive(Debug, Clone)]
pub struct ReedModel {
    reed: Reed,
    modes: Vec<Mode>,
    pub(super) tongue: [Oscillator; MODES],
    pub(super) aperture: Aperture,
    pub(super) ladder: Ladder,
}

/// A mode as equation (7) needs it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Oscillator {
    /// `w_i^2` (1/s2).
    pub(super) stiffness: f64,
    /// `2 zeta w_i` (1/s).
    pub(super) damping: f64,
    /// `S_i` (m2).
    pub(super) area: f64,
    /// `1/m_i` (1/kg).
    pub(super) mobility: f64,
}

impl Oscillator {
    fn of(mode: &Mode, damping_ratio: f64) -> Self {
        let w = mode.angular_frequency();
        Self {
            stiffness: w * w,
            damping: 2.0 * damping_ratio * w,
            area: mode.swept_area_m2,
            mobility: 1.0 / mode.modal_mass_kg,
        }
    }
}

/// Exact derivatives of [`ReedModel::rates`] as the equations are built: the tongue is coupled to the pressure at the reed
/// alone, and each section of air to its neighbours alone.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Slopes {
    /// Accelerations by tip motion, by speed and by the pressure at the reed.
    pub(super) acceleration_by_tip: [[f64; MODES]; MODES],
    pub(super) acceleration_by_speed: [[f64; MODES]; MODES],
    pub(super) acceleration_by_pressure: [f64; MODES],
    /// Rate of the pressure at the reed by tip motion and by speed.
    pub(super) pressure_by_tip: [f64; MODES],
    pub(super) pressure_by_speed: [f64; MODES],
    /// Rate of each pressure by itself, and by the flow of its own section.
    pub(super) pressure_by_itself: [f64; SECTIONS],
    pub(super) pressure_by_flow: [f64; SECTIONS],
    /// Rate of each pressure but the first by the flow of the section before it, and by that section's outer pressure.
    pub(super) pressure_by_drain: [f64; SECTIONS],
    /// Rate of each flow by itself and by the pressure it feeds; that by the pressure it feeds on is the negative of this.
    pub(super) flow_by_itself: [f64; SECTIONS],
    pub(super) flow_by_pressure: [f64; SECTIONS],
    /// Rate of the outermost flow, or pressure where it has no inertance, by the pressure blown with.
    pub(super) by_blowing: f64,
}

impl ReedModel {
    /// Solves the beam and prepares the opening.
    ///
    /// # Errors
    /// A value for which the equations have no meaning ([`Reed::check`]).
    pub fn new(reed: Reed) -> Result<Self, InputError> {
        reed.check()?;
        let modes = reed.beam.modes(MODES);
        let damping_ratio = 0.5 / reed.quality_factor;
        Ok(Self {
            aperture: Aperture::new(&reed, &modes),
            ladder: Ladder::of(&reed, modes[0].angular_frequency()),
            tongue: std::array::from_fn(|i| Oscillator::of(&modes[i], damping_ratio)),
            modes,
            reed,
        })
    }

    /// The reed this was made from.
    pub fn reed(&self) -> &Reed {
        &self.reed
    }

    /// The bending modes that move, lowest first.
    pub fn modes(&self) -> &[Mode] {
        &self.modes
    }

    /// The opening around the reed.
    pub fn aperture(&self) -> &Aperture {
        &self.aperture
    }

    /// The air behind the reed.
    pub fn ladder(&self) -> &Ladder {
        &self.ladder
    }

    /// Damping ratio of every mode, `1/(2Q)`.
    pub fn damping_ratio(&self) -> f64 {
        0.5 / self.reed.quality_factor
    }

    /// Helmholtz resonance with the reed shut (Hz): of the chamber with its channel, or of the slot's own air where there is
    /// none, `1/(2 pi sqrt(M C))`.
    pub fn chamber_resonance_hz(&self) -> f64 {
        let mouth = self.ladder.to_the_mouth();
        let outer = mouth.sections()[mouth.sections().len() - 1];
        1.0 / (2.0 * PI * (outer.inertance_kg_m4 * outer.compliance_m3_pa).sqrt())
    }

    /// The same model with another quality factor.
    pub fn with_quality_factor(&self, quality_factor: f64) -> Self {
        let mut other = self.clone();
        other.reed.quality_factor = quality_factor;
        other.tongue = std::array::from_fn(|i| Oscillator::of(&self.modes[i], 0.5 / quality_factor));
        other
    }

    /// The same model with another stray leak (effective area, m2).
    pub fn with_leak_area(&self, leak_area_m2: f64) -> Self {
        let mut other = self.clone();
        other.reed.slot.leak_area_m2 = leak_area_m2;
        other.ladder = Ladder::of(&other.reed, self.modes[0].angular_frequency());
        other
    }

    /// The same model with every inertance multiplied by a factor, to see what the inertia of the air does.
    pub fn with_inertances_times(&self, factor: f64) -> Self {
        Self { ladder: self.ladder.with_inertances_times(factor), ..self.clone() }
    }

    /// The same model with the flow summed up at half as many points along the edges, for runs of which only the times count.
    pub(super) fn coarser(&self) -> Self {
        Self { aperture: self.aperture.coarser(), ..self.clone() }
    }

    /// The same model with the pressure in the mouth prescribed: the player left out.
    pub(super) fn to_the_mouth(&self) -> Self {
        Self { ladder: self.ladder.to_the_mouth(), ..self.clone() }
    }

    /// Largest bending stress over some states (Pa) and where (m from the clamp): `E h/2 |sum of q_i phi_i''|`.
    pub fn largest_stress(&self, states: &[State]) -> (f64, f64) {
        let beam = &self.reed.beam;
        let [first, second] = [0, 1].map(|i: usize| beam.curvatures(&self.modes[i].shape));
        let worst = first.into_iter().zip(second).map(|((s, inside, first), (_, _, second))| {
            let curvature = states.iter().map(|state| (state.tip_m[0] * first + state.tip_m[1] * second).abs());
            let outer_fibre_m = 0.5 * beam.thickness_m.at_within(s, inside);
            (beam.youngs_modulus_pa * outer_fibre_m * curvature.fold(0.0, f64::max), s)
        });
        worst.fold((0.0, 0.0), |best: (f64, f64), here| if here.0 > best.0 { here } else { best })
    }

    /// Pressure in the mouth (Pa): that blown with, less what it costs to get there where there is a player.
    pub fn mouth_pa(&self, state: &State, blown_pa: f64) -> f64 {
        let inner = self.ladder.to_the_mouth().sections().len();
        if inner < self.ladder.sections().len() { state.pressure_pa[inner] } else { blown_pa }
    }

    /// Pressure in the mouth, pressure behind the reed (in the chamber where there is one) and flow towards it.
    pub fn mouth_to_reed(&self, state: &State, blown_pa: f64) -> (f64, f64, f64) {
        let inner = self.ladder.to_the_mouth().sections().len() - 1;
        (self.mouth_pa(state, blown_pa), state.pressure_pa[inner], state.flow_m3_s[inner])
    }

    /// Place of the value that the pressure blown with acts on: the outermost flow, or pressure where it has no inertance.
    pub(super) fn blown_place(&self) -> usize {
        let last = self.ladder.sections().len() - 1;
        last + if self.ladder.sections()[last].inertance_kg_m4 > 0.0 { FLOW } else { PRESSURE }
    }

    /// Flow at rest through the reed and through a leak of the chamber (m3/s), as the size of flows.
    pub(super) fn used_m3_s(&self, state: &State, through: f64) -> f64 {
        let sections = self.ladder.sections().iter().zip(state.pressure_pa);
        through + sections.map(|(section, p)| section.leaked_m3_s(p)).sum::<f64>()
    }

    /// Net flow out of the slot `U - integral of w V ds` (m3/s), given `U`.
    #[inline(always)]
    pub(super) fn outflow(&self, state: &State, through: f64) -> f64 {
        through - self.tongue[0].area * state.speed_m_s[0] - self.tongue[1].area * state.speed_m_s[1]
    }

    /// Rate of change of every state, equations (7) to (10), with the pressure blown with: in the lungs where there is a
    /// player.
    #[inline]
    pub fn rates(&self, state: &State, blown_pa: f64) -> State {
        self.rates_with(&self.aperture.flow(state.tip_m, state.speed_m_s, state.reed_pa()), state, blown_pa)
    }

    /// The same, as code of whoever calls it.
    #[inline(always)]
    pub(super) fn rates_by(&self, state: &State, blown_pa: f64) -> State {
        self.rates_with(&self.aperture.flow_by(state.tip_m, state.speed_m_s, state.reed_pa()), state, blown_pa)
    }

    /// The same, where the flow through the opening is known.
    #[inline(always)]
    fn rates_with(&self, flow: &Flow, state: &State, blown_pa: f64) -> State {
        let p = state.reed_pa();
        let mut rates = State { tip_m: state.speed_m_s, ..State::default() };
        for (i, mode) in self.tongue.iter().enumerate() {
            // (7); the drag is (8)
            let force = -flow.share * p * mode.area - flow.drag_n[i];
            rates.speed_m_s[i] =
                force * mode.mobility - mode.damping * state.speed_m_s[i] - mode.stiffness * state.tip_m[i];
        }
        let sections = self.ladder.sections();
        let mut drain = self.outflow(state, flow.through_m3_s);
        for (k, section) in sections.iter().enumerate() {
            let pressure = state.pressure_pa[k];
            let outer = if k + 1 < sections.len() { state.pressure_pa[k + 1] } else { blown_pa };
            let inflow = self.ladder.flow(k, pressure, state.flow_m3_s[k], outer);
            if section.inertance_kg_m4 > 0.0 {
                rates.flow_m3_s[k] = (outer - pressure - section.lost_pa(inflow)) / section.inertance_kg_m4; // (9)
            }
            rates.pressure_pa[k] = (inflow - drain - section.leaked_m3_s(pressure)) / section.compliance_m3_pa; // (10)
            drain = inflow;
        }
        rates
    }

    /// Rates and their exact derivatives.
    pub(super) fn rates_and_slopes(&self, state: &State, blown_pa: f64) -> (State, Slopes) {
        let flow = self.aperture.moving_slopes(state.tip_m, state.speed_m_s, state.reed_pa());
        (self.rates_with(&flow.flow, state, blown_pa), self.slopes_with(&flow, state))
    }

    /// The same, as code of whoever calls it.
    #[inline(always)]
    pub(super) fn rates_and_slopes_by(&self, state: &State, blown_pa: f64) -> (State, Slopes) {
        let flow = self.aperture.slopes_by(state.tip_m, state.speed_m_s, state.reed_pa());
        (self.rates_with(&flow.flow, state, blown_pa), self.slopes_with(&flow, state))
    }

    /// Exact derivatives of the rates by the states.
    pub(super) fn slopes(&self, state: &State) -> Slopes {
        self.slopes_with(&self.aperture.moving_slopes(state.tip_m, state.speed_m_s, state.reed_pa()), state)
    }

    #[inline(always)]
    fn slopes_with(&self, flow: &FlowSlopes, state: &State) -> Slopes {
        let p = state.reed_pa();
        let share = flow.flow.share + p * flow.share_by_pressure;
        let mut slopes = Slopes::default();
        let sections = self.ladder.sections();
        let supple = 1.0 / sections[0].compliance_m3_pa;
        for (i, mode) in self.tongue.iter().enumerate() {
            for j in 0..MODES {
                let by_tip = p * flow.share_by_tip[j] * mode.area + flow.drag_by_tip[i][j];
                slopes.acceleration_by_tip[i][j] = -mode.mobility * by_tip;
                slopes.acceleration_by_speed[i][j] = -mode.mobility * flow.drag_by_speed[i][j];
            }
            slopes.acceleration_by_tip[i][i] -= mode.stiffness;
            slopes.acceleration_by_speed[i][i] -= mode.damping;
            slopes.acceleration_by_pressure[i] = -mode.mobility * share * mode.area;
            slopes.pressure_by_tip[i] = -supple * flow.through_by_tip[i];
            slopes.pressure_by_speed[i] = supple * mode.area;
        }
        slopes.pressure_by_itself[0] = -supple * flow.through_by_pressure;
        for (k, section) in sections.iter().enumerate() {
            let supple = 1.0 / section.compliance_m3_pa;
            slopes.pressure_by_itself[k] -= supple * section.leak_slope(state.pressure_pa[k]);
            slopes.pressure_by_drain[k] = if k > 0 { -supple } else { 0.0 };
            if section.inertance_kg_m4 > 0.0 {
                slopes.pressure_by_flow[k] = supple;
                slopes.flow_by_itself[k] = -section.loss_slope(state.flow_m3_s[k]) / section.inertance_kg_m4;
                slopes.flow_by_pressure[k] = -1.0 / section.inertance_kg_m4;
                slopes.by_blowing = 1.0 / section.inertance_kg_m4;
            } else {
                slopes.pressure_by_itself[k] -= supple / section.resistance_pa_s_m3;
                slopes.by_blowing = supple / section.resistance_pa_s_m3;
            }
        }
        slopes
    }
}
