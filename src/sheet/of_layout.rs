//! What is assumed of a reed from its place in a mouth-blown layout.

use std::collections::BTreeMap;

use super::build;
use super::csv_sheet::SheetRow;
use super::instrument::Wind;
use super::keys::{Key, find};
use super::notes::Note;
use super::reed_spec::ReedSpec;
use super::row_error::RowError;
use super::value::{Value, rounded};

/// The three sizes of a chamber, in the order of [`OfLayout::chamber`].
pub(super) const CHAMBER_KEYS: [&str; 3] = ["volume_mm3", "channel_length_mm", "channel_area_mm2"];

/// What a chamber has at the lowest hole and at the highest (common practice, no source).
const CHAMBERS: [[f64; 3]; 2] = [[450.0, 20.0, 20.0], [300.0, 10.0, 20.0]];
/// Weight at the tip of the lowest reed as a share of its mass without it (common practice, no source: low reeds carry weight).
const LOWEST_WEIGHT: f64 = 0.2;
/// Semitones above the lowest note from which reeds carry no weight.
const WEIGHTED: f64 = 18.0;

/// What is assumed of one reed where nothing is typed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct OfLayout {
    /// Weight at the tip as a share of the tongue's mass without it.
    pub(super) tip_weight_share: f64,
    /// Volume (mm3), length of the channel (mm), its area (mm2).
    pub(super) chamber: Option<[f64; 3]>,
}

/// Which notes a mouth-blown set has in which holes.
#[derive(Debug, Clone)]
pub(super) struct Layout {
    lowest: Note,
    /// Lowest note of each hole.
    holes: BTreeMap<u32, Note>,
}

impl Layout {
    /// Of the rows of a set; none where there is no good row, or no mouth that blows it.
    pub(super) fn of(wind: Wind, rows: &[Result<SheetRow, RowError>]) -> Option<Self> {
        let mut holes: BTreeMap<u32, Note> = BTreeMap::new();
        for row in rows.iter().flatten().filter(|_| wind == Wind::Mouth) {
            holes.entry(row.hole).and_modify(|lowest| *lowest = row.note.min(*lowest)).or_insert(row.note);
        }
        Some(Self { lowest: holes.values().copied().min()?, holes })
    }

    /// Twelve holes of three octaves from C4.
    pub(super) fn three_octaves() -> Self {
        let [lowest, highest] = [60, 96].map(|midi| Note::from_midi(midi).expect("a note"));
        Self { lowest, holes: BTreeMap::from([(1, lowest), (12, highest)]) }
    }

    /// What is assumed of a reed. The weight falls evenly with the note, to nothing an octave and a half above the lowest; the
    /// chamber evenly with the lowest note of its hole, from the lowest hole to the highest.
    pub(super) fn at(&self, hole: u32, note: Note) -> OfLayout {
        let above = |note: Note| f64::from(note.midi() - self.lowest.midi());
        let highest = self.holes.values().copied().max().unwrap_or(self.lowest);
        let own = self.holes.get(&hole).copied().unwrap_or(note);
        let x = if above(highest) > 0.0 { (above(own) / above(highest)).clamp(0.0, 1.0) } else { 0.0 };
        let [low, high] = CHAMBERS;
        OfLayout {
            tip_weight_share: LOWEST_WEIGHT * (1.0 - above(note) / WEIGHTED).clamp(0.0, 1.0),
            chamber: Some(std::array::from_fn(|k| low[k] + (high[k] - low[k]) * x)),
        }
    }
}

/// What a reed file would not know of the layout: the chamber, as far as it was not typed, and the weight at the tip, where
/// nothing was typed from which the profile follows.
pub(super) fn to_write(spec: &ReedSpec) -> Vec<(&'static Key, Value)> {
    let Some(layout) = spec.of_layout else { return Vec::new() };
    let sizes = CHAMBER_KEYS.into_iter().zip(layout.chamber.into_iter().flatten());
    let others = ["thickness_stations_mm", "closing_force_g", "stiffness_n_m"];
    let untyped = |name: &str| spec.typed(name).is_none();
    let bare = build::PROFILE.iter().chain(&others).all(|name| untyped(name));
    let share = bare.then_some((build::PROFILE[1], layout.tip_weight_share));
    let all = sizes.chain(share).filter(|(name, _)| untyped(name));
    all.filter_map(|(name, number)| Some((find(name)?, Value::Number(rounded(number))))).collect()
}
