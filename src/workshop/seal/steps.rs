//! The plans in words.

use super::Reading;
use super::edges::EdgePlan;
use super::flatness::FlatnessPlan;
use super::leak::{LeakDown, LeakPlan, Source};
use crate::units::{metres, pascal, seconds, significant};
use crate::workshop::{Steps, passes};

/// A pass of closing an edge takes no more than half of what is left above this (m).
const EDGE_COARSE_M: f64 = 0.008e-3;
/// A pass of lapping a plate, likewise (m).
const LAP_COARSE_M: f64 = 0.02e-3;

impl LeakPlan {
    /// What to do, in order. Empty where the reed is as good as tight.
    pub fn steps(&self) -> Steps {
        if !self.needed {
            return Steps::default();
        }
        let again = self.measured_again();
        let steps = vec![
            format!("Tape the slot over on the side away from the pressure and {again}. What is left is beside the reed."),
            "Valve first: lay it flat, clean its seat, or put in a new one; it must cover its slot all round and close by \
             itself. Measure again."
                .to_owned(),
            "Then plate on comb: tighten the screws evenly from the middle out, half a turn at most. Measure again. If that \
             helps but is not enough, see seal flatness."
                .to_owned(),
            "Then comb and walls: press a finger or wet paper over seams and cracks one by one; where the leak falls, seal \
             there. Measure again."
                .to_owned(),
        ];
        let stop = format!(
            "below {}: as good as tight. Above {} it is worth another search.",
            area(self.small_m2),
            area(self.large_m2)
        );
        Steps { steps, stop }
    }
}

/// A fall in less time than this cannot be timed by hand (s).
const BY_HAND_S: f64 = 2.0;

impl LeakPlan {
    /// The measurement that tells when it is tight, the way the leak was found.
    fn measured_again(&self) -> String {
        let by_hand = |down: &LeakDown| {
            let volume_m3 = down.volume_for_m3(self.small_m2, self.before.reed.air.density_kg_m3);
            format!("{} cm3 must take {}", significant(1e6 * volume_m3, 2), seconds(down.time_s))
        };
        match &self.source {
            Source::LeakDown(down) => {
                let needed_s = down.time_s * self.found.area_m2 / self.small_m2;
                let (from, to) = (pascal(down.from_pa), pascal(down.to_pa));
                let quick = if needed_s < BY_HAND_S {
                    let longer = LeakDown { time_s: LeakDown::BY_HAND.time_s, ..*down };
                    format!(" (too quick to time by hand: add volume; {})", by_hand(&longer))
                } else {
                    String::new()
                };
                format!("take the time from {from} to {to} again: it must reach {}{quick}", seconds(needed_s))
            }
            Source::Flow { flow_m3_s, at_pa, .. }
            | Source::TwoFlows { readings: [Reading { flow_m3_s, at_pa }, _], .. } => {
                let allowed = flow_m3_s * self.small_m2 / self.found.area_m2;
                format!("measure the flow at {} again: it must fall to {}", pascal(*at_pa), crate::units::flow(allowed))
            }
            Source::InFile | Source::Slit { .. } => {
                let down = LeakDown::BY_HAND;
                let (from, to) = (pascal(down.from_pa), pascal(down.to_pa));
                format!(
                    "time the pressure falling from {from} to {to} in a closed volume: {} or longer",
                    by_hand(&down)
                )
            }
        }
    }
}

impl LeakPlan {
    /// What a second reading would tell where one leaves open whether it is a hole or a slit.
    pub fn tells_kind(&self) -> Option<String> {
        match &self.source {
            Source::LeakDown(down) => {
                // Equal ratios of pressure: the same time for a slit; a hole goes by the roots.
                let middle_pa = (down.from_pa * down.to_pa.max(0.01 * down.from_pa)).sqrt();
                let ratio = (down.from_pa / middle_pa).sqrt();
                Some(format!(
                    "Hole or slit? Time {} to {} and {} to {} apart: a fine slit takes as long for both, a hole {} times as long \
                     for the first.",
                    pascal(down.from_pa),
                    pascal(middle_pa),
                    pascal(middle_pa),
                    pascal(down.to_pa),
                    significant(ratio, 2)
                ))
            }
            Source::Flow { at_pa, .. } => Some(format!(
                "Hole or slit? Measure the flow at {} too: a hole lets half as much through, a fine slit a quarter; give both.",
                pascal(0.25 * at_pa)
            )),
            Source::InFile | Source::Slit { .. } | Source::TwoFlows { .. } => None,
        }
    }
}

impl EdgePlan {
    /// What to do, in order. Empty where closing gains nothing that is felt.
    pub fn steps(&self) -> Steps {
        if self.align_first {
            let align = "Align the tongue (align): an edge closed to a tongue that is moved later will touch it.";
            return Steps {
                steps: vec![align.to_owned(), "Then ask again, with the clearances measured anew.".to_owned()],
                stop: "no edge is closed before that.".to_owned(),
            };
        }
        if !self.needed {
            return Steps::default();
        }
        let mut steps = Vec::new();
        steps.push(format!(
            "Measure both sides at root, half-way and tip; a reading is good to {}. Note the softest blow that starts it.",
            metres(self.tolerance_m)
        ));
        let mut drawn = false;
        for side in [self.first, self.first.other()] {
            let widest = self.sides.of_side(side).range().1;
            let readings = readings(widest, self.target_m, EDGE_COARSE_M);
            let (name, from) = (side.name(), metres(widest));
            steps.push(if readings.is_empty() {
                format!("Leave the {name} side: nowhere wider than {}.", metres(self.target_m))
            } else if drawn {
                format!("Then the {name} edge in the same way: from {from} to {readings}.")
            } else {
                drawn = true;
                format!(
                    "Draw the plate's {name} edge in towards the slot, beginning where it is widest, evenly along, the tool off \
                     the tongue: from {from} to {readings}. After each pass take any burr off the wall with a thin strip, \
                     measure, and try the softest blow."
                )
            });
        }
        steps.push(
            "Press the tongue slowly through the slot against light, then blow it soft and hard: it must touch nowhere. Pluck: \
             the pitch must not have changed."
                .to_owned(),
        );
        let stop = format!(
            "at {} on both sides; never closer than {} by reading; at the first touch or buzz; or when a pass no longer \
             softens the start.",
            metres(self.target_m),
            metres(self.safe_m)
        );
        Steps { steps, stop }
    }
}

impl FlatnessPlan {
    /// What to do, in order. Empty where the plate is flat enough, or was not measured.
    pub fn steps(&self) -> Steps {
        let Some(measured) = self.measured_m.filter(|_| self.needed) else { return Steps::default() };
        let readings = readings(measured, self.small_m, LAP_COARSE_M);
        let steps = vec![
            "Lay comb and plate one by one on a flat surface (plate glass) and look for light and try feelers: find which of \
             the two is not flat. Screws may only press flat parts together, not bend them."
                .to_owned(),
            format!(
                "Lap the high places of that part, tongues away from the surface, a few even strokes a pass: slit from {} to \
                 {readings}. Clean, assemble, measure after each pass.",
                metres(measured)
            ),
            "Measure the leak with the slot taped over (seal leak): a feeler does not find every gap.".to_owned(),
        ];
        let stop = format!(
            "at {}, or when the leak no longer falls; flatter is not heard. Lapping wears the plate: take no more than the \
             slit needs.",
            metres(self.small_m)
        );
        Steps { steps, stop }
    }
}

/// What is to be read after each pass from one amount down to another: "0.022 mm, then 0.017 mm".
fn readings(from_m: f64, to_m: f64, coarse_m: f64) -> String {
    let mut left_m = from_m;
    let read = |amount_m: f64| {
        left_m -= amount_m;
        metres(left_m)
    };
    passes(from_m - to_m, coarse_m).into_iter().map(read).collect::<Vec<_>>().join(", then ")
}

/// An area: "0.12 mm2".
pub fn area(value_m2: f64) -> String {
    format!("{} mm2", significant(1e6 * value_m2, 2))
}
