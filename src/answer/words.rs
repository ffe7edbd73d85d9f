//! What a change does, in a maker's words. Every number and every direction is computed.

use super::compare::{Line, ROUND_OFF};
use super::conditions::Conditions;
use super::quantity::Quantity;
use crate::sheet::notes;
use crate::units;

/// How a change of one result is said: `{}` is the size of the difference.
struct Saying {
    less: &'static str,
    more: &'static str,
}

const fn saying(less: &'static str, more: &'static str) -> Saying {
    Saying { less, more }
}

impl Line {
    /// What the change does to this result, as a phrase; nothing where there is nothing to say.
    pub fn words(&self, conditions: &Conditions) -> Option<String> {
        let at = units::pascal(conditions.pressure_pa);
        let limit = units::pascal(conditions.search.limit_pa);
        let quantity = self.before.quantity;
        let words = match (self.before.value, self.after.value) {
            (Some(before), Some(after)) => return self.compared(before, after, &at),
            (None, None) => match quantity {
                Quantity::Onset => format!("starts at no pressure below {limit}, as before"),
                Quantity::PlayableLow if self.after.note != Some("never speaks") => {
                    "speaks in time at no pressure, as before".to_owned()
                }
                _ => return None,
            },
            (gone, here) => match (quantity, gone.or(here)?) {
                (Quantity::Choke, pressure) => {
                    let pressure = units::pascal(pressure);
                    if self.chokes_before_or_after_only() {
                        one_way(here, format!("now chokes above {pressure}"), format!("no longer chokes below {limit}"))
                    } else {
                        return None;
                    }
                }
                (Quantity::Onset, pressure) => one_way(
                    here,
                    format!("now starts, from {}", units::pascal(pressure)),
                    format!("no longer starts at any pressure below {limit}"),
                ),
                (Quantity::HalfTime, time) => one_way(
                    here,
                    format!("now speaks at {at}, after {}", units::seconds(time)),
                    format!("no longer speaks at {at}"),
                ),
                (Quantity::PlayableLow, pressure) => one_way(
                    here,
                    format!("now speaks in time, from {}", units::pascal(pressure)),
                    "no longer speaks in time at any pressure".to_owned(),
                ),
                _ => return None,
            },
        };
        Some(words)
    }

    /// A reed that never starts has no choke either: that is said once.
    fn chokes_before_or_after_only(&self) -> bool {
        let silent = |note: Option<&str>| note == Some("never speaks");
        !silent(self.before.note) && !silent(self.after.note)
    }

    fn compared(&self, before: f64, after: f64, at: &str) -> Option<String> {
        let (saying, size, now) = self.said(before, after, at)?;
        let way = if after < before { saying.less } else { saying.more };
        let words = format!("{}{now}", way.replace("{}", &size).replace("{at}", at));
        let doubt = match self.uncertainty {
            _ if self.is_sure() => "",
            Some(_) => " - less than can be told for sure",
            None => "",
        };
        Some(words + doubt)
    }

    /// The saying, the size of the difference, and what it comes to; nothing where it rounds to nothing.
    fn said(&self, before: f64, after: f64, at: &str) -> Option<(Saying, String, String)> {
        let off = (after - before).abs();
        if off <= ROUND_OFF * before.abs() {
            return None;
        }
        let to = |unit: fn(f64) -> String| format!(" (at {} instead of {})", unit(after), unit(before));
        let pascal = units::rough("Pa", off);
        let percent = || format!("{} %", units::significant(100.0 * off / before.abs(), 2));
        let shown = match self.before.quantity {
            Quantity::Plucked => {
                let cents = units::cents_size(notes::cents(after, before));
                (saying("plucks {} lower", "plucks {} higher"), cents, String::new())
            }
            Quantity::Onset => (saying("starts {} softer", "starts {} harder"), pascal, to(units::pascal)),
            Quantity::Choke => {
                let now = format!(": now above {}, before above {}", units::pascal(after), units::pascal(before));
                (saying("chokes {} lower", "chokes {} higher"), pascal, now)
            }
            Quantity::HalfTime => {
                let now = format!(" at {at} (after {} instead of {})", units::seconds(after), units::seconds(before));
                (saying("speaks {} sooner", "speaks {} later"), units::rough("ms", off), now)
            }
            Quantity::PlayableLow => (
                saying("the softest quick note is {} softer", "the softest quick note is {} harder"),
                pascal,
                format!(" (from {} instead of {})", units::pascal(after), units::pascal(before)),
            ),
            Quantity::PlayableHigh => (
                saying("the hardest quick note is {} softer", "the hardest quick note is {} harder"),
                pascal,
                format!(" (to {} instead of {})", units::pascal(after), units::pascal(before)),
            ),
            Quantity::DynamicRange => {
                (saying("loses {} of dynamic range", "gains {} of dynamic range"), units::decibel(off), String::new())
            }
            Quantity::Level => {
                (saying("is {} quieter at {at}", "is {} louder at {at}"), units::decibel(off), String::new())
            }
            Quantity::Stress => (
                saying("bends {} less at {at}", "bends {} more at {at}"),
                percent(),
                format!(" ({} instead of {})", units::stress(after), units::stress(before)),
            ),
            Quantity::Air => (saying("uses {} less air at {at}", "uses {} more air at {at}"), percent(), String::new()),
            _ => return None,
        };
        Some(shown)
    }
}

fn one_way(after: Option<f64>, gained: String, lost: String) -> String {
    if after.is_some() { gained } else { lost }
}
