//! Looking for what is about to fail.

use super::{Care, CarePlan, Tell};
use crate::sheet::CheckedReed;
use crate::units::{self, metres};
use crate::workshop::Caution;
use crate::workshop::retune::LEAST_CENTS;

/// A sink from week to week that is more than readings differ by (cents; common practice, no source).
const SINK_CENTS: f64 = 5.0;

pub(super) fn for_crack(checked: &CheckedReed) -> CarePlan {
    let beam = &checked.reed.beam;
    let (_, at_m) = beam.largest_stress(&beam.modes(1)[0].shape);
    let place = if at_m < 0.05e-3 {
        "at the root edge of the plate or the pad".to_owned()
    } else {
        format!("{} from the clamp, where this tongue is bent most, then at its root", metres(at_m))
    };
    let sink = units::cents_size(SINK_CENTS);
    let steps = [
        "Pluck it five times, as warm as when it was last measured; compare the mean with the last pitch written down.".to_owned(),
        format!("With a loupe (10x or more) and light from the side look {place}: both faces, both edges, any mark of a file across."),
        "Slide a thin shim under the tip, lift it by no more than its gap and look again: a crack opens to a dark line."
            .to_owned(),
        "Let it ring: a cracked tongue rings short and dull beside its neighbours.".to_owned(),
    ];
    let tells = vec![
        Tell::new(
            "nothing seen, pitch and ringing as before",
            "no crack that a loupe finds; look again at the next service",
            None,
        ),
        Tell::new(
            &format!("the pitch has sunk by {sink} or more at the same temperature, nothing seen"),
            "dirt on the tip, a fastening that gives, or a crack not seen yet: clean it, see to the fastening, measure in a week",
            Some(Care::Clean),
        ),
        Tell::new(
            "a dark line, or a pitch that sinks from week to week",
            "it is cracked: replace the tongue; tuning it up hides a break",
            None,
        ),
    ];
    Care::LookForCrack.with(
        &steps,
        "all of that has been looked at once under good light; do not bend it to find a crack.",
        &format!("Both faces and edges seen clean, and the pitch within {sink} of the last at the same temperature."),
        tells,
        vec![Caution::Edges, Caution::SmallParts],
    )
}

pub(super) fn for_loose_rivet(checked: &CheckedReed) -> CarePlan {
    let pitch = checked.reed.beam.modes(1)[0].frequency_hz;
    let steps = [
        format!(
            "Pluck it ten times (some {}): write down the pitches and how long it rings. Readings of a firm root differ by no \
             more than {}.",
            units::hertz(pitch),
            units::cents_size(LEAST_CENTS)
        ),
        "Press the pad onto the plate beside the rivet or screw with a wooden stick and pluck again, five times."
            .to_owned(),
        "Push the tip sideways by no more than its clearance and let go: does it come back to the middle?".to_owned(),
        "Look at the joint for a dark rim, and listen for a buzz when it is blown hard.".to_owned(),
    ];
    let tells = vec![
        Tell::new("the same pitch pressed and not, and it comes back to the middle", "the fastening is firm", None),
        Tell::new(
            "pressed, it plucks higher, rings longer or stops buzzing",
            "the root gives: tighten it (fasten), then align and tune",
            None,
        ),
        Tell::new(
            "it stays where it was pushed",
            "the fastening is loose: tighten it before anything else is done",
            None,
        ),
        Tell::new("pressed or not it rings short", "not the fastening: dirt, or a crack", Some(Care::LookForCrack)),
    ];
    Care::LookForLooseRivet.with(
        &steps,
        "ten plucks and five pressed ones are written down.",
        &format!(
            "The mean pitch pressed and not pressed is within {}, and the tip comes back to the middle.",
            units::cents_size(LEAST_CENTS)
        ),
        tells,
        vec![Caution::SmallParts, Caution::Sound],
    )
}
