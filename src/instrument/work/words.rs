//! Work in words: amounts from the plans, effects from the model.

use super::super::assess::ReedAssessment;
use super::super::finding::Finding;
use super::super::margin::MarginOf;
use super::candidate::{Candidate, Plan, Remeasure, Suspicion};
use super::one::{ReedWork, Round};
use crate::physics::Reed;
use crate::sheet::Feel;
use crate::units::{cents_size, metres, pascal, seconds, significant};
use crate::workshop::align::Touching;
use crate::workshop::bend::Direction;
use crate::workshop::care::Care;
use crate::workshop::retune::Work;
use crate::workshop::sides::Side;

impl Plan {
    /// What is done, with its amount: part of a sentence.
    pub fn title(&self) -> String {
        match self {
            Self::Measure(Remeasure::Contradiction) => "measure again: thickness, length, pitch".to_owned(),
            Self::Measure(Remeasure::Pitch) => "measure: pluck it, its pitch is not known".to_owned(),
            Self::Measure(Remeasure::Leak) => "measure its leak (seal leak): the player finds it airy".to_owned(),
            Self::Measure(Remeasure::NothingMends) => {
                "measure again: tongue, slot, leak and chamber; nothing that was tried mends it".to_owned()
            }
            Self::Clean(suspicion) => {
                let [first, second, last] = suspicion.care().map(Care::title);
                let why = match suspicion {
                    Suspicion::Flat => "what is so flat may be cracked, loose or dirty; if it is sound, tune it",
                    Suspicion::Word => {
                        "the player finds fault with it, and neither gap nor seal that was tried would mend it"
                    }
                    Suspicion::Harder => "it blows harder than all that was measured lets it",
                };
                format!("{first}, {second}, {last}: {why}")
            }
            Self::Fasten { quality, usual, pluck_hz } => format!(
                "clean and fasten it until it rings {} instead of {}",
                ring(*usual, *pluck_hz),
                ring(*quality, *pluck_hz)
            ),
            Self::Replace(reed) => format!("fit a new tongue: {}", reed.title()),
            Self::Align(plan) => plan.moves(),
            Self::Seal(plan) => format!(
                "seal the leak of {} mm2 down to {} mm2 or less",
                significant(1e6 * plan.found.area_m2, 2),
                significant(1e6 * plan.small_m2, 2)
            ),
            Self::CloseEdges { clearance_m, usual_m } => format!(
                "close the slot's edges from {} to {} at each side (seal edges)",
                metres(*clearance_m),
                metres(*usual_m)
            ),
            Self::Retune(plan) => plan.title(),
            Self::Regap(plan) => plan.title(),
            Self::RegapUnknown { gap_m, wanted_m, .. } => format!(
                "{} the tip gap from {} to {}",
                if wanted_m > gap_m { "open" } else { "close" },
                metres(*gap_m),
                metres(*wanted_m)
            ),
        }
    }

    /// The same in few words, for a small box.
    pub fn short(&self) -> String {
        let mm = |length_m: f64| metres(length_m).trim_end_matches(" mm").to_owned();
        match self {
            Self::Measure(Remeasure::Contradiction) => "measure again: thickness, length, pitch".to_owned(),
            Self::Measure(Remeasure::Pitch) => "pluck it".to_owned(),
            Self::Measure(Remeasure::Leak) => "measure its leak".to_owned(),
            Self::Measure(Remeasure::NothingMends) => "measure all again".to_owned(),
            Self::Clean(Suspicion::Flat) => "crack? loose? clean it".to_owned(),
            Self::Clean(Suspicion::Harder | Suspicion::Word) => "valve? dirt? crack?".to_owned(),
            Self::Fasten { usual, pluck_hz, .. } => format!("fasten: ring {}", ring(*usual, *pluck_hz)),
            Self::Replace(reed) => {
                format!("new tongue {} thick, {} long", mm(reed.tongue.strip_m), metres(reed.tongue.length_m))
            }
            Self::Align(plan) => {
                let part = |what: &str, to_right_m: f64| {
                    let side = Side::towards(to_right_m).name();
                    (to_right_m.abs() > 1e-7).then(|| format!("{what} {} {side}", metres(to_right_m.abs())))
                };
                let parts = [part("pad", plan.way.shift_m), part("tip", plan.tip_move_m())];
                parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
            }
            Self::Seal(plan) => format!("seal to {} mm2", significant(1e6 * plan.small_m2, 2)),
            Self::CloseEdges { usual_m, .. } => format!("edges closed to {}", metres(*usual_m)),
            Self::Retune(plan) => {
                let way = if plan.need_cents > 0.0 { "up" } else { "down" };
                let amount = match plan.work {
                    Work::File { from_m, to_m, depth_m } => {
                        format!("{:.4} off {} to {}", 1e3 * depth_m, mm(from_m), metres(to_m))
                    }
                    Work::Weigh { mass_kg } => format!("weight {} mg", significant(1e6 * mass_kg, 2)),
                };
                format!("{way} {}: {amount}", cents_size(plan.need_cents))
            }
            Self::Regap(plan) => {
                let bend = &plan.bend;
                let way = if bend.direction == Direction::Down { "push down" } else { "lift" };
                format!(
                    "gap {} to {}: {way} at {}",
                    mm(bend.gap_m),
                    metres(bend.wanted_gap_m),
                    metres(bend.push.place_m)
                )
            }
            Self::RegapUnknown { gap_m, wanted_m, .. } => format!("gap {} to {}", mm(*gap_m), metres(*wanted_m)),
        }
    }

    /// What can go wrong, from the plan; nothing where it says nothing.
    pub fn risk(&self) -> Option<String> {
        match self {
            Self::Measure(_) | Self::Clean(_) => None,
            Self::Fasten { .. } => {
                Some("its pitch may rise: tune after; a crack rings short too, and stays".to_owned())
            }
            Self::Replace(reed) => Some(format!("plucks within {:.0} cents before it is tuned", reed.raw_cents.abs())),
            Self::Align(plan) => {
                let room = metres(plan.then.played_m.max(0.0));
                let touches = if plan.then.touching == Touching::No { "" } else { ", which may still touch" };
                Some(format!("then {room} at the closest when played{touches}; the pluck must stay as it is"))
            }
            Self::Seal(plan) => Some(format!(
                "the leak is known to {} to {} mm2",
                significant(1e6 * plan.found.least_m2, 2),
                significant(1e6 * plan.found.most_m2, 2)
            ))
            .filter(|_| plan.found.most_m2 > plan.found.least_m2),
            Self::CloseEdges { .. } => {
                Some("an edge that is closed is hardly opened again: a little at a time, the tongue centred first".to_owned())
            }
            Self::Retune(plan) => {
                let work = match plan.work {
                    Work::File { from_m, to_m, depth_m } => {
                        let share = depth_m / thinnest_m(&plan.after.reed, from_m, to_m, depth_m);
                        format!("takes {} % of the thickness there, cannot be put back", significant(100.0 * share, 2))
                    }
                    Work::Weigh { .. } => "weights come off".to_owned(),
                };
                Some(format!("{work}; stop {} short", cents_size(plan.stop_short_cents)))
            }
            Self::Regap(plan) => {
                let (surface, steps) = (&plan.bend.surface, &plan.bend.steps);
                Some(format!(
                    "strains the surface to {} % of what it safely bears; may kink beyond {} of travel",
                    significant(100.0 * surface.strain / surface.allowed_strain, 2),
                    metres(steps.never_beyond_m)
                ))
            }
            Self::RegapUnknown { .. } => Some(
                "the yield strength is not known (temper or yield_mpa), so how far to push is not either: regap plans a first \
                 push that teaches it"
                    .to_owned(),
            ),
        }
    }
}

/// Thickness before filing where the patch is thinnest (m).
fn thinnest_m(after: &Reed, from_m: f64, to_m: f64, depth_m: f64) -> f64 {
    let at = |k: u32| after.beam.thickness_m.at(from_m + (to_m - from_m) * (0.5 + f64::from(k)) / 16.0);
    depth_m + (0..16).map(at).fold(f64::INFINITY, f64::min)
}

/// The time of ringing that goes with a quality factor: `Q/(pi f)`.
fn ring(quality: f64, pluck_hz: f64) -> String {
    seconds(quality / (std::f64::consts::PI * pluck_hz))
}

impl Round {
    /// What a candidate does to what is wrong, before and after; nothing of a measurement.
    pub fn effect(&self, before: &ReedAssessment, candidate: &Candidate) -> Option<String> {
        candidate.outcome.as_ref().map(|outcome| effect(before, &outcome.after))
    }
}

impl ReedWork {
    /// What all the work on it does to what is wrong; nothing where it is only measured or looked over.
    pub fn effect(&self) -> Option<String> {
        self.is_mended_in_part().then(|| effect(&self.now, self.then()))
    }
}

/// What is wrong with a reed before and after; where nothing of that has another number, what it plays.
fn effect(before: &ReedAssessment, after: &ReedAssessment) -> String {
    let mut parts: Vec<String> = before.findings.iter().filter_map(|found| change(found, before, after)).collect();
    if parts.is_empty() {
        parts.push(window(before, after));
    }
    let spoilt = Finding::brought(before, after);
    parts.extend((!spoilt.is_empty()).then(|| format!("but then {}", spoilt.join(", "))));
    parts.join("; ")
}

/// From one to another, with what is asked; nothing where both are the same.
fn from_to(what: &str, was: &str, is: &str, asked: &str) -> Option<String> {
    (was != is).then(|| format!("{what} from {was} to {is}{asked}"))
}

fn change(found: &Finding, before: &ReedAssessment, after: &ReedAssessment) -> Option<String> {
    match found {
        Finding::NotInTime { playing, allowed_s, .. } => {
            let index = ["soft", "normal", "hard"].iter().position(|it| it == playing)?;
            let time = |reed: &ReedAssessment| reed.attacks[index].t50_s.map_or("silent".to_owned(), seconds);
            // Where the whole set fails the demand it says nothing of one reed.
            let allowed = Some(format!(", {} allowed", seconds(*allowed_s))).filter(|_| !before.is_judged_by_run());
            from_to(&format!("{playing}:"), &time(before), &time(after), &allowed.unwrap_or_default())
        }
        Finding::NeverSpeaks { .. } => {
            let onset = after.prediction.onset_pa();
            Some(onset.map_or("still silent".to_owned(), |onset| format!("speaks from {}", pascal(onset))))
        }
        Finding::OutOfTune { .. } => {
            // Rounded first: no sign before nothing.
            let [was, is] = [before, after].map(|reed| (10.0 * reed.pitch.cents).round() / 10.0 + 0.0);
            from_to("pitch", &format!("{was:+.1}"), &format!("{is:+.1}"), " cents")
        }
        Finding::OffCentre { .. } => from_to("least clearance", &metres(least_m(before)), &metres(least_m(after)), ""),
        Finding::BehindTarget { of, .. } => beside_asked(*of, before, after),
        Finding::PlayersWord(feel) => match feel {
            Feel::TooStiff => beside_asked(MarginOf::Soft, before, after),
            Feel::Late => beside_asked(MarginOf::Time, before, after),
            Feel::Airy => {
                let leak = |reed: &ReedAssessment| significant(1e6 * reed.reed.checked.reed.slot.leak_area_m2, 2);
                from_to("leak", &leak(before), &leak(after), " mm2")
            }
            Feel::Good => None,
        },
        Finding::OutOfRun { .. } => Some(window(before, after)),
        Finding::HarderThanComputed { .. } | Finding::Contradiction { .. } => None,
    }
}

/// What is asked in place of the player's demand, before and after.
fn beside_asked(of: MarginOf, before: &ReedAssessment, after: &ReedAssessment) -> Option<String> {
    let asked = &before.asked;
    let show = |value: Option<f64>, unit: fn(f64) -> String| value.map_or("nowhere".to_owned(), unit);
    let both =
        |value: &dyn Fn(&ReedAssessment) -> Option<f64>, unit| [before, after].map(|reed| show(value(reed), unit));
    let (what, [was, is], asked) = match of {
        MarginOf::Soft => {
            let low = |reed: &ReedAssessment| reed.playable.map(|window| window.low.pressure_pa);
            ("softest", both(&low, pascal), pascal(asked.soft_pa.value))
        }
        MarginOf::Hard => {
            let high = |reed: &ReedAssessment| reed.playable.map(|window| window.high.pressure_pa);
            ("hardest", both(&high, pascal), pascal(asked.hard_pa.value))
        }
        MarginOf::Time => ("normal:", both(&|reed| reed.attacks[1].t50_s, seconds), seconds(asked.time_s.value)),
        _ => return None,
    };
    from_to(what, &was, &is, &format!(", {asked} asked"))
}

fn least_m(reed: &ReedAssessment) -> f64 {
    let slot = &reed.reed.checked.reed.slot;
    slot.left_clearance_m.range().0.min(slot.right_clearance_m.range().0)
}

/// The playable windows, where nothing is wrong by itself.
fn window(before: &ReedAssessment, after: &ReedAssessment) -> String {
    let ends = |reed: &ReedAssessment| match &reed.playable {
        Some(window) => format!("{} to {}", pascal(window.low.pressure_pa), pascal(window.high.pressure_pa)),
        None => "nowhere".to_owned(),
    };
    format!("plays {}, then {}", ends(before), ends(after))
}
