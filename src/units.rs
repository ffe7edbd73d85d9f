//! The one place where SI values become workshop units for a person to read.

/// Pascal in a millimetre of water (conventional, 4 degC: ISO 80000-4).
pub const PA_PER_MM_WATER: f64 = 9.80665;

/// A number to so many significant digits, without an exponent.
///
/// ```
/// use freereed::units::significant;
/// assert_eq!(significant(0.012345, 3), "0.0123");
/// assert_eq!(significant(1234.5, 3), "1230");
/// assert_eq!(significant(-56.19, 3), "-56.2");
/// ```
pub fn significant(value: f64, digits: i32) -> String {
    if value == 0.0 || !value.is_finite() {
        return format!("{value}");
    }
    let decimals = |v: f64| digits - 1 - v.abs().log10().floor() as i32;
    let unit = 10.0_f64.powi(decimals(value));
    let rounded = (value * unit).round() / unit;
    // Rounding up can add a digit before the point.
    format!("{rounded:.*}", decimals(rounded).max(0) as usize)
}

/// Frequency: "523.3 Hz", "3.15 kHz".
pub fn hertz(value: f64) -> String {
    if value < 3000.0 { format!("{value:.1} Hz") } else { format!("{} kHz", significant(value / 1e3, 3)) }
}

/// Pressure: "56 Pa", "1.14 kPa".
pub fn pascal(value: f64) -> String {
    if value < 999.5 { format!("{} Pa", significant(value, 3)) } else { format!("{} kPa", significant(value / 1e3, 3)) }
}

/// Pressure as a water manometer shows it: "5.7 mmH2O".
pub fn water(value_pa: f64) -> String {
    format!("{} mmH2O", significant(value_pa / PA_PER_MM_WATER, 2))
}

/// Time: "49 ms", "1.36 s".
pub fn seconds(value: f64) -> String {
    if value < 0.9995 { format!("{} ms", significant(value * 1e3, 3)) } else { format!("{} s", significant(value, 3)) }
}

/// Length as a feeler or a micrometer shows it: "0.250 mm", "12.5 mm"; what is under a micrometre: "0.42 um". Less than a
/// thousandth of that is round-off: "0.000 mm".
pub fn metres(value: f64) -> String {
    let mm = value * 1e3;
    match mm.abs() {
        size if size >= 1.0 => format!("{} mm", significant(mm, 3)),
        size if size >= 1e-3 => format!("{mm:.3} mm"),
        size if size < 1e-6 => "0.000 mm".to_owned(),
        _ => format!("{} um", significant(value * 1e6, 2)),
    }
}

/// Mass: "32.6 mg".
pub fn kilograms(value: f64) -> String {
    format!("{} mg", significant(value * 1e6, 3))
}

/// Cents with a sign: "+29 cents", "-3.2 cents".
pub fn cents(value: f64) -> String {
    let rounded = if value.abs() < 9.95 { (value * 10.0).round() / 10.0 } else { value.round() };
    let plus = if rounded >= 0.0 { "+" } else { "" };
    if rounded.abs() < 9.95 { format!("{plus}{:.1} cents", rounded + 0.0) } else { format!("{plus}{rounded:.0} cents") }
}

/// Cents without a sign: "29 cents".
pub fn cents_size(value: f64) -> String {
    cents(value.abs()).trim_start_matches('+').to_owned()
}

/// Growth rate with a sign: "+195 /s".
pub fn per_second(value: f64) -> String {
    format!("{}{} /s", if value > 0.0 { "+" } else { "" }, significant(value, 3))
}

/// Flow of air: "58.4 cm3/s".
pub fn flow(value_m3_s: f64) -> String {
    format!("{} cm3/s", significant(value_m3_s * 1e6, 3))
}

/// Stress: "293 MPa".
pub fn stress(value_pa: f64) -> String {
    format!("{} MPa", significant(value_pa / 1e6, 3))
}

/// Force: "0.51 N", "312 N".
pub fn newton(value: f64) -> String {
    format!("{} N", significant(value, if value < 1.0 { 2 } else { 3 }))
}

/// Torque as a small driver shows it: "0.050 N m".
pub fn torque(value_n_m: f64) -> String {
    format!("{} N m", significant(value_n_m, 2))
}

/// Stiffness against turning: "1.37 N m/rad".
pub fn turning_stiffness(value_n_m_per_rad: f64) -> String {
    format!("{} N m/rad", significant(value_n_m_per_rad, 3))
}

/// Sound level: "63.5 dB".
pub fn decibel(value: f64) -> String {
    format!("{value:.1} dB")
}

/// A value of a result, by the unit it has in the workshop; a sign only where it is below zero.
pub fn of(workshop_unit: &str, value_si: f64) -> String {
    match workshop_unit {
        "Hz" => format!("{value_si:.2} Hz"),
        "Pa" if value_si < 0.0 => format!("-{}", pascal(-value_si)),
        "Pa" => pascal(value_si),
        "ms" if value_si < 0.0 => format!("-{}", seconds(-value_si)),
        "ms" => seconds(value_si),
        "mm" => metres(value_si),
        "MPa" => stress(value_si),
        "cm3/s" => flow(value_si),
        "dB" | "dBA" => format!("{value_si:.1} {workshop_unit}"),
        other => format!("{} {other}", significant(value_si, 3)),
    }
}

/// As [`of`], to the two digits that a difference or an uncertainty is worth.
pub fn rough(workshop_unit: &str, value_si: f64) -> String {
    let (value, unit) = match workshop_unit {
        "Pa" if value_si.abs() >= 995.0 => (value_si / 1e3, "kPa"),
        "ms" if value_si.abs() >= 0.995 => (value_si, "s"),
        "ms" => (value_si * 1e3, "ms"),
        "mm" => (value_si * 1e3, "mm"),
        "MPa" => (value_si / 1e6, "MPa"),
        "cm3/s" => (value_si * 1e6, "cm3/s"),
        other => (value_si, other),
    };
    format!("{} {unit}", significant(value, 2))
}

/// The text with its first letter as a sentence begins.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounds_where_a_reader_would() {
        assert_eq!(pascal(999.4), "999 Pa");
        assert_eq!(pascal(999.6), "1.00 kPa");
        assert_eq!(significant(9.996, 3), "10.0");
        assert_eq!(significant(99.96, 3), "100");
        assert_eq!(cents(-0.04), "+0.0 cents");
        assert_eq!(cents(-35.4), "-35 cents");
        assert_eq!(seconds(0.04903), "49.0 ms");
        assert_eq!(water(1000.0), "100 mmH2O");
        assert_eq!(
            (metres(-1.7e-19), metres(4.2e-7), metres(0.0)),
            ("0.000 mm".into(), "0.42 um".into(), "0.000 mm".into())
        );
        assert_eq!(rough("Pa", -996.0), "-1.0 kPa");
        assert_eq!(rough("ms", 0.00146), "1.5 ms");
        assert_eq!(metres(0.25e-3), "0.250 mm");
        assert_eq!(metres(6e-6), "0.006 mm");
        assert_eq!(metres(12.5e-3), "12.5 mm");
    }
}
