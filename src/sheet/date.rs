//! A day, as files are named by it.

use std::fmt;

/// A calendar day (ISO 8601).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Date {
    /// Year.
    pub year: u16,
    /// Month, 1 to 12.
    pub month: u8,
    /// Day of the month, from 1.
    pub day: u8,
}

impl Date {
    /// Reads `2026-03-01`; none where it is no day of the calendar.
    ///
    /// ```
    /// use freereed::sheet::Date;
    /// assert_eq!(Date::parse("2024-02-29").unwrap().to_string(), "2024-02-29");
    /// assert!(Date::parse("2026-02-29").is_none());
    /// ```
    pub fn parse(text: &str) -> Option<Self> {
        // A TOML date is one of ISO 8601; its reader knows the lengths of the months.
        let read: toml::value::Datetime = text.parse().ok()?;
        let date = read.date.filter(|_| read.time.is_none() && read.offset.is_none())?;
        Some(Self { year: date.year, month: date.month, day: date.day })
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

impl serde::Serialize for Date {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_of_the_calendar() {
        assert!(Date::parse("2026-03-01") < Date::parse("2026-11-01"));
        for text in
            ["", "2026-3-1", "2026-13-01", "2026-04-31", "1900-02-29", "2026-03-01T10:00:00", "10:00:00", "26-03-01"]
        {
            assert_eq!(Date::parse(text), None, "{text}");
        }
    }
}
