//! `freereed replace`: a new reed for a slot, from strip that is in stock.

use clap::{ArgGroup, Args};
use comfy_table::CellAlignment;
use freereed::print::replace as print;
use freereed::sheet::{Note, notes};
use freereed::units::{self, metres, significant};
use freereed::workshop::Effect;
use freereed::workshop::replace::{Beside, Candidate, Profiled, ReplaceOptions, Replacement, replace};
use freereed::workshop::retune::Work;

use super::assess::{lines, table};
use super::attack::within;
use super::bench::{BenchArguments, Report};
use super::failure::Failure;
use super::retune::{concert, hertz, note, tuning};
use super::subject::Subject;
use super::text::wrap;
use super::{Outcome, output};

#[derive(Args)]
#[command(group = ArgGroup::new("target").required(true).args(["note", "hz", "to_note"]))]
pub struct Arguments {
    #[command(flatten)]
    pub bench: BenchArguments,
    /// The note, in the tuning that --concert-hz or the job says
    #[arg(long, value_name = "NOTE", value_parser = note)]
    note: Option<Note>,
    /// The pitch, Hz
    #[arg(long, value_name = "HZ", value_parser = hertz)]
    hz: Option<f64>,
    /// The note that the job gives this reed, in the job's tuning
    #[arg(long, requires = "job")]
    to_note: bool,
    /// Concert pitch of --note, Hz, in equal temperament; without it the job's tuning, else 440
    #[arg(long, value_name = "HZ", value_parser = concert)]
    concert_hz: Option<f64>,
    /// Thicknesses of the strips in stock, mm
    #[arg(long, value_name = "MM,...", required = true, value_delimiter = ',', value_parser = strip)]
    strip_mm: Vec<f64>,
    /// Alloy of the strips; without it the old reed's
    #[arg(long, value_name = "NAME")]
    alloy: Option<String>,
    /// Its temper
    #[arg(long, value_name = "NAME")]
    temper: Option<String>,
    /// Shortest and longest free length, mm; without it as long as the slot takes
    #[arg(long, value_name = "FROM:TO", value_parser = lengths)]
    length_mm: Option<(f64, f64)>,
    /// Clearance at each side, mm; without it the old reed's
    #[arg(long, value_name = "MM", value_parser = clearance)]
    clearance_mm: Option<f64>,
    /// Tip gap, mm; without it the old reed's
    #[arg(long, value_name = "MM", value_parser = gap)]
    gap_mm: Option<f64>,
    /// Most of the strip's thickness that may go in profiling, %
    #[arg(long, value_name = "PERCENT", default_value_t = 40.0, value_parser = percent)]
    allow_percent: f64,
    /// How many to show
    #[arg(long, value_name = "N", default_value_t = 5)]
    best: usize,
    /// Which of them to make
    #[arg(long, value_name = "K", default_value_t = 1)]
    pick: usize,
}

/// The thickness of a strip (m).
pub fn strip(typed: &str) -> Result<f64, String> {
    within(typed, 0.03, 1.5, "a strip is 0.03 to 1.5 mm thick").map(|mm| 1e-3 * mm)
}

fn lengths(typed: &str) -> Result<(f64, f64), String> {
    let (from, to) = typed.split_once(':').ok_or("write FROM:TO in mm, for instance 12:14.2")?;
    let length = |text: &str| within(text, 3.0, 80.0, "a free length is 3 to 80 mm");
    Ok((1e-3 * length(from)?, 1e-3 * length(to)?))
}

fn clearance(typed: &str) -> Result<f64, String> {
    within(typed, 0.003, 0.5, "a clearance is 0.003 to 0.5 mm").map(|mm| 1e-3 * mm)
}

fn gap(typed: &str) -> Result<f64, String> {
    within(typed, 0.0, 3.0, "a tip gap is 0 to 3 mm").map(|mm| 1e-3 * mm)
}

fn percent(typed: &str) -> Result<f64, String> {
    within(typed, 1.0, 70.0, "a share is 1 to 70 %")
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let subject = arguments.bench.subject()?;
    let (options, step_cents) = options(arguments, &subject)?;
    let found =
        replace(&subject.checked, &options).map_err(|error| Failure::Call(format!("{}: {error}", subject.name)))?;
    let pluck_hz = options.pluck_hz;
    let json = print::to_json(&found, arguments.best, pluck_hz);
    if found.best.is_empty() {
        if arguments.bench.json {
            output::print_json(&json)?;
        } else {
            output::print(&format!(
                "{}: no reed of these strips reaches {pluck_hz:.2} Hz\n\n{}",
                subject.name,
                outs(&found)
            ))?;
        }
        return Ok(Outcome::Done);
    }
    let Some(picked) = found.best.get(arguments.pick.wrapping_sub(1)) else {
        return Err(Failure::Call(format!("--pick {}: there are {} to pick from", arguments.pick, found.best.len())));
    };
    let effect = Effect::of(&subject.checked, &picked.reed, &options.conditions)
        .map_err(|error| Failure::Call(format!("cannot solve this reed: {error}")))?;
    if !arguments.bench.json {
        output::print(&format!("{}\n\n", best(arguments, &subject, &found, &options)))?;
    }
    let report = Report {
        title: format!("make number {}: {}", arguments.pick, picked.title()),
        facts: facts(picked, &found),
        steps: &picked.steps(&found.opening, &options),
        after: Some((&picked.reed, &picked.keys(), &effect)),
        notes: remarks(&subject, step_cents),
        cautions: picked.cautions(),
        json,
    };
    arguments.bench.show(&subject, &report)
}

/// And the step from sounding to plucked pitch that was measured on the old reed (cents).
fn options(arguments: &Arguments, subject: &Subject) -> Result<(ReplaceOptions, Option<f64>), Failure> {
    let tuning = tuning(arguments.concert_hz, subject);
    let named = arguments.hz.or(arguments.note.map(|note| tuning.frequency_hz(note)));
    let Some(target_hz) = named.or(subject.target_hz()) else {
        return Err(Failure::Call("--to-note: name the reed's job with --job and --reed".to_owned()));
    };
    let measured = &subject.checked.measured;
    let step_cents = measured.pluck_hz.zip(measured.sounding_hz).map(|(pluck, sounding)| notes::cents(pluck, sounding));
    let beside = arguments.bench.job()?.map_or(Beside::default(), |(job, id)| Beside::of(&job, id));
    let pluck_hz = notes::raised(target_hz, step_cents.unwrap_or(0.0));
    let options = ReplaceOptions {
        alloy: arguments.alloy.clone(),
        temper: arguments.temper.clone(),
        lengths_m: arguments.length_mm,
        clearance_m: arguments.clearance_mm,
        tip_gap_m: arguments.gap_mm,
        most_share: 1e-2 * arguments.allow_percent,
        beside,
        ..ReplaceOptions::of(pluck_hz, arguments.strip_mm.clone(), subject.conditions)
    };
    Ok((options, step_cents))
}

fn best(arguments: &Arguments, subject: &Subject, found: &Replacement, options: &ReplaceOptions) -> String {
    let shown = found.best.len().min(arguments.best);
    let mut rows = table(&["", "strip", "length", "profile", "onset", "plays", "t50", "stress", "neighbours", "score"]);
    for (k, candidate) in found.best.iter().take(shown).enumerate() {
        rows.add_row(row(k + 1, candidate));
    }
    for column in rows.column_iter_mut().skip(4) {
        column.set_cell_alignment(CellAlignment::Right);
    }
    let mm = |width_m: f64| format!("{:.3} mm", 1e3 * width_m);
    let conditions = &options.conditions;
    let beside = &found.beside;
    let run = match (beside.length_m, beside.onset_pa) {
        (Some(length), Some(onset)) => {
            format!(" The run of {} neighbours here: {}, onset {}.", beside.count, metres(length), units::pascal(onset))
        }
        _ => String::new(),
    };
    let how = format!(
        "Plucked at {:.2} Hz, {} wide in a slot of {}. t50 and stress at {}. Score: octaves of the playable window (t50 within {}), \
         less t50 over the time allowed, less stress over the old reed's, less octaves of onset and tenths of length from the \
         neighbours' run (that column).{run}",
        options.pluck_hz,
        mm(found.opening.width_m),
        mm(found.opening.width_m + 2.0 * found.opening.clearance_m),
        units::pascal(conditions.pressure_pa),
        units::seconds(conditions.allowed_s)
    );
    let mut parts = vec![
        format!("{}: {shown} of {} reeds that would do, the best first\n", subject.name, found.best.len()),
        lines(&rows),
        wrap(&how, "  "),
    ];
    if !found.out.is_empty() {
        parts.push(format!("\n{}", outs(found)));
    }
    parts.join("\n")
}

fn row(number: usize, candidate: &Candidate) -> [String; 10] {
    let (tongue, ranking) = (&candidate.tongue, &candidate.ranking);
    let profile = match (tongue.profile, tongue.profile.work()) {
        (Profiled::ThinnedRoot(_), Some(Work::File { depth_m, .. })) => format!("root {:.3} mm off", 1e3 * depth_m),
        (Profiled::ThinnedTip(_), Some(Work::File { depth_m, .. })) => format!("tip {:.3} mm off", 1e3 * depth_m),
        (_, Some(Work::Weigh { mass_kg })) => format!("{} on the tip", units::kilograms(mass_kg)),
        _ => "uniform".to_owned(),
    };
    let or_dash = |text: Option<String>| text.unwrap_or_else(|| "-".to_owned());
    let kilo = |pressure: f64| significant(pressure / 1e3, 2);
    let (low, high) = candidate.playable_pa;
    let off = ranking.onset_octaves + ranking.length_tenths;
    [
        number.to_string(),
        metres(tongue.strip_m),
        metres(tongue.length_m),
        profile,
        units::pascal(candidate.onset_pa),
        format!("{}-{} kPa", kilo(low), kilo(high)),
        or_dash(candidate.t50_s.map(units::seconds)),
        or_dash(candidate.stress_pa.map(units::stress)),
        if off > 0.0 { format!("-{off:.2}") } else { "-".to_owned() },
        format!("{:.2}", ranking.score()),
    ]
}

fn outs(found: &Replacement) -> String {
    let one = |out: &freereed::workshop::replace::Out| {
        let line = format!("  {} strip, {}, {}: {}", metres(out.strip_m), metres(out.length_m), out.profile, out.why);
        wrap(&line, "      ")
    };
    format!("Out:\n{}", found.out.iter().map(one).collect::<Vec<_>>().join("\n"))
}

fn facts(picked: &Candidate, found: &Replacement) -> Vec<(String, String)> {
    let mm = |width_m: f64| format!("{:.3} mm", 1e3 * width_m);
    let old =
        found.old_stress_pa.map_or(String::new(), |old| format!(" where the old reed has {}", units::stress(old)));
    let endures = match (picked.reed.metal.fatigue_strength_pa, picked.reed.metal.yield_strength_pa) {
        (Some((pa, cycles)), _) => format!("; the metal endures {} for {:.0e} swings", units::stress(pa), cycles),
        (None, Some(pa)) => format!("; it stays bent from {} on", units::stress(pa)),
        (None, None) => "; what the metal endures is not known: name alloy and temper".to_owned(),
    };
    let mut facts = vec![
        ("free length".to_owned(), metres(picked.tongue.length_m)),
        ("width".to_owned(), mm(found.opening.width_m)),
        (
            "as cut, pitch off by".to_owned(),
            format!("{:.0} cents either way, by strip, length and modulus", picked.raw_cents),
        ),
    ];
    if let Some(stress) = picked.stress_pa {
        facts.push(("stress".to_owned(), format!("{}{old} (weak as they stand){endures}", units::stress(stress))));
    }
    facts
}

fn remarks(subject: &Subject, step_cents: Option<f64>) -> Vec<String> {
    let step = match step_cents {
        Some(step) => format!(
            "The old reed plucked {} from where it sounded; the new one is taken to do the same.",
            units::cents(step)
        ),
        None => "The pitch wanted is taken for the plucked one. A reed sounds some cents lower: measure both on the old reed \
                 (measured_pluck_hz, measured_sounding_hz) and the new one is planned with their difference."
            .to_owned(),
    };
    let mut notes = vec![
        step,
        "Slot, chamber, gap, loss and air are taken as with the old reed; a shorter tongue has its pad set further in, the tip as \
         near the end of the slot as before. The mass and the reach of solder are taken as a point at the very tip."
            .to_owned(),
    ];
    if subject.checked.metal.alloy.is_none() {
        notes.push("The metal is as given for the old reed; name the strip's with --alloy.".to_owned());
    }
    notes
}
