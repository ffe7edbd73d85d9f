//! Numbers as an apprentice reads them, and which way they go.

use super::bench::Answer;
use crate::physics::onset::Search;
use crate::sheet::Tuning;
use crate::units::{self, PA_PER_MM_WATER, flow, metres, seconds, significant};

/// Pressure in pascal and as a water gauge shows it: "56 Pa (5.7 mm of water)".
pub(super) fn pressure(pressure_pa: f64) -> String {
    format!("{} ({} of water)", pascal(pressure_pa), millimetres_of_water(pressure_pa))
}

/// Pressure in pascal alone: a beginner meets one unit, not two. "56 Pa", "20\u{a0}000 Pa".
pub(super) fn pascal(pressure_pa: f64) -> String {
    let digits = significant(pressure_pa, if pressure_pa < 10.0 { 2 } else { 3 });
    match digits.len().checked_sub(3) {
        Some(split) if split >= 2 && !digits.contains('.') => {
            format!("{}\u{a0}{} Pa", &digits[..split], &digits[split..])
        }
        _ => format!("{digits} Pa"),
    }
}

/// Where it starts, as the end of a sentence that begins with "it".
pub(super) fn starts(onset_pa: Option<f64>) -> String {
    onset_pa.map_or("never starts".to_owned(), |onset_pa| format!("starts from {}", pressure(onset_pa)))
}

/// Every pressure that was tried: "at any pressure up to 20 000 Pa".
pub(super) fn at_any_pressure() -> String {
    format!("at any pressure up to {}", pascal(Search::default().limit_pa))
}

/// A place along the tongue: "8.3 mm".
pub(super) fn place(place_m: f64) -> String {
    format!("{:.1} mm", 1e3 * place_m)
}

/// A stretch of the tongue: "0.0 to 1.8 mm".
pub(super) fn stretch(from_m: f64, to_m: f64) -> String {
    format!("{:.1} to {}", 1e3 * from_m, place(to_m))
}

/// However little, in millimetres: "0.00041 mm".
pub(super) fn small_length(length_m: f64) -> String {
    format!("{} mm", significant(1e3 * length_m, 2))
}

/// A flow of air with a raised three.
pub(super) fn air_flow(flow_m3_s: f64) -> String {
    flow(flow_m3_s).replace("cm3", "cm\u{b3}")
}

/// Cents with a printer's minus.
pub(super) fn signed_cents(cents: f64) -> String {
    units::cents(cents).replace('-', "\u{2212}")
}

fn millimetres_of_water(pressure_pa: f64) -> String {
    format!("{} mm", significant(pressure_pa / PA_PER_MM_WATER, 2))
}

/// What a pressure feels like: a rough guide.
pub(super) fn feel(pressure_pa: f64) -> &'static str {
    match pressure_pa {
        p if p < 30.0 => "a breath you hardly notice",
        p if p < 120.0 => "the breath that mists a mirror",
        p if p < 400.0 => "the breath of a quiet hum",
        p if p < 1200.0 => "an ordinary playing breath",
        p if p < 3000.0 => "a strong breath, cheeks firm",
        p if p < 8000.0 => "hard blowing, as for a toy balloon",
        _ => "more than most lungs hold for long",
    }
}

/// What a wait feels like: a rough guide.
pub(super) fn wait(time_s: f64) -> &'static str {
    match time_s {
        t if t < 0.03 => "at once, as far as anyone can tell",
        t if t < 0.08 => "promptly",
        t if t < 0.2 => "with a little wait",
        t if t < 0.5 => "late",
        _ => "so late that a player has given up",
    }
}

/// Where the tip rests: "0.270 mm above the plate".
pub(super) fn tip_place(gap_m: f64) -> String {
    match gap_m {
        gap if gap.abs() < 5e-7 => "level with the plate".to_owned(),
        gap if gap > 0.0 => format!("{} above the plate", metres(gap)),
        gap => format!("{} inside the slot", metres(-gap)),
    }
}

/// A gap as a bare size: below the plate it is negative.
pub(super) fn gap(gap_m: f64) -> String {
    if gap_m < -5e-7 { format!("\u{2212}{}", metres(-gap_m)) } else { metres(gap_m.max(0.0)) }
}

/// An answer in a table: "52.0 ms", "silent".
pub(super) fn answer(answer: Answer) -> String {
    match answer {
        Answer::Speaks { t50_s } => seconds(t50_s),
        Answer::Silent => "silent".to_owned(),
        Answer::Undecided { after_s } => format!("not in {}", seconds(after_s)),
    }
}

/// An answer in a sentence: "it speaks after 52.0 ms".
pub(super) fn answers(answer: Answer) -> String {
    match answer {
        Answer::Speaks { t50_s } => format!("it speaks after {}", seconds(t50_s)),
        Answer::Silent => "it stays silent".to_owned(),
        Answer::Undecided { after_s } => format!("it has not settled after {}", seconds(after_s)),
    }
}

/// A pressure that may not exist, in a table.
pub(super) fn maybe_pressure(pressure_pa: Option<f64>) -> String {
    pressure_pa.map_or("never".to_owned(), pressure)
}

/// Pitch with the nearest note: "496 Hz, near B4".
pub(super) fn pitch(frequency_hz: f64, tuning: &Tuning) -> String {
    let hertz = format!("{} Hz", significant(frequency_hz, 4));
    match tuning.nearest(frequency_hz) {
        Some(nearest) => format!("{hertz}, near {}", nearest.note.to_string().replace('#', "\u{266f}")),
        None => hertz,
    }
}

/// How many times: "twice", "1.4 times".
pub(super) fn times(ratio: f64) -> String {
    match significant(ratio, 2).as_str() {
        "2.0" => "twice".to_owned(),
        "0.50" => "half".to_owned(),
        number => format!("{number} times"),
    }
}

/// "one, two and three".
pub(super) fn list(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}

/// A sentence taken up after a colon.
pub(super) fn decapital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |first| first.to_lowercase().chain(letters).collect())
}

/// Which way a row of numbers goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Trend {
    /// Up all the way.
    Rises,
    /// Down all the way.
    Falls,
    /// Down, then up; the least is at this place.
    Dips(usize),
    /// Up, then down; the most is at this place.
    Peaks(usize),
    /// Too little to speak of.
    Level,
    /// Up and down.
    Mixed,
    /// Fewer than two numbers.
    Unknown,
}

/// Which way `values` go, differences up to `same` taken for none.
pub(super) fn trend(values: &[f64], same: f64) -> Trend {
    let (Some(first), Some(last)) = (values.first(), values.last()) else { return Trend::Unknown };
    let low = (0..values.len()).min_by(|&a, &b| values[a].total_cmp(&values[b])).unwrap_or(0);
    let high = (0..values.len()).max_by(|&a, &b| values[a].total_cmp(&values[b])).unwrap_or(0);
    let up = |part: &[f64]| part.windows(2).all(|pair| pair[1] >= pair[0] - same);
    let down = |part: &[f64]| part.windows(2).all(|pair| pair[1] <= pair[0] + same);
    match values {
        [_] => Trend::Unknown,
        _ if values[high] - values[low] <= same => Trend::Level,
        _ if up(values) && last - first > same => Trend::Rises,
        _ if down(values) && first - last > same => Trend::Falls,
        _ if down(&values[..=low]) && up(&values[low..]) => Trend::Dips(low),
        _ if up(&values[..=high]) && down(&values[high..]) => Trend::Peaks(high),
        _ => Trend::Mixed,
    }
}

/// Which way ratios go: 2 % counts as the same.
pub(super) fn trend_of_ratios(values: &[f64]) -> Trend {
    trend(&values.iter().map(|value| value.ln()).collect::<Vec<_>>(), 0.02)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_trend_is_what_the_numbers_do() {
        let of = |values: &[f64]| trend(values, 0.1);
        assert_eq!(of(&[1.0, 2.0, 3.0]), Trend::Rises);
        assert_eq!(of(&[3.0, 2.0, 1.95]), Trend::Falls);
        assert_eq!(of(&[3.0, 2.0, 2.5]), Trend::Dips(1));
        assert_eq!(of(&[1.0, 2.0, 1.0]), Trend::Peaks(1));
        assert_eq!(of(&[1.0, 1.05, 1.0]), Trend::Level);
        assert_eq!(of(&[1.0, 3.0, 1.0, 3.0]), Trend::Mixed);
        assert_eq!((of(&[]), of(&[1.0])), (Trend::Unknown, Trend::Unknown));
    }

    #[test]
    fn words_for_numbers() {
        assert_eq!(pressure(51.13), "51.1 Pa (5.2 mm of water)");
        assert_eq!(pressure(2614.0), "2610 Pa (270 mm of water)");
        assert_eq!(pascal(20e3), "20\u{a0}000 Pa");
        assert_eq!(stretch(0.0, 1.775e-3), "0.0 to 1.8 mm");
        assert_eq!(tip_place(-5e-5), "0.050 mm inside the slot");
        assert_eq!(gap(-5e-5), "\u{2212}0.050 mm");
        assert_eq!((tip_place(0.0).as_str(), gap(0.0).as_str()), ("level with the plate", "0.000 mm"));
        assert_eq!(times(2.004), "twice");
        assert_eq!(list(&["a".into(), "b".into(), "c".into()]), "a, b and c");
        assert_eq!(crate::units::capital("it speaks"), "It speaks");
    }
}
