//! `[player]` of a job: how hard is soft, normal and hard, and how long a reed may take.

use super::checked::Assumed;
use super::curve::NoteCurve;
use super::keys::{Table, find_in};
use super::layer::Layer;
use super::notes::Note;
use super::toml_text::{Item, Name, Reading};
use super::value::{Fault, toml_kind};

/// A player: pressures over pitch, attack, patience.
#[derive(Debug, Clone, PartialEq)]
pub struct PlayerProfile {
    /// Mouth pressure of soft playing (Pa).
    pub soft_pa: NoteCurve,
    /// Mouth pressure of normal playing (Pa).
    pub normal_pa: NoteCurve,
    /// Mouth pressure of hard playing (Pa).
    pub hard_pa: NoteCurve,
    /// Rise time of an attack (s).
    pub attack_rise_s: f64,
    /// Time a reed may take to speak (s).
    pub time_allowed_s: NoteCurve,
}

/// A curve of the player: its key, what is assumed at C4 and C7, its range, and the factor to SI.
struct Row {
    name: &'static str,
    assumed: (f64, f64),
    unit: &'static str,
    least: f64,
    most: f64,
    reason: &'static str,
    factor: f64,
}

const PRESSURES: &str = "Pa, from nothing felt to the most that lungs give";
const ROWS: [Row; 4] = [
    Row {
        name: "soft_pa",
        assumed: (150.0, 400.0),
        unit: "Pa",
        least: 1.0,
        most: 50e3,
        reason: PRESSURES,
        factor: 1.0,
    },
    Row {
        name: "normal_pa",
        assumed: (400.0, 900.0),
        unit: "Pa",
        least: 1.0,
        most: 50e3,
        reason: PRESSURES,
        factor: 1.0,
    },
    Row {
        name: "hard_pa",
        assumed: (1000.0, 2500.0),
        unit: "Pa",
        least: 1.0,
        most: 50e3,
        reason: PRESSURES,
        factor: 1.0,
    },
    Row {
        name: "time_allowed_ms",
        assumed: (60.0, 25.0),
        unit: "ms",
        least: 1.0,
        most: 5000.0,
        reason: "ms, from faster than any reed to no patience needed",
        factor: 1e-3,
    },
];
const RISE: &str = "attack_rise_ms";
const RISE_ASSUMED_MS: f64 = 10.0;
const LUNGS: [&str; 2] = ["lung_resistance_pa_s_m3", "mouth_volume_cm3"];
const WHY: &str = "no player was described; a believable one";

/// What a job says of its player.
pub(super) struct PlayerTable {
    pub(super) profile: Option<PlayerProfile>,
    /// Lungs and mouth, for every reed.
    pub(super) lungs: Layer,
    pub(super) assumed: Vec<Assumed>,
}

impl Reading<'_> {
    /// Reads `[player]`, or assumes one.
    pub(super) fn player(&mut self, table: Option<(&Name<'_>, &Item<'_>)>) -> PlayerTable {
        let entries = table.and_then(|(name, item)| self.table(name, item));
        let (mut curves, mut rise_s, mut lungs) = ([None, None, None, None], None, Layer::default());
        let (mut typed, before) = (Vec::new(), self.problems.len());
        for (name, item) in entries.into_iter().flatten() {
            let key: &str = name.get_ref();
            typed.push(key);
            if let Some(k) = ROWS.iter().position(|row| row.name == key) {
                curves[k] = self.curve(name, item, &ROWS[k]).map(|curve| (curve, name, item));
            } else if key == RISE {
                rise_s = self
                    .number(name, item, 0.1, 5000.0, "ms, from a tongued start to a slow swell")
                    .map(|ms| 1e-3 * ms);
            } else if let Some(key) = find_in(Table::Player, key) {
                self.entry(key, item, &mut lungs);
            } else {
                let known: Vec<&str> = ROWS.iter().map(|row| row.name).chain([RISE]).chain(LUNGS).collect();
                self.unknown(name, &known);
            }
        }
        if let (1, Some((name, _))) = (LUNGS.iter().filter(|lung| typed.contains(*lung)).count(), table) {
            let fault = Fault::new("needs both lung_resistance_pa_s_m3 and mouth_volume_cm3, or neither");
            self.problems.push(super::layer::problem(&self.place_of(name), "player", fault).without_value());
        }
        let mut assumed: Vec<Assumed> = ROWS.iter().filter(|row| !typed.contains(&row.name)).map(assumption).collect();
        if !typed.contains(&RISE) {
            assumed.push(assume(RISE, format!("{RISE_ASSUMED_MS} ms")));
        }
        self.refuse_disorder(&curves);
        let [soft_pa, normal_pa, hard_pa, time_allowed_s] =
            std::array::from_fn(|k| curves[k].take().map_or_else(|| ROWS[k].usual(), |(curve, ..)| curve));
        let profile = PlayerProfile {
            soft_pa,
            normal_pa,
            hard_pa,
            attack_rise_s: rise_s.unwrap_or(1e-3 * RISE_ASSUMED_MS),
            time_allowed_s,
        };
        PlayerTable { profile: (self.problems.len() == before).then_some(profile), lungs, assumed }
    }

    /// A number for all notes, or a table of notes.
    fn curve(&mut self, name: &Name<'_>, item: &Item<'_>, row: &Row) -> Option<NoteCurve> {
        let Some(table) = item.get_ref().as_table() else {
            if super::value::toml_number(item.get_ref()).is_none() {
                let fault =
                    Fault::new(format!("is {}; a number or a table of notes is needed", toml_kind(item.get_ref())));
                self.fault(
                    name,
                    item,
                    fault.cure(format!("write {} = {{ C4 = {}, C7 = {} }}", row.name, row.assumed.0, row.assumed.1)),
                );
                return None;
            }
            let everywhere = self.number(name, item, row.least, row.most, row.reason)?;
            return NoteCurve::new(vec![(Note::from_midi(60)?, row.factor * everywhere)]);
        };
        let before = self.problems.len();
        let mut points: Vec<(Note, f64)> = Vec::new();
        for (note_name, value) in table {
            let Some(note) = Note::parse(note_name.get_ref()) else {
                let fault = Fault::new("is no note").cure("write letter, sharp or flat, octave: C4, \"F#5\", Bb3");
                self.problems
                    .push(super::layer::problem(&self.place_of(note_name), note_name.get_ref(), fault).without_value());
                continue;
            };
            let value_si = self.number(note_name, value, row.least, row.most, row.reason);
            if points.iter().any(|point| point.0 == note) {
                self.fault(note_name, value, Fault::new("is a note that stands twice").cure("keep one of the two"));
            }
            points.extend(value_si.map(|value| (note, row.factor * value)));
        }
        if points.is_empty() && self.problems.len() == before {
            self.fault(
                name,
                item,
                Fault::new("has no note").cure(format!("write {} = {{ C4 = {} }}", row.name, row.assumed.0)),
            );
        }
        if self.problems.len() == before { NoteCurve::new(points) } else { None }
    }

    /// Soft must be below normal, normal below hard, at every note.
    fn refuse_disorder(&mut self, curves: &[Option<(NoteCurve, &Name<'_>, &Item<'_>)>; 4]) {
        for (lower, upper) in [(0, 1), (1, 2), (0, 2)] {
            let curve = |k: usize| curves[k].as_ref().map_or_else(|| ROWS[k].usual(), |(curve, ..)| curve.clone());
            let (below, above) = (curve(lower), curve(upper));
            let mut notes = below.points().iter().chain(above.points()).map(|point| point.0);
            let Some(note) = notes.find(|&note| below.at(note) >= above.at(note)) else { continue };
            let Some((_, name, item)) = curves[upper].as_ref().or(curves[lower].as_ref()) else { continue };
            let message = format!(
                "makes {} ({}) no lower than {} ({}) at {note}",
                ROWS[lower].name,
                below.at(note),
                ROWS[upper].name,
                above.at(note)
            );
            self.fault(name, item, Fault::new(message).cure("soft is below normal, normal below hard"));
            return;
        }
    }
}

impl Row {
    fn usual(&self) -> NoteCurve {
        let note = |midi: i32| Note::from_midi(midi).expect("a MIDI number");
        let points = vec![(note(60), self.factor * self.assumed.0), (note(96), self.factor * self.assumed.1)];
        NoteCurve::new(points).expect("two notes and positive values")
    }
}

fn assumption(row: &Row) -> Assumed {
    assume(row.name, format!("{} {} at C4 to {} {} at C7", row.assumed.0, row.unit, row.assumed.1, row.unit))
}

fn assume(name: &str, value: String) -> Assumed {
    Assumed { key: format!("player.{name}"), value, why: WHY.to_owned() }
}
