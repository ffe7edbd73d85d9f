//! The reeds of a set in the order in which they fail.

use comfy_table::CellAlignment;
use freereed::print::life as print;
use freereed::sheet::Job;
use freereed::units;
use freereed::workshop::life::{Ranked, SwingFrom, rank};

use super::{Arguments, USUAL_RISE_S, notes, span, span_hours, two_digits};
use crate::cli::assess::{lines, progress, table};
use crate::cli::failure::{Failure, show_bad_rows};
use crate::cli::text::{wrap, wrapped};
use crate::cli::{Outcome, output, still_to_measure};

pub(super) fn set(arguments: &Arguments, job: &Job) -> Result<Outcome, Failure> {
    let outcome = show_bad_rows(job);
    let progress = progress(job.reeds.iter().flatten().count() as u64, "reeds");
    let ranked = rank(job, &arguments.playing(0.0, USUAL_RISE_S), arguments.pressure_pa, &|| progress.inc(1));
    progress.finish_and_clear();
    if arguments.json {
        output::print_json(&print::ranking(&ranked))?;
    } else {
        output::print(&ranking(arguments, job, &ranked))?;
    }
    Ok(outcome)
}

fn ranking(arguments: &Arguments, job: &Job, ranked: &[Ranked<'_>]) -> String {
    let mut parts = vec![match &job.instrument.name {
        Some(name) => format!("{name}: which reed fails first"),
        None => "Which reed fails first".to_owned(),
    }];
    if ranked.is_empty() {
        parts.extend(still_to_measure::words(&job.reeds));
        return parts.join("\n\n");
    }
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
    parts.extend(still_to_measure::words(&job.reeds));
    if let Some(first) = ranked.iter().find_map(|one| one.life.as_ref().ok()) {
        parts.push(wrapped(notes(arguments, first, None)));
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
