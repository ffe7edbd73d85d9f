//! Dirt off.

use super::{Care, CarePlan, Tell};
use crate::sheet::CheckedReed;
use crate::units;
use crate::workshop::Caution;
use crate::workshop::retune::Work;

/// A crumb of dirt (kg): what a loupe just shows, some 0.3 mm across (assumed).
const CRUMB_KG: f64 = 0.03e-6;

pub(super) fn clean(checked: &CheckedReed) -> CarePlan {
    let beam = &checked.reed.beam;
    let lowered = Work::Weigh { mass_kg: CRUMB_KG }.first_order_cents(beam, &beam.modes(1)[0]);
    let steps = [
        "Pluck it five times and write down the mean pitch and how long it rings. Look along the slot against the light: where \
         is something?"
            .to_owned(),
        "Slide a shim under the tongue. Brush from the root to the tip, never across, with a soft brush; draw a strip of thin \
         paper through the slot beside the tongue, both sides."
            .to_owned(),
        "What sticks: a swab hardly damp with alcohol, along the tongue, wiped dry at once. Keep it off valves, wood, wax and \
         glue."
            .to_owned(),
        "Let it dry, pluck five times again.".to_owned(),
    ];
    let crumb = format!(
        "Pitch and ringing are as good as its neighbours', and light passes evenly on both sides. A crumb of {} at the tip \
         lowers this reed by {}, one at the root by next to nothing.",
        units::kilograms(CRUMB_KG),
        units::cents_size(lowered)
    );
    let tells = vec![
        Tell::new("the pitch rose or it rings longer", "it was dirt: measure again before anything is filed", None),
        Tell::new(
            "the pitch fell",
            "dirt had stiffened the root, or the tongue was moved or bent: look at the gap and how it lies in its slot",
            None,
        ),
        Tell::new(
            "nothing changed, it still rings short",
            "the loss is elsewhere: look for a loose fastening, then for a crack",
            Some(Care::LookForLooseRivet),
        ),
    ];
    Care::Clean.with(
        &steps,
        "no mark is left on the paper or the swab, or twice round has changed nothing; a tongue that catches is aligned, not \
         scrubbed.",
        &crumb,
        tells,
        vec![Caution::Solvents, Caution::Edges, Caution::SmallParts],
    )
}
