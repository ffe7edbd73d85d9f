//! `freereed align`: a tongue off the middle of its slot.

use clap::Args;
use freereed::print::json;
use freereed::units::{self, metres, significant};
use freereed::workshop::Caution;
use freereed::workshop::align::{Alignment, Fit, Options, Placement, Spot, Touching, USUAL_RIVET_M};
use freereed::workshop::sides::Side;
use serde_json::{Map, Value, json};

use super::Outcome;
use super::attack::within;
use super::bench::{BenchArguments, Report};
use super::failure::Failure;
use super::subject::Subject;
use super::warmth::WarmthArguments;

#[derive(Args)]
pub struct Arguments {
    #[command(flatten)]
    pub bench: BenchArguments,
    /// Width of the slot, mm; with --offset-mm and --yaw-deg. Otherwise the tongue's width and the clearances of the file
    #[arg(long, value_name = "MM", value_parser = width, allow_hyphen_values = true)]
    slot_width_mm: Option<f64>,
    /// How far the tongue lies off the middle at the clamp, mm; to the right is positive, seen from above, clamp below
    #[arg(long, value_name = "MM", value_parser = offset, allow_hyphen_values = true)]
    offset_mm: Option<f64>,
    /// How far the tongue is turned, degrees; to the right is positive
    #[arg(long, value_name = "DEG", value_parser = yaw, allow_hyphen_values = true)]
    yaw_deg: Option<f64>,
    /// Clearance left of the tongue at root, half-way and tip, mm: 0.03,0.025,0.02
    #[arg(long, value_name = "R,M,T", value_parser = three, allow_hyphen_values = true, requires = "right_mm", conflicts_with_all = ["slot_width_mm", "offset_mm", "yaw_deg"])]
    left_mm: Option<[f64; 3]>,
    /// Clearance right of the tongue at root, half-way and tip, mm
    #[arg(long, value_name = "R,M,T", value_parser = three, allow_hyphen_values = true, requires = "left_mm")]
    right_mm: Option<[f64; 3]>,
    #[command(flatten)]
    warmth: WarmthArguments,
    /// From the middle of the rivet to the edge of the clamp, mm
    #[arg(long, value_name = "MM", default_value_t = 1e3 * USUAL_RIVET_M, value_parser = rivet, allow_hyphen_values = true)]
    rivet_mm: f64,
}

fn width(typed: &str) -> Result<f64, String> {
    within(typed, 0.3, 21.0, "a slot is 0.3 to 21 mm wide")
}

fn offset(typed: &str) -> Result<f64, String> {
    within(typed, -1.0, 1.0, "an offset is -1 to 1 mm, to the right positive")
}

fn yaw(typed: &str) -> Result<f64, String> {
    within(typed, -5.0, 5.0, "a yaw is -5 to 5 degrees, to the right positive")
}

fn rivet(typed: &str) -> Result<f64, String> {
    within(typed, 0.0, 20.0, "a rivet lies 0 to 20 mm behind the edge of the clamp")
}

fn three(typed: &str) -> Result<[f64; 3], String> {
    let clearance = |typed: &str| within(typed, 0.0, 1.0, "a clearance is 0 to 1 mm");
    let values: Vec<f64> = typed.split(',').map(clearance).collect::<Result<_, _>>()?;
    values.try_into().map_err(|_| "give three: root, half-way and tip, as in 0.03,0.025,0.02".to_owned())
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let subject = arguments.bench.subject()?;
    let mut notes = Vec::new();
    let options = arguments.options(&subject, &mut notes)?;
    notes.push(format!(
        "Walls upright, tip clearance measured in the middle of the tip, rivet {} mm behind the clamp: assumed where not given.",
        arguments.rivet_mm
    ));
    let plan = Alignment::plan(&subject.checked, &options).map_err(|refusal| match refusal {
        freereed::workshop::align::AlignRefusal::Sheet(error) => Failure::Sheet(error),
        other => Failure::Call(other.to_string()),
    })?;
    let effect = plan.effect(&subject.conditions).map_err(|error| Failure::Call(error.to_string()))?;
    if plan.before.is_none() {
        notes.push(
            "As it lies it touches, or is so close that the model has no answer: \"now\" is empty and the gain is not known."
                .to_owned(),
        );
    }
    let steps = plan.steps();
    let report = Report {
        title: title(&plan),
        facts: facts(&plan, subject.conditions.pressure_pa),
        steps: &steps,
        after: plan.needed.then_some((&plan.after, &plan.changed_keys, &effect)),
        notes,
        cautions: vec![Caution::Edges, Caution::SmallParts],
        json: as_json(&plan, &options, subject.conditions.pressure_pa),
    };
    arguments.bench.show(&subject, &report)
}

impl Arguments {
    fn options(&self, subject: &Subject, notes: &mut Vec<String>) -> Result<Options, Failure> {
        let placement = match (self.left_mm, self.right_mm) {
            (Some(left), Some(right)) => {
                Placement::Measured { left_m: left.map(|mm| 1e-3 * mm), right_m: right.map(|mm| 1e-3 * mm) }
            }
            _ if self.slot_width_mm.is_none() && self.offset_mm.is_none() && self.yaw_deg.is_none() => {
                Placement::AsInFile
            }
            _ => Placement::Placed {
                slot_width_m: self.slot_width_mm.map(|mm| 1e-3 * mm),
                offset_m: 1e-3 * self.offset_mm.unwrap_or(0.0),
                yaw_rad: self.yaw_deg.unwrap_or(0.0).to_radians(),
            },
        };
        Ok(Options {
            placement,
            tolerance_m: self.warmth.tolerance_m(subject),
            rivet_m: 1e-3 * self.rivet_mm,
            warmth: self.warmth.warmth(subject, notes)?,
        })
    }
}

fn title(plan: &Alignment) -> String {
    let tells = metres(plan.tolerance_m);
    match (plan.needed, plan.now.touching) {
        (true, _) => plan.moves(),
        (false, Touching::No) => format!("as near to the middle of its slot as {tells} tells; leave it"),
        (false, _) => {
            format!("as near to the middle as {tells} tells, yet so close that it may touch: it needs room, not a move")
        }
    }
}

fn facts(plan: &Alignment, pressure_pa: f64) -> Vec<(String, String)> {
    let (now, then, length_m) = (&plan.now, &plan.then, plan.sides.length_m);
    let closest = |fit: &Fit| {
        let (lying, played) = (gap(fit.least_m), gap(fit.played_m));
        let played_at =
            if fit.played_at == fit.least_at { "there too".to_owned() } else { place(fit.played_at, length_m) };
        format!("{lying}, {}; when played (swinging, warm) {played}, {played_at}", place(fit.least_at, length_m))
    };
    let mut rows = vec![
        row("lies", lies(plan)),
        row("closest now", closest(now)),
        row("touches", touching(now, plan.tolerance_m)),
        row("corner of the tip", format!("{} from the end wall", gap(now.tip_corner_m))),
    ];
    if !plan.needed {
        return rows;
    }
    rows.push(row("closest then", closest(then)));
    rows.push(row("off the middle then", format!("at most {}", metres(then.off_centre_m.max(0.5 * plan.tolerance_m)))));
    let (leak, leak_then) = plan.side_leaks_m3_s(pressure_pa);
    rows.push(row(
        "leak past the sides",
        format!(
            "{} now, {} then, while the tongue is in its slot (at {}); when soft up to {} times the centred leak",
            units::flow(leak),
            units::flow(leak_then),
            units::pascal(pressure_pa),
            significant(plan.creeping_flow_ratio(), 2)
        ),
    ));
    rows
}

/// Where the tongue lies, by the straight line through it.
fn lies(plan: &Alignment) -> String {
    let at = |off_m: f64| match off_m {
        off_m if off_m.abs() < 0.5e-6 => "in the middle".to_owned(),
        off_m => format!("{} {} of the middle", metres(off_m.abs()), Side::towards(off_m).name()),
    };
    let length_m = plan.sides.length_m;
    let (clamp, tip) = (plan.offset_m, plan.offset_m + plan.yaw_rad.sin() * length_m);
    let turned = plan.yaw_rad.to_degrees();
    if (tip - clamp).abs() < 0.5e-6 {
        return format!("{} all along", at(clamp));
    }
    format!(
        "{} at the clamp, {} at the tip: turned {} deg to the {}",
        at(clamp),
        at(tip),
        significant(turned.abs(), 2),
        Side::towards(turned).name()
    )
}

fn touching(fit: &Fit, tolerance_m: f64) -> String {
    let off = metres(tolerance_m);
    match fit.touching {
        Touching::Sure => format!("yes, surely: the measurement is good to {off}"),
        Touching::Possible => format!("perhaps: the measurement is good to {off} only"),
        Touching::No => {
            format!("no, with {} to spare beyond the {off} of the measurement", metres(fit.played_m - tolerance_m))
        }
    }
}

fn row(label: &str, value: String) -> (String, String) {
    (label.to_owned(), value)
}

/// A clearance, or how far the tongue would lie inside the wall.
fn gap(clearance_m: f64) -> String {
    if clearance_m < 0.0 { format!("{} inside the wall", metres(-clearance_m)) } else { metres(clearance_m) }
}

fn place(spot: Spot, length_m: f64) -> String {
    match spot {
        Spot::Along(side, 0.0) => format!("on the {} side at the clamp", side.name()),
        Spot::Along(side, s) if s == length_m => format!("on the {} side at the tip", side.name()),
        Spot::Along(side, s) => format!("on the {} side {} from the clamp", side.name(), metres(s)),
        Spot::AllAlong(side) => format!("all along the {} side", side.name()),
        Spot::BothSides => "all along both sides".to_owned(),
        Spot::TipCorner(side) => format!("at the end wall, {} corner of the tip", side.name()),
        Spot::Tip => "at the end wall, the tip".to_owned(),
    }
}

fn as_json(plan: &Alignment, options: &Options, pressure_pa: f64) -> Map<String, Value> {
    let (leak, leak_then) = plan.side_leaks_m3_s(pressure_pa);
    let fit = |fit: &Fit| {
        json!({
            "least_clearance_m": fit.least_m,
            "least_at": place(fit.least_at, plan.sides.length_m),
            "played_clearance_m": fit.played_m,
            "played_at": place(fit.played_at, plan.sides.length_m),
            "touching": format!("{:?}", fit.touching).to_lowercase(),
            "tip_corner_clearance_m": fit.tip_corner_m,
            "off_centre_m": fit.off_centre_m,
        })
    };
    json::object(json!({
        "needed": plan.needed,
        "now": fit(&plan.now),
        "then": fit(&plan.then),
        "tolerance_m": plan.tolerance_m,
        "offset_m": plan.offset_m,
        "yaw_rad": plan.yaw_rad,
        "shift_m": plan.way.shift_m,
        "turn_rad": plan.turn_rad,
        "tip_move_m": plan.tip_move_m(),
        "rivet_to_clamp_m": options.rivet_m,
        "creeping_flow_ratio": plan.creeping_flow_ratio(),
        "side_leak_m3_s": leak,
        "side_leak_then_m3_s": leak_then,
        "side_leak_pressure_pa": pressure_pa,
    }))
}
