//! `freereed seal edges`: how close the edges of the slot should be.

use clap::Args;
use freereed::print::json;
use freereed::units::{self, metres, significant};
use freereed::workshop::Caution;
use freereed::workshop::seal::edges::{EdgePlan, EdgePoint, SPARE_M};
use serde_json::{Map, Value, json};

use super::{effect, onset, refused, row};
use crate::cli::Outcome;
use crate::cli::bench::{BenchArguments, Report};
use crate::cli::failure::Failure;
use crate::cli::warmth::WarmthArguments;

#[derive(Args)]
pub struct Arguments {
    #[command(flatten)]
    pub bench: BenchArguments,
    #[command(flatten)]
    warmth: WarmthArguments,
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let subject = arguments.bench.subject()?;
    let mut notes = Vec::new();
    let warmth = arguments.warmth.warmth(&subject, &mut notes)?;
    let tolerance_m = arguments.warmth.tolerance_m(&subject);
    let plan = EdgePlan::of(&subject.checked, tolerance_m, &warmth, &subject.conditions).map_err(refused)?;
    let effect = effect(plan.needed, &subject.checked, &plan.after, &subject.conditions)?;
    notes.push(format!(
        "Closing can always be taken further and hardly be undone. Safe is the tolerance of a reading, what warmth takes, and {} \
         for dust and burr (assumed).",
        metres(SPARE_M)
    ));
    let steps = plan.steps();
    let report = Report {
        title: title(&plan),
        facts: facts(&plan),
        steps: &steps,
        after: effect.as_ref().map(|effect| (&plan.after, &plan.changed_keys[..], effect)),
        notes,
        cautions: vec![
            Caution::Edges,
            Caution::Filings(arguments.warmth.plate()?.caution.clone()),
            Caution::SmallParts,
        ],
        json: as_json(&plan),
    };
    arguments.bench.show(&subject, &report)
}

fn title(plan: &EdgePlan) -> String {
    let (safe, target) = (metres(plan.safe_m), metres(plan.target_m));
    if plan.align_first {
        format!("align the tongue first: it lies up to {} off the middle", metres(plan.off_centre_m))
    } else if plan.needed {
        format!("close the edges of the slot to {target}")
    } else if plan.widest_m() < plan.safe_m {
        format!("the edges of the slot are closer than a reading can call safe ({safe}); do not close them")
    } else if plan.gain < 0.01 {
        "closing the edges of the slot would gain nothing; leave them".to_owned()
    } else {
        let gain = significant(100.0 * plan.gain, 1);
        format!("closing the edges of the slot to {target} would gain {gain} % of the onset; leave them")
    }
}

fn facts(plan: &EdgePlan) -> Vec<(String, String)> {
    let what = |point: &EdgePoint| {
        let time =
            point.t50_s.map_or("does not speak in time".to_owned(), |t50| format!("t50 {}", units::seconds(t50)));
        format!("onset {}, {time}", onset(point.onset_pa))
    };
    let best = |clearance_m: f64| {
        if plan.is_closest(clearance_m) {
            format!("by the air alone the closer the better, down to the {} tried", metres(clearance_m))
        } else {
            format!("at {}; closer, the drag of the air outweighs the leak", metres(clearance_m))
        }
    };
    let mut rows = vec![row("softest start", best(plan.softest_m))];
    rows.extend(plan.soonest_m.map(|soonest_m| row("soonest to speak", best(soonest_m))));
    rows.push(row("safe by reading", format!("{} or wider: closer, it may rub", metres(plan.safe_m))));
    // Every second of those that are safe, and the one to close to: enough to see how it goes.
    let safe = plan.points.iter().rev().filter(|point| point.clearance_m >= plan.safe_m * 0.999);
    for (k, point) in safe.enumerate() {
        let target = plan.needed && point.clearance_m == plan.target_m;
        if target || k % 2 == 0 {
            let mark = if target { "  <- close to this" } else { "" };
            rows.push(row(&format!("no wider than {}", metres(point.clearance_m)), format!("{}{mark}", what(point))));
        }
    }
    rows
}

fn as_json(plan: &EdgePlan) -> Map<String, Value> {
    let point = |point: &EdgePoint| json!({ "clearance_m": point.clearance_m, "onset_pa": point.onset_pa, "t50_s": point.t50_s });
    json::object(json!({
        "needed": plan.needed,
        "target_clearance_m": plan.target_m,
        "safe_clearance_m": plan.safe_m,
        "softest_clearance_m": plan.softest_m,
        "soonest_clearance_m": plan.soonest_m,
        "tolerance_m": plan.tolerance_m,
        "first_side": plan.first.name(),
        "off_centre_m": plan.off_centre_m,
        "align_first": plan.align_first,
        "over_clearance": plan.points.iter().map(point).collect::<Vec<_>>(),
    }))
}
