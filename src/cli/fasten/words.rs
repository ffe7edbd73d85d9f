//! What `freereed fasten` says.

use freereed::sheet::notes;
use freereed::units;
use freereed::workshop::Bounds;
use freereed::workshop::fasten::{BuiltInFrom, FRICTION, FastenPlan, Head, Root, Tightening, screw};

use crate::cli::subject::Subject;

pub(super) fn title(plan: &FastenPlan) -> String {
    let Some(root) = &plan.root else { return "what holds it; no pitch tells of its root yet".to_owned() };
    let lost = units::cents_size(root.lost_cents);
    match (root.is_soft(), root.from) {
        (true, BuiltInFrom::Tightened) => format!("tightening won {lost} back"),
        (true, _) => format!("a better fastener can win back {lost} at most"),
        (false, BuiltInFrom::Tightened) => "tightening moved the pitch by no more than the reading".to_owned(),
        (false, _) if root.lost_cents < -root.uncertainty_cents => {
            "nothing to win back: it already plucks higher than its sizes say".to_owned()
        }
        (false, _) => "no loss at the root that could be told from the tolerances".to_owned(),
    }
}

pub(super) fn facts(plan: &FastenPlan, target_hz: Option<f64>) -> Vec<(String, String)> {
    let mut facts = plan.root.as_ref().map(root_facts).unwrap_or_default();
    let mut add = |label: &str, value: String| facts.push((label.to_owned(), value));
    if let Some((root, target_hz)) = plan.root.as_ref().zip(target_hz) {
        let off = |hz: f64| units::cents(notes::cents(hz, target_hz));
        let off = format!("{}, {} with the root built in", off(root.pitch_hz), off(root.built_in_hz));
        add("off its target", off);
    }
    if let Some(head) = plan.fastening.head {
        add("head on the pad", covered(&head, plan.bare_strip_n_m_per_rad));
        if let Some(new) = plan.fastening.new_head() {
            let mm = units::metres(new.head_m);
            add("with a head of", format!("{mm}: {}", covered(&new, plan.new_bare_strip_n_m_per_rad)));
        }
    }
    if let Some(grip) = &plan.grip {
        let usual = units::newton(grip.usual_clamp_n);
        add("clamp force", format!("{usual}, {} as screws scatter", between(grip.clamp_n, units::newton)));
    }
    if let Some(least) = plan.never_rocks_n {
        let enough = plan.grip.map_or("", |grip| if grip.clamp_n.low > least { ": there is more" } else { ": CHECK" });
        add("clamp that never rocks", format!("{}{enough}", units::newton(least)));
    }
    if let Some((twist, side)) = plan.grip.and_then(|grip| grip.twist_n_m.zip(grip.side_force_n)) {
        let friction = format!("friction {} to {}", FRICTION.low, FRICTION.high);
        add("turns out of the middle", format!("at {} ({friction})", between(twist, units::torque)));
        add("that is at the tip", between(side, units::newton));
    }
    match &plan.limit {
        Some(limit) => add(
            "torque, no harm up to",
            format!(
                "{} (screw {}, thread {})",
                units::torque(limit.least_n_m()),
                units::torque(limit.screw_n_m),
                units::torque(limit.thread_n_m)
            ),
        ),
        None => add("torque", "none: taken as a rivet (--screw M1.4 for a screw)".to_owned()),
    }
    facts
}

fn root_facts(root: &Root) -> Vec<(String, String)> {
    let (now, why) = match root.from {
        BuiltInFrom::Tightened => ("plucked before", " (after tightening)"),
        BuiltInFrom::Sizes => ("plucks at", " (by its sizes)"),
        BuiltInFrom::Stated => ("plucks at", ""),
    };
    let pitch = |hz: f64| format!("{hz:.2} Hz");
    let sharper = if root.lost_cents < 0.0 { "nothing: higher by " } else { "" };
    let (lost, off) = (units::cents_size(root.lost_cents), units::cents_size(root.uncertainty_cents));
    let lost = format!("{sharper}{lost}, to within {off}");
    let spring = match root.spring_n_m_per_rad {
        Some(spring) => {
            let Bounds { low, high } = root.spring_between_n_m_per_rad;
            let high = if high.is_finite() { units::turning_stiffness(high) } else { "built in".to_owned() };
            format!("{} ({} to {high})", units::turning_stiffness(spring), units::turning_stiffness(low))
        }
        None => match root.spring_between_n_m_per_rad.low {
            low if low > 0.0 => format!("{} or stiffer; may be built in", units::turning_stiffness(low)),
            _ => "may be built in".to_owned(),
        },
    };
    vec![
        (now.to_owned(), pitch(root.pitch_hz)),
        ("with the root built in".to_owned(), format!("{}{why}", pitch(root.built_in_hz))),
        ("lost at the root".to_owned(), lost),
        ("root spring".to_owned(), spring),
    ]
}

fn covered(head: &Head, bare_strip: Option<f64>) -> String {
    let percent = |share: f64| format!("{} %", units::significant(100.0 * share, 2));
    let strip = match (head.bare_to_root_m(), bare_strip) {
        (bare_m, Some(spring)) if bare_m > 0.0 => format!(
            "; {} bare up to the root edge, which unheld would be a spring of {}",
            units::metres(bare_m),
            units::turning_stiffness(spring)
        ),
        _ => "; it reaches the root edge".to_owned(),
    };
    format!("covers {}, bears on {} of its metal{strip}", percent(head.covered_share()), percent(head.bearing_share()))
}

fn between(bounds: Bounds, unit: fn(f64) -> String) -> String {
    format!("{} to {}", unit(bounds.low), unit(bounds.high))
}

pub(super) fn said(plan: &FastenPlan, subject: &Subject) -> Vec<String> {
    let mut notes = Vec::new();
    let mut note = |text: String| notes.push(text);
    match &plan.root {
        None => note(
            "What the root gives, only pitches tell: pluck before and after tightening and give both (--pitch-before-hz, --pitch-after-hz), or state thickness_mm \
             and measured_pluck_hz."
                .to_owned(),
        ),
        Some(root) => {
            note(said_of(root));
            if let (Some(spring), Some(strip)) = (root.spring_n_m_per_rad, plan.bare_strip_n_m_per_rad) {
                note(compared(spring, strip));
            }
        }
    }
    note(
        "Estimate: no equation leads from clamp force or coverage to the stiffness of the root; what is won lies between \
         nothing and all of the loss. That a larger head holds better is common practice, no source."
            .to_owned(),
    );
    if let (Some(torque), Some(limit)) = (plan.fastening.screw.and_then(|screw| screw.torque_n_m), plan.limit)
        && torque > limit.least_n_m()
    {
        note(format!(
            "CHECK: {} is above what does no harm for sure with a soft screw in a soft plate; state --screw-yield-mpa, \
             --plate-yield-mpa and --thread-mm if they are better, or turn less.",
            units::torque(torque)
        ));
    }
    if let Some(tightening) = plan.fastening.screw {
        note(assumed(&tightening, subject));
    }
    notes
}

fn said_of(root: &Root) -> String {
    match root.from {
        BuiltInFrom::Tightened => "The spring is the stiffest the root can have been before: if it still gives after \
                                   tightening, it was softer. How far the pitch rises on, the next pass tells."
            .to_owned(),
        BuiltInFrom::Sizes => {
            "The pitch by its sizes is only as good as thickness, length and modulus: the loss may as well \
                               be one of these. The pitch before and after tightening tells far better."
                .to_owned()
        }
        BuiltInFrom::Stated => "The root spring is the one stated in the reed's file.".to_owned(),
    }
}

fn compared(spring: f64, strip: f64) -> String {
    if spring < strip {
        "The root is softer than the bare strip before the head could make it: look for a loose fastener, a burr or dirt under \
         the pad, or a crack at the root, before a larger head."
            .to_owned()
    } else {
        "The bare strip before the head could explain the loss: a head that reaches nearer to the root edge may win it back."
            .to_owned()
    }
}

fn assumed(tightening: &Tightening, subject: &Subject) -> String {
    let mpa = |pa: f64| units::stress(pa);
    let mut assumed = vec![format!("nut factor {} within 30 %", screw::NUT_FACTOR)];
    if tightening.screw_yield_pa.is_none() {
        assumed.push(format!("a screw that yields at {} (the softest usual)", mpa(screw::SOFT_SCREW_PA)));
    }
    if tightening.plate_yield_pa.is_none() {
        assumed.push(format!("a plate that yields at {} (soft brass)", mpa(screw::SOFT_PLATE_PA)));
    }
    if tightening.thread_m.is_none() {
        let plate = units::metres(subject.checked.reed.slot.plate_thickness_m);
        assumed.push(format!("thread as long as the plate is thick, {plate}"));
    }
    format!("Assumed for the screw: {}.", assumed.join("; "))
}
