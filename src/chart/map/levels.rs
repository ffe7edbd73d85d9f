//! Round levels that divide a range of values.

use crate::chart::scale::short;

/// The most levels of a map.
const MOST: usize = 9;
/// Ranges wider than this are divided by ratios.
const WIDE: f64 = 10.0;

/// A range divided at round values.
pub(super) struct Levels {
    is_log: bool,
    /// Rising, inside the range.
    pub values: Vec<f64>,
    decimals: Option<usize>,
}

impl Levels {
    /// Round levels inside the range from `low` to `high`; none if it is empty.
    pub fn over(low: f64, high: f64) -> Self {
        let is_log = low > 0.0 && high / low > WIDE;
        let least = 1e-9 * low.abs().max(high.abs());
        if high - low <= least {
            return Self { is_log: false, values: Vec::new(), decimals: None };
        }
        if is_log { Self { is_log, values: by_ratio(low, high), decimals: None } } else { by_step(low, high) }
    }

    /// The quantity in which values are joined by straight lines.
    pub fn height(&self, value: f64) -> f64 {
        if self.is_log { value.ln() } else { value }
    }

    /// A level as it is printed.
    pub fn label(&self, value: f64) -> String {
        let size = match self.decimals {
            Some(decimals) if value.abs() < 1e6 => format!("{:.decimals$}", value.abs()),
            _ => short(value.abs(), 2),
        };
        if value < 0.0 { format!("−{size}") } else { size }
    }
}

/// A value as it is printed on its own, to two digits.
pub(super) fn rounded(value: f64) -> String {
    let size = short(value.abs(), 2);
    if value < 0.0 { format!("−{size}") } else { size }
}

fn by_step(low: f64, high: f64) -> Levels {
    let rough = (high - low) / (MOST - 1) as f64;
    let decade = 10f64.powf(rough.log10().floor());
    let step = [1.0, 2.0, 2.5, 5.0, 10.0].map(|m| m * decade).into_iter().find(|step| *step >= rough).unwrap_or(rough);
    let (first, last) = ((low / step).floor() as i64, (high / step).ceil() as i64);
    let inside = (first..=last).map(|k| k as f64 * step).filter(|value| *value > low && *value < high);
    // A step of 2.5 needs one digit more than its size says.
    let needs_more = usize::from((step / decade - 2.5).abs() < 1e-6);
    let decimals = (-step.log10().floor()).max(0.0) as usize + needs_more;
    Levels { is_log: false, values: inside.collect(), decimals: Some(decimals.min(12)) }
}

fn by_ratio(low: f64, high: f64) -> Vec<f64> {
    let sets: [&[f64]; 4] = [&[1.0, 1.5, 2.0, 3.0, 5.0, 7.0], &[1.0, 2.0, 5.0], &[1.0, 3.0], &[1.0]];
    let (first, last) = (low.log10().floor() as i32, high.log10().ceil() as i32);
    let every = ((high / low).log10() / MOST as f64).ceil().max(1.0) as usize;
    let inside = |set: &[f64], every: usize| -> Vec<f64> {
        let decades = (first..=last).step_by(every);
        let all = decades.flat_map(|decade| set.iter().map(move |m| times_power(*m, decade)));
        all.filter(|value| *value > low && *value < high).collect()
    };
    let fitting = sets.iter().map(|set| inside(set, 1)).find(|levels| levels.len() <= MOST);
    fitting.unwrap_or_else(|| inside(sets[3], every))
}

/// `m` times a power of ten, to the last bit: a negative power has no exact value to multiply by.
fn times_power(m: f64, decade: i32) -> f64 {
    if decade < 0 { m / 10f64.powi(-decade) } else { m * 10f64.powi(decade) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn levels_are_round_and_few() {
        assert_eq!(Levels::over(0.03, 0.92).values, [0.05, 0.07, 0.1, 0.15, 0.2, 0.3, 0.5, 0.7]);
        assert_eq!(Levels::over(-1.0, 7.2).values, [0.0, 2.0, 4.0, 6.0]);
        let wide = Levels::over(1e-9, 1e9);
        assert!((3..=MOST).contains(&wide.values.len()), "{:?}", wide.values);
        assert!(Levels::over(3.0, 3.0).values.is_empty());
    }

    #[test]
    fn levels_are_printed_in_full() {
        let levels = Levels::over(1000.0, 1002.0);
        let printed: Vec<String> = levels.values.iter().map(|value| levels.label(*value)).collect();
        assert_eq!(printed[..2], ["1000.25", "1000.50"]);
        assert_eq!(Levels::over(-3.0, 4.0).label(-2.0), "−2");
    }
}
