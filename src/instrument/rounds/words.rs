//! Rounds in words: what was done, expected and measured.

use super::ReedRound;
use super::change::Changed;
use super::fit::{Estimate, Fit};
use super::outcome::{Basis, Outcome, Quantity};
use crate::units;

impl ReedRound {
    /// What was done, in a word; a dash where nothing was.
    pub fn done(&self) -> &'static str {
        match (self.operation, self.replaced) {
            (Some(operation), _) => operation.name(),
            (None, true) => "replace",
            (None, false) => "-",
        }
    }

    /// What was changed, expected and measured, each a sentence without its point; never none.
    pub fn sentences(&self) -> Vec<String> {
        let changed =
            self.changed.iter().filter(|changed| !is_measured(changed, &self.outcomes)).map(Changed::sentence);
        let mut sentences: Vec<String> = changed.chain(self.outcomes.iter().map(Outcome::sentence)).collect();
        if sentences.is_empty() {
            sentences.push("nothing measured".to_owned());
        }
        if !self.blank.is_empty() {
            sentences.push(format!("left blank: {}", self.blank.join(", ")));
        }
        sentences
    }
}

/// Whether a change is told with what was measured.
fn is_measured(changed: &Changed, outcomes: &[Outcome]) -> bool {
    changed.key.name == "tip_gap_mm" && outcomes.iter().any(|outcome| outcome.quantity == Quantity::TipGap)
}

impl Changed {
    /// The input before and after.
    pub fn sentence(&self) -> String {
        let unit = if self.key.unit.is_empty() { String::new() } else { format!(" {}", self.key.unit) };
        let before = self.before.as_ref().map_or("not known".to_owned(), ToString::to_string);
        format!("{} {before} -> {}{unit}", self.key.words(), self.after)
    }
}

impl Outcome {
    /// What was measured, beside what was expected or why nothing was.
    pub fn sentence(&self) -> String {
        let (name, show): (_, fn(f64) -> String) = match self.quantity {
            Quantity::Pluck => ("plucked", units::hertz),
            Quantity::TipGap => ("tip gap", units::metres),
            Quantity::RingDown => ("ring-down", units::seconds),
            Quantity::SoftestBlow => ("softest blow", units::pascal),
        };
        let before = self.before.map_or(String::new(), |before| format!(" (before {})", show(before)));
        let measured = format!("{name} {}{before}", show(self.measured));
        let (Some(expected), Some(off)) = (self.expected, self.off()) else {
            return format!("{measured}, {}", no_expectation(self.basis));
        };
        let give = self
            .doubt
            .map_or(String::new(), |doubt| format!(" give or take {} %", units::significant(100.0 * doubt, 2)));
        let off = match self.quantity {
            Quantity::Pluck => units::cents(self.off_cents().unwrap_or(0.0)),
            Quantity::TipGap => format!("{:+.3} mm", 1e3 * (self.measured - expected)),
            _ => format!("{}{} %", if off < 0.0 { "" } else { "+" }, units::significant(100.0 * off, 2)),
        };
        let beyond = if self.is_surprise() {
            ", MORE THAN EXPECTED: measure again, or look for a change nobody wrote down"
        } else {
            ""
        };
        let basis = match self.basis {
            Basis::Aim => "aimed at",
            Basis::Unchanged => "nothing done to it, expected",
            _ => "expected",
        };
        format!("{measured}, {basis} {}{give}: off by {off}{beyond}", show(expected))
    }
}

fn no_expectation(basis: Basis) -> &'static str {
    match basis {
        Basis::NotKnownBefore => "nothing expected: the reed was not fully measured before",
        Basis::NeverSpeaks => "nothing expected: the model's reed does not speak",
        _ => "nothing expected: neither an aim nor a changed size is typed",
    }
}

impl Fit {
    /// What it leans on, and what it makes of the set.
    pub fn sentence(&self) -> String {
        let [ring_downs, leak_tests, blows] = self.counts;
        let counted = |count: usize, one: &str, more: &str| format!("{count} {}", if count == 1 { one } else { more });
        format!(
            "Fitted to {}, {} and {} (fitted, not measured; the true value lies in the range four times in five): the set loses \
             like Q {}, its reeds scatter by {} %.",
            counted(ring_downs, "ring-down", "ring-downs"),
            counted(leak_tests, "leak test", "leak tests"),
            counted(blows, "softest blow", "softest blows"),
            self.common.words(),
            units::significant(100.0 * self.scatter, 2),
        )
    }
}

impl Estimate {
    /// Value and range of a number without a unit.
    pub fn words(self) -> String {
        let [value, low, high] = [self.value, self.low, self.high].map(|value| units::significant(value, 2));
        format!("{value} ({low} to {high})")
    }
}
