//! What was heard, as text.

use freereed::listen::{Estimate, Heard, HeardNote, Kind, ReedHeard, Which};
use freereed::sheet::{Tuning, notes};
use freereed::units;

use crate::cli::assess::{lines, table};
use crate::cli::text::wrap;

const HEAD: [&str; 9] = ["  at", "", "note", "cents", "pitch", "give or take", "", "level", "reed"];

/// Everything that was heard.
pub fn text(
    files: &[(Heard, Vec<Option<Which>>)],
    reeds: &[ReedHeard],
    tuning: &Tuning,
    of_job: bool,
    round: Option<&str>,
) -> String {
    let mut parts: Vec<String> = files.iter().map(|(heard, which)| file(heard, which, tuning)).collect();
    parts.extend((of_job && !reeds.is_empty()).then(|| by_reed(reeds)));
    parts.extend((of_job && unsure(files)).then(|| {
        let how =
            "Notes that may be several reeds' are not counted: name the reeds in the order of the notes with --reeds.";
        wrap(how, "")
    }));
    parts.push(legend(files, tuning, of_job));
    parts.extend(round.map(|round| format!("Written to {round}.")));
    parts.join("\n\n")
}

fn unsure(files: &[(Heard, Vec<Option<Which>>)]) -> bool {
    files.iter().flat_map(|(_, which)| which).flatten().any(|which| matches!(which, Which::Several { .. }))
}

fn file(heard: &Heard, which: &[Option<Which>], tuning: &Tuning) -> String {
    let count = heard.notes.len();
    let noun = if count == 1 { "note" } else { "notes" };
    let mut parts = vec![format!("{}: {count} {noun} in {:.1} s", heard.file, heard.duration_s)];
    parts.extend(heard.remarks.iter().map(|remark| wrap(&format!("  {remark}."), "  ")));
    if count > 0 {
        let mut rows = table(&HEAD);
        heard.notes.iter().zip(which).for_each(|(note, which)| {
            rows.add_row(row(note, which.as_ref(), tuning));
        });
        parts.push(lines(&rows));
    }
    for note in &heard.notes {
        let about = about(note);
        parts.extend(about.into_iter().map(|what| wrap(&format!("  at {:.2} s {what}", note.from_s), "    ")));
    }
    if let Some(first) = heard.ignored.first() {
        let count = heard.ignored.len();
        parts.push(wrap(&format!("  Not measured: {count}, the first at {:.2} s {}.", first.from_s, first.why), "  "));
    }
    parts.join("\n")
}

fn row(note: &HeardNote, which: Option<&Which>, tuning: &Tuning) -> [String; 9] {
    let near = tuning.nearest(note.pitch_hz.value);
    let signed = |cents: f64| format!("{cents:+.1}");
    [
        format!("  {:.2} s", note.from_s),
        if note.kind == Kind::Pluck { "pluck".to_owned() } else { "blow".to_owned() },
        near.map_or("-".to_owned(), |near| near.note.to_string()),
        near.map_or("-".to_owned(), |near| signed(near.cents)),
        format!("{:.2} Hz", note.pitch_hz.value),
        give_or_take(note.pitch_hz),
        shape(note),
        format!("{:.1} dB", note.relative_level_db + 0.0),
        which.map_or(String::new(), reed),
    ]
}

/// Half of the interval, in cents.
fn give_or_take(hz: Estimate) -> String {
    let cents = 0.5 * notes::cents(hz.high, hz.low);
    if cents < 0.01 { "under 0.01 cents".to_owned() } else { format!("{} cents", units::significant(cents, 2)) }
}

/// How it rings down, or how it comes up.
fn shape(note: &HeardNote) -> String {
    match (note.ring_down, note.rise) {
        (Some(found), _) => {
            let half = units::significant(1e3 * found.tau_s.half_width(), 2);
            let quality = units::significant(found.quality_factor.value, 3);
            format!("ring-down {} +- {half} ms, Q {quality}", units::significant(1e3 * found.tau_s.value, 3))
        }
        (_, Some(rise)) => format!("t50 {}, t90 {}", units::seconds(rise.t50_s), units::seconds(rise.t90_s)),
        _ => "-".to_owned(),
    }
}

fn reed(which: &Which) -> String {
    match which {
        Which::One { label, off_cents } => format!("{label} {}", units::cents(*off_cents)),
        Which::Several { labels, .. } => format!("{}?", labels.join(" or ")),
        Which::None { .. } => "none near".to_owned(),
    }
}

/// What does not fit into its row.
fn about(note: &HeardNote) -> Vec<String> {
    let mut about = Vec::new();
    if let Some(beat) = note.beat {
        about.push(format!(
            "two reeds beat {:.2} times a second ({:.2} to {:.2}), {:.1} dB deep: {:.2} Hz and, {:.1} dB softer, {:.2} Hz.",
            beat.rate_hz.value,
            beat.rate_hz.low,
            beat.rate_hz.high,
            beat.depth_db,
            beat.louder_hz.value,
            beat.difference_db,
            beat.softer_hz.value
        ));
    }
    if let Some(second) = note.second {
        let [upper, lower] = second.ratio;
        let softer = match second.softer_by_db {
            db if db >= 0.0 => format!("{db:.1} dB softer"),
            db => format!("{:.1} dB louder", -db),
        };
        about.push(format!(
            "a second note, {softer}: {:.2} Hz; {} from {upper}:{lower} (give or take {}), which beats {:.2} times a second.",
            second.pitch_hz.value,
            units::cents(second.off_cents.value),
            units::cents_size(second.off_cents.half_width()),
            second.beat_hz.value
        ));
    }
    let drift = note.drift_cents_s;
    if (drift.low > 1.0 || drift.high < -1.0) && note.kind == Kind::Blow {
        about.push(format!("its pitch drifts by {} a second.", units::cents(drift.value)));
    }
    if note.wander_cents >= 1.0 {
        about.push(format!("its pitch wanders by {} (standard deviation).", units::cents_size(note.wander_cents)));
    }
    about.extend(note.remarks.iter().map(|remark| format!("{remark}.")));
    about
}

fn by_reed(reeds: &[ReedHeard]) -> String {
    let mut rows = table(&["  reed", "plucks", "plucked", "ring-down", "blows", "sounding"]);
    let pitch =
        |hz: Option<Estimate>| hz.map_or("-".to_owned(), |hz| format!("{:.2} Hz +- {}", hz.value, give_or_take(hz)));
    let time = |tau: Option<Estimate>| {
        tau.map_or("-".to_owned(), |tau| format!("{} +- {} ms", ms(tau.value, 3), ms(tau.half_width(), 2)))
    };
    for reed in reeds {
        rows.add_row([
            format!("  {}", reed.label),
            reed.plucks.to_string(),
            pitch(reed.pluck_hz),
            time(reed.ring_down_s),
            reed.blows.to_string(),
            pitch(reed.sounding_hz),
        ]);
    }
    format!("Reed by reed, the mean of its notes\n{}", lines(&rows))
}

fn ms(seconds: f64, digits: i32) -> String {
    units::significant(1e3 * seconds, digits)
}

/// How the figures are meant.
fn legend(files: &[(Heard, Vec<Option<Which>>)], tuning: &Tuning, of_job: bool) -> String {
    let notes = || files.iter().flat_map(|(heard, _)| &heard.notes);
    let mut parts = vec![
        "Give or take: four times in five the true value lies within. The clock of the recorder is taken as right; one off by \
         50 parts in a million shifts every pitch by 0.09 cents."
            .to_owned(),
    ];
    if let Some(rise) = notes().find_map(|note| note.rise) {
        parts.push(format!(
            "t50 and t90 count from the first moment at which a note is audible, at {:.0} % of its height or above the noise, to \
             50 and 90 %: when the player began to blow cannot be heard, and what the model calls t50 begins there.",
            100.0 * rise.audible_share
        ));
    }
    if !of_job {
        parts.push(format!("Notes are those of equal temperament at {} Hz (assumed).", tuning.concert_pitch_hz));
    }
    parts.iter().map(|part| wrap(part, "")).collect::<Vec<_>>().join("\n")
}
