//! How to measure what a sheet holds, as a document for the bench: the words are the key table's own.

use super::{DEFAULTS, MEASURED, keys, of_table};
use crate::sheet::keys::{Key, Kind, Table, WhenLeftOut};
use crate::sheet::{Feel, Operation};
use crate::units::{PA_PER_MM_WATER, significant};

const HEAD: &str = "\
# How to measure

`sheet.csv` has one row for each reed. Open it in a spreadsheet, fill what you have measured, and save it as CSV again. A cell
left blank is not measured: it is assumed where that can be done, and every result lists what was assumed. Rows can be filled
one after another: `freereed assess job.toml` does the reeds that are there and tells what the others still need.

Measure the pitch first: pluck each reed and note what the tuner shows. It is worth more than any micrometer. Then the tip gap,
length and width, and of the low reeds before all others the closing force on a pocket scale: two low reeds of one pitch may
differ threefold in stiffness by the weight at their tips, and nothing else shows it. Then the ring-down, of every reed in its
place. Measure every reed of a set with the same tools in the same way: the order of reeds is
surer than any single value.

Care: slot edges and shims cut. Wipe dust wet, do not blow it away: brass may hold lead, and dust of beryllium copper is very
dangerous to the lungs. No reed, rivet or valve belongs in the mouth. Local rules and qualified people come first.
";

pub(super) fn how_to() -> String {
    let columns: Vec<String> = keys(&MEASURED).map(entry).collect();
    let defaults: Vec<String> = keys(&["plate_thickness_mm"]).chain(keys(&DEFAULTS)).map(entry).collect();
    let chamber: Vec<String> = of_table(Table::Chamber).map(entry).collect();
    let named: Vec<&str> = MEASURED.iter().chain(&DEFAULTS).copied().chain(["plate_thickness_mm"]).collect();
    let others: Vec<String> = [Table::Reed, Table::Slot]
        .into_iter()
        .flat_map(of_table)
        .filter(|key| !named.contains(&key.name))
        .map(entry)
        .collect();
    format!(
        "{HEAD}
## Columns of the sheet

- **hole, breath, slide, note**: which reed it is: the hole counted from the lowest, blow or draw, slide out or in, and the
  note it should sound (C4, F#5, Bb3). These are needed in every row.
{}- **feel**: the player's word on the reed: {}. Blank is no word.
- **valve, remark**: your own words, which results show again.

## For all reeds at once, in `job.toml`

{}
## The air behind the reeds, in `job.toml`

{}
## The player's pressures

{}
## Later rounds of measuring

What you measure again goes into a sheet of its own, named by its day, in a folder `rounds` beside `job.toml`:
`rounds/2026-03-01.csv` (a second one of that day `2026-03-01b.csv`). It has the columns hole, breath, slide and those you
measured; and, if you like, minutes (how long the work took), replaced (yes: a new tongue) and operation, which is one of
{}. Blank cells keep the value before. The newest value of each reed counts; what you wrote before stays as it is.

## What else may be measured

Any of these may be a column of the sheet, or stand under `[defaults]`.

{}",
        columns.concat(),
        Feel::WORDS.map(|(word, _)| word).join(", "),
        defaults.concat(),
        chamber.concat(),
        manometer(),
        Operation::ALL.map(|row| row.name).join(", "),
        others.concat()
    )
}

/// A key as one entry of a list.
fn entry(key: &Key) -> String {
    let unit = if key.unit.is_empty() { String::new() } else { format!(" ({})", key.unit) };
    let kind = if key.kind == Kind::Stations { " Written as place:value, in mm: 0:0.16 12.5:0.2." } else { "" };
    let good_to = key.tolerance.map(|typed| format!(" Good to about {}.", key.with_unit(typed)));
    let range = match key.kind {
        Kind::Text => String::new(),
        _ => format!(" Between {} and {}.", key.least, key.most),
    };
    format!(
        "- **{}**{unit}: {} {}{}{range}{kind} {}\n",
        key.name,
        key.meaning,
        key.measure,
        good_to.unwrap_or_default(),
        left_out(key)
    )
}

fn left_out(key: &Key) -> String {
    match key.left_out {
        WhenLeftOut::Required([]) => "Needed.".to_owned(),
        WhenLeftOut::Required(others) => format!("Needed, unless {} is given.", others.join(" or ")),
        WhenLeftOut::RequiredWithTable(without) => format!("Needed with the others of its table. Without: {without}."),
        WhenLeftOut::Assumed { value, why } => format!("Left blank, {} is assumed: {why}.", key.with_unit(value)),
        WhenLeftOut::AssumedText { value, why } => format!("Left blank, {value} is assumed: {why}."),
        WhenLeftOut::Optional(then) => format!("Left blank: {then}."),
    }
}

/// The recipe of the water manometer.
fn manometer() -> String {
    format!(
        "A water manometer is a metre or two of clear hose, hung as a U beside a ruler and filled half with coloured water. One
end is open; the other has a thin tube that the player holds in the corner of the mouth while playing. The pressure is the
difference in height of the two levels: 1 cm is {} Pa (`soft_cmh2o = 1`). For draw reeds the water moves the other way; the
difference counts.

Play one low, one middle and one high note, each soft, normal and hard, hold until the water rests, and note the difference,
three times; write the middle one. Loud notes want a U of half a metre on each side.

Hygiene: a hose and a mouthpiece for each player, new or washed and dried. Keep the water level well below the mouth and fill no
more than half, so that no water can be drawn in: do not inhale it. Stop when you feel dizzy.
",
        significant(10.0 * PA_PER_MM_WATER, 4)
    )
}
