//! `freereed seal leak`: stray leaks.

use clap::Args;
use freereed::physics::aperture::Slit;
use freereed::print::json;
use freereed::units::{self, significant};
use freereed::workshop::Caution;
use freereed::workshop::seal::leak::{LeakDown, LeakPlan, Off, Source};
use freereed::workshop::seal::{LARGE_RISE, Reading, SMALL_RISE, area};
use serde_json::{Map, Value, json};

use super::{effect, onset, refused, row};
use crate::cli::Outcome;
use crate::cli::attack::within;
use crate::cli::bench::{BenchArguments, Report};
use crate::cli::failure::Failure;
use crate::cli::subject::Subject;

#[derive(Args)]
pub struct Arguments {
    #[command(flatten)]
    pub bench: BenchArguments,
    /// A slit that leaks: its height, mm; with --length-mm and --depth-mm. Without any measurement leak_mm2 of the file counts
    #[arg(long, value_name = "MM", value_parser = height, allow_hyphen_values = true, requires = "length_mm", requires = "depth_mm", conflicts_with_all = ["volume_cm3", "flow_cm3_s"])]
    height_mm: Option<f64>,
    /// Length of that slit, mm
    #[arg(long, value_name = "MM", value_parser = length, allow_hyphen_values = true, requires = "height_mm")]
    length_mm: Option<f64>,
    /// Its depth, the way the air goes, mm
    #[arg(long, value_name = "MM", value_parser = depth, allow_hyphen_values = true, requires = "height_mm")]
    depth_mm: Option<f64>,
    /// Leak-down, slot taped over: the closed volume, cm3, hoses and manometer too; with --from-pa, --to-pa, --seconds
    #[arg(long, value_name = "CM3", value_parser = volume, allow_hyphen_values = true, requires = "from_pa", requires = "to_pa", requires = "seconds", conflicts_with = "flow_cm3_s")]
    volume_cm3: Option<f64>,
    /// Pressure at the start of the leak-down, Pa
    #[arg(long, value_name = "P", value_parser = pressure, allow_hyphen_values = true, requires = "volume_cm3")]
    from_pa: Option<f64>,
    /// Pressure at its end, Pa
    #[arg(long, value_name = "P", value_parser = pressure, allow_hyphen_values = true, requires = "volume_cm3")]
    to_pa: Option<f64>,
    /// Time between them, s
    #[arg(long, value_name = "S", value_parser = seconds, allow_hyphen_values = true, requires = "volume_cm3")]
    seconds: Option<f64>,
    /// Flow measured, slot taped over, cm3/s; with --at-pa
    #[arg(long, value_name = "CM3/S", value_parser = flow, allow_hyphen_values = true, requires = "at_pa")]
    flow_cm3_s: Option<f64>,
    /// Pressure of that flow, Pa
    #[arg(long, value_name = "P", value_parser = pressure, allow_hyphen_values = true, requires = "flow_cm3_s")]
    at_pa: Option<f64>,
    /// The flow at a second, lower pressure, cm3/s; with --second-at-pa: the two tell a hole from a slit
    #[arg(long, value_name = "CM3/S", value_parser = flow, allow_hyphen_values = true, requires = "second_at_pa", requires = "flow_cm3_s")]
    second_flow_cm3_s: Option<f64>,
    /// Pressure of that flow, Pa; a quarter of --at-pa is best
    #[arg(long, value_name = "P", value_parser = pressure, allow_hyphen_values = true, requires = "second_flow_cm3_s")]
    second_at_pa: Option<f64>,
    /// How far each pressure may be off, Pa
    #[arg(long, value_name = "P", default_value_t = 20.0, value_parser = pressure_off, allow_hyphen_values = true)]
    pressure_off_pa: f64,
    /// How far volume, time and flow may each be off, percent
    #[arg(long, value_name = "PERCENT", default_value_t = 5.0, value_parser = percent, allow_hyphen_values = true)]
    rest_off_percent: f64,
}

fn height(typed: &str) -> Result<f64, String> {
    within(typed, 0.0005, 2.0, "a slit is 0.0005 to 2 mm high")
}

fn length(typed: &str) -> Result<f64, String> {
    within(typed, 0.1, 2000.0, "a slit is 0.1 to 2000 mm long")
}

fn depth(typed: &str) -> Result<f64, String> {
    within(typed, 0.0, 100.0, "a slit is 0 to 100 mm deep")
}

fn volume(typed: &str) -> Result<f64, String> {
    within(typed, 0.05, 1e6, "a volume is 0.05 to 1000000 cm3")
}

fn pressure(typed: &str) -> Result<f64, String> {
    within(typed, 1.0, 20e3, "a pressure over the room's is 1 to 20000 Pa")
}

fn seconds(typed: &str) -> Result<f64, String> {
    within(typed, 0.01, 1e5, "a time is 0.01 to 100000 s")
}

fn flow(typed: &str) -> Result<f64, String> {
    within(typed, 1e-3, 1e5, "a flow is 0.001 to 100000 cm3/s")
}

fn pressure_off(typed: &str) -> Result<f64, String> {
    within(typed, 0.0, 2000.0, "a pressure may be off by 0 to 2000 Pa")
}

fn percent(typed: &str) -> Result<f64, String> {
    within(typed, 0.0, 50.0, "a measurement may be off by 0 to 50 %")
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let subject = arguments.bench.subject()?;
    let mut notes = Vec::new();
    let source = arguments.source(&subject, &mut notes);
    let plan = LeakPlan::of(&subject.checked, &source, &subject.conditions).map_err(refused)?;
    let effect = effect(plan.needed, &plan.before, &plan.after, &subject.conditions)?;
    notes.push(
        "The leak counts as a sharp hole. A fine slit lets through less at soft pressures, and a starting reed feels it up to \
         twice as much as a hole that loses the same air."
            .to_owned(),
    );
    notes.push(format!(
        "As good as tight: {} % on the onset, less than is felt (assumed); worth mending from {} % (assumed).",
        100.0 * SMALL_RISE,
        100.0 * LARGE_RISE
    ));
    notes.extend(plan.tells_kind());
    let steps = plan.steps();
    let report = Report {
        title: title(&plan),
        facts: facts(&plan, &subject),
        steps: &steps,
        after: effect.as_ref().map(|effect| (&plan.after, &["leak_mm2"][..], effect)),
        notes,
        cautions: vec![Caution::Solvents, Caution::SmallParts],
        json: as_json(&plan),
    };
    arguments.bench.show(&subject, &report)
}

impl Arguments {
    fn source(&self, subject: &Subject, notes: &mut Vec<String>) -> Source {
        let off = Off::new(self.pressure_off_pa, 1e-2 * self.rest_off_percent);
        if let (Some(height), Some(length), Some(depth)) = (self.height_mm, self.length_mm, self.depth_mm) {
            return Source::Slit { slit: Slit::sharp(1e-3 * height, 1e-3 * depth), length_m: 1e-3 * length };
        }
        if let (Some(volume), Some(from_pa), Some(to_pa), Some(time_s)) =
            (self.volume_cm3, self.from_pa, self.to_pa, self.seconds)
        {
            let typed = subject.checked.spec.typed("air.pressure_kpa").map(|found| found.0.clone());
            let room_pa = match typed {
                Some(freereed::sheet::Value::Number(kpa)) => 1e3 * kpa,
                _ => {
                    notes.push("Assumed: a room at 101.3 kPa.".to_owned());
                    LeakDown::BY_HAND.room_pa
                }
            };
            notes.push(
                "Leak-down: the air is taken to keep the room's temperature; the least value is for air that keeps its heat. \
                 Its density is that of the reed's file."
                    .to_owned(),
            );
            return Source::LeakDown(LeakDown { volume_m3: 1e-6 * volume, from_pa, to_pa, time_s, room_pa, off });
        }
        let reading = |flow: f64, at_pa: f64| Reading { flow_m3_s: 1e-6 * flow, at_pa };
        match (self.flow_cm3_s.zip(self.at_pa), self.second_flow_cm3_s.zip(self.second_at_pa)) {
            (Some((flow, at_pa)), None) => Source::Flow { flow_m3_s: 1e-6 * flow, at_pa, off },
            (Some(first), Some(second)) => {
                Source::TwoFlows { readings: [reading(first.0, first.1), reading(second.0, second.1)], off }
            }
            (None, _) => Source::InFile,
        }
    }
}

fn title(plan: &LeakPlan) -> String {
    let (found, tight) = (area(plan.found.area_m2), area(plan.small_m2));
    if plan.found.area_m2 == 0.0 {
        "no leak is stated; how large one may be".to_owned()
    } else if !plan.needed {
        format!("a leak of {found}: as good as tight, leave it")
    } else if plan.found.area_m2 < plan.large_m2 {
        format!("a leak of {found}, hardly felt: seal it to {tight} when the plate is off anyway")
    } else {
        format!("seal the leak of {found} to {tight} or less")
    }
}

fn facts(plan: &LeakPlan, subject: &Subject) -> Vec<(String, String)> {
    let found = &plan.found;
    let mut rows = Vec::new();
    if found.area_m2 > 0.0 {
        let (least, most) = (area(found.least_m2), area(found.most_m2));
        let bounds = if least == most { String::new() } else { format!(" ({least} to {most})") };
        rows.push(row("leak", format!("{}{bounds}: the hole that a starting reed feels", area(found.area_m2))));
        let at = units::pascal(subject.conditions.pressure_pa);
        if let Some(law) = found.law {
            let exponent = significant(law.exponent, 2);
            rows.push(row(
                "kind",
                format!("{}: flow goes as pressure to the power {exponent} (hole 0.5, slit 1)", law.name()),
            ));
        } else if plan.tells_kind().is_some() {
            rows.push(row("kind", "not told by one reading; the ends hold for a hole and for a fine slit".to_owned()));
        }
        rows.push(row("air lost", format!("{} at {at}", units::flow(found.lost_m3_s))));
    }
    rows.push(row("onset without leak", units::pascal(plan.tight_onset_pa)));
    if found.area_m2 > 0.0 {
        let more = plan.onset_pa.map_or(String::new(), |onset| {
            format!(", {} % more", significant(100.0 * (onset / plan.tight_onset_pa - 1.0), 2))
        });
        rows.push(row("onset with it", format!("{}{more}", onset(plan.onset_pa))));
    }
    rows.push(row("as good as tight", format!("up to {} (onset +{} %)", area(plan.small_m2), 100.0 * SMALL_RISE)));
    rows.push(row("worth mending", format!("from {} (onset +{} %)", area(plan.large_m2), 100.0 * LARGE_RISE)));
    rows
}

fn as_json(plan: &LeakPlan) -> Map<String, Value> {
    json::object(json!({
        "needed": plan.needed,
        "leak_area_m2": plan.found.area_m2,
        "leak_area_least_m2": plan.found.least_m2,
        "leak_area_most_m2": plan.found.most_m2,
        "flow_exponent": plan.found.law.map(|law| law.exponent),
        "air_lost_m3_s": plan.found.lost_m3_s,
        "tight_onset_pa": plan.tight_onset_pa,
        "onset_pa": plan.onset_pa,
        "good_as_tight_area_m2": plan.small_m2,
        "worth_mending_area_m2": plan.large_m2,
    }))
}
