//! `[instrument]` of a job: name, layout, key, and how it is tuned.

use toml::de::DeTable;

use super::checked::Assumed;
use super::csv_sheet::{Breath, SheetRow, Slide};
use super::layer::problem;
use super::layout::solo_step;
use super::notes::{A4, Note, class_name, parse_class};
use super::toml_text::{Item, Name, Reading};
use super::tuning::{Temperament, Tuning};
use super::value::Fault;

pub(super) const KEYS: [&str; 9] = [
    "name",
    "layout",
    "wind",
    "key",
    "concert_pitch_hz",
    "temperament",
    "offsets_cents",
    "stretch_cents_per_octave",
    "stretch_centre",
];

/// What blows the instrument.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Wind {
    /// A mouth, through a channel to each chamber.
    #[default]
    Mouth,
    /// Bellows, through a large windchest.
    Bellows,
}

impl Wind {
    /// Their names in a job.
    pub(super) const NAMES: [(&str, Self); 2] = [("mouth", Self::Mouth), ("bellows", Self::Bellows)];
}

/// The instrument as the job describes it.
#[derive(Debug, Clone, Default, PartialEq, serde::Serialize)]
pub struct Instrument {
    /// What it is called.
    pub name: Option<String>,
    /// Which notes are in which hole: "solo" is checked against the sheet, any other word is kept as it is.
    pub layout: Option<String>,
    /// What blows it.
    pub wind: Wind,
    /// Pitch class of the key (0 = C), where it was stated.
    pub key_class: Option<i32>,
    /// How it should be tuned while it sounds.
    pub tuning: Tuning,
}

impl Reading<'_> {
    /// Reads `[instrument]`, or assumes equal temperament at 440 Hz.
    pub(super) fn instrument(&mut self, table: Option<(&Name<'_>, &Item<'_>)>) -> (Instrument, Vec<Assumed>) {
        let mut instrument = Instrument::default();
        let entries = table.and_then(|(name, item)| self.table(name, item));
        let mut temperament_at = None;
        for (name, item) in entries.into_iter().flatten() {
            match name.get_ref().as_ref() {
                "name" => instrument.name = self.text(name, item),
                "layout" => instrument.layout = self.text(name, item),
                "wind" => instrument.wind = self.wind(name, item).unwrap_or_default(),
                "key" => instrument.key_class = self.key(name, item),
                "concert_pitch_hz" => {
                    let hz = self.number(name, item, 380.0, 500.0, "Hz of A4, from old low pitches to sharp ones");
                    instrument.tuning.concert_pitch_hz = hz.unwrap_or(440.0);
                }
                "temperament" => {
                    instrument.tuning.temperament = self.temperament(name, item).unwrap_or(Temperament::Equal);
                    temperament_at = Some((name, item));
                }
                "offsets_cents" => {
                    if let Some(offsets) = self.table(name, item) {
                        self.offsets(offsets, &mut instrument.tuning);
                    }
                }
                "stretch_cents_per_octave" => {
                    let reason = "cents, more than any ear asks for; positive widens the octaves";
                    let stretch = self.number(name, item, -20.0, 20.0, reason);
                    instrument.tuning.stretch_cents_per_octave = stretch.unwrap_or(0.0);
                }
                "stretch_centre" => {
                    let centre = self.note(name, item);
                    instrument.tuning.stretch_centre = centre.map_or(A4, Note::midi);
                }
                _ => {
                    self.unknown(name, &KEYS);
                }
            }
        }
        let typed = |key: &str| entries.is_some_and(|entries| entries.iter().any(|(name, _)| name.get_ref() == key));
        if let (true, false, Some((name, item))) =
            (instrument.tuning.temperament != Temperament::Equal, typed("key"), temperament_at)
        {
            self.fault(
                name,
                item,
                Fault::new("is built over a key, which is not given").cure("give key, for example key = \"C\""),
            );
        }
        instrument.tuning.key_class = instrument.key_class.unwrap_or(0);
        (instrument, assumed(typed))
    }

    fn wind(&mut self, name: &Name<'_>, item: &Item<'_>) -> Option<Wind> {
        let text = self.text(name, item)?;
        let found = Wind::NAMES.iter().find(|(known, _)| known.eq_ignore_ascii_case(&text)).map(|(_, wind)| *wind);
        if found.is_none() {
            let known = Wind::NAMES.map(|(known, _)| known).join(", ");
            self.fault(name, item, Fault::new("is no wind that is known").allowed(known));
        }
        found
    }

    fn key(&mut self, name: &Name<'_>, item: &Item<'_>) -> Option<i32> {
        let text = self.text(name, item)?;
        let class = parse_class(&text);
        if class.is_none() {
            self.fault(
                name,
                item,
                Fault::new("is no key").cure("write letter and sharp or flat: \"C\", \"Bb\", \"F#\""),
            );
        }
        class
    }

    fn note(&mut self, name: &Name<'_>, item: &Item<'_>) -> Option<Note> {
        let text = self.text(name, item)?;
        let note = Note::parse(&text);
        if note.is_none() {
            let fault = Fault::new("is no note").cure("write letter, sharp or flat, octave: \"C4\", \"F#5\", \"Bb3\"");
            self.fault(name, item, fault);
        }
        note
    }

    fn temperament(&mut self, name: &Name<'_>, item: &Item<'_>) -> Option<Temperament> {
        let text = self.text(name, item)?;
        let found = Temperament::NAMES.iter().find(|(known, _)| known.eq_ignore_ascii_case(&text)).map(|(_, t)| *t);
        if found.is_none() {
            let known = Temperament::NAMES.map(|(known, _)| known).join(", ");
            self.fault(name, item, Fault::new("is no known temperament").allowed(known).cure("or give offsets_cents"));
        }
        found
    }

    /// Cents by note or by pitch class.
    fn offsets(&mut self, table: &DeTable<'_>, tuning: &mut Tuning) {
        for (name, item) in table {
            let note = Note::parse(name.get_ref()).map(Note::midi);
            let class = parse_class(name.get_ref());
            let cents = self.number(name, item, -100.0, 100.0, "cents, less than a semitone");
            let (list, number) = match (note, class) {
                (Some(midi), _) => (&mut tuning.note_offsets_cents, midi),
                (None, Some(class)) => (&mut tuning.class_offsets_cents, class),
                (None, None) => {
                    let fault = Fault::new("is no note").cure("write a note (E4, \"F#5\") or a pitch class (E, Bb)");
                    self.problems.push(problem(&self.place_of(name), name.get_ref(), fault).without_value());
                    continue;
                }
            };
            if list.iter().any(|(known, _)| *known == number) {
                self.fault(name, item, Fault::new("is a note that stands twice").cure("keep one of the two"));
            }
            list.extend(cents.map(|cents| (number, cents)));
        }
    }
}

/// What is assumed of the tuning where it was not typed.
fn assumed(typed: impl Fn(&str) -> bool) -> Vec<Assumed> {
    let usual = [
        ("concert_pitch_hz", "440 Hz", "no concert pitch was stated (ISO 16:1975)"),
        ("temperament", "equal", "no temperament was stated"),
        (
            "wind",
            "mouth",
            "not stated; chambers and weight at the tip that are not typed are those of a mouth-blown set",
        ),
    ];
    let centre = ("stretch_centre", "A4", "a stretch was stated without its centre");
    let centre = typed("stretch_cents_per_octave").then_some(centre);
    let left_out = usual.into_iter().chain(centre).filter(|(key, ..)| !typed(key));
    let assumption = |(key, value, why): (&str, &str, &str)| Assumed {
        key: format!("instrument.{key}"),
        value: value.to_owned(),
        why: why.to_owned(),
    };
    left_out.map(assumption).collect()
}

impl Instrument {
    /// What is odd about the note of a row, where the layout is solo and the key is stated: blow C E G C, draw D F A B,
    /// the slide a semitone higher; the highest draw reed with the slide in may be a whole tone up instead.
    pub(super) fn oddity(&self, row: &SheetRow, highest_hole: u32) -> Option<String> {
        let solo = self.layout.as_deref().is_some_and(|layout| layout.eq_ignore_ascii_case("solo"));
        let key = self.key_class.filter(|_| solo)?;
        let step = solo_step(row.hole, row.breath);
        let class = (key + step + i32::from(row.slide == Slide::In)).rem_euclid(12);
        let top = (row.breath, row.slide, row.hole) == (Breath::Draw, Slide::In, highest_hole);
        let fits = row.note.pitch_class() == class || (top && row.note.pitch_class() == (key + 2).rem_euclid(12));
        let (line, id, note) = (row.place.line(), row.id(), row.note);
        let message = || {
            format!("line {line}: {id} is {note}; a solo layout in {} has {} there", class_name(key), class_name(class))
        };
        (!fits).then(message)
    }
}
