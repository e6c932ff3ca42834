//! Days of the calendar as texts: where they are read and written.

use jiff::civil::Date;

/// The day that `YYYY-MM-DD` says, in the Gregorian calendar; `None` where it is no such date.
pub(crate) fn day(text: &str) -> Option<Date> {
    (text.len() == 10).then(|| text.parse().ok()).flatten()
}

/// A day as it stands in the database, in JSON and on screens: `YYYY-MM-DD`; empty where nobody said.
#[must_use]
pub fn day_text(day: Option<Date>) -> String {
    day.map_or_else(String::new, |day| day.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_are_written_as_they_are_read() {
        for text in ["2024-02-29", "0001-01-01", "2026-11-25", "9999-12-31"] {
            assert_eq!(day_text(day(text)), text);
        }
        for wrong in [
            "2025-02-29",
            "2025-13-01",
            "2025-1-1",
            "2025-01-1T",
            "yesterday",
            "",
            "2025-04-31",
        ] {
            assert_eq!(day(wrong), None, "{wrong}");
        }
        assert_eq!(day_text(None), "");
    }
}
