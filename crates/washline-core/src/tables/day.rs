//! Days of the calendar.

/// Days of a date `YYYY-MM-DD` in the Gregorian calendar, counted from 1 March of the year 0; `None` where it is no
/// such date. A month begins after (153 m + 2) / 5 days, counted from March: 153 days are five months.
pub(crate) fn day_number(date: &str) -> Option<i64> {
    let mut parts = date.get(..10)?.split('-');
    let mut next = |digits: usize| {
        parts
            .next()
            .filter(|p| p.len() == digits && p.bytes().all(|b| b.is_ascii_digit()))?
            .parse::<i64>()
            .ok()
    };
    let (year, month, day) = (next(4)?, next(2)?, next(2)?);
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let longest = match month {
        2 => 28 + i64::from(leap),
        4 | 6 | 9 | 11 => 30,
        1..=12 => 31,
        _ => return None,
    };
    if !(1..=longest).contains(&day) {
        return None;
    }
    // January and February belong to the year before, whose last day is the leap day.
    let (year, month) = if month > 2 {
        (year, month - 3)
    } else {
        (year - 1, month + 9)
    };
    Some(
        365 * year + year.div_euclid(4) - year.div_euclid(100)
            + year.div_euclid(400)
            + (153 * month + 2) / 5
            + day
            - 1,
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_between_dates() {
        let days = |a: &str, b: &str| day_number(b).unwrap() - day_number(a).unwrap();
        assert_eq!(days("2024-02-28", "2024-03-01"), 2);
        assert_eq!(days("2023-02-28", "2023-03-01"), 1);
        assert_eq!(days("1900-02-28", "1900-03-01"), 1);
        assert_eq!(days("2000-02-28", "2000-03-01"), 2);
        assert_eq!(days("2025-11-25", "2026-11-25"), 365);
        // The epoch of Unix time to the first second of 2001, a well-known count of days.
        assert_eq!(days("1970-01-01", "2001-01-01"), 11_323);
        for wrong in [
            "2025-02-29",
            "2025-13-01",
            "2025-1-1",
            "yesterday",
            "",
            "2025-04-31",
        ] {
            assert_eq!(day_number(wrong), None, "{wrong}");
        }
    }
}
