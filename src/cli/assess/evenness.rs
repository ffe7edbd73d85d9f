//! Evenness of a set in words and tables, and notes that sound together.

use freereed::instrument::{Assessment, GroupEvenness, Jump, OctaveEvenness, PairAssessment, Spread, Surety};
use freereed::units;

use super::{lines, table};
use crate::cli::text::wrap;

/// So many are told; the rest is in `--json`.
const TOLD: usize = 6;

/// The middle reed of each octave, and its extremes.
pub fn octaves(octaves: &[OctaveEvenness]) -> String {
    let mut table =
        table(&["octave", "reeds", "onset / soft pressure", "time at normal / allowed", "level at normal, dB"]);
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
    format!("Evenness: the middle reed of each octave (and its extremes)\n{}", lines(&table))
}

/// Blow beside draw, slide out beside slide in; nothing where no run can be told.
pub fn groups(groups: &[GroupEvenness]) -> Option<String> {
    let told = |group: &&GroupEvenness| group.onset_off_log.is_some() || group.level_off_db.is_some();
    let mut table = table(&["group", "reeds", "onset", "time at normal", "level"]);
    for group in groups.iter().filter(told) {
        let percent =
            |off: Option<f64>| off.map_or("-".to_owned(), |off| format!("{:+.0} %", 100.0 * off.exp_m1() + 0.0));
        table.add_row([
            group.group.to_owned(),
            group.reeds.to_string(),
            percent(group.onset_off_log),
            percent(group.time_off_log),
            group.level_off_db.map_or("-".to_owned(), |off| format!("{off:+.1} dB")),
        ]);
    }
    let any = groups.iter().any(|group| told(&group));
    any.then(|| format!("The middle reed of each group beside the run of its neighbours in pitch\n{}", lines(&table)))
}

/// Reeds out of the run of their neighbours, those first that are furthest.
pub fn jumps(jumps: &[Jump]) -> Option<String> {
    let mut reeds: Vec<&str> = Vec::new();
    for jump in jumps.iter().filter(|jump| jump.surety >= Surety::Likely) {
        if !reeds.contains(&jump.reed.as_str()) {
            reeds.push(&jump.reed);
        }
    }
    let line = |reed: &&str| {
        let of_one = jumps.iter().filter(|jump| jump.reed == **reed && jump.surety >= Surety::Likely);
        let words: Vec<_> = of_one.map(|jump| format!("{} ({})", jump.words(), jump.surety.words())).collect();
        wrap(&format!("  {reed:<11} {}", words.join(", ")), "              ")
    };
    let told: Vec<_> = reeds.iter().map(line).collect();
    (!told.is_empty()).then(|| format!("Out of the run of its neighbours in pitch:\n{}", told.join("\n")))
}

/// Pairs that are off, the furthest first; nothing where there are no pairs.
pub fn together(assessment: &Assessment) -> Option<String> {
    let pairs = &assessment.pairs;
    let mut off: Vec<&PairAssessment> = pairs.iter().filter(|pair| pair.is_off()).collect();
    off.sort_by(|a, b| worst(b).total_cmp(&worst(a)));
    if pairs.is_empty() {
        return None;
    }
    if off.is_empty() {
        return Some(format!("Together: {} pairs looked at, none of them off.", pairs.len()));
    }
    let mut lines = vec![format!("Together: {} of {} pairs are off in level or beats", off.len(), pairs.len())];
    lines.extend(off.iter().take(TOLD).map(|pair| wrap(&format!("  {}", words(pair)), "    ")));
    if off.len() > TOLD {
        lines.push(format!("  and {} more, see --json", off.len() - TOLD));
    }
    Some(lines.join("\n"))
}

/// How far a pair is off, in what is let pass.
fn worst(pair: &PairAssessment) -> f64 {
    let level = pair.level_off_db.map_or(0.0, |off| off.abs() / freereed::instrument::LEVEL_PASSES_DB);
    let beats = pair.beats.map_or(0.0, |beats| beats.wide_cents.abs() / freereed::instrument::IN_TUNE_CENTS);
    level.max(beats)
}

fn words(pair: &PairAssessment) -> String {
    let mut words = Vec::new();
    if let Some(beats) = pair.beats.filter(|beats| !beats.margin.verdict().good) {
        words.push(format!(
            "beats {:.1} +- {:.1} per s, {:.1} meant ({})",
            beats.per_s,
            beats.uncertainty_per_s,
            beats.meant_per_s,
            beats.margin.verdict().surety.words()
        ));
    }
    if let Some((level, off)) = pair.level.filter(|level| !level.verdict().good).zip(pair.level_off_db) {
        let way = if off > 0.0 { "loud" } else { "soft" };
        words.push(format!("the upper {:.1} dB too {way} ({})", off.abs(), level.verdict().surety.words()));
    }
    let interval = pair.interval.map_or(String::new(), |interval| format!(", {}", interval.name));
    format!("{} and {}{interval}: {}", pair.lower, pair.upper, words.join("; "))
}
