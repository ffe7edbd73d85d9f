//! What can be asked of a reed, one row each: name, unit, meaning, trust.

use serde::Serialize;

use crate::predict::Trust;

/// A result by its meaning.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Quantity {
    /// Plucked frequency.
    Plucked,
    /// Lowest pressure at which small motion grows.
    Onset,
    /// Pressure above which a slow attack does not start the reed.
    Choke,
    /// Growth rate of small motion at the pressure asked.
    Growth,
    /// Time to half the steady swing.
    HalfTime,
    /// Time to nine tenths of the steady swing.
    MostTime,
    /// Softest blow that speaks in time.
    PlayableLow,
    /// Hardest blow that speaks in time.
    PlayableHigh,
    /// Level at the top less level at the bottom of the playable window.
    DynamicRange,
    /// Level of the steady sound.
    Level,
    /// The same, A-weighted.
    LevelA,
    /// Sounding frequency.
    Sounding,
    /// Sounding against plucked pitch.
    Shift,
    /// Tip swing to either side.
    Swing,
    /// Largest bending stress of the steady swing.
    Stress,
    /// Air used.
    Air,
    /// Lowest pressure that keeps the reed sounding.
    SoundsFrom,
    /// Highest pressure that keeps it sounding.
    SoundsTo,
}

/// What has to be computed for a result.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Need {
    Nothing,
    Speaking,
    Growth,
    Start,
    Attack,
    Window,
    Range,
    Branch,
}

/// One row of the table of results.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// What it is.
    pub quantity: Quantity,
    /// Its name without the unit, as asked for.
    pub name: &'static str,
    /// Its name in a table for a spreadsheet, with the unit.
    pub column: &'static str,
    /// Its name where a program reads it: SI, with the unit.
    pub json: &'static str,
    /// Its unit in the workshop.
    pub unit: &'static str,
    /// SI value = workshop value times this.
    pub factor: f64,
    /// How far to trust it.
    pub trust: Trust,
    /// Whether it depends on the pressure asked.
    pub at_pressure: bool,
    /// What it means.
    pub meaning: &'static str,
    pub(super) need: Need,
}

/// Every result, in the order in which they are shown.
pub static ROWS: [Row; 18] = [
    row(Quantity::Plucked, "plucked", "plucked_hz", "natural_frequency_hz", ("Hz", 1.0), Trust::Sure, Need::Nothing)
        .means("pitch when plucked"),
    row(Quantity::Onset, "onset", "onset_pa", "onset_pressure_pa", ("Pa", 1.0), Trust::Fair, Need::Speaking)
        .means("lowest pressure at which a slow blow starts the reed"),
    row(Quantity::Choke, "choke", "choke_pa", "choke_pressure_pa", ("Pa", 1.0), Trust::Fair, Need::Speaking)
        .means("pressure above which a slow blow does not start it"),
    row(Quantity::Growth, "growth", "growth_per_s", "growth_per_s", ("/s", 1.0), Trust::Fair, Need::Growth)
        .means("growth rate of small motion at the pressure"),
    row(Quantity::HalfTime, "t50", "t50_ms", "t50_s", ("ms", 1e-3), Trust::Fair, Need::Start)
        .means("time from the start of an attack to half the final swing"),
    row(Quantity::MostTime, "t90", "t90_ms", "t90_s", ("ms", 1e-3), Trust::Fair, Need::Start)
        .means("the same to nine tenths"),
    row(
        Quantity::PlayableLow,
        "playable_low",
        "playable_low_pa",
        "playable_low_pa",
        ("Pa", 1.0),
        Trust::Fair,
        Need::Window,
    )
    .means("softest attack that speaks in the time allowed"),
    row(
        Quantity::PlayableHigh,
        "playable_high",
        "playable_high_pa",
        "playable_high_pa",
        ("Pa", 1.0),
        Trust::Fair,
        Need::Window,
    )
    .means("hardest attack that speaks in the time allowed"),
    row(
        Quantity::DynamicRange,
        "dynamic_range",
        "dynamic_range_db",
        "dynamic_range_db",
        ("dB", 1.0),
        Trust::Fair,
        Need::Range,
    )
    .means("level at the hardest less level at the softest of these"),
    row(Quantity::Level, "level", "level_db", "level_db_at_1m", ("dB", 1.0), Trust::Weak, Need::Attack)
        .means("level at 1 m of the steady sound at the pressure"),
    row(Quantity::LevelA, "level_a", "level_dba", "level_dba_at_1m", ("dBA", 1.0), Trust::Weak, Need::Attack)
        .means("the same, A-weighted"),
    row(Quantity::Sounding, "pitch", "pitch_hz", "frequency_hz", ("Hz", 1.0), Trust::Weak, Need::Attack)
        .means("sounding pitch at the pressure"),
    row(
        Quantity::Shift,
        "pitch_shift",
        "pitch_shift_cents",
        "pitch_shift_cents",
        ("cents", 1.0),
        Trust::Weak,
        Need::Attack,
    )
    .means("sounding pitch above the plucked one"),
    row(Quantity::Swing, "swing", "swing_mm", "tip_amplitude_m", ("mm", 1e-3), Trust::Weak, Need::Attack)
        .means("swing of the tip to either side at the pressure"),
    row(Quantity::Stress, "stress", "stress_mpa", "stress_pa", ("MPa", 1e6), Trust::Weak, Need::Attack)
        .means("largest bending stress at the pressure"),
    row(Quantity::Air, "air", "air_cm3_s", "mean_flow_m3_s", ("cm3/s", 1e-6), Trust::Fair, Need::Attack)
        .means("air used at the pressure"),
    row(
        Quantity::SoundsFrom,
        "sounds_from",
        "sounds_from_pa",
        "sounds_from_pa",
        ("Pa", 1.0),
        Trust::Fair,
        Need::Branch,
    )
    .means("lowest pressure that keeps it sounding once it sounds"),
    row(Quantity::SoundsTo, "sounds_to", "sounds_to_pa", "sounds_to_pa", ("Pa", 1.0), Trust::Fair, Need::Branch)
        .means("highest pressure that does"),
];

/// Names that stand for several results.
pub const GROUPS: [(&str, &[Quantity]); 1] = [("playable", &[Quantity::PlayableLow, Quantity::PlayableHigh])];

const fn row(
    quantity: Quantity,
    name: &'static str,
    column: &'static str,
    json: &'static str,
    (unit, factor): (&'static str, f64),
    trust: Trust,
    need: Need,
) -> Row {
    let at_pressure = matches!(need, Need::Start | Need::Attack | Need::Growth);
    Row { quantity, name, column, json, unit, factor, trust, at_pressure, meaning: "", need }
}

impl Row {
    /// Its name in words: "dynamic range".
    pub fn words(&self) -> String {
        self.name.replace('_', " ")
    }

    const fn means(self, meaning: &'static str) -> Self {
        Self { meaning, ..self }
    }
}

impl Quantity {
    /// Its row.
    pub fn row(self) -> &'static Row {
        &ROWS[self as usize]
    }

    /// The results a name stands for: with or without the unit, or one of [`GROUPS`].
    ///
    /// ```
    /// use freereed::answer::Quantity;
    /// assert_eq!(Quantity::named("t50"), Some(vec![Quantity::HalfTime]));
    /// assert_eq!(Quantity::named("onset_pa"), Some(vec![Quantity::Onset]));
    /// assert_eq!(Quantity::named("playable").unwrap().len(), 2);
    /// assert_eq!(Quantity::named("loudness"), None);
    /// ```
    pub fn named(name: &str) -> Option<Vec<Self>> {
        let group = || GROUPS.iter().find(|group| group.0 == name).map(|group| group.1.to_vec());
        let one = ROWS.iter().find(|row| row.name == name || row.column == name);
        one.map(|row| vec![row.quantity]).or_else(group)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_stands_at_its_place() {
        for row in &ROWS {
            assert_eq!(row.quantity.row(), row);
            assert!(!row.meaning.is_empty(), "{}", row.name);
        }
    }
}
