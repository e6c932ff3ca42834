//! When something was done, as it is kept: a moment in universal time, or a day by itself where nobody said the hour.

use std::cmp::Ordering;
use std::fmt;

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

use super::day::day;

/// When something was done, as the caller told it: the library asks no clock.
///
/// It stands in the database and in JSON as ISO 8601, a moment to the second in universal time.
///
/// ```
/// use washline_core::tables::When;
///
/// let evening: When = "2026-11-24T18:30:00+02:00".parse::<jiff::Timestamp>()?.into();
/// assert_eq!(evening.to_string(), "2026-11-24T16:30:00Z");
/// assert_eq!(When::of("2026-11-24"), Some(When::Day(jiff::civil::date(2026, 11, 24))));
/// # Ok::<(), jiff::Error>(())
/// ```
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum When {
    /// At that moment.
    Moment(Timestamp),
    /// On that day; the hour was not said.
    Day(Date),
    /// What another program wrote in its place, as it stands there.
    Other(String),
}

impl When {
    /// What a text of the database says; `None` where it is empty, as nobody told.
    #[must_use]
    pub fn of(text: &str) -> Option<When> {
        if text.is_empty() {
            return None;
        }
        let read = day(text)
            .map(When::Day)
            .or_else(|| text.parse().ok().map(When::Moment));
        Some(read.unwrap_or_else(|| When::Other(text.to_owned())))
    }
}

impl From<Timestamp> for When {
    fn from(moment: Timestamp) -> When {
        When::Moment(moment)
    }
}

impl From<Date> for When {
    fn from(day: Date) -> When {
        When::Day(day)
    }
}

/// By the calendar: a day and a moment of that day have no order, nor has what another program wrote.
impl PartialOrd for When {
    fn partial_cmp(&self, other: &When) -> Option<Ordering> {
        let day_of = |moment: &Timestamp| TimeZone::UTC.to_datetime(*moment).date();
        let of_days = |a: Date, b: Date| Some(a.cmp(&b)).filter(|order| order.is_ne());
        match (self, other) {
            (When::Moment(a), When::Moment(b)) => Some(a.cmp(b)),
            (When::Day(a), When::Day(b)) => Some(a.cmp(b)),
            (When::Moment(a), When::Day(b)) => of_days(day_of(a), *b),
            (When::Day(a), When::Moment(b)) => of_days(*a, day_of(b)),
            (When::Other(a), When::Other(b)) if a == b => Some(Ordering::Equal),
            _ => None,
        }
    }
}

impl fmt::Display for When {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            When::Moment(moment) => moment.strftime("%Y-%m-%dT%H:%M:%SZ").fmt(f),
            When::Day(day) => day.fmt(f),
            When::Other(text) => f.write_str(text),
        }
    }
}

/// When something was done as it stands in the database, in JSON and on screens; empty where nobody told.
#[must_use]
pub fn when_text(when: Option<&When>) -> String {
    when.map_or_else(String::new, When::to_string)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_read_is_written_as_it_stood() {
        for text in [
            "2026-11-24T18:30:00Z",
            "2026-11-24",
            "last summer",
            "2026-02-30",
            "2026-11-24 or so",
        ] {
            let when = When::of(text).unwrap();
            assert_eq!(when.to_string(), text);
        }
        assert_eq!(When::of(""), None);
        assert_eq!(when_text(None), "");
        assert!(matches!(When::of("2026-02-30"), Some(When::Other(_))));
        assert!(matches!(When::of("2026-11-24T18:30:00Z"), Some(When::Moment(_))));
    }

    #[test]
    fn what_has_an_order_is_ordered_by_the_calendar() {
        let when = |text: &str| When::of(text).unwrap();
        for (earlier, later) in [
            ("2026-11-24T18:30:00Z", "2026-11-24T18:30:01Z"),
            ("2026-11-23", "2026-11-24"),
            ("2026-11-23T23:59:59Z", "2026-11-24"),
            ("2026-11-23", "2026-11-24T00:00:00Z"),
        ] {
            assert!(
                when(earlier) < when(later) && when(later) > when(earlier),
                "{earlier}"
            );
        }
        for (a, b) in [
            ("2026-11-24", "2026-11-24T12:00:00Z"),
            ("2026-11-24", "last summer"),
        ] {
            assert_eq!(when(a).partial_cmp(&when(b)), None, "{a}");
            assert_eq!(when(b).partial_cmp(&when(a)), None, "{a}");
        }
    }

    #[test]
    fn a_moment_is_kept_to_the_second() {
        let moment = When::of("2026-11-24T18:30:00.75Z").unwrap();
        assert_eq!(moment.to_string(), "2026-11-24T18:30:00Z");
    }
}
