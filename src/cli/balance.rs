//! `freereed balance`: the tip gap for every reed of a job.

use std::path::PathBuf;

use clap::Args;
use comfy_table::CellAlignment;
use freereed::instrument::balance::{
    Balance, BalanceOptions, Bend, Cost, LEAST_GAIN, ReedBalance, Setting, Verdict, balance,
};
use freereed::instrument::work::{WorkList, work_list};
use freereed::instrument::{Assessment, assess_for_work};
use freereed::physics::coefficients::MODEL_VERSION;
use freereed::print::assumed::assumptions;
use freereed::print::{balance as print, charts::gaps_chart};
use freereed::sheet::{Job, RowError};
use freereed::units;

use super::assess::{bad_row, lines, progress, table};
use super::attack::within;
use super::failure::{Failure, show_bad_rows};
use super::text::{wrap, wrapped};
use super::{Outcome, output, still_to_measure};

#[derive(Args)]
pub struct Arguments {
    /// The job, a TOML file that names its sheet of reeds
    job: PathBuf,
    /// What an even run is worth, 0 to 100: 0 gives each reed what suits it best by itself, 100 hardly lets one stand off
    /// its neighbours
    #[arg(long, value_name = "WEIGHT", default_value_t = BalanceOptions::SMOOTH, value_parser = weight, allow_hyphen_values = true)]
    smooth: f64,
    /// Bend reeds that suit too, where that gains room or makes the run more even
    #[arg(long)]
    all: bool,
    /// Step of the feelers, mm; without it the tolerance of tip_gap_mm in the job, else 0.01
    #[arg(long, value_name = "MM", value_parser = feeler, allow_hyphen_values = true)]
    feeler_mm: Option<f64>,
    /// Write the table, a CSV file
    #[arg(long, value_name = "FILE.csv")]
    out: Option<PathBuf>,
    /// Draw the gaps over the notes, an SVG file
    #[arg(long, value_name = "FILE.svg")]
    chart: Option<PathBuf>,
    /// Write over files that are there
    #[arg(long)]
    overwrite: bool,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

fn weight(typed: &str) -> Result<f64, String> {
    within(typed, 0.0, BalanceOptions::MOST_SMOOTH, BalanceOptions::SMOOTH_WORDS)
}

fn feeler(typed: &str) -> Result<f64, String> {
    Ok(1e-3 * within(typed, 0.005, 0.1, "a step of the feelers is 0.005 to 0.1 mm")?)
}

/// What the columns of the table hold.
const LEGEND: &str = "now, to: tip gap, mm. alone: the gap best for this reed by itself. room: how many times softer and \
                      harder than the player's soft and hard it could be blown and still speak in time, soft/hard, under \
                      1 where it fails. -: speaks in time at no pressure; alone, that it is left, as nothing is wrong that a \
                      gap could mend (--all looks at every reed).";

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let job = Job::load(&arguments.job)?;
    for path in arguments.out.iter().chain(&arguments.chart) {
        output::check_free(path, arguments.overwrite)?;
    }
    if let (Some(out), Some(chart)) = (&arguments.out, &arguments.chart) {
        output::check_different(out, chart)?;
    }
    let options = BalanceOptions { smooth: arguments.smooth, feeler_m: arguments.feeler_mm, all: arguments.all };
    let balance = balanced(&job, &assessed(&job), &options);
    let outcome = show_bad_rows(&job);
    if let Some(path) = &arguments.out {
        output::write_file(path, &print::to_csv(&balance), arguments.overwrite)?;
    }
    if let Some(path) = &arguments.chart {
        output::write_picture(path, &gaps_chart(&job, &balance).picture(), arguments.overwrite)?;
    }
    if arguments.json {
        output::print_json(&print::to_json(&job, &balance))?;
    } else {
        output::print(&text(&job, &balance))?;
    }
    Ok(outcome)
}

/// The reeds of a job assessed as work is planned on them, with progress.
pub fn assessed(job: &Job) -> Assessment {
    let bar = progress(job.reeds.len() as u64, "reeds assessed");
    let assessment = assess_for_work(job, || bar.inc(1));
    bar.finish_and_clear();
    assessment
}

/// The gap that the set gives each reed of a job, with progress.
pub fn balanced(job: &Job, assessment: &Assessment, options: &BalanceOptions) -> Balance {
    let bar = progress(assessment.good_rows().count() as u64, "gaps balanced");
    let balance = balance(job, assessment, options, || bar.inc(1));
    bar.finish_and_clear();
    balance
}

/// The work that a set needs, with progress.
pub fn planned(job: &Job, assessment: &Assessment, balance: &Balance, strips_m: &[f64]) -> WorkList {
    let bar = progress(assessment.good_rows().count() as u64, "reeds planned");
    let list = work_list(job, assessment, balance, strips_m, || bar.inc(1));
    bar.finish_and_clear();
    list
}

fn text(job: &Job, balance: &Balance) -> String {
    let name = job.instrument.name.as_deref().unwrap_or("This set");
    let mut parts = vec![format!("{name}: tip gaps")];
    if balance.good_rows().next().is_some() {
        parts.extend([reed_table(balance), wrap(LEGEND, "  "), summary(balance)]);
    }
    parts.extend(no_gap(balance));
    parts.extend(still_to_measure::words(&balance.reeds));
    parts.push(small_print(job, balance));
    parts.join("\n\n")
}

fn reed_table(balance: &Balance) -> String {
    let head = ["reed", "note", "now", "to", "alone", "room now", "room then", "room alone", "verdict"];
    let mut table = table(&head);
    let blank = |entry: &Result<_, RowError>| entry.as_ref().is_err_and(RowError::not_measured);
    for entry in balance.reeds.iter().filter(|entry| !blank(entry)) {
        table.add_row(match entry {
            Ok(reed) => row(reed).to_vec(),
            Err(error) => bad_row(error, head.len(), "not balanced"),
        });
    }
    for column in table.column_iter_mut().skip(2).take(6) {
        column.set_cell_alignment(CellAlignment::Right);
    }
    lines(&table)
}

fn row(reed: &ReedBalance) -> [String; 9] {
    let gap = |setting: Setting| format!("{:.3}", 1e3 * setting.gap_m);
    let room = |setting: Setting| match setting.room {
        Some(room) => format!("{}/{}", units::significant(room.soft, 2), units::significant(room.hard, 2)),
        None => "-".to_owned(),
    };
    let alone = |show: &dyn Fn(Setting) -> String| if reed.looked_for { show(reed.alone) } else { "-".to_owned() };
    [
        reed.id.clone(),
        reed.note.to_string(),
        gap(reed.now),
        gap(reed.wanted),
        alone(&gap),
        room(reed.now),
        room(reed.wanted),
        alone(&room),
        print::verdict(reed),
    ]
}

fn summary(balance: &Balance) -> String {
    let count = |kind: &str| balance.good_rows().filter(|reed| reed.verdict.kind() == kind).count();
    let suit = |pick: fn(&ReedBalance) -> Setting| balance.good_rows().filter(|reed| pick(reed).suits()).count();
    let off = |cost: &Cost| format!("{} %", units::significant(100.0 * cost.uneven, 2));
    let mut lines = vec![
        format!(
            "{} to bend, {} to leave, {} that no gap suits. Now {} of {} suit the player, then {}.",
            count("regap"),
            count("leave"),
            count("no gap suits"),
            suit(|reed| reed.now),
            balance.good_rows().count(),
            suit(|reed| reed.wanted)
        ),
        format!(
            "A reed stands {} off the run of its neighbours now, {} with each at its own best, {} so.",
            off(&balance.now),
            off(&balance.alone),
            off(&balance.wanted)
        ),
        format!(
            "Cost (reeds + {} x kinks + {LEAST_GAIN} x bends): {:.1} now, {:.1} each at its own best, {:.1} so.",
            units::significant(balance.smooth, 2),
            balance.now.whole,
            balance.alone.whole,
            balance.wanted.whole
        ),
    ];
    let most = balance.good_rows().filter_map(|reed| Some((print::given_up(reed)?, reed)));
    if let Some((share, reed)) = most.max_by(|a, b| a.0.total_cmp(&b.0)).filter(|(share, _)| *share > 0.005) {
        let percent = units::significant(100.0 * share, 2);
        lines.push(format!("For the run {} gives up most of its own best room: {percent} %.", reed.id));
    }
    wrapped(lines)
}

fn no_gap(balance: &Balance) -> Option<String> {
    let sentence = |reed: &ReedBalance| match reed.verdict {
        Verdict::NoGap(why) => {
            Some(wrap(&format!("  {:<11} {}. To do: {}", reed.id, why.sentence(reed), why.cure()), "              "))
        }
        Verdict::Leave | Verdict::Regap => None,
    };
    let sentences: Vec<String> = balance.good_rows().filter_map(sentence).collect();
    (!sentences.is_empty())
        .then(|| format!("No gap suits; the gap given is for when it is mended:\n{}", sentences.join("\n")))
}

fn small_print(job: &Job, balance: &Balance) -> String {
    let mut lines: Vec<String> = job.notes.iter().map(|note| format!("Note: {note}.")).collect();
    lines.extend(assumptions(job, &job.reeds.iter().flatten().map(|reed| &reed.checked).collect::<Vec<_>>()));
    let unknown = balance.good_rows().filter(|reed| reed.looked_for && reed.bend == Bend::NotJudged).count();
    if unknown > 0 {
        lines.push(format!(
            "Of {unknown} reeds the yield strength is not known (temper or yield_mpa): whether they can be bent so far is not \
             judged."
        ));
    }
    lines.push(format!(
        "Model {MODEL_VERSION}. Gaps in steps of {}. Sure: the order of gaps; fair: the rooms, to 3 % of each end by the model \
         itself. The tip is raised with the shape it has; regap plans each bend, and where to push.",
        units::metres(balance.step_m)
    ));
    lines.push(
        "Care: edges are sharp and a tongue that is bent too far breaks or stays spoilt; small parts do not belong in the \
         mouth. Local rules and qualified people come first."
            .to_owned(),
    );
    wrapped(lines)
}
