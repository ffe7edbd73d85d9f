//! How long a reed lasts: stress at hard playing, mean and swing, against what the metal bears.
//!
//! The stress comes from the steady motion of the attack at that pressure, place by place: a thinned reed does not break at
//! the root. Where a tip swing was measured, stresses are brought to it; otherwise they are the model's own, which are weak,
//! and only the order of reeds and of changes is to be trusted: life goes with the seventh to tenth power of the stress.

mod goodman;
mod improve;
mod rank;
mod steps;
mod strength;
mod surface;

pub use goodman::{SnLine, about_zero_pa, goodman};
pub use improve::{Change, Improvement, improvements};
pub use rank::{Ranked, rank};
pub use steps::{polish_most_m, steps};
pub use strength::Strength;
pub(crate) use surface::marin;
pub use surface::{Scratch, Surface};

use super::Bounds;
use crate::answer::{DoesNotSound, SwingScale};
use crate::physics::attack::{Blow, Steady, Stop};
use crate::physics::bending::StressCycle;
use crate::physics::{InputError, Reed, ReedModel};
use crate::sheet::CheckedReed;
use crate::units::hertz;

/// How hard, how long and with what finish a reed is played.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Playing {
    /// Mouth pressure of hard playing (Pa); all of the sounding time is taken to be as hard.
    pub pressure_pa: f64,
    /// Rise time of the attack (s).
    pub rise_s: f64,
    /// Hours the instrument is to be played.
    pub hours: f64,
    /// Share of that time in which this reed sounds.
    pub share: f64,
    /// Finish of the tongue.
    pub surface: Surface,
    /// Scratches across the reed, where there are any.
    pub scratch: Scratch,
}

/// Why no life can be told.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum LifeRefusal {
    /// The metal's strength is not known.
    #[error("the strength of {metal} is not known: {cure}")]
    NoStrength {
        /// The metal.
        metal: String,
        /// What to give.
        cure: String,
    },
    /// Tensile strength below yield strength.
    #[error(
        "tensile_mpa = {tensile_mpa} is below yield_mpa = {yield_mpa}: no metal breaks before it yields; check both"
    )]
    BreaksBeforeYield {
        /// Tensile strength (MPa).
        tensile_mpa: f64,
        /// Yield strength (MPa).
        yield_mpa: f64,
    },
    /// It does not sound so hard.
    #[error(
        "by the model it does not sound at {pressure_pa:.0} Pa, so nothing tires it there; give a pressure at which it does"
    )]
    Silent {
        /// The pressure (Pa).
        pressure_pa: f64,
    },
    /// It sounds another mode than its note.
    #[error(
        "by the model it squeals at {pressure_pa:.0} Pa, at {} instead of its note of some {}: how long it lasts in its note \
         cannot be told there; give a pressure at which it sounds the note",
        hertz(*.squeal_hz), hertz(*.note_hz)
    )]
    Squeals {
        /// The pressure (Pa).
        pressure_pa: f64,
        /// What it sounds (Hz).
        squeal_hz: f64,
        /// Plucked pitch (Hz).
        note_hz: f64,
    },
    /// The measured swing fits nothing.
    #[error(transparent)]
    Swing(#[from] DoesNotSound),
    /// The equations have no meaning for it.
    #[error("cannot solve this reed: {0}")]
    Input(#[from] InputError),
}

/// Where the swing comes from, and what the model's own is multiplied by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SwingFrom {
    /// Measured on this reed.
    Measured(f64),
    /// As on the middle one of those reeds of the set on which it was measured.
    OtherReeds(f64),
    /// The model's own, which is weak: only the order of reeds and of changes can be told.
    Model,
}

impl SwingFrom {
    /// What the model's swing and stress are multiplied by.
    pub fn factor(self) -> f64 {
        match self {
            Self::Measured(factor) | Self::OtherReeds(factor) => factor,
            Self::Model => 1.0,
        }
    }
}

/// How long a reed lasts.
#[derive(Debug, Clone, PartialEq)]
pub struct Life {
    /// How it is played.
    pub playing: Playing,
    /// What its metal bears.
    pub strength: Strength,
    /// Bounds of what the surface leaves of the fatigue strength.
    pub surface_factor: Bounds,
    /// Where it tires most, and how the stress swings there.
    pub worst: StressCycle,
    /// The same at the root.
    pub root: StressCycle,
    /// Largest stress in the attack, anywhere (Pa).
    pub peak_pa: f64,
    /// Sounding frequency (Hz).
    pub frequency_hz: f64,
    /// Tip swing to either side (m).
    pub swing_m: f64,
    /// Where that swing comes from.
    pub swing_from: SwingFrom,
    /// Load cycles in the hours asked.
    pub cycles: f64,
    /// Safety factor on stress against breaking within these cycles.
    pub factor: Bounds,
    /// Safety factor on stress against bending for good, where the yield strength is known.
    pub yield_factor: Option<f64>,
    /// Cycles until it breaks.
    pub cycles_to_break: Bounds,
}

impl Life {
    /// Hours of playing until it breaks; none where no swing was measured: the model's own is too weak for that.
    pub fn hours(&self) -> Option<Bounds> {
        let per_hour = self.frequency_hz * 3600.0 * self.playing.share;
        let measured = matches!(self.swing_from, SwingFrom::Measured(_));
        measured.then(|| self.cycles_to_break.map(|cycles| cycles / per_hour))
    }

    /// The S-N line at its cautious end.
    pub fn line(&self) -> SnLine {
        let Strength { tensile_pa, fatigue_pa, fatigue_cycles, .. } = self.strength;
        SnLine::of(tensile_pa, fatigue_pa.low * self.surface_factor.low, fatigue_cycles)
    }

    /// The swing of the tip (m) that it bears for the cycles asked. It does not lean on how far the reed swings, only on how
    /// it bends when it does: the same for any measured swing.
    pub fn bears_swing_m(&self) -> Bounds {
        self.factor.map(|factor| factor * self.swing_m)
    }
}

/// How long a reed lasts.
///
/// # Errors
/// The strength of its metal is not known, or it does not sound at that pressure.
pub fn life(checked: &CheckedReed, playing: &Playing) -> Result<Life, LifeRefusal> {
    let strength = Strength::of(&checked.metal)?;
    let swing_from = measured(checked)?.map_or(SwingFrom::Model, SwingFrom::Measured);
    of_reed(&checked.reed, playing, strength, swing_from)
}

/// Measured over computed swing, where one was measured.
fn measured(checked: &CheckedReed) -> Result<Option<f64>, LifeRefusal> {
    let scale = SwingScale::of(checked, &ReedModel::new(checked.reed.clone())?)?;
    Ok(scale.map(|scale| scale.factor))
}

fn of_reed(reed: &Reed, playing: &Playing, strength: Strength, swing_from: SwingFrom) -> Result<Life, LifeRefusal> {
    let model = ReedModel::new(reed.clone())?;
    let pressure_pa = playing.pressure_pa;
    let attack = model.attack(&Blow { pressure_pa, rise_s: playing.rise_s }, Stop::WhenSteady);
    let steady = attack.steady.ok_or(LifeRefusal::Silent { pressure_pa })?;
    let note_hz = note_hz(reed, steady.frequency_hz);
    note_hz
        .map_or(Ok(()), |note_hz| Err(LifeRefusal::Squeals { pressure_pa, squeal_hz: steady.frequency_hz, note_hz }))?;
    let scale = swing_from.factor();
    let from_s = attack.trace.end_s() - 1.0 / steady.frequency_hz;
    let last_period = attack.trace.times_s().partition_point(|&time| time < from_s);
    let scaled = |states| -> Vec<StressCycle> {
        model.stress_cycles(states).into_iter().map(|cycle| cycle.scaled(scale)).collect()
    };
    let cycles = scaled(&attack.trace.states()[last_period..]);
    let peak_pa = scaled(attack.trace.states()).iter().map(StressCycle::peak_pa).fold(0.0, f64::max);
    Ok(judged(playing, strength, &cycles, peak_pa, &steady.with_swing_scaled(scale), swing_from))
}

/// The plucked pitch (Hz) of a reed that does not sound its note but squeals: nearer, as a ratio, to its second bending mode
/// than to its first.
fn note_hz(reed: &Reed, sounding_hz: f64) -> Option<f64> {
    let modes = reed.beam.modes(2);
    let (note_hz, second_hz) = (modes[0].frequency_hz, modes[1].frequency_hz);
    (sounding_hz > (note_hz * second_hz).sqrt()).then_some(note_hz)
}

/// `stresses`: along the tongue, never empty.
fn judged(
    playing: &Playing,
    strength: Strength,
    stresses: &[StressCycle],
    peak_pa: f64,
    steady: &Steady,
    swing_from: SwingFrom,
) -> Life {
    let surface_factor = playing.surface.factor(strength.tensile_pa, playing.scratch);
    let cycles = playing.hours * 3600.0 * playing.share * steady.frequency_hz;
    let tensile_pa = strength.tensile_pa;
    let lines = strength.fatigue_pa.times(surface_factor);
    let line = |fatigue_pa: f64| SnLine::of(tensile_pa, fatigue_pa, strength.fatigue_cycles);
    let factor_of =
        |cycle: &StressCycle, fatigue_pa: f64| goodman(cycle, line(fatigue_pa).strength_pa(cycles), tensile_pa);
    let tires_more = |a: &&StressCycle, b: &&StressCycle| factor_of(a, lines.low).total_cmp(&factor_of(b, lines.low));
    let worst =
        *stresses.iter().min_by(tires_more).unwrap_or(&StressCycle { at_m: 0.0, mean_pa: 0.0, amplitude_pa: 0.0 });
    Life {
        playing: *playing,
        strength,
        surface_factor,
        worst,
        root: *stresses.first().unwrap_or(&worst),
        peak_pa,
        frequency_hz: steady.frequency_hz,
        swing_m: steady.tip_amplitude_m,
        swing_from,
        cycles,
        factor: lines.map(|fatigue_pa| factor_of(&worst, fatigue_pa)),
        yield_factor: strength.yield_pa.map(|yield_pa| yield_pa / peak_pa),
        cycles_to_break: lines.map(|fatigue_pa| line(fatigue_pa).cycles(about_zero_pa(&worst, tensile_pa))),
    }
}
