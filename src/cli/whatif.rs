//! `freereed whatif`: today's reed beside the same reed changed.

use std::path::PathBuf;

use clap::Args;
use comfy_table::CellAlignment;
use freereed::answer::{Answer, Comparing, Comparison, Line, Quantity, ROWS, swing_scale};
use freereed::physics::attack::{Attack, Stop};
use freereed::physics::{ReedModel, sound};
use freereed::print::charts::change_chart;
use freereed::print::wav::{SOUND_S, WAV_RATE_HZ, scale_to_peak, wav};
use freereed::print::whatif as print;
use freereed::sheet::keys::{self, Kind};
use freereed::sheet::{CheckedReed, Key};
use freereed::units;

use super::assess::{lines, progress, table};
use super::attack::swing_note;
use super::conditions::ConditionArguments;
use super::failure::Failure;
use super::predict::{leaning, model_of};
use super::subject::{ReedArguments, Subject};
use super::sweep::{Asked, asked, result, results_help};
use super::text::wrap;
use super::{Outcome, output};

/// Files of `--hear`.
const SOUNDS: [&str; 3] = ["model-before.wav", "model-after.wav", "about.txt"];

#[derive(Args)]
#[command(after_help = results_help())]
pub struct Arguments {
    #[command(flatten)]
    from: ReedArguments,
    /// What is changed, once for each input; all changes together make one changed reed
    #[arg(long, value_name = "KEY=VALUE", required = true, value_parser = change)]
    set: Vec<(String, String)>,
    /// The results, by name; all of them unless named
    #[arg(long, value_name = "RESULT,...", value_delimiter = ',', value_parser = result)]
    of: Vec<Asked>,
    #[command(flatten)]
    conditions: ConditionArguments,
    /// Write the changed reed as a reed file
    #[arg(long, value_name = "FILE")]
    save: Option<PathBuf>,
    /// Draw the playable windows before and after, an SVG file
    #[arg(long, value_name = "FILE")]
    chart: Option<PathBuf>,
    /// Write the model's sound of the same attack before and after into this folder
    #[arg(long, value_name = "DIR")]
    hear: Option<PathBuf>,
    /// Bring both sounds to the same level
    #[arg(long, requires = "hear")]
    match_level: bool,
    /// Write over files that are there
    #[arg(long)]
    overwrite: bool,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

fn change(typed: &str) -> Result<(String, String), String> {
    let (key, value) = typed.split_once('=').ok_or("write KEY=VALUE, for instance tip_gap_mm=0.30")?;
    Ok((key.trim().to_owned(), value.trim().to_owned()))
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let mut subject = arguments.from.subject()?;
    for path in arguments.save.iter().chain(&arguments.chart) {
        output::check_free(path, arguments.overwrite)?;
    }
    if let (Some(save), Some(chart)) = (&arguments.save, &arguments.chart) {
        output::check_different(save, chart)?;
    }
    if let Some(folder) = &arguments.hear {
        output::check_folder(folder, &SOUNDS)?;
    }
    let swing_scale = swing_scale(&model_of(&subject.checked)?, &mut subject.checked);
    let of = match arguments.of.as_slice() {
        [] => ROWS.iter().map(|row| row.quantity).collect(),
        named => asked(named),
    };
    let drawn = [Quantity::Onset, Quantity::Choke, Quantity::PlayableLow];
    if let (true, Some(missing)) = (arguments.chart.is_some(), drawn.iter().find(|quantity| !of.contains(quantity))) {
        let name = missing.row().name;
        return Err(Failure::Call(format!(
            "--chart draws onset, choke and playable; add {name} to --of, or leave --of out"
        )));
    }
    let comparing = Comparing {
        reed: &subject.checked,
        changes: &arguments.set,
        of: &of,
        conditions: arguments.conditions.conditions(&subject),
        swing_scale,
    };
    let progress = progress(comparing.count() as u64, "reeds solved");
    let comparison = comparing.run(&|| progress.inc(1));
    progress.finish_and_clear();
    let comparison = comparison?;
    write(arguments, &subject, &comparison)?;
    if arguments.json {
        let mut all = print::to_json(&subject.checked, &arguments.set, &comparison);
        all.extend(subject.to_json());
        output::print_json(&all)?;
    } else {
        output::print(&text(arguments, &subject, &comparison))?;
    }
    Ok(Outcome::Done)
}

fn write(arguments: &Arguments, subject: &Subject, comparison: &Comparison) -> Result<(), Failure> {
    if let Some(path) = &arguments.save {
        let keys: Vec<&str> = arguments.set.iter().map(|(key, _)| key.as_str()).collect();
        let file = comparison.changed.changed_file(&subject.checked, &keys);
        output::write_file(path, file.as_bytes(), arguments.overwrite)?;
    }
    if let Some(path) = &arguments.chart {
        let label = arguments.set.iter().map(|(key, typed)| in_words(key, typed)).collect::<Vec<_>>().join(", ");
        let states = [("today".to_owned(), &comparison.before), (label, &comparison.after)];
        let picture = change_chart(&subject.short_name, &states, &subject.checked, &subject.tuning).picture();
        output::write_picture(path, &picture, arguments.overwrite)?;
    }
    if let Some(folder) = &arguments.hear {
        output::write_folder(folder, &sounds(arguments, comparison), &[])?;
    }
    Ok(())
}

/// A change as a chart names it: "tip gap 0.35 mm".
fn in_words(key: &str, typed: &str) -> String {
    let name = keys::find(key).map_or_else(|| key.to_owned(), Key::words);
    let unit = keys::find(key).filter(|found| found.kind == Kind::Number).map_or("", |found| found.unit);
    format!("{name} {typed} {unit}").trim_end().to_owned()
}

fn text(arguments: &Arguments, subject: &Subject, comparison: &Comparison) -> String {
    let conditions = comparison.before.conditions();
    let mut parts: Vec<String> = subject.heading().into_iter().collect();
    parts.push(format!(
        "What if {}? At {}, rising in {}, {} allowed to speak:",
        changes(arguments, &subject.checked),
        units::pascal(conditions.pressure_pa),
        units::seconds(conditions.rise_s),
        units::seconds(conditions.allowed_s)
    ));
    parts.push(results(comparison));
    let words: Vec<String> = comparison.lines.iter().filter_map(|line| line.words(conditions)).collect();
    parts.push(match words.as_slice() {
        [] => "In words: nothing changes.".to_owned(),
        words => {
            let lines: Vec<String> = words.iter().map(|words| wrap(&format!("  {words}"), "    ")).collect();
            format!("In words: the changed reed\n{}", lines.join("\n"))
        }
    });
    parts.push(small_print(comparison));
    parts.push(leaning(&subject.checked, &subject.tuning).join("\n"));
    parts.join("\n\n")
}

/// "tip_gap_mm = 0.30 instead of 0.27".
fn changes(arguments: &Arguments, reed: &CheckedReed) -> String {
    let one = |(key, typed): &(String, String)| match reed.spec.typed(key) {
        Some((value, _)) => format!("{key} = {typed} instead of {value}"),
        None => format!("{key} = {typed}"),
    };
    arguments.set.iter().map(one).collect::<Vec<_>>().join(", ")
}

fn results(comparison: &Comparison) -> String {
    let mut table = table(&["", "today", "changed", "difference", "sure to", "trust", "mostly in doubt by"]);
    for line in &comparison.lines {
        table.add_row(row(line));
    }
    for column in table.column_iter_mut().skip(1).take(4) {
        column.set_cell_alignment(CellAlignment::Right);
    }
    lines(&table)
}

fn row(line: &Line) -> [String; 7] {
    let row = line.before.quantity.row();
    let difference = line.difference().map(|off| {
        let plus = if off >= 0.0 { "+" } else { "" };
        format!("{plus}{}", units::rough(row.unit, off))
    });
    let or_more = if line.or_more { " or more" } else { "" };
    let uncertainty =
        line.uncertainty.and_then(|off| line.off(off)).map(|off| format!("{}{or_more}", units::rough(row.unit, off)));
    let trust = row.trust.word().to_owned();
    [
        row.words(),
        shown(&line.before),
        shown(&line.after),
        difference.unwrap_or_default(),
        uncertainty.unwrap_or_default(),
        trust,
        line.mostly.map_or(String::new(), |key| key.name.to_owned()),
    ]
}

/// An answer, a dash where there is none.
pub fn shown(answer: &Answer) -> String {
    match (answer.value, answer.note) {
        (Some(value), Some("limit of the search")) => format!("> {}", units::of(answer.quantity.row().unit, value)),
        (Some(value), _) => units::of(answer.quantity.row().unit, value),
        (None, _) => "-".to_owned(),
    }
}

fn small_print(comparison: &Comparison) -> String {
    let doubt = |doubt: &freereed::answer::Doubt| {
        let values: Vec<String> = doubt.values.iter().map(|&value| doubt.key.with_unit(value)).collect();
        format!("{} ({})", doubt.key.name, values.join(" or "))
    };
    let doubts: Vec<String> = comparison.doubts.iter().map(doubt).collect();
    let mut lines = vec![format!(
        "Sure to: how far the difference may be off when any of these may as well be as in brackets: {}. Added as squares.",
        doubts.join(", ")
    )];
    lines.extend(swing_note(comparison.before.swing_scale));
    lines.into_iter().map(|line| wrap(&line, "  ")).collect::<Vec<_>>().join("\n")
}

fn sounds(arguments: &Arguments, comparison: &Comparison) -> Vec<(&'static str, Vec<u8>)> {
    let blow = comparison.before.conditions().blow();
    let (before, after) = rayon::join(
        || comparison.before.model.attack(&blow, Stop::After(SOUND_S)),
        || comparison.after.model.attack(&blow, Stop::After(SOUND_S)),
    );
    let samples = |model: &ReedModel| sound::waveform(model, &model.followed(&blow, SOUND_S), 1.0, WAV_RATE_HZ);
    let (first, mut second) = rayon::join(|| samples(&comparison.before.model), || samples(&comparison.after.model));
    if let (true, Some(a), Some(b)) = (arguments.match_level, &before.steady, &after.steady) {
        let gain = 10.0_f64.powf((a.level.dba - b.level.dba) / 20.0);
        second.iter_mut().for_each(|sample| *sample *= gain);
    }
    // One scale for both, so that a difference in level is heard.
    let scale = scale_to_peak(&[first.as_slice(), second.as_slice()].concat());
    let about = about(arguments, &before, &after);
    vec![(SOUNDS[0], wav(&first, scale)), (SOUNDS[1], wav(&second, scale)), (SOUNDS[2], about.into_bytes())]
}

fn about(arguments: &Arguments, before: &Attack, after: &Attack) -> String {
    let changes: Vec<String> = arguments.set.iter().map(|(key, typed)| format!("{key} = {typed}")).collect();
    let level = if arguments.match_level {
        "Both are brought to the same A-weighted level."
    } else {
        "Both have the same scale."
    };
    let silent =
        |name: &str, attack: &Attack| if attack.speaks { String::new() } else { format!("{name} does not speak.\n") };
    format!(
        "The sound of a model, not of a reed: the bare flow of one reed at 1 m, without room, cover or hands.\n\
         The same attack to {}, rising in {}, before and after: {}. {level}\n{}{}",
        units::pascal(before.blow.pressure_pa),
        units::seconds(before.blow.rise_s),
        changes.join(", "),
        silent(SOUNDS[0], before),
        silent(SOUNDS[1], after)
    )
}
