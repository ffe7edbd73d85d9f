//! The numbers of a plan as a bench reads them.

use freereed::instrument::balance::{ReedBalance, Setting, Verdict};
use freereed::physics::playable::Playable;
use freereed::units::{self, metres, significant};
use freereed::workshop::bend::{Limit, Push};
use freereed::workshop::regap::{Best, RegapPlan};

/// Label and value.
pub fn facts(plan: &RegapPlan) -> Vec<(String, String)> {
    let mut facts = Vec::new();
    facts.extend(plan.best.as_ref().map(|found| ("why this gap", best(found))));
    facts.extend(plan.learned.map(|learned| {
        let (strength, share) = (units::stress(learned.yield_strength_pa), percent(learned.yield_share));
        ("learned", format!("this tongue yields at {strength}, known to {share}"))
    }));
    if plan.pushed.is_some() && plan.learned.is_none() {
        facts.push((
            "learned",
            "the gap has not changed enough to be measured: it is at least as hard as one that would just have shown it".to_owned(),
        ));
    }
    facts.extend([
        ("where", where_to_push(plan)),
        ("begins to stay bent at", just_yields(plan)),
        ("if all is as expected", expected(plan)),
        ("one such push may leave", spread(plan)),
        ("strain", strain(plan)),
        ("most that one push may", largest(plan)),
        ("lies then", rest(plan)),
    ]);
    facts.into_iter().map(|(label, value)| (label.to_owned(), value)).collect()
}

/// Why the set gives it this gap.
pub fn given(given: &ReedBalance) -> (String, String) {
    let room = |setting: &Setting| match setting.room {
        Some(room) => {
            format!("{} times softer and {} times harder", significant(room.soft, 2), significant(room.hard, 2))
        }
        None => "nowhere in time".to_owned(),
    };
    let why = match given.verdict {
        Verdict::NoGap(why) => format!("; no gap suits: {}. To do: {}", why.sentence(given), why.cure()),
        Verdict::Leave | Verdict::Regap => String::new(),
    };
    let text = format!(
        "balance gives it to this reed in its set. Room, beyond soft and hard as asked: {}, now {}{why}",
        room(&given.wanted),
        room(&given.now)
    );
    ("why this gap".to_owned(), text)
}

fn force(newton: f64) -> String {
    format!("{} ({} g on a scale)", units::newton(newton), significant(newton / 9.80665e-3, 2))
}

fn percent(share: f64) -> String {
    format!("{} %", significant(100.0 * share, 2))
}

fn at(place_m: f64) -> String {
    if place_m < 0.05e-3 { "at the clamp".to_owned() } else { format!("{} from the clamp", metres(place_m)) }
}

fn range(low_pa: f64, high_pa: f64) -> String {
    format!("{} to {}", units::pascal(low_pa), units::pascal(high_pa))
}

fn best(best: &Best) -> String {
    let (soft_pa, hard_pa) = best.pressures_pa;
    let window = |window: &Playable| range(window.low.pressure_pa, window.high.pressure_pa);
    let asked = if soft_pa == hard_pa {
        units::pascal(soft_pa)
    } else {
        format!("the range from soft to hard, {},", range(soft_pa, hard_pa))
    };
    let fits = if !best.room(&best.window).suits() { "; not all of it becomes playable" } else { "" };
    let reach = match (&best.farther, best.ends_at_reach) {
        (Some(farther), _) => format!("; {farther}"),
        (None, true) => "; farther may suit better, but one bend does not reach, nor were two found that do".to_owned(),
        (None, false) => String::new(),
    };
    format!(
        "here {asked} has the most room to both ends of what plays in time: {} (now {}){fits}{reach}. {} gaps \
         were tried, each with the shape its bend leaves",
        window(&best.window),
        best.window_now.as_ref().map_or("none".to_owned(), window),
        best.tried_m.len()
    )
}

fn where_to_push(plan: &RegapPlan) -> String {
    let place_m = plan.bend.push.place_m;
    let share = significant(place_m / plan.before.reed.beam.length_m, 2);
    let would_do = plan.tried.iter().filter(|tried| tried.strain.is_some()).count();
    let why = match plan.tried.len() {
        0 => String::new(),
        tried => format!(", the least strain of {tried} places compared, {would_do} of which would do"),
    };
    format!("{} from the clamp ({share} of the length{why})", metres(place_m))
}

fn just_yields(plan: &RegapPlan) -> String {
    let yields = &plan.bend.yields;
    format!(
        "{} of travel there, {}: the surface keeps 0.01 % of strain; less leaves less, down to nothing that can be measured",
        metres(yields.place_travel_m),
        force(yields.force_n)
    )
}

fn expected(plan: &RegapPlan) -> String {
    let bend = &plan.bend;
    format!(
        "{} of travel there, {}: {} springs back and {} stays; the tip goes {}, {} stays",
        metres(bend.place.travel_m),
        force(bend.force_n),
        metres(bend.place.overtravel_m()),
        metres(bend.place.set_m),
        metres(bend.tip.travel_m),
        metres(bend.tip.set_m)
    )
}

fn spread(plan: &RegapPlan) -> String {
    let spread = &plan.bend.spread;
    let thickness = match spread.thickness_share {
        0.0 => String::new(),
        share => format!(" and the thickness to {}", percent(share)),
    };
    format!(
        "a gap of {} to {}, the yield strength being known to {}{thickness}, and how roundly it yields not at all: so go in steps",
        metres(spread.softest_gap_m.min(spread.hardest_gap_m)),
        metres(spread.softest_gap_m.max(spread.hardest_gap_m)),
        percent(spread.yield_share)
    )
}

fn strain(plan: &RegapPlan) -> String {
    let surface = &plan.bend.surface;
    format!(
        "at most {} at the surface, {}; it yields at {}, and more than {} may kink it ({})",
        percent(surface.strain),
        at(surface.at_m),
        percent(surface.yield_strain),
        percent(surface.allowed_strain),
        surface.allowed_source
    )
}

fn largest(plan: &RegapPlan) -> String {
    let largest = &plan.bend.largest;
    let metal = &plan.after.metal;
    let temper = metal.temper.as_ref().map_or(String::new(), |temper| format!(" {temper}"));
    let beyond = match largest.limit {
        Limit::Strain => "it is spoilt: the surface is strained too much and may kink",
        Limit::Hinge => "it is spoilt: the tongue folds at one place",
        Limit::Turn => "the tongue turns away from the tool, which slips off",
    };
    format!(
        "to a gap of {}, by {} of travel, for {}{temper}; beyond that {beyond}",
        metres(largest.gap_m),
        metres(largest.place_travel_m),
        metal.name
    )
}

/// Heights before and after.
fn rest(plan: &RegapPlan) -> String {
    let length_m = plan.before.reed.beam.length_m;
    let height = |quarter: u32| {
        let place_m = length_m * f64::from(quarter) / 4.0;
        let [now, then] = [&plan.before, &plan.after].map(|reed| reed.reed.rest.height_m(place_m, length_m));
        format!("{} (now {}) at {}", metres(then), metres(now), metres(place_m))
    };
    (1..=4).map(height).collect::<Vec<_>>().join(", ")
}

/// What is estimated, assumed, or not known.
pub fn notes(plan: &RegapPlan) -> Vec<String> {
    let mut notes = Vec::new();
    if plan.turns_back {
        notes.push(
            "Bent back: a tongue that was bent a moment ago holds stress and yields sooner the other way; the first travel \
             allows for it."
                .to_owned(),
        );
    }
    notes.extend(sinks(plan));
    notes.push(plan_again(plan));
    let surface = &plan.bend.surface;
    notes.push(format!(
        "Life: the bend leaves up to {} of permanent strain in the surface, {}, and stress locked in with it. How much life \
         that costs is not known here; bend as seldom as possible.",
        percent(surface.permanent_strain),
        at(surface.at_m)
    ));
    notes.push(
        "Estimate: metal that yields roundly (Ramberg-Osgood exponent 12, assumed, 8 to 20 in doubt; the yield strength is the \
         0.2 % proof stress); tool and support without friction; a tongue free of stress before the first push. A tip gap does not say how the tongue lies before its tip: see what is assumed below."
            .to_owned(),
    );
    notes
}

/// A word on a tongue that would dip into its slot on the way to its tip.
fn sinks(plan: &RegapPlan) -> Option<String> {
    let length_m = plan.after.reed.beam.length_m;
    let place_and_height = |twentieths: u32| {
        let place_m = length_m * f64::from(twentieths) / 20.0;
        (place_m, plan.after.reed.rest.height_m(place_m, length_m))
    };
    let (place_m, height_m) = (1..20).map(place_and_height).min_by(|a, b| a.1.total_cmp(&b.1))?;
    (height_m < -SUNK_M && plan.bend.wanted_gap_m > 0.0).then(|| {
        format!(
            "It would dip {} into the slot {}, since it bends near the clamp. Over a shim (--shim-mm) it bends farther out.",
            metres(-height_m),
            at(place_m)
        )
    })
}

/// A dip that is worth a word (m).
const SUNK_M: f64 = 5e-6;

fn plan_again(plan: &RegapPlan) -> String {
    let file = if plan.turns_back {
        "a file that says how the tongue lies now"
    } else {
        "the reed as it was before the first push"
    };
    format!("To plan again after a push: {file}, with {} --pushed-mm TRAVEL --gap-now-mm GAP.", flags(&plan.bend.push))
}

/// A push as it is typed.
pub fn flags(push: &Push) -> String {
    let shim = push
        .support
        .map_or(String::new(), |support| format!(" --shim-mm {}@{}", typed(support.height_m), typed(support.place_m)));
    format!("--at-mm {}{shim}", typed(push.place_m))
}

/// Millimetres as they are typed.
fn typed(value_m: f64) -> f64 {
    (1e7 * value_m).round() / 1e4
}
