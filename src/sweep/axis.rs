//! One input over an even grid, exact in decimals.

use rust_decimal::Decimal;

use crate::sheet::keys::{KEYS, Key, Kind, find};
use crate::sheet::nearest_name;

/// An input and the values it takes, lowest first.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    /// The input.
    pub key: &'static Key,
    values: Vec<Decimal>,
}

/// Most values on one axis.
const MOST: usize = 10_000;

/// An axis that cannot be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum AxisError {
    /// Not of the form `KEY=from:to:step`.
    #[error("{typed:?} is not KEY=from:to:step; write for instance tip_gap_mm=0.10:0.50:0.01")]
    Form {
        /// What was typed.
        typed: String,
    },
    /// No such input.
    #[error("{key} is no input{}; `freereed keys` lists them all", did_you_mean(.nearest))]
    Unknown {
        /// What was typed.
        key: String,
        /// The input with the most similar name.
        nearest: Option<&'static str>,
    },
    /// An input that takes no single number.
    #[error("{key} takes {needs}, which no grid can step through; vary an input that is one number")]
    NotANumber {
        /// The input.
        key: &'static str,
        /// What it takes.
        needs: String,
    },
    /// A value is no decimal number.
    #[error("{key}: {typed:?} is no decimal number")]
    Number {
        /// The input.
        key: &'static str,
        /// What was typed.
        typed: String,
    },
    /// The range is upside down, or the step does not go anywhere.
    #[error("{key}: a grid goes from a lower to a higher value in steps above zero")]
    Direction {
        /// The input.
        key: &'static str,
    },
    /// The last step does not end at the end.
    #[error("{key}: steps of {step} from {from} miss {to}; end at {below} or {above}")]
    Misses {
        /// The input.
        key: &'static str,
        /// First value.
        from: Decimal,
        /// Last value asked.
        to: Decimal,
        /// Step.
        step: Decimal,
        /// Value of the grid below the end.
        below: Decimal,
        /// Value of the grid above it.
        above: Decimal,
    },
    /// A value is not allowed.
    #[error("{key}: {value} is out of range; {allowed} is allowed")]
    Range {
        /// The input.
        key: &'static str,
        /// The value.
        value: Decimal,
        /// The allowed range with its reason.
        allowed: String,
    },
    /// More values than anybody can wait for.
    #[error("{key}: {count} values are too many; {MOST} at most, take a wider step")]
    TooMany {
        /// The input.
        key: &'static str,
        /// How many there would be.
        count: Decimal,
    },
}

fn did_you_mean(nearest: &Option<&'static str>) -> String {
    nearest.map_or(String::new(), |name| format!(" (did you mean {name}?)"))
}

impl Axis {
    /// Reads `KEY=from:to:step`.
    ///
    /// # Errors
    /// What is wrong with it, and what to try.
    ///
    /// ```
    /// use freereed::sweep::Axis;
    /// let gaps = Axis::parse("tip_gap_mm=0.10:0.50:0.01").unwrap();
    /// assert_eq!(gaps.count(), 41);
    /// assert_eq!(gaps.value(20), 0.3);
    /// assert_eq!(gaps.text(20), "0.30");
    /// let error = Axis::parse("tip_gap_mm=0.1:0.5:0.03").unwrap_err();
    /// assert_eq!(error.to_string(), "tip_gap_mm: steps of 0.03 from 0.1 miss 0.5; end at 0.49 or 0.52");
    /// ```
    pub fn parse(typed: &str) -> Result<Self, AxisError> {
        let form = || AxisError::Form { typed: typed.to_owned() };
        let (name, range) = typed.split_once('=').ok_or_else(form)?;
        let [from, to, step] = range.split(':').collect::<Vec<_>>().try_into().map_err(|_| form())?;
        let key = input(name.trim())?;
        let number = |typed: &str| {
            let found = Decimal::from_str_exact(typed.trim());
            found.map_err(|_| AxisError::Number { key: key.name, typed: typed.trim().to_owned() })
        };
        let axis = Self { key, values: grid(key.name, number(from)?, number(to)?, number(step)?)? };
        axis.check_range()?;
        Ok(axis)
    }

    fn check_range(&self) -> Result<(), AxisError> {
        let key = self.key;
        let allowed = |value: &&Decimal| (key.least..=key.most).contains(&float(value));
        match self.values.iter().find(|value| !allowed(value)) {
            Some(&value) => Err(AxisError::Range { key: key.name, value, allowed: key.range_text() }),
            None => Ok(()),
        }
    }

    /// How many values there are, one at least.
    pub fn count(&self) -> usize {
        self.values.len()
    }

    /// Value `k` in the key's own unit: the floating-point number nearest to the decimal.
    pub fn value(&self, k: usize) -> f64 {
        float(&self.values[k])
    }

    /// Value `k` as a decimal.
    pub fn text(&self, k: usize) -> String {
        self.values[k].to_string()
    }
}

/// The nearest floating-point number: through text, which is the exact way.
fn float(value: &Decimal) -> f64 {
    value.to_string().parse().expect("a decimal is a number")
}

fn input(name: &str) -> Result<&'static Key, AxisError> {
    let known: Vec<&'static str> = KEYS.iter().map(|key| key.name).collect();
    let unknown = || AxisError::Unknown { key: name.to_owned(), nearest: nearest_name(name, &known) };
    let key = find(name).ok_or_else(unknown)?;
    match key.kind {
        Kind::Number => Ok(key),
        _ => Err(AxisError::NotANumber { key: key.name, needs: key.needs() }),
    }
}

fn grid(key: &'static str, from: Decimal, to: Decimal, step: Decimal) -> Result<Vec<Decimal>, AxisError> {
    if from > to || step <= Decimal::ZERO {
        return Err(AxisError::Direction { key });
    }
    let whole = ((to - from) / step).floor();
    let count = whole + Decimal::ONE;
    if count > Decimal::from(MOST) {
        return Err(AxisError::TooMany { key, count });
    }
    let end = from + whole * step;
    if end != to {
        return Err(AxisError::Misses { key, from, to, step, below: end.normalize(), above: (end + step).normalize() });
    }
    let steps = u64::try_from(whole).expect("few");
    Ok((0..=steps).map(|k| from + Decimal::from(k) * step).collect())
}
