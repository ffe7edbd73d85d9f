//! `freereed align`: a tongue off the middle of its slot.

use clap::Args;
use freereed::print::json;
use freereed::sheet::known_alloys;
use freereed::units::{self, metres, significant};
use freereed::workshop::Caution;
use freereed::workshop::align::{
    Alignment, Fit, Options, Placement, Spot, Touching, USUAL_RIVET_M, Warmth, clearance_tolerance_m,
};
use serde_json::{Map, Value, json};

use super::Outcome;
use super::attack::within;
use super::bench::{BenchArguments, Report, Subject};
use super::failure::Failure;

/// Where the expansion of the tongue's metal is not known (1/K): between brass, bronze and steel.
const USUAL_EXPANSION_PER_K: f64 = 18e-6;

#[derive(Args)]
pub struct Arguments {
    #[command(flatten)]
    pub bench: BenchArguments,
    /// Width of the slot, mm; with --offset-mm and --yaw-deg. Otherwise the tongue's width and the clearances of the file
    #[arg(long, value_name = "MM", value_parser = width)]
    slot_width_mm: Option<f64>,
    /// How far the tongue lies off the middle at the clamp, mm; to the right is positive, seen from above, clamp below
    #[arg(long, value_name = "MM", value_parser = offset, allow_hyphen_values = true)]
    offset_mm: Option<f64>,
    /// How far the tongue is turned, degrees; to the right is positive
    #[arg(long, value_name = "DEG", value_parser = yaw, allow_hyphen_values = true)]
    yaw_deg: Option<f64>,
    /// Clearance left of the tongue at root, half-way and tip, mm: 0.03,0.025,0.02
    #[arg(long, value_name = "R,M,T", value_parser = three, requires = "right_mm", conflicts_with_all = ["slot_width_mm", "offset_mm", "yaw_deg"])]
    left_mm: Option<[f64; 3]>,
    /// Clearance right of the tongue at root, half-way and tip, mm
    #[arg(long, value_name = "R,M,T", value_parser = three, requires = "left_mm")]
    right_mm: Option<[f64; 3]>,
    #[command(flatten)]
    warmth: WarmthArguments,
    /// From the middle of the rivet to the edge of the clamp, mm
    #[arg(long, value_name = "MM", default_value_t = 1e3 * USUAL_RIVET_M, value_parser = rivet)]
    rivet_mm: f64,
}

/// How well clearances are known, and what warmth does to them.
#[derive(Args)]
pub struct WarmthArguments {
    /// How far a clearance may be off, mm; otherwise what the file or the job says
    #[arg(long, value_name = "MM", value_parser = tolerance)]
    tolerance_mm: Option<f64>,
    /// Alloy of the plate
    #[arg(long, value_name = "ALLOY", default_value = "C27200")]
    plate_alloy: String,
    /// Temperature of the tongue when played, degC
    #[arg(long, value_name = "C", default_value_t = 34.0, value_parser = celsius, allow_hyphen_values = true)]
    reed_c: f64,
    /// Temperature of the plate when played, degC: still cold is the worst
    #[arg(long, value_name = "C", default_value_t = 20.0, value_parser = celsius, allow_hyphen_values = true)]
    plate_c: f64,
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

fn tolerance(typed: &str) -> Result<f64, String> {
    within(typed, 0.0005, 0.2, "a tolerance is 0.0005 to 0.2 mm")
}

fn rivet(typed: &str) -> Result<f64, String> {
    within(typed, 0.0, 20.0, "a rivet lies 0 to 20 mm behind the edge of the clamp")
}

fn celsius(typed: &str) -> Result<f64, String> {
    within(typed, -40.0, 120.0, "a temperature is -40 to 120 degC")
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
        notes.push("As it lies the tongue touches: the model has no answer for that, so \"now\" is empty.".to_owned());
    }
    let steps = plan.steps();
    let report = Report {
        title: title(&plan),
        facts: facts(&plan),
        steps: &steps,
        after: plan.needed.then_some((&plan.after, &plan.changed_keys, &effect)),
        notes,
        cautions: vec![Caution::Edges, Caution::SmallParts],
        json: as_json(&plan, &options),
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

impl WarmthArguments {
    /// How far a clearance may be off (m): as asked, else as the file or the job says.
    pub fn tolerance_m(&self, subject: &Subject) -> f64 {
        self.tolerance_mm.map_or_else(|| clearance_tolerance_m(&subject.checked), |mm| 1e-3 * mm)
    }

    /// Temperatures and expansions.
    pub fn warmth(&self, subject: &Subject, notes: &mut Vec<String>) -> Result<Warmth, Failure> {
        let Some(plate) = known_alloys().iter().find(|alloy| alloy.is_called(&self.plate_alloy)) else {
            let known: Vec<&str> = known_alloys().iter().map(|alloy| alloy.name.as_str()).collect();
            return Err(Failure::Call(format!("--plate-alloy {}: known are {}", self.plate_alloy, known.join(", "))));
        };
        let expansion = |alloy: &freereed::sheet::Alloy| alloy.expansion_per_k.as_ref().map(|datum| datum.value);
        let metal = &subject.checked.metal;
        let reed_per_k = metal.alloy.as_ref().and_then(expansion).unwrap_or_else(|| {
            notes.push("The tongue's expansion is not known: 18e-6 per K assumed.".to_owned());
            USUAL_EXPANSION_PER_K
        });
        let measured_c = subject.checked.temperature_c.unwrap_or(20.0);
        notes.push(format!(
            "Assumed where not given: plate of {}; clearances measured at {measured_c} degC; played with the tongue at {} and the \
             plate at {} degC.",
            plate.name, self.reed_c, self.plate_c
        ));
        Ok(Warmth {
            measured_c,
            reed_c: self.reed_c,
            plate_c: self.plate_c,
            reed_per_k,
            plate_per_k: expansion(plate).unwrap_or(USUAL_EXPANSION_PER_K),
        })
    }
}

fn title(plan: &Alignment) -> String {
    if !plan.needed {
        let middle = format!("in the middle of its slot, as far as {} tells", metres(plan.tolerance_m));
        return match plan.now.touching {
            Touching::No => format!("{middle}; leave it"),
            _ => format!("{middle}, yet so close that it may touch: more room is needed, not a move"),
        };
    }
    let side = |way: f64| if way < 0.0 { "left" } else { "right" };
    let turn = format!("turn the tip {} to the {}", metres(plan.tip_move_m().abs()), side(plan.turn_rad));
    let shift = format!("shift the pad {} to the {}", metres(plan.shift_m.abs()), side(plan.shift_m));
    match (plan.shift_m.abs() > 1e-7, plan.tip_move_m().abs() > 1e-7) {
        (true, true) => format!("{shift}, {turn}"),
        (true, false) => shift,
        _ => turn,
    }
}

fn facts(plan: &Alignment) -> Vec<(String, String)> {
    let (now, then) = (&plan.now, &plan.then);
    let mut rows = vec![
        row("closest as it lies", format!("{}, {}", signed(now.least_m), place(now.least_at))),
        row("closest when played", format!("{}, {} (swinging, warm)", signed(now.played_m), place(now.played_at))),
        row("touches", touching(now, plan.tolerance_m)),
        row("corner of the tip", format!("{} to the end wall", signed(now.tip_corner_m))),
        row(
            "lies",
            format!(
                "{} off the middle at the clamp, turned {} deg: {} off at the tip (+ is right)",
                signed(plan.offset_m),
                significant(plan.yaw_rad.to_degrees(), 2),
                signed(plan.offset_m + plan.yaw_rad * plan.sides.length_m)
            ),
        ),
    ];
    if plan.needed {
        rows.push(row(
            "then",
            format!(
                "closest {}, {}; when played {}; at most {} off the middle",
                signed(then.least_m),
                place(then.least_at),
                signed(then.played_m),
                units::metres(then.off_centre_m.max(0.5 * plan.tolerance_m))
            ),
        ));
        let ratio = plan.creeping_flow_ratio();
        if ratio.is_finite() {
            let more = significant(100.0 * (ratio - 1.0), 2);
            rows.push(row("leak past the sides", format!("{more} % more than centred, in slow flow (1 + 3 e^2)")));
        }
    }
    rows
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

/// A length with its sign where it is below zero.
fn signed(value_m: f64) -> String {
    if value_m < 0.0 { format!("-{}", metres(-value_m)) } else { metres(value_m) }
}

fn place(spot: Spot) -> String {
    match spot {
        Spot::Along(side, s) => format!("on the {} side {} from the clamp", side.name(), metres(s)),
        Spot::AllAlong(side) => format!("all along the {} side", side.name()),
        Spot::TipCorner(side) => format!("at the end wall, {} corner of the tip", side.name()),
        Spot::Tip => "at the end wall, the tip".to_owned(),
    }
}

fn as_json(plan: &Alignment, options: &Options) -> Map<String, Value> {
    let fit = |fit: &Fit| {
        json!({
            "least_clearance_m": fit.least_m,
            "least_at": place(fit.least_at),
            "played_clearance_m": fit.played_m,
            "played_at": place(fit.played_at),
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
        "shift_m": plan.shift_m,
        "turn_rad": plan.turn_rad,
        "tip_move_m": plan.tip_move_m(),
        "rivet_to_clamp_m": options.rivet_m,
        "creeping_flow_ratio": plan.creeping_flow_ratio(),
    }))
}
