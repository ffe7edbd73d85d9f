//! A name that is not a key: what was probably meant.

use super::keys::{KEYS, Key};
use super::value::Fault;

/// Endings that say a unit, longest first where one contains another.
const UNITS: &[&str] = &[
    "_n_m_per_rad",
    "_nmm_per_rad",
    "_n_mm",
    "_n_m",
    "_pa_s_m3",
    "_kg_m3",
    "_g_cm3",
    "_g_mm3",
    "_lb_in3",
    "_pa_s",
    "_m_s",
    "_ft_s",
    "_percent",
    "_ppm",
    "_fraction",
    "_permille",
    "_mmh2o",
    "_cmh2o",
    "_inh2o",
    "_mmhg",
    "_mbar",
    "_hpa",
    "_kpa",
    "_mpa",
    "_gpa",
    "_bar",
    "_psi",
    "_ksi",
    "_atm",
    "_thou",
    "_inches",
    "_inch",
    "_mils",
    "_mil",
    "_in3",
    "_in2",
    "_in",
    "_mm3",
    "_mm2",
    "_mm",
    "_cm3",
    "_cm2",
    "_cm",
    "_um3",
    "_um2",
    "_um",
    "_nm",
    "_dm3",
    "_m3",
    "_m2",
    "_ml",
    "_ul",
    "_l",
    "_khz",
    "_hz",
    "_kg",
    "_mg",
    "_ug",
    "_g",
    "_ms",
    "_us",
    "_s",
    "_deg_c",
    "_degc",
    "_celsius",
    "_deg_f",
    "_degf",
    "_f",
    "_k",
    "_c",
    "_pa",
    "_n",
    "_m",
    "_cents",
    "_\u{b5}m",
    "_\u{3bc}m",
];

/// A name that is none of those known.
#[derive(Debug, Clone, PartialEq)]
pub struct Unknown {
    /// What to say about it.
    pub fault: Fault,
    /// The known name that was probably meant.
    pub meant: Option<String>,
}

/// What to make of a name that is none of `known`, which are keys or other names.
///
/// A known key in another unit is recognised, else the nearest name is suggested.
pub fn unknown(name: &str, known: &[&str]) -> Unknown {
    let bare = name.rsplit('.').next().unwrap_or(name);
    let same_stem: Option<&Key> = KEYS.iter().find(|key| known.contains(&key.name) && stem_of(bare) == stem(key.name));
    if let Some(key) = same_stem {
        let unit = if key.unit.is_empty() { "without a unit".to_owned() } else { format!("in {}", key.unit) };
        let fault = Fault::new("is in the wrong unit").cure(format!("give {} instead, {unit}", key.name));
        return Unknown { fault, meant: Some(key.name.to_owned()) };
    }
    if let Some(key) = KEYS.iter().find(|key| key.name == bare) {
        let cure = format!("{} belongs in [{}]", key.name, key.table.name());
        return Unknown { fault: Fault::new("does not belong here").cure(cure), meant: None };
    }
    let near = nearest(bare, known);
    let cure = near.map_or_else(|| format!("known here: {}", known.join(", ")), |near| format!("did you mean {near}?"));
    Unknown { fault: Fault::new("is not known").cure(cure), meant: near.map(str::to_owned) }
}

/// The name without its unit.
fn stem(name: &str) -> &str {
    UNITS.iter().find_map(|unit| name.strip_suffix(unit)).unwrap_or(name)
}

fn stem_of(typed: &str) -> String {
    stem(&typed.to_lowercase().replace([' ', '-'], "_")).to_owned()
}

/// The known name with the fewest single-letter changes, if it is near at all.
pub fn nearest<'a>(name: &str, known: &[&'a str]) -> Option<&'a str> {
    // A long name is no misspelling of a short one: it would only cost time.
    if name.len() > 60 {
        return None;
    }
    let typed = name.to_lowercase();
    let scored = known.iter().map(|&candidate| (distance(&typed, &candidate.to_lowercase()), candidate));
    let (changes, best) = scored.min_by_key(|&(changes, _)| changes)?;
    (changes <= 1.max(best.chars().count().div_ceil(3))).then_some(best)
}

/// Edit distance with swaps of neighbours (optimal string alignment).
fn distance(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let mut rows = vec![vec![0; b.len() + 1]; a.len() + 1];
    for (i, row) in rows.iter_mut().enumerate() {
        row[0] = i;
    }
    rows[0] = (0..=b.len()).collect();
    for i in 1..=a.len() {
        for j in 1..=b.len() {
            let change = usize::from(a[i - 1] != b[j - 1]);
            let mut best = (rows[i - 1][j] + 1).min(rows[i][j - 1] + 1).min(rows[i - 1][j - 1] + change);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                best = best.min(rows[i - 2][j - 2] + 1);
            }
            rows[i][j] = best;
        }
    }
    rows[a.len()][b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all() -> Vec<&'static str> {
        KEYS.iter().map(|key| key.name).collect()
    }

    #[test]
    fn distances() {
        assert_eq!(distance("reed", "reed"), 0);
        assert_eq!(distance("", "abc"), 3);
        assert_eq!(distance("hoel", "hole"), 1);
        assert_eq!(distance("kitten", "sitting"), 3);
    }

    #[test]
    fn wrong_units_are_recognised() {
        for (typed, right) in [
            ("length_cm", "length_mm"),
            ("tip_gap_um", "tip_gap_mm"),
            ("thickness", "thickness_mm"),
            ("Length_MM", "length_mm"),
            ("tip gap mm", "tip_gap_mm"),
            ("youngs_modulus_mpa", "youngs_modulus_gpa"),
            ("density_g_cm3", "density_kg_m3"),
            ("leak_cm2", "leak_mm2"),
            ("measured_at_mmh2o", "measured_at_pa"),
            ("ring_down_ms", "ring_down_s"),
            ("temperature_k", "temperature_c"),
            ("mouth_volume_ml", "mouth_volume_cm3"),
            ("width_stations_um", "width_stations_mm"),
            ("quality_factor_percent", "quality_factor"),
        ] {
            let fault = unknown(typed, &all()).fault;
            assert_eq!(fault.message, "is in the wrong unit", "{typed}");
            assert!(fault.cure.unwrap().contains(&format!("give {right} instead")), "{typed}");
        }
    }

    #[test]
    fn misspellings_get_the_nearest_key() {
        for (typed, right) in
            [("lenght_mm", "length_mm"), ("tip_gab_mm", "tip_gap_mm"), ("qualty_factor", "quality_factor")]
        {
            assert_eq!(unknown(typed, &all()).fault.cure.unwrap(), format!("did you mean {right}?"));
        }
        assert!(unknown("colour", &["hole", "note"]).fault.cure.unwrap().starts_with("known here: hole, note"));
        assert_eq!(nearest(&"x".repeat(100_000), &all()), None);
    }

    #[test]
    fn a_key_in_the_wrong_table_is_told_where_it_belongs() {
        let fault = unknown("leak_mm2", &["length_mm"]).fault;
        assert_eq!(fault.cure.unwrap(), "leak_mm2 belongs in [slot]");
    }

    #[test]
    fn every_stem_is_its_own() {
        for key in KEYS {
            assert_ne!(stem(key.name), "", "{}", key.name);
            let same = KEYS.iter().filter(|other| other.table == key.table && stem(other.name) == stem(key.name));
            assert_eq!(same.count(), 1, "{}", key.name);
        }
    }
}
