//! Valves: the flap on the far side of a slot that closes it when the other reed of the chamber sounds.

use super::{Care, CarePlan, Tell};
use crate::sheet::CheckedReed;
use crate::units::metres;
use crate::workshop::Caution;

/// How far a valve's free edges overlap its slot, at the sides and the tip (m; common practice, no source).
const OVERLAP_M: f64 = 0.5e-3;

pub(super) fn seat() -> CarePlan {
    let steps = [
        "Look from the side against the light: the valve must touch its seat all round with no light under it, and not be \
         pressed down either."
            .to_owned(),
        "Wipe the seat and the valve's underside clean and dry; take off any burr of the slot's edge with a stone laid flat."
            .to_owned(),
        "A valve that stands off: stroke it from its root to its free end over a rounded rod, towards the plate, once; look; \
         again if need be. One that is creased or stiff with dirt is replaced."
            .to_owned(),
    ];
    let tells = vec![
        Tell::new("it closes by itself and holds by suction", "the valve was the leak", None),
        Tell::new(
            "it touches and still lets air through",
            "the seat or the plate leaks, not the valve: seal there",
            None,
        ),
        Tell::new(
            "it stands off again after some minutes",
            "it has lost its spring or is bent by its glue",
            Some(Care::ReplaceValve),
        ),
    ];
    Care::SeatValve.with(
        &steps,
        "no light is seen under it; after three strokes, replace it.",
        "Blown so that it opens, it falls back without help; then test it by suction.",
        tells,
        vec![Caution::Edges, Caution::SmallParts],
    )
}

pub(super) fn lift() -> CarePlan {
    let steps = [
        "Blow so that it opens and look how far its free end lifts beside its neighbours'. Listen: a flutter or a slap is a \
         valve that lifts too far or has no stop."
            .to_owned(),
        "Too far or fluttering: see that the second, shorter strip over it (its stop) is there and lies on it; renew it where \
         it is not. Too little: take off glue that has crept forward from its root, or a stop that is too long."
            .to_owned(),
        "Try the reed on the same slot softly and hard after each change.".to_owned(),
    ];
    let tells = vec![
        Tell::new(
            "the note starts as softly as its neighbours and nothing slaps",
            "the valve lifts as it should",
            None,
        ),
        Tell::new(
            "the note is choked when hard blown",
            "the valve still lifts too little: it stands in the jet",
            Some(Care::ReplaceValve),
        ),
        Tell::new(
            "it slaps still",
            "the valve is too heavy, too long or has come off at a corner",
            Some(Care::ReplaceValve),
        ),
    ];
    Care::LiftValve.with(
        &steps,
        "it lifts as its neighbours do; a valve is not bent up to make it lift.",
        "The reed on that slot starts as softly and speaks as loud as with the valve held off, and the valve makes no sound.",
        tells,
        vec![Caution::SmallParts, Caution::Sound],
    )
}

pub(super) fn replace(checked: &CheckedReed) -> CarePlan {
    let reed = &checked.reed;
    let (slot_m, length_m) = (
        reed.beam.width_m.range().1 + reed.slot.left_clearance_m.range().1 + reed.slot.right_clearance_m.range().1,
        reed.beam.length_m,
    );
    let steps = [
        "Lift the old one at its root with a thin blade laid flat, pointed away from the tongue; take every trace of glue off \
         the plate."
            .to_owned(),
        format!(
            "Cut the new one {} wide and to reach {} past the slot of {} at its tip, the grain along it, of the same stuff as its \
             neighbours' and no stiffer.",
            metres(slot_m + 2.0 * OVERLAP_M),
            metres(OVERLAP_M),
            metres(length_m)
        ),
        "Glue the root only, a spot as wide as the valve and no longer than 2 mm, straight over the slot. Let the glue dry as \
         its maker says before air goes over it."
            .to_owned(),
        "Put its stop on where its neighbours have one.".to_owned(),
    ];
    let tells = vec![
        Tell::new("it holds by suction and falls back by itself", "done: measure the softest blow again", None),
        Tell::new("it leaks at a side", "it lies askew or too narrow", Some(Care::SeatValve)),
        Tell::new("it slaps or chokes the note", "too heavy or too free", Some(Care::LiftValve)),
    ];
    Care::ReplaceValve.with(
        &steps,
        "it covers the slot all round; a valve that is glued askew comes off again while the glue is wet.",
        "Covers the slot all round, closes by itself, holds by suction.",
        tells,
        vec![Caution::Edges, Caution::SmallParts, Caution::Solvents],
    )
}

pub(super) fn test(checked: &CheckedReed) -> CarePlan {
    let gap = metres(crate::study::changed::tip_gap_m(&checked.reed));
    let steps = [
        "Clean the plate where it is touched. Hold a short soft hose or a suction bulb over the slot so that the air would have \
         to open the valve the wrong way; close everything else."
            .to_owned(),
        "Draw gently, then a little harder, and pinch the hose: it must stay drawn in. Count how long a bulb pressed flat takes \
         to fill."
            .to_owned(),
        "Do the same on a neighbour that plays well: that is the measure.".to_owned(),
    ];
    let tells = vec![
        Tell::new("it holds as long as the neighbour", "the valve is tight: look for the leak elsewhere", None),
        Tell::new("it fills slowly", "it does not lie on its seat all round", Some(Care::SeatValve)),
        Tell::new("it never holds", "it stands off, is torn or has come off", Some(Care::ReplaceValve)),
        Tell::new(
            &format!("it holds only when drawn harder than softest playing (this reed's tip gap is {gap})"),
            "it closes late: a soft note loses its air",
            Some(Care::SeatValve),
        ),
    ];
    Care::TestValve.with(
        &steps,
        "the neighbour and this one were each tried three times with the same result.",
        "The time to fill is within a tenth of the good neighbour's, three times running.",
        tells,
        vec![Caution::SmallParts],
    )
}
