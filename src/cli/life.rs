//! `freereed life`: how long a reed lasts, what would lengthen it, and which reeds of a set fail first.

use std::path::PathBuf;

use clap::Args;
use comfy_table::CellAlignment;
use freereed::physics::bending::StressCycle;
use freereed::print::life as print;
use freereed::sheet::{Job, nearest_name};
use freereed::units;
use freereed::workshop::life::{
    Change, Improvement, Life, Playing, Ranked, Scratch, Surface, SwingFrom, improvements, life, rank, steps,
};
use freereed::workshop::{Bounds, Caution};

use super::assess::{lines, progress, table};
use super::attack::within;
use super::bench::{Report, Subject, print_report, subject};
use super::failure::{Failure, show_problems};
use super::predict::pressure;
use super::text::wrap;
use super::{Outcome, output};

/// Hard playing where no player says how hard it is (Pa).
const USUAL_HARD_PA: f64 = 1500.0;
/// Rise time of an attack where no player says it (s).
const USUAL_RISE_S: f64 = 10e-3;
/// Hours longer than this are as good as for ever.
const LONG_HOURS: f64 = 1e5;

#[derive(Args)]
pub struct Arguments {
    /// The reed, a TOML file; or --job, with --reed for one of its reeds
    #[arg(required_unless_present = "job", conflicts_with = "job")]
    file: Option<PathBuf>,
    /// A job: its reeds in the order in which they fail
    #[arg(long, value_name = "JOB.toml")]
    job: Option<PathBuf>,
    /// One reed of the job: 5-blow-in
    #[arg(long, value_name = "ID", requires = "job")]
    reed: Option<String>,
    /// Mouth pressure of hard playing, Pa; left out: the player's of the job, else 1500
    #[arg(long, value_name = "P", value_parser = pressure, allow_hyphen_values = true)]
    pressure_pa: Option<f64>,
    /// Hours the instrument is to be played: 3650 is an hour a day for ten years
    #[arg(long, value_name = "H", default_value_t = 3650.0, value_parser = hours, allow_hyphen_values = true)]
    hours: f64,
    /// Share of the time in which one reed sounds, percent: 2 is one of 48 reeds
    #[arg(long, value_name = "PERCENT", default_value_t = 2.0, value_parser = share, allow_hyphen_values = true)]
    share_percent: f64,
    /// Finish of the tongue: polished, rolled, filed-along, filed-across
    #[arg(long, value_name = "FINISH", default_value = Surface::default().name(), value_parser = finish)]
    surface: Surface,
    /// Depth and bottom radius of a scratch across the reed, um; left out: 5x5
    #[arg(long, value_name = "DEPTHxRADIUS", value_parser = scratch)]
    scratch_um: Option<Scratch>,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

fn hours(typed: &str) -> Result<f64, String> {
    within(typed, 0.01, 1e6, "hours of playing are 0.01 to 1000000")
}

fn share(typed: &str) -> Result<f64, String> {
    within(typed, 0.01, 100.0, "a share of the time is 0.01 to 100 percent")
}

fn finish(typed: &str) -> Result<Surface, String> {
    let known: Vec<&str> = Surface::ALL.iter().map(|row| row.0).collect();
    Surface::ALL.iter().find(|row| row.0 == typed).map(|row| row.1).ok_or_else(|| {
        let near = nearest_name(typed, &known).map_or(String::new(), |near| format!(" (did you mean {near}?)"));
        format!("is no finish{near}; there are {}", known.join(", "))
    })
}

fn scratch(typed: &str) -> Result<Scratch, String> {
    let wrong = || "give depth x radius at the bottom, in um: 5x5".to_owned();
    let (depth, radius) = typed.split_once(['x', 'X']).ok_or_else(wrong)?;
    let size =
        |text: &str| within(text.trim(), 0.1, 500.0, "a scratch is 0.1 to 500 um deep, and as wide at its bottom");
    Ok(Scratch { depth_m: 1e-6 * size(depth)?, radius_m: 1e-6 * size(radius)? })
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    match (&arguments.job, &arguments.reed) {
        (Some(path), None) => set(arguments, &Job::load(path)?),
        _ => one(arguments),
    }
}

impl Arguments {
    fn playing(&self, pressure_pa: f64, rise_s: f64) -> Playing {
        Playing {
            pressure_pa,
            rise_s,
            hours: self.hours,
            share: 1e-2 * self.share_percent,
            surface: self.surface,
            scratch: self.scratch_um.unwrap_or_default(),
        }
    }
}

fn one(arguments: &Arguments) -> Result<Outcome, Failure> {
    let subject = subject(arguments.file.as_deref(), arguments.job.as_deref(), arguments.reed.as_deref())?;
    let pressure_pa = arguments.pressure_pa.or(subject.hard_pa).unwrap_or(USUAL_HARD_PA);
    let playing = arguments.playing(pressure_pa, subject.conditions.rise_s);
    let life = life(&subject.checked, &playing).map_err(|refusal| Failure::Call(refusal.to_string()))?;
    let improvements = improvements(&subject.checked, &life);
    let report = Report {
        title: title(&life),
        facts: facts(&life).into_iter().chain(improvement_facts(&life, &improvements)).collect(),
        steps: &steps(&life, &subject.checked.reed.beam),
        after: None,
        notes: notes(arguments, &life, Some(&subject)),
        cautions: vec![Caution::filing(&subject.checked.metal), Caution::SmallParts, Caution::Sound],
        json: print::to_json(&life, &improvements),
    };
    print_report(&subject, &report, arguments.json)
}

fn set(arguments: &Arguments, job: &Job) -> Result<Outcome, Failure> {
    show_problems(job.reeds.iter().filter_map(|row| row.as_ref().err()).map(|row| &row.error));
    let progress = progress(job.reeds.iter().flatten().count() as u64, "reeds");
    let ranked = rank(job, &arguments.playing(0.0, USUAL_RISE_S), arguments.pressure_pa, &|| progress.inc(1));
    progress.finish_and_clear();
    if arguments.json {
        output::print_json(&print::ranking(&ranked))?;
    } else {
        output::print(&ranking(arguments, job, &ranked))?;
    }
    let all_good = job.reeds.iter().all(Result::is_ok);
    Ok(if all_good { Outcome::Done } else { Outcome::SomeFailed })
}

fn title(life: &Life) -> String {
    let playing = &life.playing;
    let hard = units::pascal(playing.pressure_pa);
    let hours = units::significant(playing.hours, 3);
    let low = life.factor.low;
    let verdict = match low {
        factor if factor >= 1.5 => "does not tire",
        factor if factor >= 1.0 => "just lasts",
        _ => "may break",
    };
    match life.swing_from {
        SwingFrom::Measured(_) => {
            format!("{verdict} in {hours} h of playing at {hard}: safety {} or more", units::significant(low, 2))
        }
        _ => format!(
            "bears a tip swing of {} or more for {hours} h of playing; how far it swings at {hard} is to be measured",
            units::metres(life.bears_swing_m().low)
        ),
    }
}

fn facts(life: &Life) -> Vec<(String, String)> {
    let swing = match life.swing_from {
        SwingFrom::Measured(_) => "as measured",
        _ => "by the model: weak, and so is each stress",
    };
    let place = |cycle: &StressCycle| {
        format!("{} to either side of {}", units::stress(cycle.amplitude_pa), units::stress(cycle.mean_pa.abs()))
    };
    let strength = &life.strength;
    let mut facts = vec![
        ("swing of the tip".to_owned(), format!("{} to either side ({swing})", units::metres(life.swing_m))),
        ("tires most".to_owned(), format!("{}: {}", at(life.worst.at_m), place(&life.worst))),
        ("largest in the attack".to_owned(), units::stress(life.peak_pa)),
        (
            "load cycles".to_owned(),
            format!("{}, {} at {}", power(life.cycles), time(life), units::hertz(life.frequency_hz)),
        ),
        (
            "bears about zero".to_owned(),
            format!(
                "{} at {} cycles, times {} for a surface {}",
                span(strength.fatigue_pa, units::stress),
                power(strength.fatigue_cycles),
                span(life.surface_factor, two_digits),
                life.playing.surface.name()
            ),
        ),
        ("bears a tip swing of".to_owned(), span(life.bears_swing_m(), units::metres)),
    ];
    if life.worst.at_m > 0.0 {
        facts.insert(2, ("at the root".to_owned(), place(&life.root)));
    }
    if let Some(factor) = life.yield_factor {
        let swing = units::metres(factor * life.swing_m);
        facts.push(("bends for good at".to_owned(), format!("a tip swing of some {swing}")));
    }
    if matches!(life.swing_from, SwingFrom::Measured(_)) {
        facts.push(("safety against breaking".to_owned(), span(life.factor, two_digits)));
        facts.extend(life.yield_factor.map(|factor| ("safety against bending".to_owned(), two_digits(factor))));
    }
    let hours = match life.hours() {
        Some(hours) => format!("{} of playing", span_hours(hours)),
        None => "not given: life goes with a high power of the swing, some seventh to tenth; measure it (measured_swing_mm at \
                 measured_at_pa)"
            .to_owned(),
    };
    facts.push(("hours until it breaks".to_owned(), hours));
    facts
}

fn time(life: &Life) -> String {
    let percent = units::significant(100.0 * life.playing.share, 2);
    format!("{percent} % of {} h", units::significant(life.playing.hours, 3))
}

fn improvement_facts(life: &Life, improvements: &[Improvement]) -> Vec<(String, String)> {
    let one = |improvement: &Improvement| {
        let text = match (&improvement.life, improvement.life_ratio) {
            (Some(better), Some(ratio)) => {
                let stress = better.worst.peak_pa() / life.worst.peak_pa() - 1.0;
                let effect = match improvement.change {
                    Change::Polished => format!("bears {} more", percent(better.factor.low / life.factor.low - 1.0)),
                    _ if stress < 0.0 => format!("stress {} less", percent(-stress)),
                    _ => format!("stress {} more", percent(stress)),
                };
                format!("{effect}, lasts about {}", times(ratio))
            }
            _ => "would not sound".to_owned(),
        };
        (changed(improvement.change), text)
    };
    improvements.iter().map(one).collect()
}

fn changed(change: Change) -> String {
    let percent = |share: f64| percent((share - 1.0).abs());
    match change {
        Change::Polished => "polished along".to_owned(),
        Change::Softer(share) => format!("blown {} softer", percent(share)),
        Change::LessGap(share) => format!("{} less gap", percent(share)),
        Change::Thicker(factor) => format!("{} thicker, longer", percent(factor)),
    }
}

/// "3.2 times", "over 1000 times".
fn times(ratio: f64) -> String {
    if ratio > 1000.0 { "over 1000 times".to_owned() } else { format!("{} times", units::significant(ratio, 2)) }
}

/// "4.2 %".
fn percent(share: f64) -> String {
    format!("{} %", two_digits(100.0 * share))
}

fn two_digits(value: f64) -> String {
    units::significant(value, 2)
}

/// "at the root", "at 3.20 mm from the clamp".
fn at(place_m: f64) -> String {
    if place_m == 0.0 { "at the root".to_owned() } else { format!("at {} from the clamp", units::metres(place_m)) }
}

/// "6.3e8".
fn power(count: f64) -> String {
    format!("{count:.1e}")
}

fn span(bounds: Bounds, unit: impl Fn(f64) -> String) -> String {
    let (low, high) = (unit(bounds.low), unit(bounds.high));
    if low == high { low } else { format!("{low} to {high}") }
}

fn span_hours(hours: Bounds) -> String {
    let text = |hours: f64| match hours {
        long if long > LONG_HOURS => format!("over {LONG_HOURS} h"),
        short if short < 1.0 => format!("{} h", units::significant(short, 1)),
        hours => format!("{} h", units::significant(hours, 2)),
    };
    span(hours, text)
}

fn notes(arguments: &Arguments, life: &Life, subject: Option<&Subject>) -> Vec<String> {
    let strength = &life.strength;
    let mut notes = vec![
        "Estimate: the two ends are bounds. Surface and notch factors are published for steel and serve as bounds; the line \
         between 0.9 of the tensile strength at 1000 cycles and the fatigue strength goes on beyond it, as copper alloys have no \
         endurance limit. Stress left by bending and rolling is not counted."
            .to_owned(),
    ];
    let mut assumed = vec![format!("all of the sounding time is as hard; the reed sounds {}", time(life))];
    if arguments.pressure_pa.is_none() && subject.is_some_and(|subject| subject.hard_pa.is_none()) {
        assumed.push(format!("hard playing is {}", units::pascal(USUAL_HARD_PA)));
    }
    assumed.push(format!("finish {} (--surface)", arguments.surface.name()));
    if arguments.surface == Surface::FiledAcross && arguments.scratch_um.is_none() {
        assumed.push("scratches 5 um deep with 5 um at the bottom".to_owned());
    }
    if strength.tensile_is_yield {
        assumed
            .push("the yield strength stands for the tensile strength, which is not known: a lower bound".to_owned());
    }
    if strength.fatigue_is_estimate {
        assumed.push(format!(
            "fatigue strength {}, 0.2 to 0.35 of the tensile: give fatigue_mpa if the mill states it",
            span(strength.fatigue_pa, units::stress)
        ));
    }
    notes.push(format!("Assumed here: {}.", assumed.join("; ")));
    notes
}

fn ranking(arguments: &Arguments, job: &Job, ranked: &[Ranked<'_>]) -> String {
    let mut parts = vec![match &job.instrument.name {
        Some(name) => format!("{name}: which reed fails first"),
        None => "Which reed fails first".to_owned(),
    }];
    let head = ["", "reed", "note", "hard", "swing", "bears", "tires most", "stress", "about", "safety", "hours"];
    let mut table = table(&head);
    for (k, one) in ranked.iter().enumerate() {
        table.add_row(row(k + 1, one, safety_of_first(ranked)));
    }
    for column in table.column_iter_mut().skip(3) {
        column.set_cell_alignment(CellAlignment::Right);
    }
    parts.push(lines(&table));
    let safety = match safety_of_first(ranked) {
        Some(_) => "as a multiple of the first reed's, as no swing was measured",
        None => "factor on stress for the hours asked",
    };
    parts.push(wrap(
        &format!(
            "  hard: pressure of the player's hard playing. swing: of the tip to either side; m: measured, o: as the reeds on \
             which it was measured, else the model's own, which is weak. bears: the swing it bears for the hours asked, at \
             least. tires most: where, from the clamp. stress, about: how far it swings there, about which mean. safety: \
             {safety}. hours: of playing until it breaks, only where the swing was measured (life goes with a high power of \
             it). -: not told."
        ),
        "  ",
    ));
    let silent: Vec<String> = ranked
        .iter()
        .filter_map(|one| one.life.as_ref().err().map(|why| wrap(&format!("  {}: {why}", one.reed.id), "    ")))
        .collect();
    if !silent.is_empty() {
        parts.push(format!("Not told:\n{}", silent.join("\n")));
    }
    if let Some(first) = ranked.iter().find_map(|one| one.life.as_ref().ok()) {
        let notes = notes(arguments, first, None);
        parts.push(notes.iter().map(|note| wrap(note, "  ")).collect::<Vec<_>>().join("\n"));
    }
    parts.join("\n\n")
}

/// The safety factor of the reed that fails first, where all are only to be compared.
fn safety_of_first(ranked: &[Ranked<'_>]) -> Option<f64> {
    let mut lives = ranked.iter().filter_map(|one| one.life.as_ref().ok());
    let first = lives.clone().next()?.factor.low;
    lives.all(|life| life.swing_from == SwingFrom::Model).then_some(first)
}

fn row(place: usize, ranked: &Ranked<'_>, first: Option<f64>) -> [String; 11] {
    let (id, note) = (ranked.reed.id.clone(), ranked.reed.note.to_string());
    let Ok(life) = &ranked.life else {
        let dash = || "-".to_owned();
        return [place.to_string(), id, note, dash(), dash(), dash(), dash(), dash(), dash(), dash(), dash()];
    };
    let from = match life.swing_from {
        SwingFrom::Measured(_) => " m",
        SwingFrom::OtherReeds(_) => " o",
        SwingFrom::Model => "",
    };
    let safety = match first {
        Some(first) => format!("{:.2}", life.factor.low / first),
        None => span(life.factor, two_digits),
    };
    [
        place.to_string(),
        id,
        note,
        units::pascal(life.playing.pressure_pa),
        format!("{}{from}", units::metres(life.swing_m)),
        units::metres(life.bears_swing_m().low),
        if life.worst.at_m == 0.0 { "root".to_owned() } else { units::metres(life.worst.at_m) },
        units::stress(life.worst.amplitude_pa),
        units::stress(life.worst.mean_pa.abs()),
        safety,
        life.hours().map_or("-".to_owned(), span_hours),
    ]
}
