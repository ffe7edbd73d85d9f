//! What to do for a longer life, pass by pass.

use super::{Life, Surface};
use crate::physics::Beam;
use crate::units;
use crate::workshop::Steps;
use crate::workshop::retune::least_thickness_m;

/// The most that polishing may take off in all (m): a working limit, not a published value.
const POLISH_M: f64 = 2e-6;
/// And as a share of the thickness: the stress under the same load goes as `1/h^2`, so a hundredth off takes back 2 % of what
/// a better surface bears more. Below 0.2 mm of thickness this is the narrower limit.
const POLISH_SHARE: f64 = 0.01;
/// Light strokes of a pass where [`POLISH_M`] may go.
const STROKES: f64 = 10.0;
/// How far to either side of the worst place, as a share of the length.
const REACH: f64 = 0.15;

/// The most that polishing may take off a tongue so thick (m): a hundredth of it, and 2 um at most.
pub fn polish_most_m(thickness_m: f64) -> f64 {
    POLISH_M.min(POLISH_SHARE * thickness_m)
}

/// Where to look, what to polish and when to stop; `beam` is the tongue.
pub fn steps(life: &Life, beam: &Beam) -> Steps {
    let reach_m = REACH * beam.length_m;
    let (from_m, to_m) = ((life.worst.at_m - reach_m).max(0.0), (life.worst.at_m + reach_m).min(beam.length_m));
    let thickness_m = least_thickness_m(beam, from_m, to_m);
    let most_m = polish_most_m(thickness_m);
    let cents = beam.filing_cents(&beam.modes(1)[0], from_m, to_m, most_m);
    let strokes = (STROKES * most_m / POLISH_M).round().max(1.0);
    let stretch = match from_m {
        0.0 => format!("from the clamp to {}", units::metres(to_m)),
        _ => format!("from {} to {} from the clamp", units::metres(from_m), units::metres(to_m)),
    };
    let worst = match life.worst.at_m {
        0.0 => "at the root".to_owned(),
        at_m => format!("at {}", units::metres(at_m)),
    };
    let mut steps = vec![format!(
        "Look with a loupe (10x or more), light from the side, at both faces and both edges {stretch}: it tires most {worst}. \
         A dark line across or a pitch that sinks from week to week is a crack: replace the reed."
    )];
    if life.playing.surface != Surface::Polished {
        steps.push(format!(
            "Slide a shim under the tongue and polish {stretch} along the reed, never across: fine paper (P1000, then P2500), \
             {strokes} light strokes a pass, both faces if the reed can be lifted; break both edges with one stroke each."
        ));
        steps.push(format!(
            "Wipe, pluck, compare: {} off there moves the pitch by {}. Two or three passes at most, then tune. No more may go: \
             it is {} thick there, and each hundredth less raises the stress of the same load by two.",
            units::metres(most_m),
            units::cents(cents),
            units::metres(thickness_m)
        ));
    }
    let stop = if life.playing.surface == Surface::Polished {
        "a crack is found, or both faces and edges are clean.".to_owned()
    } else {
        format!(
            "no mark across is left under the loupe, or the pitch has moved by {}: {} is off then.",
            units::cents(cents),
            units::metres(most_m)
        )
    };
    Steps { steps, stop }
}
