//! Texts for those who never see a file or a command of ours: keys by their meaning, no names of commands.

use crate::sheet::keys::{KEYS, find};
use crate::sheet::{Operation, meaning_in_job};

/// Tables before the name of a key, those of a job too.
const TABLES: [&str; 8] = ["reed", "slot", "chamber", "air", "player", "rates", "instrument", "tolerances"];
/// Ends of names that are units, the longer first.
const UNITS: [&str; 22] = [
    "n_m_per_rad",
    "kg_m3",
    "pa_s",
    "n_m",
    "m_s",
    "mm2",
    "mm3",
    "mm",
    "mg",
    "ms",
    "hz",
    "pa",
    "kpa",
    "mpa",
    "gpa",
    "minutes",
    "percent",
    "cents",
    "g",
    "c",
    "s",
    "m",
];

/// A text without its brackets that name a command or only a key; other keys by their names in words.
pub fn in_words(text: &str) -> String {
    without_brackets(text)
        .split_inclusive(|c: char| !is_of_key(c))
        .map(|part| {
            let word = part.trim_end_matches(|c: char| !is_of_key(c) || c == '.');
            if is_key(word) { part.replacen(word, &name_in_words(word), 1) } else { part.to_owned() }
        })
        .collect()
}

/// What an input means, as its table says it: up to its first point.
pub fn meaning_of(key: &str) -> String {
    let known = find(key).map(|key| key.meaning.to_owned()).or_else(|| meaning_in_job(key));
    let whole = known.unwrap_or_else(|| name_in_words(key));
    let first = whole.split(". ").next().unwrap_or_default().split(';').next().unwrap_or_default();
    in_words(first.trim_end_matches('.'))
}

fn is_of_key(c: char) -> bool {
    c.is_ascii_lowercase() || c.is_ascii_digit() || c == '_' || c == '.'
}

/// A name of the key table, or one that is built as they are.
fn is_key(word: &str) -> bool {
    let name = match word.split_once('.') {
        Some((table, name)) if TABLES.contains(&table) => name,
        Some(_) => return false,
        None => word,
    };
    let known = KEYS.iter().any(|key| key.name == name);
    name.contains('_')
        && word.chars().all(is_of_key)
        && (known || word != name || UNITS.iter().any(|unit| ends_in(name, unit).is_some()))
}

fn ends_in<'a>(name: &'a str, unit: &str) -> Option<&'a str> {
    name.strip_suffix(unit)?.strip_suffix('_')
}

/// `air.inertance_factor` as "inertance factor", `length_mm` as "length".
fn name_in_words(key: &str) -> String {
    let name = key.split_once('.').map_or(key, |(_, name)| name);
    let bare = UNITS.iter().find_map(|unit| ends_in(name, unit)).unwrap_or(name);
    bare.replace('_', " ")
}

fn without_brackets(text: &str) -> String {
    let (mut kept, mut rest) = (String::new(), text);
    while let Some(start) = rest.find(" (") {
        let Some(length) = rest[start..].find(')') else { break };
        let inside = &rest[start + 2..start + length];
        kept.push_str(&rest[..start]);
        if !is_command(inside) && !inside.split(" or ").any(is_key) {
            kept.push_str(&rest[start..=start + length]);
        }
        rest = &rest[start + length + 1..];
    }
    kept + rest
}

/// Whether words begin with the name of a command.
fn is_command(words: &str) -> bool {
    let first = words.split(' ').next().unwrap_or_default();
    first == "worklist" || Operation::ALL.iter().any(|row| row.name == first)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_become_words_and_commands_are_left_out() {
        for (text, words) in [
            ("bend it (regap): 3 min", "bend it: 3 min"),
            ("not known (temper or yield_mpa), so", "not known, so"),
            ("the lowest first (closing_force_g).", "the lowest first."),
            ("no measured_pluck_hz of 11-blow-out; 0.2 mm (two)", "no measured pluck of 11-blow-out; 0.2 mm (two)"),
            ("air.inertance_factor 1.3, leak_mm2.", "inertance factor 1.3, leak."),
            ("my_sheet.csv and <a_b> stand", "my_sheet.csv and <a_b> stand"),
        ] {
            assert_eq!(in_words(text), words);
        }
    }

    #[test]
    fn every_key_has_a_meaning_without_a_key() {
        let of_job = ["player.soft_pa", "player.time_allowed_ms", "player.attack_rise_ms", "rates.regap_minutes"];
        let keys = KEYS.iter().map(|key| format!("{}.{}", key.table.name(), key.name));
        for key in keys.chain(of_job.map(str::to_owned)) {
            let meaning = meaning_of(&key);
            assert!(meaning.len() > 3 && !meaning.contains('_'), "{key}: {meaning}");
        }
        assert!(
            meaning_of("player.soft_pa").contains("soft playing") && meaning_of("rates.regap_minutes").contains("gap")
        );
    }
}
