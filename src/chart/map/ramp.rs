//! Shades from light to dark, in even steps of lightness so that grey print keeps their order.

/// Share of the way and colour (sRGB): near white, then the sky blue and the blue of the palette, then near black. The
/// shares follow the lightness L* of CIE 1976: 97, 70, 46, 14.
const STOPS: [(f64, [f64; 3]); 4] = [
    (0.0, [241.0, 247.0, 251.0]),
    (0.325, [86.0, 180.0, 233.0]),
    (0.615, [0.0, 114.0, 178.0]),
    (1.0, [6.0, 38.0, 63.0]),
];
/// The lightest and the darkest share in use.
const ENDS: (f64, f64) = (0.03, 0.92);

/// The shade of a step, of `count` from light to dark.
pub(super) fn shade(step: usize, count: usize) -> String {
    let even = if count > 1 { step as f64 / (count - 1) as f64 } else { 0.3 };
    let share = ENDS.0 + even * (ENDS.1 - ENDS.0);
    let upper = STOPS.iter().position(|(stop, _)| *stop >= share).unwrap_or(STOPS.len() - 1).max(1);
    let ((from, a), (to, b)) = (STOPS[upper - 1], STOPS[upper]);
    let x = (share - from) / (to - from);
    let [red, green, blue] = [0, 1, 2].map(|k| (a[k] + x * (b[k] - a[k])).round() as u8);
    format!("#{red:02x}{green:02x}{blue:02x}")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance (WCAG 2.1, from memory).
    fn luminance(colour: &str) -> f64 {
        let linear = |k: usize| {
            let value = f64::from(u8::from_str_radix(&colour[k..k + 2], 16).unwrap()) / 255.0;
            if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * linear(1) + 0.7152 * linear(3) + 0.0722 * linear(5)
    }

    /// Lightness L* (CIE 1976).
    fn lightness(colour: &str) -> f64 {
        116.0 * luminance(colour).cbrt() - 16.0
    }

    #[test]
    fn every_step_is_darker_than_the_one_before() {
        for count in 2..=10 {
            let shades: Vec<f64> = (0..count).map(|step| lightness(&shade(step, count))).collect();
            let even = (shades[0] - shades[count - 1]) / (count - 1) as f64;
            for pair in shades.windows(2) {
                let darker = pair[0] - pair[1];
                assert!(darker > 0.75 * even && darker < 1.25 * even, "{shades:?}");
            }
        }
    }
}
