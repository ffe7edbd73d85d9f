//! The top of the report: whose set it is, for whom, when.

use maud::{Markup, html};

use super::Report;
use crate::print::in_words::in_words;
use crate::sheet::notes::class_name;
use crate::sheet::{NoteCurve, Temperament, Tuning};
use crate::units::{metres, pascal, seconds, significant};

impl Report<'_> {
    pub(super) fn head(&self) -> Markup {
        html! {
            header {
                p.kind { "Report on a set of reeds" }
                h1 { (self.name()) }
                dl.facts {
                    @for (name, value) in self.facts() { div { dt { (name) } dd { (value) } } }
                }
            }
        }
    }

    /// What the set was made and judged for.
    pub(super) fn asked(&self) -> Markup {
        html! {
            section.asked {
                h2 { "What is asked" }
                dl.facts {
                    @for (name, value) in self.built().into_iter().chain(self.demands()) {
                        div.wide { dt { (name) } dd { (value) } }
                    }
                }
                @for note in &self.job.notes { p.small { "Note: " (in_words(note)) "." } }
            }
        }
    }

    fn built(&self) -> [(&'static str, String); 2] {
        [("Tuning", tuning(&self.job.instrument.tuning)), ("Plate", self.plate())]
    }

    fn facts(&self) -> Vec<(&'static str, String)> {
        let player = &self.job.player;
        let rows = self.assessment.reeds.len();
        let mut facts = vec![
            ("Made on", self.date.to_string()),
            ("Player", player.name.clone().unwrap_or_else(|| "not named".to_owned())),
            ("Instrument", self.instrument()),
            ("Measured", format!("{} of {rows} reeds", self.assessment.good_rows().count())),
        ];
        if let Some(newest) = self.job.rounds.last() {
            let count = self.job.rounds.len();
            facts.push(("Rounds", format!("{count}, the newest {}", newest.name())));
        }
        facts
    }

    /// What the player asks.
    fn demands(&self) -> [(&'static str, String); 4] {
        let player = &self.job.player;
        [
            ("Soft playing", self.curve("soft_pa", &player.soft_pa, pascal)),
            ("Normal playing", self.curve("normal_pa", &player.normal_pa, pascal)),
            ("Hard playing", self.curve("hard_pa", &player.hard_pa, pascal)),
            ("Time allowed", self.curve("time_allowed_ms", &player.time_allowed_s, seconds)),
        ]
    }

    fn instrument(&self) -> String {
        let instrument = &self.job.instrument;
        let layout = instrument.layout.as_ref().map(|layout| format!("layout {layout}"));
        let key = instrument.key_class.map(|key| format!("key {}", class_name(key)));
        let parts: Vec<String> = layout.into_iter().chain(key).collect();
        if parts.is_empty() { "layout and key not given".to_owned() } else { parts.join(", ") }
    }

    fn plate(&self) -> String {
        let thickness = |thickest: bool| {
            let all = self.assessment.good_rows().map(|reed| reed.reed.checked.reed.slot.plate_thickness_m);
            if thickest { all.reduce(f64::max) } else { all.reduce(f64::min) }
        };
        match (thickness(false), thickness(true)) {
            (Some(least), Some(most)) if most - least < 5e-7 => format!("{} thick", metres(least)),
            (Some(least), Some(most)) => format!("{} to {} thick", metres(least), metres(most)),
            _ => "not known".to_owned(),
        }
    }

    /// What the player gives over the notes, and whether that is assumed.
    fn curve(&self, key: &str, curve: &NoteCurve, show: fn(f64) -> String) -> String {
        let of = format!("player.{key}");
        let assumed = if self.job.assumed.iter().any(|assumed| assumed.key == of) { " (assumed)" } else { "" };
        let points: Vec<String> = match curve.points() {
            [only] => vec![format!("{} at every note", show(only.1))],
            points => points.iter().map(|(note, value)| format!("{} at {note}", show(*value))).collect(),
        };
        format!("{}{assumed}", points.join(", "))
    }
}

fn tuning(tuning: &Tuning) -> String {
    let name = Temperament::NAMES.iter().find(|(_, known)| *known == tuning.temperament).map_or("", |(name, _)| *name);
    let mut parts = vec![format!("A4 {} Hz", significant(tuning.concert_pitch_hz, 4)), name.to_owned()];
    let stretch = tuning.stretch_cents_per_octave;
    parts.extend((stretch != 0.0).then(|| format!("octaves stretched {stretch:+} cents")));
    let offsets = !tuning.class_offsets_cents.is_empty() || !tuning.note_offsets_cents.is_empty();
    parts.extend(offsets.then(|| "with offsets of its own".to_owned()));
    parts.join(", ")
}
