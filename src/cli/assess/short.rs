//! What is printed unless `--table` asks for all of it.

use freereed::instrument::Assessment;
use freereed::instrument::rounds::Fit;
use freereed::print::assumed::assumed;
use freereed::print::in_short::{InShort, Line, Tone};
use freereed::print::still_to_measure::StillToMeasure;
use freereed::sheet::{Job, RowError};

use super::{nothing_assessed, paint};
use crate::cli::text::{CARE_IN_SHORT, wrap_80};

/// So many notes are told beside the last.
const FIRST_NOTES: usize = 3;

/// The set in short.
pub fn text(job: &Job, assessment: &Assessment, fit: Option<&Fit>) -> String {
    let short = InShort::of(job, assessment);
    let mut lines: Vec<String> = job.instrument.name.iter().cloned().collect();
    lines.extend(nothing_assessed(assessment).map(str::to_owned));
    lines.extend(short.lines().iter().map(printed));
    lines.extend(rows_left_out(assessment));
    lines.extend(notes(job));
    if fit.is_some() {
        lines.push("Loss and leaks are fitted, not measured: rounds tells how well.".to_owned());
    }
    if short.has_work() {
        lines.push(CARE_IN_SHORT.to_owned());
    }
    lines.extend(the_rest(job, assessment));
    lines.join("\n")
}

/// A line broken where it is too long, its lead in colour.
fn printed(line: &Line) -> String {
    let Line { tone, lead, text, indent } = line;
    let whole = wrap_80(&format!("{lead}{text}"), &" ".repeat(*indent));
    match whole.strip_prefix(lead.as_str()) {
        Some(rest) if *tone != Tone::Plain => format!("{}{rest}", paint(*tone, lead)),
        _ => whole,
    }
}

/// How many rows are not measured, or wrong, and where that is told.
fn rows_left_out(assessment: &Assessment) -> Vec<String> {
    let still = StillToMeasure::of(&assessment.reeds).map(|still| {
        let begun = assessment.bad_rows().filter(|row| row.still_needs().is_some()).count();
        let begun = if begun > 0 { format!(", {begun} begun") } else { String::new() };
        format!("{}{begun}: --table names what is missing.", still.head())
    });
    let wrong: Vec<&RowError> = assessment.bad_rows().filter(|row| row.still_needs().is_none()).collect();
    let wrong = match wrong.len() {
        0 => None,
        1 => Some("1 row of the sheet is wrong and left out: the message about it says what to try.".to_owned()),
        many => Some(format!("{many} rows of the sheet are wrong and left out: the messages say what to try.")),
    };
    still.into_iter().chain(wrong).collect()
}

/// The notes in one paragraph; of very many the first few and the last, which is on files that were not read.
fn notes(job: &Job) -> Option<String> {
    let (last, others) = job.notes.split_last()?;
    let first: Vec<&str> = others.iter().take(FIRST_NOTES).map(String::as_str).collect();
    let more = match others.len() - first.len() {
        0 => String::new(),
        more => format!(" And {more} more: --table."),
    };
    let told: Vec<&str> = first.into_iter().chain([last.as_str()]).collect();
    Some(wrap_80(&format!("Note: {}.{more}", told.join(". ")), "  "))
}

/// Where the rest is; nothing where there is none.
fn the_rest(job: &Job, assessment: &Assessment) -> Option<String> {
    let reeds: Vec<_> = assessment.good_rows().map(|reed| &reed.reed.checked).collect();
    let counted = |count: usize, one: &str, many: &str| match count {
        0 => None,
        1 => Some(format!("1 {one}")),
        _ => Some(format!("{count} {many}")),
    };
    let words = assessment.good_rows().filter(|reed| reed.players_word().is_some()).count();
    let off = match assessment.pairs_off().len() {
        0 => None,
        off => Some(format!("{off} of {} pairs off", assessment.pairs.len())),
    };
    let parts = [
        Some("every reed, evenness".to_owned()),
        off,
        counted(assumed(job, &reeds).len(), "assumed input", "assumed inputs"),
        counted(words, "word of the player", "words of the player"),
    ];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    (!reeds.is_empty()).then(|| wrap_80(&format!("More with --table: {}.", parts.join(", ")), "  "))
}
