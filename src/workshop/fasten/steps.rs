//! What to do about a fastener, pass by pass.

use super::{FastenPlan, Tightening, TorqueLimit};
use crate::units;
use crate::workshop::Steps;

/// Part of the harmless torque that is aimed at where none was stated: room for the hand.
const AIM: f64 = 0.8;
/// How much a rivet's head may widen in one pass (m): a working step, not a published value.
const RIVET_STEP_M: f64 = 0.05e-3;

pub(super) fn steps(plan: &FastenPlan) -> Steps {
    let cents = units::significant(plan.repeats_cents, 2);
    let is_rivet = plan.fastening.screw.is_none();
    let mut steps = vec![
        "Pluck the reed in its place five times and write down the mean pitch: all that follows is judged by it."
            .to_owned(),
        lift(plan),
    ];
    let limit = match (plan.fastening.screw, plan.limit) {
        (Some(screw), Some(limit)) => {
            steps.extend(turns(&screw, &limit));
            format!(" Never above {}, pitch or no pitch.", units::torque(limit.least_n_m()))
        }
        _ => {
            steps.push(rivet());
            " A head that flattens without the pitch rising is at its end: replace the rivet, or drill for a screw."
                .to_owned()
        }
    };
    steps.push(format!(
        "See that the tongue is still in the middle of its slot, then plan again with the pitch of the first and the last \
         pluck: they say what the root was worth{}.",
        if is_rivet { "" } else { ", whatever the torque" }
    ));
    if plan.built_in.is_some() {
        steps.push("Tune last: a root that holds better has raised the pitch.".to_owned());
    }
    Steps { steps, stop: format!("two passes in a row leave the pitch within {cents} cents.{limit}") }
}

fn lift(plan: &FastenPlan) -> String {
    let bare = plan.fastening.head.map(|head| head.bare_to_root_m()).filter(|bare_m| *bare_m > 0.0);
    let look = bare.map_or(String::new(), |bare_m| {
        format!(", most of all the {} between the head and the root edge", units::metres(bare_m))
    });
    format!(
        "If it can be lifted: wipe pad and plate clean and take off every burr round the hole and the root edge, with two \
         strokes of a fine stone laid flat{look}; a burr of a hundredth of a millimetre holds the pad off the plate."
    )
}

fn turns(screw: &Tightening, limit: &TorqueLimit) -> [String; 2] {
    let most = limit.least_n_m();
    let aim = screw.torque_n_m.filter(|torque| *torque <= most).unwrap_or(AIM * most);
    let share = |part: f64| units::torque(part * aim);
    [
        format!("Turn the screw to {}, centre the tongue in its slot, and hold the pad while turning on.", share(0.5)),
        format!("Go on to {}, then {}; pluck five times after each and compare.", share(0.75), share(1.0)),
    ]
}

fn rivet() -> String {
    format!(
        "A rivet has no torque: set the plate on a flat anvil and close the head with light taps until it measures {} more \
         across; pluck five times; again, three passes at most.",
        units::metres(RIVET_STEP_M)
    )
}
