//! What a job, its sheet and its rounds of measuring may say besides the keys of a reed, as a document.

use super::feel::Feel;
use super::operation::Operation;
use super::player::{FASTEST, PlayerProfile, RISE, STARTS, Start, quantities};
use super::tuning::Temperament;

/// Name, unit, range, what holds without it, meaning.
type Row = (String, &'static str, String, String, String);

fn row(name: &str, unit: &'static str, range: impl Into<String>, left_out: &str, meaning: &str) -> Row {
    (name.to_owned(), unit, range.into(), left_out.to_owned(), meaning.to_owned())
}

/// Everything a job may say besides the keys of a reed, as Markdown, one table for each table of a job.
///
/// ```
/// let text = freereed::sheet::job_reference();
/// assert!(text.contains("| `soft_cmh2o` | cmH2O |") && text.contains("| `retune_minutes` | minutes |"));
/// ```
pub fn job_reference() -> String {
    [
        section("`job.toml`, above the first table", &top()),
        section("`[instrument]` of a job: the pitch wanted while it sounds", &instrument()),
        section("`[player]` of a job", &player()),
        section("`[rates]` of a job", &rates()),
        section("`[[pair]]` of a job: two notes that are to sound together", &pair()),
        section("`[target]` of a job: a set the player loves, measured", &target()),
        section("`[tolerances]` of a job: how well each thing was measured", &tolerances()),
        section("Columns of the sheet besides keys of reed, slot, chamber and air", &sheet()),
        section("Columns of a round of measuring, `rounds/2026-03-01.csv`, besides those of the sheet", &round()),
    ]
    .join("\n")
}

/// What a key of a job means, by its table and name: `player.soft_pa`, `rates.regap_minutes`.
pub fn meaning_in_job(key: &str) -> Option<String> {
    let (table, name) = key.split_once('.')?;
    let rows = match table {
        "instrument" => instrument(),
        "player" => player(),
        "rates" => rates(),
        _ => return None,
    };
    rows.into_iter().find(|row| row.0 == name).map(|row| row.4)
}

fn section(title: &str, rows: &[Row]) -> String {
    let line = |(name, unit, range, left_out, meaning): &Row| {
        format!("| `{name}` | {unit} | {range} | {left_out} | {meaning} |\n")
    };
    let lines: String = rows.iter().map(line).collect();
    format!("### {title}\n\n| name | unit | range | left out | meaning |\n|---|---|---|---|---|\n{lines}")
}

fn top() -> Vec<Row> {
    vec![row("sheet", "", "a file", "needed", "The CSV of the set, from the folder of the job.")]
}

fn instrument() -> Vec<Row> {
    let temperaments = Temperament::NAMES.map(|(name, _)| name).join(", ");
    let cents = "-100 to 100";
    vec![
        row("name", "", "text", "no name", "What the instrument is called in results."),
        row("layout", "", "text", "nothing is compared", "\"solo\" is compared with the notes of the sheet."),
        row(
            "wind",
            "",
            "mouth, bellows",
            "mouth assumed",
            "What blows it: chambers that are not given follow from it.",
        ),
        row("key", "", "C, Bb, F#", "needed with a temperament that is not equal", "The key it is built in."),
        row("concert_pitch_hz", "Hz", "380 to 500", "440 Hz assumed (ISO 16:1975)", "A4, before stretch and offsets."),
        row("temperament", "", temperaments, "equal assumed", "How the notes of an octave are tuned, over the key."),
        row("stretch_cents_per_octave", "cents", "-20 to 20", "none", "By how much each octave is wider than 2:1."),
        row(
            "stretch_centre",
            "",
            "a note",
            "A4, listed as assumed with a stretch",
            "The note that a stretch leaves alone.",
        ),
        row("offsets_cents", "cents", cents, "none", "For notes, or all of a name: { \"A4\" = -2, E = 1 }."),
    ]
}

fn player() -> Vec<Row> {
    let names = STARTS.map(|start| format!("{} ({})", start.name, start.words)).join("; ");
    let meaning = "Made-up players to start from; every number is listed as assumed until it is typed.";
    let mut rows = vec![
        row("name", "", "text", "no name", "Who plays it, for the report."),
        row("start", "", names, &format!("{} assumed", Start::USUAL.name), meaning),
    ];
    for quantity in quantities() {
        let (unit, least, most) = quantity.range();
        let (left_out, meaning) = match quantity.pressure() {
            Some(playing) => {
                ("the starting player's", format!("Mouth pressure of {playing} playing; in one unit only."))
            }
            None => (
                "half of the shortest note, else the starting player's",
                "Time a reed may take from the start of an attack to half its swing.".to_owned(),
            ),
        };
        let meaning = format!("{meaning} One number, or by notes: {{ C4 = ..., C7 = ... }}.");
        rows.push(row(quantity.name(), unit, format!("{least} to {most}"), left_out, &meaning));
    }
    let share = format!(
        "Fastest playing; where no time is typed, a note must speak within {} % of its duration.",
        100.0 * PlayerProfile::SPEAKING_SHARE
    );
    rows.push(row(FASTEST.0, "1/s", format!("{} to {}", FASTEST.1, FASTEST.2), "not used", &share));
    let meaning = "From nothing to full pressure in an attack.";
    rows.push(row(RISE.0, "ms", format!("{} to {}", RISE.1, RISE.2), "the starting player's", meaning));
    rows
}

fn rates() -> Vec<Row> {
    let range = format!("{} to {}", Operation::LEAST_MINUTES, Operation::MOST_MINUTES);
    let one = |of: &super::operation::OperationRow| {
        let left_out = format!("{} assumed: common practice, no source", of.usual_minutes);
        row(of.key, "minutes", range.as_str(), &left_out, of.meaning)
    };
    Operation::ALL.iter().map(one).collect()
}

fn pair() -> Vec<Row> {
    let end = |name, meaning| row(name, "", "a note (\"C4\") or a reed (\"1-blow-out\")", "needed", meaning);
    vec![end("lower", "The lower of the two."), end("upper", "The upper of the two.")]
}

fn target() -> Vec<Row> {
    let tables = "In place of the job's own, for the plate that is loved.";
    let own = |name| row(name, "", "as in the job", "the job's", tables);
    vec![
        row("sheet", "", "a file", "needed in this table", "Its CSV, with the columns of a sheet."),
        own("plate"),
        own("defaults"),
        own("chamber"),
        own("air"),
    ]
}

fn tolerances() -> Vec<Row> {
    vec![
        row(
            "pluck_cents",
            "cents",
            "0 to 100",
            "1, or as measured_pluck_hz says",
            "How well a plucked pitch was read.",
        ),
        row(
            "length_mm",
            "as the key",
            "0 to the width of its range",
            "the key's usual tolerance",
            "And so for every key that is a number.",
        ),
    ]
}

fn sheet() -> Vec<Row> {
    let feel = Feel::WORDS.map(|(word, _)| word).join(", ");
    vec![
        row("hole", "", "1 to 999", "needed", "Counted from the lowest."),
        row("breath", "", "blow, draw", "needed", "Which way the air goes."),
        row("slide", "", "out, in", "needed", "Where the slide is."),
        row("note", "", "a note", "needed", "The note it should sound: C4, F#5, Bb3."),
        row("valve", "", "text", "nothing said", "What there is to say of its valve."),
        row("feel", "", feel, "no word", "The player's word on the reed."),
        row("remark", "", "text", "none", "Shown again in results."),
    ]
}

fn round() -> Vec<Row> {
    let operations = Operation::ALL.map(|row| row.name).join(", ");
    vec![
        row("operation", "", operations, "nothing was done", "What was done to the reed before it was measured."),
        row("minutes", "minutes", "0 to 1440", "not known", "How long that took."),
        row("replaced", "", "yes, no", "no; yes with replace", "A new tongue: the old one's measurements end here."),
        row("aimed_gap_mm", "mm", "as tip_gap_mm", "no aim", "The tip gap that a bend was to reach."),
        row("aimed_pluck_hz", "Hz", "as measured_pluck_hz", "no aim", "The plucked pitch that the work was to reach."),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::csv_columns::Form;
    use crate::sheet::{instrument, job_file, target};

    #[test]
    fn everything_that_is_read_is_listed() {
        let text = job_reference();
        let columns = [Form::SET, Form::ROUND].iter().flat_map(|form| form.needed.iter().chain(form.free)).map(|c| c.0);
        let player: Vec<String> = quantities().iter().map(|quantity| quantity.name().to_owned()).collect();
        let fixed = instrument::KEYS.into_iter().chain(target::KEYS).chain(Operation::ALL.map(|row| row.key));
        for name in fixed.chain(columns).chain(player.iter().map(String::as_str)).chain([RISE.0, FASTEST.0, "start"]) {
            assert!(text.contains(&format!("| `{name}` |")), "{name} is not listed");
        }
        // Tables of a reed file that a job has too are in the key table.
        let own = ["plate", "defaults", "chamber", "air", "alloys"];
        for table in job_file::TOP.iter().filter(|table| !own.contains(table)) {
            assert!(
                text.contains(&format!("`[{table}]`")) || text.contains(&format!("`[[{table}]]`")) || *table == "sheet"
            );
        }
        let rows = text.lines().filter(|line| line.starts_with("| `"));
        assert!(rows.clone().all(|row| row.matches('|').count() == 6), "{text}");
    }
}
