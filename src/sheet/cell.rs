//! A value written as plain text: a cell of a sheet, or a value on a command line.

use super::keys::{Key, Kind};
use super::value::{Fault, Value};

/// Which decimal marks a text may use.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Decimal {
    /// A point only.
    Point,
    /// A comma too: the file keeps its columns apart by something else, or the cell stands in quotes.
    PointOrComma,
}

/// Reads the text of a value and checks it against its key.
///
/// # Errors
/// What is wrong with it. A number in which a mark may stand for thousands as well as for decimals is refused.
pub fn read(key: &Key, text: &str, decimal: Decimal) -> Result<Value, Fault> {
    let text = text.trim();
    let value = match key.kind {
        Kind::Text => Value::Text(text.to_owned()),
        Kind::Number => Value::Number(number_of(key, text, decimal)?),
        Kind::Stations => Value::Stations(stations(key, text, decimal)?),
    };
    key.check(&value)?;
    Ok(value)
}

fn number_of(key: &Key, text: &str, decimal: Decimal) -> Result<f64, Fault> {
    if decimal == Decimal::PointOrComma && thousands(text).is_some_and(|whole| (key.least..=key.most).contains(&whole))
    {
        let digits = text.replace([',', '.'], "");
        let fault = Fault::new("can be read in two ways: decimals or thousands");
        return Err(fault.cure(format!("write {digits}, or leave off the last zeros")).allowed(key.range_text()));
    }
    number(text, decimal).map_err(|fault| match fault.message.as_str() {
        "is text" => Fault { message: format!("is text; {} is needed", key.needs()), ..fault },
        _ => fault,
    })
}

/// The whole number meant if the only mark is one of thousands: "1,500" or "12.500", but not "0,250".
fn thousands(text: &str) -> Option<f64> {
    let (head, tail) = text.split_once([',', '.'])?;
    let digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
    let grouped =
        (1..=3).contains(&head.len()) && tail.len() == 3 && digits(head) && digits(tail) && !head.starts_with('0');
    grouped.then(|| format!("{head}{tail}").parse().ok())?
}

/// Reads a number.
///
/// # Errors
/// What is wrong with it.
pub fn number(text: &str, decimal: Decimal) -> Result<f64, Fault> {
    let marks = |mark: char| text.matches(mark).count();
    let plain = text.bytes().all(|byte| byte.is_ascii_digit() || b"+-.,eE".contains(&byte));
    if let Some(number) = text.parse::<f64>().ok().filter(|number| plain || !number.is_finite()) {
        return Ok(number);
    }
    if plain && marks(',') == 1 && marks('.') == 0 {
        let with_point = text.replace(',', ".");
        return match (decimal, with_point.parse::<f64>()) {
            (Decimal::PointOrComma, Ok(number)) => Ok(number),
            (Decimal::Point, Ok(_)) => Err(Fault::new("has a decimal comma").cure(format!("write {with_point}"))),
            (_, Err(_)) => Err(Fault::new("is text")),
        };
    }
    if plain && marks(',') + marks('.') > 1 {
        return Err(Fault::new("has more than one mark between its digits")
            .cure("write it with one decimal mark and none for thousands"));
    }
    Err(not_plain(text))
}

/// What is wrong with a number that holds other signs than a number's.
fn not_plain(text: &str) -> Fault {
    let is_number = |text: &str| text.replace(',', ".").parse::<f64>().is_ok_and(f64::is_finite);
    let minus = text.replace(['\u{2212}', '\u{2013}'], "-");
    if minus != text && is_number(&minus) {
        return Fault::new("has a minus sign that is not a plain one").cure(format!("write {minus}"));
    }
    let closed: String = text.chars().filter(|c| !c.is_whitespace() && !matches!(c, '\'' | '_')).collect();
    if is_number(&closed) {
        return Fault::new("has a gap between its digits").cure(format!("write {closed}"));
    }
    let head = text.trim_end_matches(|c: char| !c.is_ascii_digit()).trim_end();
    // "0.25 mm2" ends in a digit of its unit.
    let head = head.split_once(char::is_whitespace).map_or(head, |(first, _)| first);
    if is_number(head) && head.len() < text.len() {
        let fault = Fault::new("has more than a number in it");
        return fault.cure(format!("write {head}; the unit is in the key's name, a remark goes elsewhere"));
    }
    Fault::new("is text")
}

/// Stations in one cell: `0:0.16 6:0.12 12.5:0.2`, places before the colons, values after them.
fn stations(key: &Key, text: &str, decimal: Decimal) -> Result<Vec<(f64, f64)>, Fault> {
    let shape = || {
        let cure = "write place:value pairs with a space between them, like 0:0.16 6:0.12 12.5:0.2";
        Fault::new(format!("is not a list of stations; {} is needed", key.needs())).cure(cure)
    };
    let pair = |pair: &str| {
        let (place, value) = pair.split_once(':').ok_or_else(shape)?;
        Ok((number(place, decimal).map_err(|_| shape())?, number(value, decimal).map_err(|_| shape())?))
    };
    text.split_whitespace().map(pair).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::keys::find;

    fn typed(key: &str, text: &str, decimal: Decimal) -> Result<Value, Fault> {
        read(find(key).unwrap(), text, decimal)
    }

    fn refusal(key: &str, text: &str) -> (String, String) {
        let fault = typed(key, text, Decimal::PointOrComma).unwrap_err();
        (fault.message, fault.cure.unwrap_or_default())
    }

    #[test]
    fn plain_numbers_are_read() {
        for (text, number) in
            [("12", 12.0), (" 12.5 ", 12.5), ("+3", 3.0), ("1.2e1", 12.0), ("10.", 10.0), ("3.50", 3.5)]
        {
            assert_eq!(typed("length_mm", text, Decimal::Point), Ok(Value::Number(number)), "{text}");
        }
        assert_eq!(typed("tip_gap_mm", "-.05", Decimal::Point), Ok(Value::Number(-0.05)));
    }

    #[test]
    fn a_decimal_comma_needs_leave() {
        assert_eq!(typed("tip_gap_mm", "0,25", Decimal::PointOrComma), Ok(Value::Number(0.25)));
        let fault = typed("tip_gap_mm", "0,25", Decimal::Point).unwrap_err();
        assert_eq!((fault.message.as_str(), fault.cure.as_deref()), ("has a decimal comma", Some("write 0.25")));
    }

    #[test]
    fn thousands_and_decimals_are_not_guessed() {
        assert!(refusal("volume_mm3", "1,500").0.contains("two ways"));
        assert!(refusal("volume_mm3", "1.500").0.contains("two ways"));
        assert!(refusal("volume_mm3", "1.500,5").0.contains("more than one mark"));
        // 12500 mm is no reed, so 12,500 can only be 12.5.
        assert_eq!(typed("length_mm", "12,500", Decimal::PointOrComma), Ok(Value::Number(12.5)));
        assert_eq!(typed("tip_gap_mm", "0,250", Decimal::PointOrComma), Ok(Value::Number(0.25)));
    }

    #[test]
    fn what_is_not_plain_is_refused_with_a_cure() {
        for (text, message, cure) in [
            ("1 234", "has a gap between its digits", "write 1234"),
            ("1\u{a0}234", "has a gap between its digits", "write 1234"),
            ("1'234", "has a gap between its digits", "write 1234"),
            ("0.25 mm", "has more than a number in it", "write 0.25;"),
            ("0.25mm", "has more than a number in it", "write 0.25;"),
            ("0.25 mm2", "has more than a number in it", "write 0.25;"),
            ("\u{2212}0.1", "has a minus sign that is not a plain one", "write -0.1"),
            ("thick", "is text; a number in mm is needed", ""),
            ("#DIV/0!", "is text; a number in mm is needed", ""),
            ("nan", "is not a finite number", "measure it"),
            ("-inf", "is not a finite number", "measure it"),
        ] {
            let (found, tried) = refusal("tip_gap_mm", text);
            assert_eq!(found, message, "{text}");
            assert!(tried.starts_with(cure), "{text}: {tried}");
        }
    }

    #[test]
    fn stations_fit_in_a_cell() {
        let stations = Value::Stations(vec![(0.0, 0.16), (6.0, 0.12), (12.5, 0.2)]);
        assert_eq!(typed("thickness_stations_mm", "0:0.16 6:0.12  12.5:0.2", Decimal::Point), Ok(stations.clone()));
        assert_eq!(typed("thickness_stations_mm", "0:0,16 6:0,12 12,5:0,2", Decimal::PointOrComma), Ok(stations));
        for text in ["0.16 0.12", "0:0.16, 6:0.12", "0:a", ":", "0:"] {
            assert!(typed("thickness_stations_mm", text, Decimal::Point).is_err(), "{text}");
        }
    }
}
