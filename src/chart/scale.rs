//! From a value to a height on the page, with round ticks.

/// A tick of an axis.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Tick {
    pub value: f64,
    /// The number beside it; empty for a tick of second rank.
    pub label: String,
}

/// A linear or logarithmic axis between two values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Scale {
    Linear {
        low: f64,
        high: f64,
    },
    /// Both ends above zero.
    Log {
        low: f64,
        high: f64,
    },
}

impl Scale {
    /// A linear axis around zero that reaches `reach` both ways.
    pub fn around_zero(reach: f64) -> Self {
        let reach = if reach.is_finite() && reach > 0.0 { reach } else { 1.0 };
        Self::Linear { low: -reach, high: reach }
    }

    /// A linear axis over the values, with `room` times their range left free at both ends; 0 to 1 when there are none.
    pub fn over(values: impl IntoIterator<Item = f64>, room: f64) -> Self {
        let finite = values.into_iter().filter(|value| value.abs() <= super::LARGEST);
        let (low, high) = finite.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), value| (l.min(value), h.max(value)));
        let least = 1e-9_f64.max(1e-6 * low.abs());
        match high - low {
            range if !range.is_finite() => Self::Linear { low: 0.0, high: 1.0 },
            range if range < least => Self::Linear { low: low - 0.5 * least, high: high + 0.5 * least },
            range => Self::Linear { low: low - room * range, high: high + room * range },
        }
    }

    /// A logarithmic axis over the values above zero, with a little room; `fallback` when there are none.
    pub fn log_over(values: impl IntoIterator<Item = f64>, fallback: (f64, f64)) -> Self {
        let ends = values.into_iter().filter(|value| value.is_finite() && *value > 0.0).fold(None, |ends, value| {
            let (low, high) = ends.unwrap_or((value, value));
            Some((value.min(low), value.max(high)))
        });
        let (low, high) = ends.unwrap_or(fallback);
        let room = (high / low).powf(0.04).clamp(1.12, 10.0);
        let widen = (3.0 / (high / low)).max(1.0).sqrt();
        Self::Log { low: low / room / widen, high: high * room * widen }
    }

    /// Its two ends.
    pub fn ends(&self) -> (f64, f64) {
        match *self {
            Self::Linear { low, high } | Self::Log { low, high } => (low, high),
        }
    }

    /// A linear axis over the values, with a little room; `fallback` when there are none.
    pub fn linear_over(values: impl IntoIterator<Item = f64>, fallback: (f64, f64)) -> Self {
        let ends = values.into_iter().filter(|value| value.is_finite()).fold(None, |ends, value| {
            let (low, high) = ends.unwrap_or((value, value));
            Some((value.min(low), value.max(high)))
        });
        let (low, high): (f64, f64) = ends.unwrap_or(fallback);
        let least = 1e-6 * low.abs().max(high.abs()).max(1e-6);
        let room = if high - low > least { 0.05 * (high - low) } else { (0.1 * low.abs()).max(least) };
        Self::Linear { low: low - room, high: high + room }
    }

    /// Where a value lies: 0 at the low end, 1 at the high end; values outside are at the nearest end.
    pub fn share(&self, value: f64) -> f64 {
        let share = match *self {
            Self::Linear { low, high } => (value - low) / (high - low),
            Self::Log { low, high } => (value.max(f64::MIN_POSITIVE).ln() - low.ln()) / (high.ln() - low.ln()),
        };
        share.clamp(0.0, 1.0)
    }

    /// Ticks at round values, in rising order.
    pub fn ticks(&self) -> Vec<Tick> {
        self.ticks_in(8.0)
    }

    /// Ticks at round values, a linear axis in at most `most` steps.
    pub fn ticks_in(&self, most: f64) -> Vec<Tick> {
        match *self {
            Self::Linear { low, high } => linear_ticks(low, high, most),
            Self::Log { low, high } => log_ticks(low, high),
        }
    }
}

fn linear_ticks(low: f64, high: f64, most: f64) -> Vec<Tick> {
    let rough = (high - low) / most;
    let decade = 10f64.powf(rough.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0].map(|m| m * decade).into_iter().find(|step| *step >= rough).unwrap_or(rough);
    let (first, last) = ((low / step - 1e-9).ceil() as i64, (high / step + 1e-9).floor() as i64);
    let decimals = (-step.log10().floor()).clamp(0.0, 9.0) as usize;
    (first..=last).map(|k| Tick { value: k as f64 * step, label: signed(k as f64 * step, decimals) }).collect()
}

fn log_ticks(low: f64, high: f64) -> Vec<Tick> {
    let decades = (high / low).log10();
    let labelled: &[i32] = if decades < 1.0 {
        &[1, 2, 3, 4, 5, 6, 8]
    } else if decades < 2.6 {
        &[1, 2, 5]
    } else if decades < 5.0 {
        &[1, 3]
    } else {
        &[1]
    };
    let every = (decades / 12.0).ceil().max(1.0) as i32;
    let minor = if decades < 6.0 { 9 } else { 1 };
    let (first, last) = (low.log10().floor() as i32, high.log10().ceil() as i32);
    let marks = (first..=last).filter(|decade| decade.rem_euclid(every) == 0);
    let marks = marks.flat_map(|decade| (1..=minor).map(move |m| (m, f64::from(m) * 10f64.powi(decade))));
    marks
        .filter(|(_, value)| (low..=high).contains(value))
        .map(|(m, value)| Tick { value, label: if labelled.contains(&m) { short(value, 1) } else { String::new() } })
        .collect()
}

/// A number, zero or more, with `digits` significant digits at least, without trailing zeros, in full where that is short.
pub(super) fn short(value: f64, digits: i32) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    if !(1e-3..1e5).contains(&value) {
        return format!("{:.*e}", (digits - 1) as usize, value).replace('-', "−");
    }
    let decimals = (digits - 1 - value.log10().floor() as i32).max(0) as usize;
    let text = format!("{value:.decimals$}");
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// A number with its sign as print has it: "+3.0", "−3.0", "0".
pub(super) fn signed(value: f64, decimals: usize) -> String {
    let size = value.abs();
    let text = if size < 1e6 { format!("{size:.decimals$}") } else { format!("{size:.1e}") };
    let zero = text.chars().all(|digit| matches!(digit, '0' | '.'));
    match (zero, value < 0.0) {
        (true, _) => "0".to_owned(),
        (false, true) => format!("−{text}"),
        (false, false) => format!("+{text}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn labels(scale: Scale) -> Vec<String> {
        scale.ticks().into_iter().map(|tick| tick.label).filter(|label| !label.is_empty()).collect()
    }

    #[test]
    fn ticks_are_round_and_few() {
        assert_eq!(labels(Scale::around_zero(12.0)), ["−10", "−5", "0", "+5", "+10"]);
        assert_eq!(labels(Scale::Log { low: 0.08, high: 9.0 }), ["0.1", "0.2", "0.5", "1", "2", "5"]);
        for scale in [Scale::log_over([1e-12, 1e12], (1.0, 2.0)), Scale::around_zero(1e12), Scale::around_zero(1e-12)] {
            assert!((2..=20).contains(&labels(scale).len()), "{:?}", labels(scale));
        }
    }

    #[test]
    fn an_axis_over_one_or_no_value_has_room() {
        for values in [vec![], vec![5.0], vec![f64::NAN, 0.0, -1.0]] {
            let scale = Scale::log_over(values, (5.0, 5.0));
            assert!((scale.share(5.0) - 0.5).abs() < 1e-9);
            assert!(labels(scale).len() >= 2);
        }
    }

    #[test]
    fn numbers_read_as_print_has_them() {
        assert_eq!(short(0.9, 2), "0.9");
        assert_eq!(short(1.234, 2), "1.2");
        assert_eq!(short(317.4, 2), "317");
        assert_eq!(short(2.5e7, 2), "2.5e7");
        assert_eq!(signed(-32.44, 1), "−32.4");
        assert_eq!(signed(-0.01, 1), "0");
    }
}
