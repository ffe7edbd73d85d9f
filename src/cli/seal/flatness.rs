//! `freereed seal flatness`: a plate on its comb.

use clap::Args;
use freereed::print::json;
use freereed::units::{self, metres};
use freereed::workshop::Caution;
use freereed::workshop::seal::flatness::{FlatnessPlan, Land};
use freereed::workshop::seal::{LARGE_RISE, SMALL_RISE};
use serde_json::{Map, Value, json};

use super::{effect, refused, row};
use crate::cli::Outcome;
use crate::cli::attack::within;
use crate::cli::bench::{BenchArguments, Report};
use crate::cli::failure::Failure;
use crate::cli::subject::Subject;

#[derive(Args)]
pub struct Arguments {
    #[command(flatten)]
    pub bench: BenchArguments,
    /// Length of the seam round the chamber that can leak, mm
    #[arg(long, value_name = "MM", value_parser = seam, allow_hyphen_values = true)]
    seam_mm: f64,
    /// Width of the land the plate lies on, mm
    #[arg(long, value_name = "MM", value_parser = land, allow_hyphen_values = true)]
    land_mm: f64,
    /// Slit found with a feeler, mm
    #[arg(long, value_name = "MM", value_parser = feeler, allow_hyphen_values = true)]
    feeler_mm: Option<f64>,
}

fn seam(typed: &str) -> Result<f64, String> {
    within(typed, 1.0, 2000.0, "a seam is 1 to 2000 mm long")
}

fn land(typed: &str) -> Result<f64, String> {
    within(typed, 0.1, 50.0, "a land is 0.1 to 50 mm wide")
}

fn feeler(typed: &str) -> Result<f64, String> {
    within(typed, 0.001, 1.0, "a slit is 0.001 to 1 mm high")
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let subject = arguments.bench.subject()?;
    let land = Land { length_m: 1e-3 * arguments.seam_mm, width_m: 1e-3 * arguments.land_mm };
    let measured_m = arguments.feeler_mm.map(|mm| 1e-3 * mm);
    let plan = FlatnessPlan::of(&subject.checked, land, measured_m, &subject.conditions).map_err(refused)?;
    let effect = effect(plan.needed, &plan.before, &plan.after, &subject.conditions)?;
    let notes = vec![
        "An even slit under the whole seam; a fine gap under a third of the seam may be 1.4 times as high, under a tenth twice. \
         Other leaks are left out."
            .to_owned(),
    ];
    let steps = plan.steps();
    let report = Report {
        title: title(&plan),
        facts: facts(&plan, &subject),
        steps: &steps,
        after: effect.as_ref().map(|effect| (&plan.after, &["leak_mm2"][..], effect)),
        notes,
        cautions: vec![
            Caution::Filings(Some("may hold lead where the part is of brass".to_owned())),
            Caution::Edges,
            Caution::SmallParts,
        ],
        json: as_json(&plan),
    };
    arguments.bench.show(&subject, &report)
}

fn title(plan: &FlatnessPlan) -> String {
    match (plan.measured_m, plan.needed) {
        (None, _) => "how flat the plate must lie on its comb".to_owned(),
        (Some(found), true) => format!("flatten: a slit of {} to {} or less", metres(found), metres(plan.small_m)),
        (Some(found), false) => format!("a slit of {}: flat enough, leave it", metres(found)),
    }
}

fn facts(plan: &FlatnessPlan, subject: &Subject) -> Vec<(String, String)> {
    let lost = |height_m: f64| {
        let (air, at) = (&subject.checked.reed.air, subject.conditions.pressure_pa);
        let flow = plan.land.slit(height_m).flow_m3_s(air, plan.land.length_m, at);
        format!("{}; loses {} at {}", metres(height_m), units::flow(flow), units::pascal(at))
    };
    let mut rows = Vec::new();
    if let Some(found) = plan.measured_m {
        rows.push(row("slit now", lost(found)));
    }
    let percent = |rise: f64| format!("{} %", 100.0 * rise);
    rows.push(row("flat enough", format!("{} (onset +{})", lost(plan.small_m), percent(SMALL_RISE))));
    rows.push(row("worth mending from", format!("{} (onset +{})", lost(plan.large_m), percent(LARGE_RISE))));
    rows.push(row("onset without leak", units::pascal(plan.tight_onset_pa)));
    rows
}

fn as_json(plan: &FlatnessPlan) -> Map<String, Value> {
    json::object(json!({
        "needed": plan.needed,
        "seam_length_m": plan.land.length_m,
        "land_width_m": plan.land.width_m,
        "measured_slit_m": plan.measured_m,
        "flat_enough_slit_m": plan.small_m,
        "worth_mending_slit_m": plan.large_m,
        "tight_onset_pa": plan.tight_onset_pa,
    }))
}
