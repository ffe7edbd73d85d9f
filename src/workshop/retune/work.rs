//! What is done to the tongue, and how much of it: the tongue solved again with the patch thinned or the tip weighted.

use super::refusal::LongerPatch;
use super::standing::Standing;
use super::{LEAST_CENTS, Method, RetuneOptions, RetuneRefusal};
use crate::physics::Beam;
use crate::physics::beam::Mode;
use crate::sheet::keys::find as find_key;
use crate::sheet::{CheckedReed, notes};

/// How nearly the change is met (cents): far below what a tuner can tell.
const ACCURACY_CENTS: f64 = 1e-3;
/// How nearly a sounding pitch is met (cents), to the digits it is computed to.
const SOUNDING_ACCURACY_CENTS: f64 = 0.05;
/// Length of the patch that is taken where none is named, as a share of the tongue's.
const PATCH: f64 = 0.2;
/// How far that patch stays clear of the clamp, as a share of the length.
const CLEAR_OF_CLAMP: f64 = 0.05;
/// How far off its place a file works (m): part of the doubt of a plan.
const PLACE_DOUBT_M: f64 = 0.1e-3;
/// How far off the weight of a bit of solder is, as a share of it.
const WEIGHT_DOUBT: f64 = 0.1;

/// One piece of work.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Work {
    /// Metal off the tongue over its full width (all m).
    File {
        /// From the clamp.
        from_m: f64,
        /// From the clamp.
        to_m: f64,
        /// Metal taken.
        depth_m: f64,
    },
    /// Weight put on the tip (kg); below zero taken off it.
    Weigh {
        /// The change.
        mass_kg: f64,
    },
}

/// Work that meets the pitch.
pub(super) struct Found {
    pub(super) work: Work,
    pub(super) after: CheckedReed,
    pub(super) pluck_cents: f64,
    pub(super) sounding_cents: Option<f64>,
}

impl Work {
    /// The key of a reed file that it changes.
    pub fn key(&self) -> &'static str {
        match self {
            Self::File { .. } => "thickness_stations_mm",
            Self::Weigh { .. } => "tip_mass_mg",
        }
    }

    /// The same work, a share of it.
    #[must_use]
    pub fn share(&self, share: f64) -> Self {
        match *self {
            Self::File { from_m, to_m, depth_m } => Self::File { from_m, to_m, depth_m: share * depth_m },
            Self::Weigh { mass_kg } => Self::Weigh { mass_kg: share * mass_kg },
        }
    }

    /// The same work on a tongue: a patch that ends within a hundredth of a millimetre of a station or an end ends there, so
    /// that no sliver is left.
    #[must_use]
    pub fn fitted_to(&self, beam: &Beam) -> Self {
        match *self {
            Self::File { from_m, to_m, depth_m } => {
                Self::File { from_m: snapped(beam, from_m), to_m: snapped(beam, to_m), depth_m }
            }
            weigh @ Self::Weigh { .. } => weigh,
        }
    }

    /// The tongue after it.
    pub fn done_to(&self, beam: &Beam) -> Beam {
        match *self {
            Self::File { from_m, to_m, depth_m } => beam.filed(from_m, to_m, depth_m),
            Self::Weigh { mass_kg } => Beam { tip_mass_kg: (beam.tip_mass_kg + mass_kg).max(0.0), ..beam.clone() },
        }
    }

    /// The reed after it.
    ///
    /// # Errors
    /// A thickness or a weight out of range.
    pub fn done_to_reed(&self, checked: &CheckedReed) -> Result<CheckedReed, RetuneRefusal> {
        let beam = self.done_to(&checked.reed.beam);
        Ok(match self {
            Self::File { .. } => checked.with_thickness(&beam.thickness_m)?,
            Self::Weigh { .. } => checked.with("tip_mass_mg", 1e6 * beam.tip_mass_kg)?,
        })
    }

    /// Change of the plucked pitch (cents), solved again.
    pub fn cents(&self, beam: &Beam) -> f64 {
        notes::cents(self.done_to(beam).modes(1)[0].frequency_hz, beam.modes(1)[0].frequency_hz)
    }

    /// The same from the slope alone; of a weight, `dw/w = -dm phi(L)^2/(2 m_1)` with `phi(L) = 1` (Rayleigh's quotient).
    pub fn first_order_cents(&self, beam: &Beam, mode: &Mode) -> f64 {
        match *self {
            Self::File { from_m, to_m, depth_m } => beam.filing_cents(mode, from_m, to_m, depth_m),
            Self::Weigh { mass_kg } => -600.0 / std::f64::consts::LN_2 * mass_kg / mode.modal_mass_kg,
        }
    }

    /// Change of the pitch by the lightest stroke on the patch (cents); of a weight, by a tenth of what is added.
    pub(super) fn stroke_cents(&self, beam: &Beam, mode: &Mode, stroke_m: f64) -> f64 {
        match *self {
            Self::File { from_m, to_m, .. } => beam.filing_cents(mode, from_m, to_m, stroke_m),
            Self::Weigh { .. } => self.share(WEIGHT_DOUBT).first_order_cents(beam, mode),
        }
    }

    /// How far the amount may be off, as a share of it: a depth goes as the thickness and inversely as the patch's length.
    pub(super) fn doubt(&self, checked: &CheckedReed) -> f64 {
        let Self::File { from_m, to_m, .. } = *self else { return WEIGHT_DOUBT };
        let thickness_m = checked.reed.beam.thickness_m.at(0.5 * (from_m + to_m));
        let tolerance_m = match &checked.thickness {
            // The pluck finds the thickness; what is left is how it runs along the tongue.
            Some(found) if !found.measured => 0.05 * thickness_m,
            _ => find_key("thickness_mm").and_then(|key| checked.spec.tolerance(key)).map_or(0.0, |mm| 1e-3 * mm),
        };
        (tolerance_m / thickness_m).hypot(2.0 * PLACE_DOUBT_M / (to_m - from_m))
    }
}

/// Finds the work for a change of pitch.
pub(super) fn find(
    checked: &CheckedReed,
    options: &RetuneOptions,
    standing: &Standing,
    need_cents: f64,
) -> Result<Found, RetuneRefusal> {
    let beam = &checked.reed.beam;
    let solve = |cents: f64| work_for(beam, options, cents);
    // The sounding pitch moves nearly as the plucked one does; what it does not is put right.
    let mut aim = need_cents;
    let mut work = solve(aim)?;
    let mut after = work.done_to_reed(checked)?;
    let mut sounding = standing.sounding_cents(&after);
    for _ in 0..4 {
        let off = sounding.filter(|_| standing.follows_sounding()).map_or(0.0, |cents| need_cents - cents);
        if off.abs() < SOUNDING_ACCURACY_CENTS || (aim + off) * need_cents <= 0.0 {
            break;
        }
        aim += off;
        work = solve(aim)?;
        after = work.done_to_reed(checked)?;
        sounding = standing.sounding_cents(&after);
    }
    Ok(Found { work, pluck_cents: work.cents(beam), sounding_cents: sounding, after })
}

/// The work that moves the plucked pitch of a tongue by so many cents.
///
/// # Errors
/// More than is allowed, or a patch that does the opposite.
pub fn work_for(beam: &Beam, options: &RetuneOptions, need_cents: f64) -> Result<Work, RetuneRefusal> {
    match options.method {
        Method::File => filed(beam, options, need_cents),
        Method::Weight => weighed(beam, options.most_share, need_cents),
    }
}

/// The patch asked for, or the usual one.
fn patch(beam: &Beam, asked: Option<(f64, f64)>, raise: bool) -> Result<(f64, f64), RetuneRefusal> {
    let length_m = beam.length_m;
    let (from_m, to_m) = asked.unwrap_or(match raise {
        true => ((1.0 - PATCH) * length_m, length_m),
        false => (CLEAR_OF_CLAMP * length_m, (CLEAR_OF_CLAMP + PATCH) * length_m),
    });
    let (from, to) = (snapped(beam, from_m), snapped(beam, to_m));
    if from < 0.0 || to > length_m || to - from < 1e-4 {
        return Err(RetuneRefusal::NoPatch { from_m, to_m, length_m });
    }
    Ok((from, to))
}

fn snapped(beam: &Beam, place_m: f64) -> f64 {
    beam.breaks().into_iter().find(|s| (s - place_m).abs() < 1e-5).unwrap_or(place_m)
}

fn filed(beam: &Beam, options: &RetuneOptions, need_cents: f64) -> Result<Work, RetuneRefusal> {
    let raise = need_cents > 0.0;
    let (from_m, to_m) = patch(beam, options.patch_m, raise)?;
    let side_m = side(beam, raise);
    if beam.filing_cents(&beam.modes(1)[0], from_m, to_m, 1e-6) * need_cents <= 0.0 {
        return Err(RetuneRefusal::WrongSide { from_m, to_m, raise, side_m });
    }
    let most_m = |from_m: f64, to_m: f64| options.most_share * least_thickness_m(beam, from_m, to_m);
    let try_patch = |from_m: f64, to_m: f64| {
        let cents = |depth_m: f64| Work::File { from_m, to_m, depth_m }.cents(beam);
        let depth_m = amount(cents, need_cents, most_m(from_m, to_m))?;
        Ok(Work::File { from_m, to_m, depth_m })
    };
    try_patch(from_m, to_m).map_err(|reached_cents| RetuneRefusal::TooDeep {
        most_share: options.most_share,
        reached_cents,
        need_cents,
        longer: longer((from_m, to_m), side_m, raise, &try_patch),
        weight_kg: match weighed(beam, options.most_share, need_cents) {
            Ok(Work::Weigh { mass_kg }) => Some(mass_kg),
            _ => None,
        },
    })
}

/// Where filing moves the pitch the way that is wanted: up to or from the neutral place next to the clamp or the tip.
fn side(beam: &Beam, raise: bool) -> (f64, f64) {
    let neutral = beam.neutral_places_m(&beam.modes(1)[0]);
    match raise {
        true => (neutral.last().copied().unwrap_or(0.0), beam.length_m),
        false => (CLEAR_OF_CLAMP * beam.length_m, neutral.first().copied().unwrap_or(beam.length_m)),
    }
}

/// The shortest longer patch, in steps of a tenth of what is left, that meets the pitch.
fn longer(
    (from_m, to_m): (f64, f64),
    side_m: (f64, f64),
    raise: bool,
    try_patch: &dyn Fn(f64, f64) -> Result<Work, f64>,
) -> Option<LongerPatch> {
    (1..=10).map(|k| 0.1 * f64::from(k)).find_map(|share| {
        let (from_m, to_m) = match raise {
            true => (from_m + share * (side_m.0 - from_m).min(0.0), to_m),
            false => (from_m, to_m + share * (side_m.1 - to_m).max(0.0)),
        };
        match try_patch(from_m, to_m) {
            Ok(Work::File { from_m, to_m, depth_m }) => Some(LongerPatch { from_m, to_m, depth_m }),
            _ => None,
        }
    })
}

/// The least thickness of a patch (m).
pub(crate) fn least_thickness_m(beam: &Beam, from_m: f64, to_m: f64) -> f64 {
    let breaks = beam.breaks();
    let spans = breaks.windows(2).filter(|w| w[0] < to_m && w[1] > from_m);
    let ends = spans.flat_map(|w| {
        let inside = 0.5 * (w[0] + w[1]);
        [w[0].max(from_m), w[1].min(to_m)].map(|s| beam.thickness_m.at_within(s, inside))
    });
    ends.fold(f64::INFINITY, f64::min)
}

fn weighed(beam: &Beam, most_share: f64, need_cents: f64) -> Result<Work, RetuneRefusal> {
    let there_kg = beam.tip_mass_kg;
    let tongue_kg = beam.mass_kg() - there_kg;
    let cents = |mass_kg: f64| Work::Weigh { mass_kg }.cents(beam);
    if need_cents > 0.0 {
        let taken = amount(|mass_kg| cents(-mass_kg), need_cents, there_kg);
        let mass_kg = -taken.map_err(|_| RetuneRefusal::NoWeightToTake { need_cents, there_kg })?;
        return Ok(Work::Weigh { mass_kg });
    }
    // Ten times a tongue's mass on its tip lowers it by over two octaves.
    let mass_kg = amount(cents, need_cents, 10.0 * tongue_kg).unwrap_or(10.0 * tongue_kg);
    if there_kg + mass_kg > most_share * tongue_kg {
        return Err(RetuneRefusal::TooHeavy { needed_kg: there_kg + mass_kg, most_share });
    }
    Ok(Work::Weigh { mass_kg })
}

/// The amount between nothing and `most` at which `cents` is `need`, by the Illinois form of regula falsi (M. Dowell and
/// P. Jarratt, BIT 11 (1971) 168, from memory); what `most` gives, where that is not enough.
fn amount(cents: impl Fn(f64) -> f64, need: f64, most: f64) -> Result<f64, f64> {
    let ((mut a, mut fa), mut b) = ((0.0, -need), most);
    let reached = if most > 0.0 { cents(most) } else { 0.0 };
    let mut fb = reached - need;
    if fa * fb > 0.0 {
        return Err(reached);
    }
    for _ in 0..60 {
        if fb.abs() < ACCURACY_CENTS * need.abs().max(LEAST_CENTS) * 1e-2 || fa == fb {
            break;
        }
        let c = b - fb * (b - a) / (fb - fa);
        let fc = cents(c) - need;
        if fc * fb <= 0.0 {
            (a, fa) = (b, fb);
        } else {
            fa *= 0.5;
        }
        (b, fb) = (c, fc);
    }
    Ok(b)
}
