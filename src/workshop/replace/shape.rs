//! Tongues that reach a pitch: uniform of the right length, or thinned or weighted at a length that is given.

use super::ReplaceOptions;
use super::opening::Opening;
use crate::physics::Beam;
use crate::sheet::notes;
use crate::units::{cents, metres};
use crate::workshop::retune::{Method, RetuneOptions, RetuneRefusal, Target, Work, work_for};

/// How much of the length is thinned at root or tip, and how far from the clamp it begins.
const THINNED: f64 = 0.4;
const CLEAR_OF_CLAMP: f64 = 0.05;
/// Lengths that are tried for profiled tongues where there is a choice.
const LENGTHS: usize = 3;
/// A uniform tongue within this of the pitch needs no profile (cents).
const UNIFORM_CENTS: f64 = 1.0;

/// How a tongue is made to reach its pitch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Profiled {
    /// As the strip is.
    Uniform,
    /// Metal off near the root: lower than the strip alone.
    ThinnedRoot(Work),
    /// Metal off towards the tip: higher.
    ThinnedTip(Work),
    /// A weight on the tip: lower.
    Weighted(Work),
}

impl Profiled {
    /// In a word.
    pub fn name(&self) -> &'static str {
        match self {
            Self::Uniform => "uniform",
            Self::ThinnedRoot(_) => "thinned root",
            Self::ThinnedTip(_) => "thinned tip",
            Self::Weighted(_) => "weighted tip",
        }
    }

    /// What has to be done to the strip.
    pub fn work(&self) -> Option<Work> {
        match *self {
            Self::Uniform => None,
            Self::ThinnedRoot(work) | Self::ThinnedTip(work) | Self::Weighted(work) => Some(work),
        }
    }
}

/// A tongue that reaches the pitch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tongue {
    /// Thickness of the strip (m).
    pub strip_m: f64,
    /// Length (m).
    pub length_m: f64,
    /// Its profile.
    pub profile: Profiled,
}

/// One that does not.
pub(super) struct Unreached {
    pub(super) strip_m: f64,
    pub(super) length_m: f64,
    pub(super) profile: &'static str,
    pub(super) why: String,
}

/// All that is tried of one strip. `blank` is the strip in the slot, as long as may be.
pub(super) fn tongues(
    blank: &Beam,
    strip_m: f64,
    opening: &Opening,
    options: &ReplaceOptions,
) -> Vec<Result<Tongue, Unreached>> {
    let (shortest_m, longest_m) = opening.lengths_m;
    let mut all = vec![uniform(blank, strip_m, opening, options.pluck_hz)];
    let count = if longest_m - shortest_m > 1e-4 { LENGTHS } else { 1 };
    for k in 0..count {
        let length_m = longest_m - (longest_m - shortest_m) * k as f64 / (LENGTHS - 1) as f64;
        all.extend(profiled(&at_length(blank, length_m), strip_m, options));
    }
    all
}

/// A uniform beam at another length.
fn at_length(beam: &Beam, length_m: f64) -> Beam {
    Beam { length_m, ..beam.clone() }
}

fn uniform(blank: &Beam, strip_m: f64, opening: &Opening, pluck_hz: f64) -> Result<Tongue, Unreached> {
    let hertz = |length_m: f64| at_length(blank, length_m).modes(1)[0].frequency_hz;
    let (shortest_m, longest_m) = opening.lengths_m;
    let off = |length_m: f64| notes::cents(hertz(length_m), pluck_hz);
    let out = |length_m: f64, why: String| Unreached { strip_m, length_m, profile: "uniform", why };
    let (low, high) = (off(longest_m), off(shortest_m));
    if low.abs() < UNIFORM_CENTS {
        return Ok(Tongue { strip_m, length_m: longest_m, profile: Profiled::Uniform });
    }
    if low > 0.0 {
        let strip = thickness_for(blank, pluck_hz);
        let needed = length_for(hertz, pluck_hz, longest_m, 3.0 * longest_m);
        let why = format!(
            "{} from the pitch at {}: it would have to be {} long, or {} thick",
            cents(low),
            metres(longest_m),
            metres(needed),
            metres(strip)
        );
        return Err(out(longest_m, why));
    }
    if high < 0.0 {
        let needed = length_for(hertz, pluck_hz, 0.2 * shortest_m, shortest_m);
        let why = format!(
            "{} from the pitch at {}: it would have to be {} long",
            cents(high),
            metres(shortest_m),
            metres(needed)
        );
        return Err(out(shortest_m, why));
    }
    Ok(Tongue { strip_m, length_m: length_for(hertz, pluck_hz, shortest_m, longest_m), profile: Profiled::Uniform })
}

/// The length with a pitch, by halving: the pitch falls with the length. A soft root or a pitch out of reach ends at an end.
fn length_for(hertz: impl Fn(f64) -> f64, pluck_hz: f64, mut short_m: f64, mut long_m: f64) -> f64 {
    for _ in 0..45 {
        let middle = 0.5 * (short_m + long_m);
        if hertz(middle) > pluck_hz { short_m = middle } else { long_m = middle }
    }
    0.5 * (short_m + long_m)
}

/// The thickness of a uniform tongue of this length with a pitch, to the first order in what root and tip do.
fn thickness_for(beam: &Beam, pluck_hz: f64) -> f64 {
    beam.thickness_m.at(0.0) * pluck_hz / beam.modes(1)[0].frequency_hz
}

/// Thinned or weighted, whichever way the pitch asks for.
fn profiled(beam: &Beam, strip_m: f64, options: &ReplaceOptions) -> Vec<Result<Tongue, Unreached>> {
    let length_m = beam.length_m;
    let need_cents = notes::cents(options.pluck_hz, beam.modes(1)[0].frequency_hz);
    if need_cents.abs() < UNIFORM_CENTS {
        return Vec::new();
    }
    let attempt = |name: &'static str, options: RetuneOptions, made: fn(Work) -> Profiled| {
        let tongue = |work| Tongue { strip_m, length_m, profile: made(work) };
        let why = |refusal: RetuneRefusal| Unreached { strip_m, length_m, profile: name, why: reason(&refusal) };
        work_for(beam, &options, need_cents).map(tongue).map_err(why)
    };
    let file = |from: f64, to: f64| RetuneOptions {
        patch_m: Some((from * length_m, to * length_m)),
        most_share: options.most_share,
        ..RetuneOptions::to(Target::Cents(need_cents), options.conditions.pressure_pa)
    };
    if need_cents > 0.0 {
        return vec![attempt("thinned tip", file(1.0 - THINNED, 1.0), Profiled::ThinnedTip)];
    }
    let weight = RetuneOptions { method: Method::Weight, most_share: options.most_weight, ..file(0.0, 1.0) };
    vec![
        attempt("thinned root", file(CLEAR_OF_CLAMP, CLEAR_OF_CLAMP + THINNED), Profiled::ThinnedRoot),
        attempt("weighted tip", weight, Profiled::Weighted),
    ]
}

fn reason(refusal: &RetuneRefusal) -> String {
    let percent = |share: f64| format!("{} %", (1e3 * share).round() / 10.0);
    match refusal {
        RetuneRefusal::TooDeep { most_share, reached_cents, need_cents, .. } => {
            format!(
                "{} off moves it {}, {} are needed",
                percent(*most_share),
                cents(*reached_cents),
                cents(*need_cents)
            )
        }
        RetuneRefusal::TooHeavy { needed_kg, most_share } => {
            format!("needs {}, more than {} of its mass", crate::units::kilograms(*needed_kg), percent(*most_share))
        }
        other => other.to_string(),
    }
}
