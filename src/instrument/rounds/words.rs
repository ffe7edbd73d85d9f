//! Rounds in words: what was done, expected and measured.

use std::fmt::Write;

use super::change::Changed;
use super::fit::{Estimate, Fit};
use super::outcome::{Basis, Outcome, Quantity, Reach};
use super::{ReedRound, Spread};
use crate::sheet::Value;
use crate::units;

/// What stands in the last column, and what it means; those that occur are told below the rounds.
const WORDS: [(&str, &str); 10] = [
    ("within", "within what +- gives or takes, as two readings of three are"),
    ("within 2x", "within twice that, as nineteen of twenty are"),
    ("MORE", "off by more than that: measure again, or look for a change nobody wrote down"),
    ("as aimed", "as near to the aim as it can be read"),
    ("SHORT", "the work stopped short of its aim"),
    ("PAST", "the work went past its aim"),
    ("BESIDE", "off its aim by more than the reading"),
    ("no aim", "nothing is expected: neither an aim nor a changed size is typed"),
    ("new", "nothing is expected: the reed was not fully measured before"),
    ("silent", "nothing is expected: the model's reed does not speak"),
];

impl ReedRound {
    /// What the columns of a table of rounds hold, the reed and what was done first.
    pub const HEAD: [&str; 8] = ["reed", "done", "what", "before", "now", "expected or aim", "off", ""];

    /// What was done, in a word; a dash where nothing was.
    pub fn done(&self) -> &'static str {
        match (self.operation, self.replaced) {
            (Some(operation), _) => operation.name(),
            (None, true) => "replace",
            (None, false) => "-",
        }
    }

    /// The last six columns of [`ReedRound::HEAD`], a line for each thing that was changed or measured; never none.
    pub fn lines(&self) -> Vec<[String; 6]> {
        let changed = self.changed.iter().filter(|changed| !is_measured(changed, &self.outcomes)).map(changed_cells);
        let mut cells: Vec<[String; 6]> = changed.chain(self.outcomes.iter().map(Outcome::cells)).collect();
        if cells.is_empty() {
            cells.push(["nothing", "", "", "", "", ""].map(str::to_owned));
        }
        cells
    }
}

/// What the words of the last column of [`ReedRound::lines`] mean, as far as they occur.
pub fn legend(rows: &[ReedRound]) -> Option<String> {
    let used: Vec<&str> = rows.iter().flat_map(|row| &row.outcomes).map(verdict).collect();
    let mut told =
        "+-: by the tolerances of the job and what was known before, beside an aim by the reading alone".to_owned();
    for (word, meaning) in WORDS.iter().filter(|(word, _)| used.contains(word)) {
        let _ = write!(told, "; {word}: {meaning}");
    }
    (!used.is_empty()).then(|| format!("{told}."))
}

/// Whether a change is told with what was measured.
fn is_measured(changed: &Changed, outcomes: &[Outcome]) -> bool {
    changed.key.name == "tip_gap_mm" && outcomes.iter().any(|outcome| outcome.quantity == Quantity::TipGap)
}

fn changed_cells(changed: &Changed) -> [String; 6] {
    let unit = if changed.key.unit.is_empty() { String::new() } else { format!(" {}", changed.key.unit) };
    let show = |value: &Value| match value {
        Value::Stations(stations) => format!("{} places", stations.len()),
        value => format!("{value}{unit}"),
    };
    let before = changed.before.as_ref().map_or("-".to_owned(), show);
    [changed.key.words(), before, show(&changed.after), String::new(), String::new(), String::new()]
}

impl Outcome {
    /// Its name, as it was before, as it is now, what was expected, how far off it is, and what to think of that: the last six
    /// columns of [`ReedRound::HEAD`].
    pub fn cells(&self) -> [String; 6] {
        let (name, show): (_, fn(f64) -> String) = match self.quantity {
            Quantity::Pluck => ("plucked", units::hertz),
            Quantity::TipGap => ("tip gap", units::metres),
            Quantity::RingDown => ("ring-down", units::seconds),
            Quantity::SoftestBlow => ("softest blow", units::pascal),
        };
        let give = self.doubt.map_or(String::new(), |doubt| format!(" +- {}", doubt_words(self.quantity, doubt)));
        let off = match (self.expected, self.quantity) {
            (None, _) => None,
            (Some(_), Quantity::Pluck) => self.off_cents().map(units::cents),
            (Some(expected), Quantity::TipGap) => Some(format!("{:+.3} mm", 1e3 * (self.measured - expected))),
            _ => self.off().map(|off| format!("{:+.0} %", 100.0 * off)),
        };
        [
            name.to_owned(),
            self.before.map_or("-".to_owned(), show),
            show(self.measured),
            self.expected.map_or("-".to_owned(), |expected| format!("{}{give}", show(expected))),
            off.unwrap_or_else(|| "-".to_owned()),
            verdict(self).to_owned(),
        ]
    }
}

/// One of [`WORDS`].
fn verdict(outcome: &Outcome) -> &'static str {
    match (outcome.reach(), outcome.off_doubts().map(f64::abs), outcome.basis) {
        (Some(Reach::AsAimed), ..) => "as aimed",
        (Some(Reach::Short), ..) => "SHORT",
        (Some(Reach::Past), ..) => "PAST",
        (Some(Reach::Missed), ..) => "BESIDE",
        (None, Some(count), _) if count <= 1.0 => "within",
        (None, Some(count), _) if count <= 2.0 => "within 2x",
        (None, Some(_), _) => "MORE",
        (None, None, Basis::NotTyped) => "no aim",
        (None, None, Basis::NotKnownBefore) => "new",
        (None, None, Basis::NeverSpeaks) => "silent",
        (None, None, _) => "",
    }
}

fn doubt_words(quantity: Quantity, doubt: Spread) -> String {
    match (quantity, doubt) {
        (Quantity::Pluck, Spread::OfLogarithm(doubt)) => units::cents_size(1200.0 * doubt / std::f64::consts::LN_2),
        (_, Spread::OfLogarithm(doubt)) => format!("{} %", units::significant(100.0 * doubt, 2)),
        (_, Spread::Absolute(doubt)) => units::metres(doubt),
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
