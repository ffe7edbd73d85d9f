//! The day where the user is.

use freereed::sheet::Date;

/// The day where the user is.
pub fn today() -> Date {
    let today = jiff::ZonedDateTime::now().date();
    let part = |number: i8| u8::try_from(number).unwrap_or_default();
    let year = u16::try_from(today.year()).unwrap_or_default();
    Date { year, month: part(today.month()), day: part(today.day()) }
}
