//! Lesson: how much is physics, and how much is feel.

use maud::{Markup, html};

use super::Figure;
use super::bench::{Bench, Blown};
use super::lesson::{Lesson, table};
use super::words::{decapital, list, pressure};
use crate::physics::playable::{Demand, Edge, Playable};
use crate::predict::{Prediction, Question, Trust};
use crate::sheet::{Assumed, keys};
use crate::units::{decibel, metres, seconds, significant};

/// What is sure about this reed, and what is not.
#[derive(Debug, Clone, PartialEq)]
pub struct TrustLesson {
    /// Plucked pitch (Hz), how far it may be off (cents), and how far to trust it.
    pub pluck_hz: f64,
    /// See [`TrustLesson::pluck_hz`].
    pub pluck_cents: f64,
    /// See [`TrustLesson::pluck_hz`].
    pub pluck_trust: Trust,
    /// Least pressure that starts it (Pa).
    pub onset_pa: Option<f64>,
    /// The firm blow.
    pub firm: Blown,
    /// Time a player is supposed to allow (s).
    pub allowed_s: f64,
    /// Pressures at which it speaks in that time.
    pub playable: Option<Playable>,
    /// Loudness at 1 m at the soft and at the hard end of them (dB).
    pub levels_db: Option<(f64, f64)>,
    /// What was left out and assumed.
    pub assumed: Vec<Assumed>,
    /// What a reader should know of the values given.
    pub notes: Vec<String>,
    /// Pictures.
    pub figures: Vec<Figure>,
}

/// A player is supposed to wait for so long (s), or so many swings of a low reed.
const ALLOWED_S: f64 = 0.15;
const SWINGS_ALLOWED: f64 = 50.0;

impl TrustLesson {
    pub(super) fn of(bench: &Bench<'_>) -> Result<Self, crate::physics::InputError> {
        let prediction = Prediction::of(bench.checked, &Question::default())?;
        let pluck_hz = prediction.natural_frequency_hz;
        let allowed_s = ALLOWED_S.max(SWINGS_ALLOWED / pluck_hz);
        let playable =
            bench.model.playable(&bench.speaking, Demand { rise_s: 10e-3, allowed_s, stress_limit_pa: None });
        let level = |pressure_pa| Some(bench.blow(pressure_pa).steady?.level.db);
        let levels = |playable: Playable| Some((level(playable.low.pressure_pa)?, level(playable.high.pressure_pa)?));
        Ok(Self {
            pluck_hz,
            pluck_cents: prediction.natural_uncertainty_cents,
            pluck_trust: prediction.natural_trust(bench.checked),
            onset_pa: prediction.onset_pa(),
            firm: bench.blow(bench.blows.firm_pa),
            allowed_s,
            playable,
            levels_db: playable.and_then(levels),
            assumed: bench.checked.assumed.clone(),
            notes: bench.checked.notes.clone(),
            figures: Vec::new(),
        })
    }

    pub(super) fn lesson(&self) -> Lesson<'_> {
        Lesson {
            title: "How much is physics, and how much is feel",
            text: self.text(),
            figures: &self.figures,
            question: "Of the numbers in the table, which would you bet a day's work on, and which would you rather check with \
                       your own ears? What will no table tell you about this reed?"
                .to_owned(),
            answer: self.answer(),
        }
    }

    fn text(&self) -> Markup {
        html! {
            p {
                "Every number in this booklet was computed from a handful of sizes. None was heard. So how far may you lean on \
                 them? Three words say it."
                @for (word, trust) in [("Sure", Trust::Sure), ("Fair", Trust::Fair), ("Weak", Trust::Weak)] {
                    " " b { (word) } ": " (trust.meaning()) "."
                }
            }
            (table(
                "What is known of this reed",
                &["What", "How much", "Trust"],
                &self.rows().into_iter().map(|(what, much, trust)| (false, vec![what, much, word(trust).to_owned()])).collect::<Vec<_>>(),
            ))
            p { (self.playable_sentence()) }
            p {
                "And always: which of two reeds starts more softly, and which way a change will go, is surer than how much. That \
                 is why this booklet compares."
            }
            p {
                "Then there is all that the computation leaves out. It knows one reed in one chamber, blown by an ideal mouth. It \
                 does not know the neighbour reed, the comb that shivers along, the damp, the rivet that works loose. It does not \
                 know what a player calls sweet, or quick, or stubborn. That is learned with the hands and the ears, and it is \
                 half of the trade."
            }
            @if !self.assumed.is_empty() {
                p { "These values were not given for this reed, and were assumed. Each one you measure makes the rest surer:" }
                ul.assumed { @for one in &self.assumed { li { (assumption(one)) } } }
            }
            @for note in &self.notes { p.small { "Note: " (note) "." } }
        }
    }

    fn rows(&self) -> Vec<(String, String, Trust)> {
        let mut rows = vec![
            (
                "Plucked pitch".to_owned(),
                format!("{} Hz, within {} cents", significant(self.pluck_hz, 4), significant(self.pluck_cents, 2)),
                self.pluck_trust,
            ),
            (
                "Least pressure that starts it".to_owned(),
                self.onset_pa.map_or("never starts".to_owned(), pressure),
                Trust::Fair,
            ),
            (
                format!("Time to speak at {}", pressure(self.firm.pressure_pa)),
                super::words::answer(self.firm.answer),
                Trust::Fair,
            ),
        ];
        if let Some(steady) = &self.firm.steady {
            rows.push((
                "Swing of the tip then".to_owned(),
                format!("{} either way", metres(steady.tip_amplitude_m)),
                Trust::Weak,
            ));
            rows.push(("Loudness then, one metre away".to_owned(), decibel(steady.level.db), Trust::Weak));
        }
        rows
    }

    fn playable_sentence(&self) -> String {
        let wait = seconds(self.allowed_s);
        let Some(playable) = self.playable else {
            return format!("A player who allows {wait} finds no pressure at which this reed speaks in time.");
        };
        let high = match playable.high.edge {
            Edge::TooSlow => "above, it speaks too late",
            Edge::DoesNotStart => "above, it does not start",
            Edge::LimitOfSearch => "further was not tried",
            Edge::OverStressed => "above, it is strained too much",
        };
        let levels = match self.levels_db {
            Some((low, high)) if high > low + 0.5 => {
                format!(
                    " In between the tone grows by {} dB, from {} to {}.",
                    significant(high - low, 2),
                    decibel(low),
                    decibel(high)
                )
            }
            Some((low, high)) => format!(" The tone hardly grows in between: {} and {}.", decibel(low), decibel(high)),
            None => String::new(),
        };
        format!(
            "A player who allows {wait} can use this reed from {} to {}; below, it speaks too late, \
             and {high}.{levels}",
            pressure(playable.low.pressure_pa),
            pressure(playable.high.pressure_pa)
        )
    }

    fn answer(&self) -> String {
        let of = |wanted: Trust| -> Vec<String> {
            let rows = self.rows().into_iter().filter(|row| row.2 == wanted);
            rows.map(|row| decapital(&row.0)).collect()
        };
        let (sure, fair, weak) = (of(Trust::Sure), of(Trust::Fair), of(Trust::Weak));
        let sure = match sure.len() {
            0 => "Not on one of these numbers alone; the plucked pitch would be sure had it been measured. Bet on the order: which \
                  change helps."
                .to_owned(),
            _ => format!("Bet on the {}, and on the order: which change helps.", list(&sure)),
        };
        let weak = match weak.len() {
            0 => String::new(),
            _ => format!(" Check with your ears: {}.", list(&weak)),
        };
        format!(
            "{sure} In between: {}.{weak} What no table tells is how it feels to play. Ask the player.",
            list(&fair)
        )
    }
}

/// An assumed value in a few words: what it is and what was taken; why, where it is a bare number.
fn assumption(one: &Assumed) -> String {
    let row = keys::find(&one.key);
    let what = row.and_then(|row| row.meaning.split([',', ';', ':', '.']).next()).unwrap_or(&one.key);
    let is_bare = row.is_some_and(|row| row.unit.is_empty());
    let taken = if is_bare { &one.why } else { &one.value };
    format!("{what}: {}", taken.replace("m2", "m\u{b2}").replace("m3", "m\u{b3}"))
}

fn word(trust: Trust) -> &'static str {
    match trust {
        Trust::Sure => "sure",
        Trust::Fair => "fair",
        Trust::Weak => "weak",
    }
}
