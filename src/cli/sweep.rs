//! `freereed sweep`: results over a grid of one or two inputs.

use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};

use clap::Args;
use freereed::answer::{Conditions, GROUPS, Quantity, ROWS, swing_scale};
use freereed::physics::coefficients::MODEL_VERSION;
use freereed::print::charts::sweep_chart;
use freereed::print::sweep as print;
use freereed::sheet::nearest_name;
use freereed::sweep::{Axis, MOST_POINTS, Point, Stretch, Sweep};
use freereed::units;
use serde_json::json;

use super::conditions::ConditionArguments;
use super::failure::Failure;
use super::predict::model_of;
use super::subject::{ReedArguments, Subject};
use super::unfinished::{UNFINISHED, Unfinished};
use super::{Outcome, output};

/// Files of `--out`.
const FILES: [&str; 2] = ["sweep.csv", "sweep.json"];

#[derive(Args)]
#[command(after_help = results_help())]
pub struct Arguments {
    #[command(flatten)]
    from: ReedArguments,
    /// An input and its grid; once or twice
    #[arg(long, value_name = "KEY=FROM:TO:STEP", required = true, value_parser = axis)]
    vary: Vec<Axis>,
    /// The results, by name
    #[arg(long, value_name = "RESULT,...", value_delimiter = ',', default_value = "onset,choke", value_parser = result)]
    of: Vec<Asked>,
    #[command(flatten)]
    conditions: ConditionArguments,
    /// Write sweep.csv and sweep.json into this folder; an interrupted sweep goes on there
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Draw the results over one input, or the first of them over two, an SVG file
    #[arg(long, value_name = "FILE.svg")]
    chart: Option<PathBuf>,
    /// Write over a chart that is there
    #[arg(long)]
    overwrite: bool,
    /// Print JSON instead of CSV
    #[arg(long)]
    pub json: bool,
}

/// What one name of `--of` stands for.
#[derive(Clone)]
pub struct Asked(Vec<Quantity>);

/// All results asked for, each once.
pub fn asked(all: &[Asked]) -> Vec<Quantity> {
    let mut of = Vec::new();
    for &quantity in all.iter().flat_map(|asked| &asked.0) {
        if !of.contains(&quantity) {
            of.push(quantity);
        }
    }
    of
}

fn axis(typed: &str) -> Result<Axis, String> {
    Axis::parse(typed).map_err(|error| error.to_string())
}

/// A name of a result.
pub fn result(typed: &str) -> Result<Asked, String> {
    let name = typed.trim();
    let known: Vec<&'static str> = ROWS.iter().map(|row| row.name).chain(GROUPS.iter().map(|group| group.0)).collect();
    Quantity::named(name).map(Asked).ok_or_else(|| {
        let near = nearest_name(name, &known).map_or(String::new(), |near| format!(" (did you mean {near}?)"));
        format!("{name:?} is no result{near}; there are {}", known.join(", "))
    })
}

/// The results that can be asked for, after the help of a command.
pub fn results_help() -> String {
    let line = |row: &freereed::answer::Row| format!("  {:<14} {:<6} {}\n", row.name, row.unit, row.meaning);
    format!(
        "Results:\n{}  {:<14} {:<6} both ends of the playable window",
        ROWS.iter().map(line).collect::<String>(),
        "playable",
        "Pa"
    )
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    if let Some(path) = &arguments.chart {
        output::check_free(path, arguments.overwrite)?;
    }
    let mut subject = arguments.from.subject()?;
    let sweep = sweep(arguments, &mut subject)?;
    tell_how_asked(&subject, &sweep.conditions);
    let (points, kept) = match &arguments.out {
        None => (compute(&sweep, Vec::new(), &|_, _| {}), None),
        Some(folder) => {
            output::check_folder(folder, &[FILES[0], FILES[1], UNFINISHED])?;
            let (unfinished, parts) = Unfinished::open(folder, &fingerprint(&subject, &sweep))?;
            let points = compute(&sweep, parts.into_iter().collect(), &|number, part| unfinished.add(number, part));
            unfinished.check()?;
            (points, Some(folder))
        }
    };
    finish(arguments, &subject, &sweep, &points, kept.map(PathBuf::as_path))
}

/// The table of a sweep has no room for it: which reed of which job it is and how its player asks.
fn tell_how_asked(subject: &Subject, given: &Conditions) {
    if let Some(heading) = subject.heading() {
        output::complain(&format!(
            "{heading}; asked at {}, rising in {}, {} allowed",
            units::pascal(given.pressure_pa),
            units::seconds(given.rise_s),
            units::seconds(given.allowed_s)
        ));
    }
}

fn sweep(arguments: &Arguments, subject: &mut Subject) -> Result<Sweep, Failure> {
    let axes = arguments.vary.clone();
    match axes.as_slice() {
        [_] => {}
        [first, second] if first.key != second.key => {}
        [_, _] => return Err(Failure::Call("--vary names the same input twice; vary two, or one".to_owned())),
        _ => return Err(Failure::Call("--vary can be given twice at most".to_owned())),
    }
    let of = asked(&arguments.of);
    let conditions = arguments.conditions.conditions(subject);
    let swing_scale = swing_scale(&model_of(&subject.checked)?, &mut subject.checked);
    let sweep = Sweep { reed: subject.checked.clone(), axes, of, conditions, swing_scale };
    match sweep.count() {
        count if count > MOST_POINTS => {
            Err(Failure::Call(format!("{count} points are too many; {MOST_POINTS} at most, take wider steps")))
        }
        _ => Ok(sweep),
    }
}

/// All that the numbers depend on. The text of a sheet is that of many reeds: the reed itself stands beside it.
fn fingerprint(subject: &Subject, sweep: &Sweep) -> serde_json::Value {
    let Conditions { pressure_pa, rise_s, allowed_s, stress_limit_pa, search } = sweep.conditions;
    let axis = |axis: &Axis| json!([axis.key.full_name(), axis.text(0), axis.text(axis.count() - 1), axis.count()]);
    json!({
        "freereed": env!("CARGO_PKG_VERSION"),
        "model": MODEL_VERSION,
        "reed": [subject.short_name, sweep.reed.spec.source_text(), sweep.reed.spec.to_toml()],
        "vary": sweep.axes.iter().map(axis).collect::<Vec<_>>(),
        "of": sweep.of,
        "conditions": [pressure_pa, rise_s, allowed_s, search.limit_pa],
        "stress_limit_pa": stress_limit_pa,
    })
}

/// Computes what is not known yet. Ctrl-C ends it early with what is done; a second one ends the program.
fn compute(sweep: &Sweep, known: Vec<(usize, Stretch)>, keep: &(dyn Fn(usize, &Stretch) + Sync)) -> Vec<Option<Point>> {
    static STOP: AtomicBool = AtomicBool::new(false);
    // Without a handler, Ctrl-C ends the program at once: nothing else is lost.
    let _ = ctrlc::set_handler(|| {
        if STOP.swap(true, Ordering::Relaxed) {
            std::process::exit(130);
        }
    });
    let stretches = sweep.stretches();
    let points = Mutex::new(vec![None; sweep.count()]);
    let place = |number: usize, stretch: Stretch| {
        let mut points = points.lock().expect("no holder panics");
        for (k, point) in stretches[number].clone().zip(stretch) {
            points[k] = Some(point);
        }
    };
    let fits = |(number, stretch): &(usize, Stretch)| stretches.get(*number).is_some_and(|s| s.len() == stretch.len());
    let known: Vec<_> = known.into_iter().filter(fits).collect();
    let numbers: Vec<usize> = known.iter().map(|part| part.0).collect();
    let progress = super::assess::progress(sweep.count() as u64, "points");
    for (number, stretch) in known {
        progress.inc(stretch.len() as u64);
        place(number, stretch);
    }
    sweep.run(&|number| numbers.contains(&number), &STOP, &|number, stretch| {
        keep(number, &stretch);
        progress.inc(stretch.len() as u64);
        place(number, stretch);
    });
    progress.finish_and_clear();
    points.into_inner().expect("no holder panics")
}

fn finish(
    arguments: &Arguments,
    subject: &Subject,
    sweep: &Sweep,
    points: &[Option<Point>],
    folder: Option<&Path>,
) -> Result<Outcome, Failure> {
    let computed = points.iter().flatten().count();
    let failed = points.iter().flatten().filter(|point| matches!(point, Point::Failed(_))).count();
    if failed > 0 {
        output::complain(&format!(
            "freereed: {failed} of {} points are no reed and left empty; the notes say why",
            points.len()
        ));
    }
    if computed < points.len() {
        let rest = match folder {
            Some(folder) => format!("they are kept in {}, the same command goes on from there", folder.display()),
            None => "they are printed, the others are left empty".to_owned(),
        };
        output::complain(&format!("freereed: interrupted with {computed} of {} points done; {rest}", points.len()));
        if folder.is_some() {
            return Ok(Outcome::SomeFailed);
        }
    }
    let mut json = print::to_json(sweep, points);
    json.extend(subject.to_json());
    match folder {
        Some(folder) => {
            let files = [(FILES[0], print::to_csv(sweep, points)), (FILES[1], output::json_text(&json).into_bytes())];
            output::write_folder(folder, &files, &[UNFINISHED])?;
        }
        None if arguments.json => output::print_json(&json)?,
        None => output::print(&String::from_utf8_lossy(&print::to_csv(sweep, points)))?,
    }
    // Last: what was computed is kept by now, whatever becomes of the picture.
    if let Some(path) = &arguments.chart {
        let picture = sweep_chart(&subject.short_name, sweep, points, &subject.tuning);
        output::write_picture(path, &picture, arguments.overwrite)?;
    }
    Ok(if failed == 0 && computed == points.len() { Outcome::Done } else { Outcome::SomeFailed })
}
