//! `--table`: a line a reed, at most 80 columns wide.

use comfy_table::CellAlignment;
use freereed::instrument::{Assessment, ReedAssessment};
use freereed::physics::attack::Attack;
use freereed::physics::playable::Edge;
use freereed::print::assess::choke_kpa;
use freereed::print::in_short::Tone;
use freereed::sheet::RowError;
use freereed::units::significant;

use super::{lines, paint, table};

/// What the columns of the table hold.
pub const LEGEND: &str = "onset to choke: pressures at which a slow blow starts the reed. soft, normal, hard: time from the \
                          start of the player's attack to half the final swing (slow: not in the time looked at; none: it \
                          does not speak). level: at normal, 1 m away. plays: pressures at which an attack speaks in the \
                          time allowed (+: and beyond). -: none. verdict: sure is at least 95 %, likely at least 80 %, by \
                          how well is known what goes into it; doubtful is what cannot be told.";

const HEAD: [&str; 11] = [
    "\nreed",
    "\nnote",
    "\ncents",
    "onset\nPa",
    "choke\nkPa",
    "soft\nms",
    "normal\nms",
    "hard\nms",
    "level\ndB",
    "plays\nkPa",
    "\nverdict",
];

/// Every row of the sheet that is begun, in its order.
pub fn reeds(assessment: &Assessment) -> String {
    let mut table = table(&HEAD);
    assessment.good_rows().for_each(|reed| {
        table.add_row(cells(reed));
    });
    for (index, column) in table.column_iter_mut().enumerate() {
        column.set_padding((0, 1));
        if (2..10).contains(&index) {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    let text = lines(&table);
    let mut printed = text.lines();
    let mut all: Vec<String> = printed.by_ref().take(2).map(str::to_owned).collect();
    for entry in assessment.reeds.iter().filter(|entry| !entry.as_ref().is_err_and(RowError::not_measured)) {
        all.push(match entry {
            Ok(reed) => coloured(printed.next().unwrap_or_default(), reed),
            Err(error) => left_out(error),
        });
    }
    all.join("\n")
}

/// The line of a reed with its verdict in colour.
fn coloured(line: &str, reed: &ReedAssessment) -> String {
    let verdict = verdict(reed);
    match line.strip_suffix(&verdict) {
        Some(before) => format!("{before}{}", paint(Tone::of(reed), &verdict)),
        None => line.to_owned(),
    }
}

fn left_out(error: &RowError) -> String {
    let why = match error.still_needs() {
        Some(_) => "half measured".to_owned(),
        None => format!("line {} of the sheet", error.line),
    };
    format!("{:<11} not assessed: {why}", error.name())
}

fn cells(assessed: &ReedAssessment) -> [String; 11] {
    let or_dash = |found: Option<String>| found.unwrap_or_else(|| "-".to_owned());
    let time = |attack: &Attack| match (attack.t50_s, attack.speaks) {
        (Some(time), _) => format!("{:.0}", 1e3 * time),
        (None, true) => "slow".to_owned(),
        (None, false) => "none".to_owned(),
    };
    let [soft, normal, hard] = &assessed.attacks;
    let window = assessed.playable.map(|window| {
        let open = if window.high.edge == Edge::LimitOfSearch { "+" } else { "" };
        format!("{}-{}{open}", kilo(window.low.pressure_pa), kilo(window.high.pressure_pa))
    });
    let onset = assessed.prediction.onset_pa();
    let level = normal.steady.as_ref().map(|steady| format!("{:.1}", steady.level.db));
    [
        assessed.reed.id.clone(),
        assessed.reed.note.to_string(),
        cents(assessed.pitch.cents),
        or_dash(onset.map(|onset_pa| significant(onset_pa, 3))),
        choke_kpa(assessed, ">"),
        time(soft),
        time(normal),
        time(hard),
        or_dash(level),
        or_dash(window),
        verdict(assessed),
    ]
}

/// Good, bad or doubtful, and how sure.
fn verdict(assessed: &ReedAssessment) -> String {
    let sure = |word: &str| format!("{word}, {}", assessed.verdict().surety.words());
    match Tone::of(assessed) {
        Tone::Good => sure("good"),
        Tone::Bad => {
            format!("bad, {}", assessed.findings.iter().map(|it| it.surety(assessed)).max().map_or("", |it| it.words()))
        }
        Tone::Doubtful | Tone::Plain => "doubtful".to_owned(),
    }
}

fn cents(cents: f64) -> String {
    // Rounded first: no sign before nothing.
    let tenths = (10.0 * cents).round() / 10.0 + 0.0;
    if tenths.abs() < 10.0 { format!("{tenths:+.1}") } else { format!("{cents:+.0}") }
}

fn kilo(pressure_pa: f64) -> String {
    let kilo = pressure_pa / 1e3;
    if kilo < 0.995 { format!("{kilo:.2}") } else { significant(kilo, 2) }
}
