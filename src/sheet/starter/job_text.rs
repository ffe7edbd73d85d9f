//! The text of a `job.toml` to start from.

use super::{DEFAULTS, Starter, keys, of_table};
use crate::sheet::keys::{Key, Kind, Table, WhenLeftOut};
use crate::sheet::notes::class_name;
use crate::sheet::operation::{Operation, OperationRow};
use crate::sheet::player::{STARTS, Start};
use crate::sheet::surroundings::OF_ALL_AIR;
use crate::sheet::tuning::Temperament;

const HEAD: &str = "\
# A job: one instrument and its player.
# What follows a # is not read: take the mark away before what you know, and write your own value.
# What is left out is assumed, and every result lists what it assumed. HOW-TO-MEASURE.md tells how to measure;
# `freereed keys` lists every key with its unit and range.

# One row for each reed. A row left blank is not measured yet.
sheet = \"sheet.csv\"
";

pub(super) fn job(starter: &Starter) -> String {
    let chamber = CHAMBER.to_owned() + &of_table(Table::Chamber).map(line).collect::<String>();
    let parts = [
        HEAD.to_owned(),
        instrument(starter),
        defaults(),
        chamber,
        air(),
        player(starter.start),
        rates(),
        LATER.to_owned(),
    ];
    parts.join("\n")
}

fn instrument(starter: &Starter) -> String {
    let mut text = "[instrument]\n# name = \"The instrument and whose it is\"\n".to_owned();
    match starter.solo_in {
        Some(key) => text += &format!("layout = \"solo\"\nwind = \"mouth\"\nkey = \"{}\"\n", class_name(key)),
        None => text += "# key = \"C\"\n",
    }
    let temperaments = Temperament::NAMES.map(|(name, _)| name).join(", ");
    text + &format!(
        "# The pitch that is wanted while it sounds.
# concert_pitch_hz = 440.0
# One of {temperaments}; all but equal are built over the key.
# temperament = \"equal\"
# Octaves a little wide, from a note that stays: cents an octave.
# stretch_cents_per_octave = 0.0
# stretch_centre = \"A4\"
# Cents for single notes (E4) or for all of a name (E).
# offsets_cents = {{ \"A4\" = 0.0 }}
"
    )
}

fn defaults() -> String {
    let plate: Vec<String> = keys(&["plate_thickness_mm"]).map(line).collect();
    let all: Vec<String> = keys(&DEFAULTS).map(line).collect();
    format!(
        "[plate]\n{}\n# What holds for every reed whose row says nothing else. Any column of the sheet may stand here.\n[defaults]\n{}",
        plate.concat(),
        all.concat()
    )
}

const CHAMBER: &str = "\
# The air behind the reeds and the channel to the mouthpiece, for some holes or all; what is usual in a mouth-blown layout is
# assumed without it.
# [[chamber]]
# holes = \"1-4\"
";

fn air() -> String {
    let of_all: String = keys_of_air(&OF_ALL_AIR).map(line).collect();
    let state: String = of_table(Table::Air)
        .filter(|key| !PROPERTIES.contains(&key.name) && !OF_ALL_AIR.contains(&key.name))
        .map(line)
        .collect();
    format!(
        "# What is doubtful of all reeds at once; leave it, unless you have fitted it.
# [air]
{of_all}# The air that draw reeds pass; blow reeds have breath ([air.blow]). Without it, ordinary room air.
# [air.draw]
{state}"
    )
}

fn keys_of_air(names: &[&str]) -> impl Iterator<Item = &'static Key> {
    of_table(Table::Air).filter(|key| names.contains(&key.name))
}

/// Properties that are found from the state of the air: nobody measures them at the bench.
const PROPERTIES: [&str; 3] = ["density_kg_m3", "sound_speed_m_s", "viscosity_pa_s"];

fn player(start: Start) -> String {
    let starts = STARTS.map(|start| format!("#   {}: {}\n", start.name, start.words)).concat();
    let [soft, normal, hard] = start.pressures_cmh2o.map(|(low, high)| format!("{{ C4 = {low:?}, C7 = {high:?} }}"));
    let (low, high) = start.time_allowed_ms;
    format!(
        "# The player. These are made up, to start from; what is typed below goes before them.
{starts}[player]
# name = \"\"
start = \"{}\"
# Mouth pressures, measured with a water manometer at a low, a middle and a high note, in Pa, kPa, mmH2O or cmH2O: soft_pa,
# soft_kpa, soft_mmh2o or soft_cmh2o.
# soft_cmh2o = {soft}
# normal_cmh2o = {normal}
# hard_cmh2o = {hard}
# How long a reed may take to speak. Left out, half of the shortest note where the fastest notes are given, else the
# starting player's.
# time_allowed_ms = {{ C4 = {low}, C7 = {high} }}
# fastest_notes_per_s =  # Notes a second in your fastest playing.
# From nothing to full pressure in an attack.
# attack_rise_ms = {:?}
",
        start.name, start.attack_rise_ms
    )
}

fn rates() -> String {
    let line = |row: &OperationRow| format!("# {} = {:?}  # {}\n", row.key, row.usual_minutes, row.meaning);
    let lines: String = Operation::ALL.iter().map(line).collect();
    format!("# Your own minutes for a reed; these are assumed (common practice).\n# [rates]\n{lines}")
}

/// What comes later, if ever: it needs reeds or files that are not there yet.
const LATER: &str = "\
# Notes that are to sound well together: a list of pairs, by notes or by reeds (1-blow-out):
#   [[pair]]
#   lower = \"C4\"
#   upper = \"E4\"
# A set the player loves, measured in the same columns:
#   [target]
#   sheet = \"loved.csv\"
# What is measured later goes into the folder rounds beside this file, one sheet a day: rounds/2026-03-01.csv with hole,
# breath, slide, the columns that were measured, and, if you like, operation, minutes, replaced. The newest values count.
";

/// A key behind a mark, with what is assumed without it; blank where it must be measured.
fn line(key: &Key) -> String {
    let value = match key.left_out {
        WhenLeftOut::Assumed { value, .. } => format!("{value:?}"),
        WhenLeftOut::AssumedText { value, .. } if key.kind == Kind::Text => format!("\"{value}\""),
        _ => String::new(),
    };
    let written = format!("# {} = {value}", key.name);
    format!("{}  # {}\n", written.trim_end(), key.meaning)
}
