//! What the pitch says about the root.
//!
//! A root that gives flattens the tongue. Where the pitch of the same tongue built in is known too, the beam has one root
//! spring that explains the difference. The spring stands for whatever gives there: a head too small or too loose, a burr
//! or dirt under the pad, a crack at the root.

use super::{FastenRefusal, Fastening, Pitches};
use crate::physics::Beam;
use crate::sheet::{CheckedReed, SheetError, notes};
use crate::workshop::Bounds;

/// A reading rises or falls by more than the tolerance of two readings before it counts.
const TWO_READINGS: f64 = std::f64::consts::SQRT_2;

/// Where the pitch of the tongue built in comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BuiltInFrom {
    /// The pitch after the fastener was tightened: the root is taken to be built in since.
    Tightened,
    /// The sizes of the tongue, thickness among them.
    Sizes,
    /// The root spring stated in the reed's file.
    Stated,
}

/// How the root holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Root {
    /// Where the pitch built in comes from.
    pub from: BuiltInFrom,
    /// Plucked pitch as it is, or was before tightening (Hz).
    pub pitch_hz: f64,
    /// Pitch of the same tongue built in (Hz).
    pub built_in_hz: f64,
    /// What the root takes off the pitch (cents): the most that a better fastener can win back.
    pub lost_cents: f64,
    /// How far that may be off, either way (cents).
    pub uncertainty_cents: f64,
    /// The root spring that takes so much (N m/rad); none where no more is lost than may be a matter of measurement.
    pub spring_n_m_per_rad: Option<f64>,
    /// The springs for the least and the most that may be lost (N m/rad); the stiffest is infinite where nothing may be lost.
    pub spring_between_n_m_per_rad: Bounds,
}

impl Root {
    /// Whether something is lost for sure.
    pub fn is_soft(&self) -> bool {
        self.spring_n_m_per_rad.is_some()
    }
}

/// The root, the reed as it is with that root, and the same built in.
pub(super) struct Found {
    pub(super) root: Root,
    pub(super) soft: CheckedReed,
    pub(super) built_in: CheckedReed,
}

/// Looks for the root spring; nothing where neither sizes nor pitches tell of it.
pub(super) fn found(checked: &CheckedReed, fastening: &Fastening) -> Result<Option<Found>, FastenRefusal> {
    if let Some(pitches) = fastening.pitches {
        return from_pitches(checked, pitches).map(Some);
    }
    if let Some(spring) = checked.reed.beam.root_spring_n_m_per_rad {
        return stated(checked, spring).map(Some);
    }
    from_sizes(checked)
}

fn from_pitches(checked: &CheckedReed, pitches: Pitches) -> Result<Found, FastenRefusal> {
    let Pitches { before_hz, after_hz } = pitches;
    let uncertainty_cents = TWO_READINGS * pluck_cents(checked, after_hz);
    let lost_cents = notes::cents(after_hz, before_hz);
    if lost_cents < -uncertainty_cents {
        return Err(FastenRefusal::Fell { before_hz, after_hz, cents: -lost_cents });
    }
    let built_in = checked.spec.without(&[SPRING]).with("measured_pluck_hz", after_hz).checked()?;
    finish(BuiltInFrom::Tightened, &built_in, after_hz, lost_cents, uncertainty_cents, |spring| {
        // The thickness that the pitch after tightening asks for is kept.
        built_in.with(SPRING, spring)
    })
}

fn stated(checked: &CheckedReed, spring: f64) -> Result<Found, FastenRefusal> {
    let built_in = checked.without(SPRING)?;
    let pitch = |reed: &CheckedReed| first_hz(&reed.reed.beam);
    let (pitch_hz, built_in_hz) = (pitch(checked), pitch(&built_in));
    let root = Root {
        from: BuiltInFrom::Stated,
        pitch_hz,
        built_in_hz,
        lost_cents: notes::cents(built_in_hz, pitch_hz),
        uncertainty_cents: 0.0,
        spring_n_m_per_rad: Some(spring),
        spring_between_n_m_per_rad: Bounds::exactly(spring),
    };
    Ok(Found { root, soft: checked.clone(), built_in })
}

/// The pluck against the pitch that thickness, length and metal give: only where the thickness was measured as well.
fn from_sizes(checked: &CheckedReed) -> Result<Option<Found>, FastenRefusal> {
    let pair = checked.measured.pluck_hz.zip(checked.thickness.filter(|thickness| thickness.measured));
    let Some((pluck_hz, thickness)) = pair else { return Ok(None) };
    let beam = &checked.reed.beam;
    let as_measured = beam.with_thickness_scaled(1.0 / thickness.scale);
    // A ratio, so that the temperature of the reed does not count.
    let built_in_hz = pluck_hz * first_hz(&as_measured) / first_hz(beam);
    let modulus = checked.spec.tolerances().of("youngs_modulus_gpa").unwrap_or(0.0) * 1e9 / beam.youngs_modulus_pa;
    let off = (thickness.tolerance_m / thickness.mean_found_m).hypot(0.5 * modulus);
    let uncertainty_cents = notes::cents(1.0 + off, 1.0);
    let lost_cents = notes::cents(built_in_hz, pluck_hz);
    let built_in = checked.spec.without(&["measured_pluck_hz"]).checked()?;
    finish(BuiltInFrom::Sizes, &built_in, built_in_hz, lost_cents, uncertainty_cents, |spring| {
        // Read again with this root the pluck finds the thickness that was measured, and it is kept from then on.
        checked.spec.with(SPRING, spring).checked()
    })
    .map(Some)
}

const SPRING: &str = "root_spring_n_m_per_rad";

fn finish(
    from: BuiltInFrom,
    built_in: &CheckedReed,
    built_in_hz: f64,
    lost_cents: f64,
    uncertainty_cents: f64,
    with_spring: impl Fn(f64) -> Result<CheckedReed, SheetError>,
) -> Result<Found, FastenRefusal> {
    let beam = &built_in.reed.beam;
    let spring = |lost: f64| if lost > 0.0 { beam.root_spring_for(flatter(first_hz(beam), lost)) } else { None };
    let is_soft = lost_cents > uncertainty_cents;
    let spring_n_m_per_rad = if is_soft { spring(lost_cents) } else { None };
    if is_soft && spring_n_m_per_rad.is_none() {
        return Err(FastenRefusal::NoRoot { cents: lost_cents });
    }
    let root = Root {
        from,
        pitch_hz: flatter(built_in_hz, lost_cents),
        built_in_hz,
        lost_cents,
        uncertainty_cents,
        spring_n_m_per_rad,
        spring_between_n_m_per_rad: Bounds::new(
            spring(lost_cents + uncertainty_cents).unwrap_or(0.0),
            spring(lost_cents - uncertainty_cents).unwrap_or(f64::INFINITY),
        ),
    };
    let soft = spring_n_m_per_rad.map(&with_spring).transpose()?;
    let built_in = match (&soft, from) {
        // Kept from the soft reed, so that only the root differs between the two.
        (Some(soft), BuiltInFrom::Sizes) => soft.without(SPRING)?,
        _ => built_in.clone(),
    };
    Ok(Found { root, soft: soft.unwrap_or_else(|| built_in.clone()), built_in })
}

fn first_hz(beam: &Beam) -> f64 {
    beam.modes(1)[0].frequency_hz
}

fn flatter(frequency_hz: f64, cents: f64) -> f64 {
    frequency_hz * (-cents / 1200.0).exp2()
}

/// How well a pluck was read (cents); at least what no tuner betters.
pub(super) fn pluck_cents(checked: &CheckedReed, pluck_hz: f64) -> f64 {
    const BEST_CENTS: f64 = 0.1;
    checked.spec.tolerances().pluck_cents(pluck_hz).max(BEST_CENTS)
}
