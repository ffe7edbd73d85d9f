//! `freereed rehearse`: a piece of music on a set by its player.

use std::io::Read;
use std::path::PathBuf;

use clap::Args;
use freereed::files::open;
use freereed::instrument::Assessment;
use freereed::physics::coefficients::MODEL_VERSION;
use freereed::print::charts::rehearsal_chart;
use freereed::print::rehearse as print;
use freereed::print::wav::{WAV_RATE_HZ, scale_to_peak, wav_with_comment};
use freereed::rehearse::{Excess, Otherwise, Piece, Rehearsal, read, rehearse, sound};
use freereed::sheet::Job;
use freereed::workshop::Caution;

use super::assess::{lines, progress, table};
use super::balance::assessed;
use super::failure::{Failure, show_bad_rows};
use super::text::{wrap_80 as wrap, wrapped_80 as wrapped};
use super::{Outcome, output};

/// Largest file that is read: far more than the most notes take.
const MOST_BYTES: u64 = 16 * 1024 * 1024;
/// So many reeds, and pairs, are told by default.
const MOST_TOLD: usize = 3;

#[derive(Args)]
pub struct Arguments {
    /// The job, a TOML file that names its sheet of reeds
    job: PathBuf,
    /// The piece, a standard MIDI file of format 0 or 1
    piece: PathBuf,
    /// Play it at this tempo, quarter notes a minute at its beginning; later changes of tempo in proportion
    #[arg(long, value_name = "BPM", value_parser = Otherwise::bpm_of, allow_hyphen_values = true)]
    at_bpm: Option<f64>,
    /// Play it so many semitones higher, lower below 0
    #[arg(long, value_name = "SEMITONES", default_value_t = 0, value_parser = Otherwise::semitones_of, allow_hyphen_values = true)]
    transpose: i32,
    /// Print all of it: a line a note, every reed asked too much, every two notes at once, what is assumed
    #[arg(long, conflicts_with = "json")]
    table: bool,
    /// Draw the notes over time, an SVG file
    #[arg(long, value_name = "FILE.svg")]
    chart: Option<PathBuf>,
    /// Write the model's sound of the passage, a WAV file brought to an even peak; turn it down before you listen
    #[arg(long, value_name = "FILE.wav")]
    wav: Option<PathBuf>,
    /// Write over files that are there
    #[arg(long)]
    overwrite: bool,
    /// Print JSON
    #[arg(long)]
    pub json: bool,
}

impl Arguments {
    /// How it is played otherwise than written.
    fn otherwise(&self) -> Otherwise {
        Otherwise { bpm: self.at_bpm, semitones: self.transpose }
    }
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    for path in arguments.chart.iter().chain(&arguments.wav) {
        output::check_free(path, arguments.overwrite)?;
    }
    if let (Some(chart), Some(wav)) = (&arguments.chart, &arguments.wav) {
        output::check_different(chart, wav)?;
    }
    let (piece, written_bpm) = piece(arguments)?;
    if arguments.wav.is_some() && piece.duration_s() > sound::LONGEST_S {
        let [lasts, longest] = [piece.duration_s(), sound::LONGEST_S].map(|time_s| format!("{time_s:.0} s"));
        return Err(Failure::Call(format!(
            "--wav: the piece lasts {lasts}, the longest that is sounded is {longest}; leave --wav out, or cut the piece"
        )));
    }
    let job = Job::load(&arguments.job)?;
    let assessment = assessed(&job);
    let outcome = show_bad_rows(&job);
    let rehearsal = rehearsed(arguments, &job, &assessment, &piece)?;
    let name = arguments.piece.file_stem().map_or(String::new(), |stem| stem.to_string_lossy().into_owned());
    if let Some(path) = &arguments.chart {
        let picture = rehearsal_chart(&name, &job, &rehearsal).picture();
        output::write_picture(path, &picture, arguments.overwrite)?;
    }
    if let Some(path) = &arguments.wav {
        let samples = sound::passage(&rehearsal, &assessment, WAV_RATE_HZ).expect("no longer than checked");
        output::write_file(
            path,
            &wav_with_comment(&samples, scale_to_peak(&samples), print::OF_A_MODEL),
            arguments.overwrite,
        )?;
    }
    if arguments.json {
        output::print_json(&print::to_json(&rehearsal))?;
    } else {
        let played = print::played(&rehearsal, &arguments.otherwise(), written_bpm);
        output::print(&text(arguments, &name, &job, &rehearsal, &played))?;
    }
    Ok(outcome)
}

/// The piece as it is to be played, and its own tempo (quarter notes a minute), where it has one.
fn piece(arguments: &Arguments) -> Result<(Piece, Option<f64>), Failure> {
    let path = &arguments.piece;
    let refuse = |why: String| Failure::Call(format!("{} {why}", path.display()));
    let unreadable = |why: std::io::Error| refuse(format!("cannot be read: {why}"));
    let mut file = open(path).map_err(unreadable)?;
    let size = file.metadata().map_err(unreadable)?.len();
    if size > MOST_BYTES {
        return Err(refuse(format!("has {size} bytes, more than any piece; allowed: up to {MOST_BYTES}")));
    }
    let mut bytes = Vec::new();
    file.read_to_end(&mut bytes).map_err(unreadable)?;
    let written = read(&bytes).map_err(|why| refuse(why.to_string()))?;
    let written_bpm = written.bpm;
    let piece = arguments.otherwise().of(written).map_err(|why| refuse(why.to_string()))?;
    Ok((piece, written_bpm))
}

fn rehearsed(arguments: &Arguments, job: &Job, assessment: &Assessment, piece: &Piece) -> Result<Rehearsal, Failure> {
    let bar = progress(0, "steps");
    let begin = |of: usize| {
        bar.set_length(of as u64);
        bar.set_position(0);
    };
    let rehearsal = rehearse(job, assessment, piece, begin, || bar.inc(1));
    bar.finish_and_clear();
    rehearsal.map_err(|why| Failure::Call(format!("{}: {why}", arguments.job.display())))
}

fn text(arguments: &Arguments, name: &str, job: &Job, rehearsal: &Rehearsal, played: &str) -> String {
    let set = job.instrument.name.as_deref().unwrap_or("this set");
    let mut parts = vec![wrap(&format!("{name} on {set}: {played}"), "  ")];
    if arguments.table {
        parts.push(note_table(rehearsal));
    }
    let most = if arguments.table { usize::MAX } else { MOST_TOLD };
    parts[0] += &format!("\n{}", wrapped([print::counts(rehearsal) + ".", print::effort(&rehearsal.effort) + "."]));
    parts.extend(too_much(rehearsal, most));
    parts.extend(print::off_in_level(rehearsal).map(|words| wrap(&format!("{words}."), "  ")));
    parts.extend(doubles(rehearsal, most));
    parts.push(small_print(arguments, rehearsal));
    parts.join(if arguments.table { "\n\n" } else { "\n" })
}

fn too_much(rehearsal: &Rehearsal, most: usize) -> Option<String> {
    let all = &rehearsal.too_much;
    let one = |excess: &Excess| {
        let head = format!("  {:<11} {:<4} ", excess.reed, excess.note.to_string());
        let indent = " ".repeat(head.len());
        let worst = if most == usize::MAX { format!(" {}.", print::worst_words(excess)) } else { String::new() };
        let words = format!(
            "{head}{}.{worst} To serve: {}.",
            print::excess_words(excess),
            print::serve_words(excess, rehearsal.bpm)
        );
        wrap(&words, &indent)
    };
    let mut lines: Vec<String> = all.iter().take(most).map(one).collect();
    if let Some(more @ 1..) = all.len().checked_sub(most) {
        lines.push(format!("  and {more} more (--table)"));
    }
    (!all.is_empty()).then(|| {
        format!(
            "It asks too much of {}:\n{}",
            if all.len() == 1 { "1 reed".to_owned() } else { format!("{} reeds", all.len()) },
            lines.join("\n")
        )
    })
}

fn doubles(rehearsal: &Rehearsal, most: usize) -> Option<String> {
    let off: Vec<_> = rehearsal.doubles.iter().filter(|double| double.is_off()).collect();
    if rehearsal.doubles.is_empty() {
        return None;
    }
    let of = format!("{} of {} pairs that sound together", off.len(), rehearsal.doubles.len());
    if off.is_empty() {
        return Some(format!("{of} are off in level or beats."));
    }
    let mut lines: Vec<String> =
        off.iter().take(most).map(|double| wrap(&format!("  {}", print::double_words(double)), "    ")).collect();
    if let Some(more @ 1..) = off.len().checked_sub(most) {
        lines.push(format!("  and {more} more (--table)"));
    }
    Some(format!("{of} are off:\n{}", lines.join("\n")))
}

fn note_table(rehearsal: &Rehearsal) -> String {
    let mut table = table(&print::NOTE_HEAD);
    for note in &rehearsal.notes {
        table.add_row(print::note_row(note));
    }
    lines(&table)
}

fn small_print(arguments: &Arguments, rehearsal: &Rehearsal) -> String {
    let mut lines: Vec<String> = rehearsal.remarks.iter().map(|remark| format!("Note: {remark}.")).collect();
    if arguments.table {
        lines.push(format!("Assumed: {}.", print::assumed().join("; ")));
    }
    if arguments.wav.is_some() {
        lines.push(format!("The WAV is {}. {}", print::OF_A_MODEL, Caution::Sound.sentence()));
    }
    lines.push(format!(
        "Model {MODEL_VERSION}. Fair: speaking and time; weak: level. Gap and work serve all notes of a reed at once.{}",
        if arguments.table { "" } else { " --table shows every note and what is assumed." }
    ));
    wrapped(lines)
}
