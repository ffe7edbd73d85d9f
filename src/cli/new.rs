//! `freereed new`: the folder of a job to start from.

use std::path::{Path, PathBuf};

use clap::Args;
use freereed::sheet::notes::{class_name, parse_class};
use freereed::sheet::{Breath, Note, ReedPlace, STARTS, Slide, Start, Starter, diatonic_layout, usual_lowest};

use super::failure::Failure;
use super::text::wrap;
use super::{Outcome, output};

/// More notes than this are no set of reeds.
const MOST_NOTES: usize = 999;

#[derive(Args)]
pub struct Arguments {
    /// The folder, which is made; nothing is written over
    #[arg(value_name = "DIR")]
    folder: PathBuf,
    /// Which notes are in which hole
    #[arg(long, value_enum, default_value_t = Layout::Solo)]
    layout: Layout,
    /// Holes of the layout: 12, 14 or 16 of a solo one, 10 of a diatonic one; left out, 12 or 10
    #[arg(long, value_parser = holes)]
    holes: Option<u32>,
    /// Key of the layout: C, Bb, F#; left out, the lowest note's, or C
    #[arg(long, value_parser = key)]
    key: Option<i32>,
    /// Note of the first hole, blown; left out, the key's between G3 and F#4, an octave lower for 16 holes
    #[arg(long, value_parser = note)]
    lowest: Option<Note>,
    /// These notes instead of a layout, hole by hole: "C4 C#4 D4", or blow/draw: "C4/D4 E4/G4 -/B4"
    #[arg(long, value_name = "NOTES", allow_hyphen_values = true, conflicts_with_all = ["layout", "holes", "key", "lowest"])]
    notes: Option<String>,
    /// The made-up player to start from: gentle, even or strong
    #[arg(long, value_name = "START", value_parser = start, default_value = Start::USUAL.name)]
    player: Start,
}

#[derive(Clone, Copy, PartialEq, clap::ValueEnum)]
enum Layout {
    /// Blow C E G C, draw D F A B, each four holes an octave higher, with a slide
    Solo,
    /// Ten holes without a slide: blow C E G C E G C E G C, draw D G B D F A B D F A
    Diatonic,
}

fn holes(typed: &str) -> Result<u32, String> {
    let found = [10, 12, 14, 16].into_iter().find(|holes| typed.trim() == holes.to_string());
    found.ok_or_else(|| {
        "a solo layout has 12, 14 or 16 holes, a diatonic one 10; for any other set give --notes".to_owned()
    })
}

fn key(typed: &str) -> Result<i32, String> {
    parse_class(typed).ok_or_else(|| "is no key: write letter and sharp or flat, C, Bb, F#".to_owned())
}

fn note(typed: &str) -> Result<Note, String> {
    Note::parse(typed).ok_or_else(|| "is no note: write letter, sharp or flat, octave, C4, F#5, Bb3".to_owned())
}

fn start(typed: &str) -> Result<Start, String> {
    let known = || STARTS.map(|start| format!("{} ({})", start.name, start.words)).join(", ");
    Start::find(typed).ok_or_else(|| format!("is no player to start from; there are {}", known()))
}

pub fn run(arguments: &Arguments) -> Result<Outcome, Failure> {
    let folder = &arguments.folder;
    refuse_what_is_there(folder)?;
    let starter = starter(arguments)?;
    let files = starter.files().map(|(name, text)| (name, text.into_bytes()));
    output::write_folder(folder, &files, &[])?;
    output::print(&told(folder, &starter))?;
    Ok(Outcome::Done)
}

/// Refuses whatever is there, a folder with nothing in it apart.
fn refuse_what_is_there(folder: &Path) -> Result<(), Failure> {
    let empty = std::fs::read_dir(folder).is_ok_and(|mut entries| entries.next().is_none());
    if empty || std::fs::symlink_metadata(folder).is_err() {
        return Ok(());
    }
    let why = "is there already, and nothing is written over; name a new folder";
    Err(Failure::Call(format!("{} {why}", folder.display())))
}

fn starter(arguments: &Arguments) -> Result<Starter, Failure> {
    if let Some(typed) = &arguments.notes {
        return Ok(Starter::of_reeds(reeds(typed)?, arguments.player));
    }
    let holes = match (arguments.layout, arguments.holes) {
        (Layout::Solo, None) => 12,
        (Layout::Solo, Some(holes)) if holes != 10 => holes,
        (Layout::Diatonic, None | Some(10)) => 10,
        (_, Some(holes)) => {
            return Err(Failure::Call(format!(
                "--holes {holes}: a solo layout has 12, 14 or 16, a diatonic one 10; for any other set give --notes"
            )));
        }
    };
    let lowest = lowest(arguments, holes)?;
    let starter = match arguments.layout {
        Layout::Solo => Starter::solo(holes, lowest, arguments.player),
        Layout::Diatonic => diatonic_layout(lowest).map(|reeds| Starter::of_reeds(reeds, arguments.player)),
    };
    starter.ok_or_else(|| {
        Failure::Call(format!("--lowest {lowest}: {holes} holes from there run out of notes; begin lower"))
    })
}

/// The reeds of a list of notes, hole by hole: a note that is blown, or one blown and one drawn, a dash for none.
fn reeds(typed: &str) -> Result<Vec<ReedPlace>, Failure> {
    let call = |text: String| Failure::Call(text);
    let names: Vec<&str> = typed.split([' ', ',', ';', '\t', '\n']).filter(|name| !name.is_empty()).collect();
    if names.is_empty() || names.len() > MOST_NOTES {
        return Err(call(format!("--notes names {} notes; give 1 to {MOST_NOTES}: \"C4 C#4 D4\"", names.len())));
    }
    let place = |hole, breath, name: &str| -> Result<ReedPlace, Failure> {
        let note = note(name).map_err(|why| call(format!("--notes: {name} {why}")))?;
        Ok(ReedPlace { hole, breath, slide: Slide::Out, note })
    };
    let of_hole = |(hole, names): (u32, &str)| {
        let (blow, draw) = names.split_once('/').unwrap_or((names, "-"));
        let both = [(Breath::Blow, blow), (Breath::Draw, draw)].into_iter().filter(|(_, name)| *name != "-");
        both.map(|(breath, name)| place(hole, breath, name)).collect::<Vec<_>>()
    };
    let reeds: Vec<ReedPlace> = (1..).zip(names).flat_map(of_hole).collect::<Result<_, _>>()?;
    if reeds.is_empty() { Err(call("--notes names no reed".to_owned())) } else { Ok(reeds) }
}

/// The note of the first hole: as typed, else by the key. A layout begins on its key's note.
fn lowest(arguments: &Arguments, holes: u32) -> Result<Note, Failure> {
    let class = arguments.key.unwrap_or(0).rem_euclid(12);
    match arguments.lowest {
        Some(lowest) if arguments.key.is_some() && lowest.pitch_class() != class => Err(Failure::Call(format!(
            "--lowest {lowest}: a layout in {} begins on {}; leave one of the two out, or give --notes",
            class_name(class),
            class_name(class)
        ))),
        Some(lowest) => Ok(lowest),
        None => usual_lowest(class, holes).ok_or_else(|| Failure::Call("--key: is no key".to_owned())),
    }
}

fn told(folder: &Path, starter: &Starter) -> String {
    let [job, sheet, how_to] = Starter::FILES;
    let (reeds, folder) = (starter.reeds(), folder.display());
    let range = match (reeds.iter().map(|reed| reed.note).min(), reeds.iter().map(|reed| reed.note).max()) {
        (Some(low), Some(high)) => format!("{} reeds, {low} to {high}", reeds.len()),
        _ => "no reeds".to_owned(),
    };
    [
        format!("{folder}: {range}"),
        wrap(&format!("  {sheet}: one row a reed; fill what you measure, in any order"), "    "),
        wrap(&format!("  {job}: instrument, plate, chambers and player; every line says what it is for"), "    "),
        wrap(&format!("  {how_to}: how to measure each of them, and how well"), "    "),
        wrap(&format!("Then: freereed assess {folder}/{job}. It does the reeds that are measured."), "  "),
    ]
    .join("\n")
}
