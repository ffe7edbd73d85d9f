//! `[player]` of a job: how hard is soft, normal and hard, and how long a reed may take.

mod quantity;
mod starts;

pub use starts::{STARTS, Start};

use toml::de::DeTable;

use super::checked::Assumed;
use super::curve::NoteCurve;
use super::keys::{Table, find_in};
use super::layer::{Layer, problem};
use super::notes::Note;
use super::toml_text::{Item, Name, Reading};
use super::value::{Fault, rounded};
pub(super) use quantity::quantities;
use quantity::{PRESSURES, Quantity, TIME};

/// A player: pressures over pitch, attack, patience.
#[derive(Debug, Clone, PartialEq)]
pub struct PlayerProfile {
    /// What the player is called.
    pub name: Option<String>,
    /// Mouth pressure of soft playing (Pa).
    pub soft_pa: NoteCurve,
    /// Mouth pressure of normal playing (Pa).
    pub normal_pa: NoteCurve,
    /// Mouth pressure of hard playing (Pa).
    pub hard_pa: NoteCurve,
    /// Rise time of an attack (s).
    pub attack_rise_s: f64,
    /// Time a reed may take to speak (s): as typed, else [`PlayerProfile::SPEAKING_SHARE`] of the shortest note, else
    /// the starting player's.
    pub time_allowed_s: NoteCurve,
    /// Notes per second in the fastest playing, where it was typed.
    pub fastest_notes_per_s: Option<f64>,
}

impl PlayerProfile {
    /// Share of its duration in which a note must speak where no time is typed: a note that reaches half its swing
    /// later than half-way is heard as missing. A rule of ours, no measurement.
    pub const SPEAKING_SHARE: f64 = 0.5;
}

/// Name, range and reason of the keys that are one number.
pub(super) const RISE: (&str, f64, f64, &str) =
    ("attack_rise_ms", 0.1, 5000.0, "ms, from a tongued start to a slow swell");
pub(super) const FASTEST: (&str, f64, f64, &str) =
    ("fastest_notes_per_s", 0.2, 50.0, "notes per second, from one note a breath to faster than any tongue or finger");
const NAME: &str = "name";
const START: &str = "start";
const LUNGS: [&str; 2] = ["lung_resistance_pa_s_m3", "mouth_volume_cm3"];

/// What a job says of its player.
pub(super) struct PlayerTable {
    pub(super) profile: Option<PlayerProfile>,
    /// Lungs and mouth, for every reed.
    pub(super) lungs: Layer,
    pub(super) assumed: Vec<Assumed>,
}

/// A curve that was typed.
struct Typed<'a, 't> {
    quantity: Quantity,
    /// None where it is wrong.
    curve: Option<NoteCurve>,
    name: &'a Name<'t>,
    item: &'a Item<'t>,
}

/// What was typed so far.
#[derive(Default)]
struct Player<'a, 't> {
    name: Option<String>,
    curves: Vec<Typed<'a, 't>>,
    rise_ms: Option<f64>,
    fastest_notes_per_s: Option<f64>,
    start: Option<Start>,
    lungs: Layer,
}

impl Reading<'_> {
    /// Reads `[player]`, or assumes one.
    pub(super) fn player(&mut self, table: Option<(&Name<'_>, &Item<'_>)>) -> PlayerTable {
        let entries = table.and_then(|(name, item)| self.table(name, item));
        let before = self.problems.len();
        let mut player = Player::default();
        for (name, item) in entries.into_iter().flatten() {
            self.player_key(name, item, &mut player);
        }
        // TOML tables come in the order of their names; complaints follow the text.
        player.curves.sort_by_key(|typed| typed.item.span().start);
        if let Some((name, entries)) = table.map(|table| table.0).zip(entries) {
            self.refuse_half_lungs(name, entries);
        }
        self.refuse_two_units(&player);
        let start = player.start.unwrap_or(Start::USUAL);
        self.refuse_disorder(&player, start);
        let typed = |key: &str| entries.is_some_and(|entries| entries.iter().any(|(name, _)| name.get_ref() == key));
        let assumed = player.assumed(start, typed(RISE.0));
        let profile = (self.problems.len() == before).then(|| player.profile(start));
        PlayerTable { profile, lungs: player.lungs, assumed }
    }

    fn player_key<'a, 't>(&mut self, name: &'a Name<'t>, item: &'a Item<'t>, player: &mut Player<'a, 't>) {
        let key: &str = name.get_ref();
        let all = quantities();
        if let Some(quantity) = all.iter().find(|quantity| quantity.name() == key) {
            let curve = self.curve(name, item, quantity);
            player.curves.push(Typed { quantity: quantity.clone(), curve, name, item });
        } else if key == RISE.0 {
            player.rise_ms = self.number(name, item, RISE.1, RISE.2, RISE.3);
        } else if key == FASTEST.0 {
            player.fastest_notes_per_s = self.number(name, item, FASTEST.1, FASTEST.2, FASTEST.3);
        } else if key == NAME {
            player.name = self.text(name, item);
        } else if key == START {
            player.start = self.start(name, item);
        } else if let Some(key) = find_in(Table::Player, key) {
            self.entry(key, item, &mut player.lungs);
        } else {
            let others = [NAME, RISE.0, FASTEST.0, START].into_iter().chain(LUNGS);
            let known: Vec<&str> = all.iter().map(Quantity::name).chain(others).collect();
            self.unknown(name, &known);
        }
    }

    fn start(&mut self, name: &Name<'_>, item: &Item<'_>) -> Option<Start> {
        let text = self.text(name, item)?;
        let found = Start::find(&text);
        if found.is_none() {
            let known = STARTS.map(|start| format!("{} ({})", start.name, start.words)).join(", ");
            let fault = Fault::new("is no player to start from").allowed(known);
            self.fault(name, item, fault.cure("take one of these, or leave it out and type the pressures"));
        }
        found
    }

    fn refuse_half_lungs(&mut self, name: &Name<'_>, entries: &DeTable<'_>) {
        if entries.iter().filter(|(key, _)| LUNGS.contains(&key.get_ref().as_ref())).count() == 1 {
            let fault = Fault::new("needs both lung_resistance_pa_s_m3 and mouth_volume_cm3, or neither");
            self.problems.push(problem(&self.place_of(name), "player", fault).without_value());
        }
    }

    /// A curve in two units is told with both names.
    fn refuse_two_units(&mut self, player: &Player<'_, '_>) {
        for (k, second) in player.curves.iter().enumerate() {
            let earlier = player.curves[..k].iter().find(|first| first.quantity.curve == second.quantity.curve);
            let Some(first) = earlier else { continue };
            let message = format!("is given, and so is {}, which says the same in another unit", first.quantity.name());
            self.fault(second.name, second.item, Fault::new(message).cure("keep one of the two"));
        }
    }

    /// Soft must be below normal, normal below hard, at every note.
    fn refuse_disorder(&mut self, player: &Player<'_, '_>, start: Start) {
        for (lower, upper) in [(0, 1), (1, 2), (0, 2)] {
            let (below, above) = (player.pressure(lower, start), player.pressure(upper, start));
            let mut notes = below.points().iter().chain(above.points()).map(|point| point.0);
            let Some(note) = notes.find(|&note| below.at(note) >= above.at(note)) else { continue };
            let Some(typed) = player.typed(upper).or_else(|| player.typed(lower)) else { continue };
            let value = |curve: &NoteCurve| rounded(curve.at(note));
            let message = format!(
                "makes {}_pa ({}) no lower than {}_pa ({}) at {note}",
                PRESSURES[lower],
                value(&below),
                PRESSURES[upper],
                value(&above)
            );
            let cure = match [lower, upper].into_iter().find(|curve| player.typed(*curve).is_none()) {
                Some(assumed) => format!("soft is below normal, normal below hard; type {} too", PRESSURES[assumed]),
                None => "soft is below normal, normal below hard".to_owned(),
            };
            self.fault(typed.name, typed.item, Fault::new(message).cure(cure));
            return;
        }
    }
}

impl<'a, 't> Player<'a, 't> {
    fn typed(&self, curve: usize) -> Option<&Typed<'a, 't>> {
        self.curves.iter().find(|typed| typed.quantity.curve == curve)
    }

    /// A curve as typed; none where it was not, or is wrong.
    fn curve(&self, curve: usize) -> Option<NoteCurve> {
        self.typed(curve)?.curve.clone()
    }

    fn pressure(&self, curve: usize, start: Start) -> NoteCurve {
        self.curve(curve).unwrap_or_else(|| from_c4_to_c7(start.pressures_pa()[curve]))
    }

    fn profile(&self, start: Start) -> PlayerProfile {
        let (low_ms, high_ms) = start.time_allowed_ms;
        let of_fastest = self.shortest_allowed_s().map(|seconds| from_c4_to_c7((seconds, seconds)));
        let time = self.curve(3).or(of_fastest).unwrap_or_else(|| from_c4_to_c7((1e-3 * low_ms, 1e-3 * high_ms)));
        PlayerProfile {
            name: self.name.clone(),
            soft_pa: self.pressure(0, start),
            normal_pa: self.pressure(1, start),
            hard_pa: self.pressure(2, start),
            attack_rise_s: 1e-3 * self.rise_ms.unwrap_or(start.attack_rise_ms),
            time_allowed_s: time,
            fastest_notes_per_s: self.fastest_notes_per_s,
        }
    }

    /// The time allowed by the fastest playing (s): share of a note's duration, `0.5 / rate`.
    fn shortest_allowed_s(&self) -> Option<f64> {
        self.fastest_notes_per_s.map(|rate| PlayerProfile::SPEAKING_SHARE / rate)
    }

    fn assumed(&self, start: Start, rise_typed: bool) -> Vec<Assumed> {
        let why = match self.start {
            Some(start) => format!("of the starting player \"{}\", made up; measure your own", start.name),
            None => "no player was described; a believable one".to_owned(),
        };
        let assume = |key: String, value: String, why: &str| Assumed {
            key: format!("player.{key}"),
            value,
            why: why.to_owned(),
        };
        let range = |(low, high): (f64, f64), unit: &str| format!("{low} {unit} at C4 to {high} {unit} at C7");
        let left_out = (0..3).filter(|curve| self.typed(*curve).is_none());
        let mut all: Vec<Assumed> = left_out
            .map(|curve| assume(format!("{}_pa", PRESSURES[curve]), range(start.pressures_cmh2o[curve], "cmH2O"), &why))
            .collect();
        if self.typed(3).is_none() {
            all.push(match self.shortest_allowed_s() {
                Some(seconds) => assume(
                    TIME.to_owned(),
                    format!("{} ms at every note", rounded(1e3 * seconds)),
                    "half of the shortest note, by fastest_notes_per_s",
                ),
                None => assume(TIME.to_owned(), range(start.time_allowed_ms, "ms"), &why),
            });
        }
        if !rise_typed {
            all.push(assume(RISE.0.to_owned(), format!("{} ms", start.attack_rise_ms), &why));
        }
        all
    }
}

fn from_c4_to_c7((low, high): (f64, f64)) -> NoteCurve {
    let note = |midi: i32| Note::from_midi(midi).expect("a MIDI number");
    NoteCurve::new(vec![(note(60), low), (note(96), high)]).expect("two notes and positive values")
}
