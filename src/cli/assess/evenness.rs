//! Evenness of a set in words and tables, and notes that sound together.

use freereed::instrument::{Assessment, GroupEvenness, OctaveEvenness, Spread};
use freereed::units;

use super::{lines, table};
use crate::cli::text::wrap_80 as wrap;

/// So many are told; the rest is in `--json`.
const TOLD: usize = 6;

/// The middle reed of each octave, and its extremes.
pub fn octaves(octaves: &[OctaveEvenness]) -> String {
    let mut table = table(&["octave", "reeds", "onset / soft", "time / allowed", "level, dB"]);
    for octave in octaves {
        let cell = |spread: Option<Spread>, digits: i32| {
            spread.map_or("-".to_owned(), |s| {
                let [median, low, high] = [s.median, s.low, s.high].map(|value| units::significant(value, digits));
                format!("{median} ({low} to {high})")
            })
        };
        table.add_row([
            format!("C{0} to B{0}", octave.octave),
            octave.reeds.to_string(),
            cell(octave.onset_over_soft, 2),
            cell(octave.t50_over_allowed, 2),
            cell(octave.level_db, 3),
        ]);
    }
    format!("Evenness: the middle reed of each octave (and its extremes), at normal\n{}", lines(&table))
}

/// Blow beside draw, slide out beside slide in; nothing where no run can be told.
pub fn groups(groups: &[GroupEvenness]) -> Option<String> {
    let mut table = table(&["group", "reeds", "onset", "time at normal", "level"]);
    for group in groups {
        let [onset, time, level] = group.words();
        table.add_row([group.group.to_owned(), group.reeds.to_string(), onset, time, level]);
    }
    (!groups.is_empty())
        .then(|| format!("The middle reed of each group beside the run of its neighbours in pitch\n{}", lines(&table)))
}

/// Reeds out of the run of their neighbours.
pub fn jumps(assessment: &Assessment) -> Option<String> {
    let line = |(reed, words): (&str, String)| wrap(&format!("  {reed:<11} {words}"), "              ");
    let told: Vec<_> = assessment.jumps_by_reed().into_iter().map(line).collect();
    (!told.is_empty()).then(|| format!("Out of the run of its neighbours in pitch:\n{}", told.join("\n")))
}

/// Pairs that are off, the furthest first; nothing where there are no pairs.
pub fn together(assessment: &Assessment) -> Option<String> {
    let off = assessment.pairs_off();
    let all = assessment.pairs.len();
    if all == 0 {
        return None;
    }
    if off.is_empty() {
        return Some(format!("Together: {all} pairs looked at, none of them off."));
    }
    let mut lines = vec![format!("Together: {} of {all} pairs are off in level or beats", off.len())];
    lines.extend(off.iter().take(TOLD).map(|pair| wrap(&format!("  {}", pair.words()), "    ")));
    if off.len() > TOLD {
        lines.push(format!("  and {} more, see --json", off.len() - TOLD));
    }
    Some(lines.join("\n"))
}
